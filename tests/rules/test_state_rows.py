"""Every rule of a state that was read in its law is judged there, or stands on a list with the reason why it is not.

`state_rows.csv` has a row for each, in our own words: what answers it (codes, a figure, the pack's limits or letters),
why nothing does, or both where one part is left.
"""

from __future__ import annotations

import csv
import re
from pathlib import Path

from published_value import published

from progdoc.core.resources import catalogue_root
from progdoc.rules.lookup.table_files import table_rows
from progdoc.rules.reading.catalogue import catalogue_with, states_that_ship
from progdoc.rules.reading.pack import read_pack

HERE = Path(__file__).parent
ROWS = list(csv.DictReader((HERE / "state_rows.csv").read_text(encoding="utf-8").splitlines()))
LAW, _ = catalogue_with((), states_that_ship())
TOLD = "told among what is to be looked up"
_CODE = re.compile(r"[A-Z]{3}-\d{3}")


def answers(row: dict[str, str], answer: str) -> bool:
    """Say whether a pack of the state holds what a row names."""
    state = row["state"]
    kind, _, name = answer.partition(" ")
    if kind == "limits":
        return any(limit.state == state for limit in LAW.limits)
    if kind == "letters":
        return any(state == there for rule in LAW.requirements for there, _ in rule.lettered)
    if kind == "figure":
        return any(value.state == state and value.id == name for value in LAW.values)
    return any(rule.code == answer and rule.state == state for rule in LAW.requirements)


@published("8 CCR, WAC 296, OAR 437, Michigan R 325 and HAR 12-60: each section as cited in its row, read in copies")
def test_every_rule_that_was_read_is_judged_or_listed_with_the_reason() -> None:
    assert len(ROWS) == len({(row["state"], row["rule"]) for row in ROWS}) == 51
    for row in ROWS:
        named = [answer for answer in row["answered_by"].split(";") if answer]
        assert named or row["because"], row
        assert not row["because"] or len(row["because"].split()) >= 6, row
        assert [answer for answer in named if not answers(row, answer)] == [], row


def test_what_is_said_to_be_told_is_told_and_nothing_else_is() -> None:
    """A row that says so has its rule in the table that a finding prints, and each that was read there has its row."""
    told = {(row["state"], row["rule"]) for row in table_rows("state_differences") if row["support"] == "read"}
    said = {(row["state"], _section(row["rule"])) for row in ROWS if TOLD in row["because"]}
    assert {(state, _section(rule)) for state, rule in told} <= said
    for state, section in said:
        rules = [row["rule"] for row in table_rows("state_differences") if row["state"] == state]
        assert any(_section(rule) == section for rule in rules), (state, section)


def _section(rule: str) -> str:
    """Return the section of a citation: where rows cite a step or two paragraphs of it, the table cites it whole."""
    return re.split(r"[,;(]| and ", rule)[0].strip()


def test_every_rule_of_a_state_s_own_answers_a_row_and_is_tried_by_a_test() -> None:
    named = {code for row in ROWS for code in _CODE.findall(row["answered_by"])}
    own = {rule.code for rule in LAW.requirements if rule.state}
    assert sorted(own - named) == []
    tests = "".join((HERE / f"test_{name}.py").read_text(encoding="utf-8") for name in ("state_rules", "smoke"))
    new = {rule.code for rule in LAW.requirements if rule.state and rule.code[:4] in ("STA-", "SMK-")}
    assert sorted(code for code in new if code not in tests) == []


def test_every_pack_of_a_state_says_when_its_law_was_read() -> None:
    read = {pack.state: pack.read for pack in LAW.packs if pack.state}
    assert read == {"California": "2026-09-04", "Washington": "2026-08-28"}


def test_a_figure_that_a_state_sets_is_one_of_the_rows() -> None:
    """Figures of smoke, blasting and peaks stand behind their rules; the others are rows by themselves."""
    folders = [catalogue_root() / "states" / state.casefold() for state in sorted(states_that_ship())]
    named = {answer.partition(" ")[2] for row in ROWS for answer in row["answered_by"].split(";")}
    behind = {name for rule in LAW.requirements if rule.state for name in _figures_behind(rule.code)}
    for folder in folders:
        found = {entry.keys["id"] for entry in read_pack(folder, LAW.sources).values}
        assert sorted(found - named - behind) == [], folder.name


def _figures_behind(code: str) -> tuple[str, ...]:
    return {
        "STA-012": ("lead-blasting-time",),
        "STA-013": (
            "small-limit", "middle-limit", "peak-over-small-limit", "peak-over-middle-limit", "peak-over-large-limit",
        ),
        "SMK-003": ("smoke-offered", "smoke-handed-out", "smoke-worn", "smoke-factor", "smoke-brief"),
        "SMK-007": ("smoke-beyond",),
        "SMK-004": ("smoke-on-request",),
        "SMK-006": ("smoke-index",),
        "FIT-507": ("qualitative-credit",),
    }.get(code, ())  # fmt: skip
