"""The lines that a finding shows to type: keys and form, with a blank where only the firm knows the answer.

An example of the catalogue is complete, so that it can be tried; copied blindly, its `yes` would state what nobody
looked at. So a finding shows what may be written in place of each such answer.
"""

from __future__ import annotations

import re
from functools import cache

from progdoc.model.description.fields import field_at
from progdoc.rules.snippet import BLANK

__all__ = ["to_type"]

_LINE = re.compile(r"(?P<indent> *)(?P<dash>- )?(?P<key>[a-z_0-9]+):(?P<value>.*)")


@cache
def to_type(example: str) -> str:
    """Return an example with every answer that is one of a few replaced by these.

    >>> print(to_type("procedures:\\n  medical:\\n    answers_unseen: yes\\n    confidential: By post"))
    procedures:
      medical:
        answers_unseen:  # yes or no
        confidential: By post
    """
    above: list[tuple[int, str]] = []  # the keys that a line stands under, each with its column
    lines = []
    for line in example.splitlines():
        found = _LINE.fullmatch(line)
        if found:
            column = len(found["indent"]) + len(found["dash"] or "")
            above = [(at, key) for at, key in above if at < column]
            if found["dash"] and above and not above[-1][1].endswith("[]"):
                above[-1] = (above[-1][0], f"{above[-1][1]}[]")
            path = ".".join([*(key for _, key in above), found["key"]])
            above.append((column, found["key"]))
            field = field_at(path) if found["value"].strip() else None
            if field and len(field.values) > 1:
                several = field.is_list and BLANK in found["value"]
                if several:
                    line = f"{line[: found.start('value')]} [{BLANK}]  # one or more of {_either(field.values)}"
                elif not field.is_list:
                    line = f"{line[: found.start('value')]}  # {_either(field.values)}"
        elif line.strip() == f"- {BLANK}" and above:
            field = field_at(".".join(key for _, key in above))
            line += f"  # one or more of {_either(field.values)}" if field and len(field.values) > 1 else ""
        lines.append(line)
    return "\n".join(lines)


def _either(values: tuple[str, ...]) -> str:
    return f"{', '.join(values[:-1])} or {values[-1]}"
