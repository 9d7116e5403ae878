"""The states that a question names are those of the list that was read, each under whom its plan covers."""

from __future__ import annotations

import csv

from progdoc.core.resources import catalogue_root
from progdoc.rules.reading.question_list import question_list

TABLE = (catalogue_root() / "tables" / "state_plans.csv").read_text(encoding="utf-8")
ROWS = list(csv.DictReader(TABLE.splitlines()))


def test_the_question_of_the_authority_names_every_state_with_a_plan() -> None:
    """OSHA's list of state plans, as read: 22 for everybody, 7 for the people of the state and its towns alone.

    Somebody in Ohio was told of no list that Ohio is on, and guessed.
    """
    (asking,) = (one for one in question_list().questions if one.id == "authority")
    for prompt, covers, number in zip(
        asking.prompts, ("everybody", "public-employees", "none"), (22, 7, 27), strict=False
    ):
        listed = {name.strip() for name in prompt.rpartition(": ")[2].rstrip(".").split(",")}
        assert listed == {row["name"] for row in ROWS if row["covers"] == covers}
        assert len(listed) == number
