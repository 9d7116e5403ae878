"""Which kinds of evidence a form leaves out: none that would have counted, held against what judging makes of each."""

from __future__ import annotations

from itertools import product
from typing import Any

from published_value import published
from rules.workplaces import assessment_of, described

from progdoc.model.description.workplace import Industry
from progdoc.rules.air.fitting_evidence import never_fitting
from progdoc.rules.lookup.table_files import table_rows

SAYS_NOTHING = {  # by kind: what judging says of one that tells nothing of its agent
    "silica-table-1": ("EXP-016", {"kind": "silica-table-1", "row": "xi", "place": "outdoors"}),
    "lead-task": ("EXP-015", {"kind": "lead-task", "group": "i", "task": "manual scraping"}),
    "judgment": (
        "EXP-024",
        {"kind": "judgment", "by": "A", "guidance": "NIOSH 2005-109", "needed_apf": "10", "date": "2026-05-01"},
    ),
    "smoke": ("EXP-024", {"kind": "smoke", "index": "164", "source": "B", "date": "2026-05-01"}),
}


def left_out(hazard: dict[str, Any], industry: str) -> frozenset[str]:
    program = described([hazard], task={"industry": industry})
    return never_fitting(program.hazards[0], program.tasks[0])


def test_what_is_left_out_counts_for_nothing_and_what_counts_is_offered() -> None:
    agents = [row["id"] for row in table_rows("substances")]
    wrong = []
    for agent, industry in product([*agents[::7], "lead", "silica-crystalline", "bird droppings"], Industry):
        hazard = {"agent": agent, "limit": "none published"}
        out = left_out(hazard, industry.value)
        for kind, (code, exposure) in SAYS_NOTHING.items():
            found = assessment_of(hazard | {"exposure": exposure}, task={"industry": industry.value})
            if (kind in out) != (code in {reason.code for reason in found.reasons}):
                wrong.append((agent, industry.value, kind))
    assert wrong == []


@published("29 CFR 1926.1153(c)(1), 1926.62(d)(2): Table 1 for silica, assumed levels for lead, both in construction")
def test_table_1_is_for_silica_and_lead_tasks_for_lead() -> None:
    assert left_out({"agent": "silica"}, "construction") == {"lead-task", "judgment", "smoke"}
    assert left_out({"agent": "lead"}, "construction") == {"silica-table-1", "judgment", "smoke"}
    assert left_out({"agent": "lead"}, "general") >= {"silica-table-1", "lead-task"}
    assert left_out({"agent": "bird droppings"}, "construction") == {"silica-table-1", "lead-task"}
    own = {"agent": "bird droppings", "limit": {"value": "1 mg/m3", "source": "B"}}
    assert left_out(own, "construction") >= {"judgment", "smoke"}


def test_while_the_industry_is_not_said_what_would_count_in_any_is_offered() -> None:
    """Some agents have a limit in construction alone: a judgment may be the right evidence until it is known."""
    wrong = []
    for agent in [*[row["id"] for row in table_rows("substances")], "bird droppings"]:
        program = described([{"agent": agent, "limit": "none published"}])
        unsaid = program.tasks[0].model_copy(update={"industry": None})
        in_each = frozenset.intersection(*(left_out({"agent": agent}, industry.value) for industry in Industry))
        if never_fitting(program.hazards[0], unsaid) != in_each:
            wrong.append(agent)
    assert wrong == []
