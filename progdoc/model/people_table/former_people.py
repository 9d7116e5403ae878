"""People who left and are kept out of the daily files: `former_people`, a list in any file, read behind `people`.

They are people like the others, whose `left` has to be said. Where `people` is a table, so can these be a list.
"""

from __future__ import annotations

from dataclasses import replace

from progdoc.model.yaml.yaml_reader import Description, with_part

__all__ = ["FORMER", "with_former_people"]

FORMER = "former_people"


def with_former_people(description: Description, was_told: bool) -> tuple[Description, list[str]]:
    """Return the description with its former people behind the others, and the places of those who lack their day.

    Whatever else stands there than a list is left where it is, to be refused.

    Parameters
    ----------
    was_told
        Whether `people` was there, though it may have been a table that could not be read: then nobody is known.
    """
    former = description.parts.get(FORMER, [])
    if not former or not all(isinstance(node.content, list) for _, node in former):
        return description, []
    values = {name: value for name, value in description.values.items() if name != FORMER}
    rest = replace(description, values=values)
    daily = description.parts.get("people", [])
    is_readable = all(isinstance(node.content, list) for _, node in daily) and bool(daily) is was_told
    if not is_readable:
        return (replace(rest, is_complete=False) if was_told and not daily else rest), []
    joined = with_part(rest, "people", [*daily, *former])
    parts = {**joined.parts, FORMER: former}  # so that it can be told which of the people they are
    people = joined.values["people"]
    first = sum(len(node.content) for _, node in daily if isinstance(node.content, list))
    entries = enumerate(people if isinstance(people, list) else [])
    lacking = [f"people[{i}]" for i, one in entries if i >= first and isinstance(one, dict) and not one.get("left")]
    return replace(joined, parts=parts, is_complete=description.is_complete), lacking
