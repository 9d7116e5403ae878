"""Roles, groups and the firm's own rules: seen in the papers, put where they are named, binding whom they name.

The campus is invented; who has what in it follows from the meaning of the words, common practice, no source.
"""

from __future__ import annotations

from datetime import date
from typing import Any

from programs.generated import checked_values
from programs.patching import PROGRAMS, patched, read_as_text
from programs.whole import judged_whole, written_whole

from progdoc.core.report import Status
from progdoc.core.said import TEXTS
from progdoc.document.blocks.unused_blocks import printed_words
from progdoc.document.papers.task_page import task_documents
from progdoc.model.description.fields import said_in
from progdoc.model.description.program import Program
from progdoc.model.description.roles import Duty
from progdoc.rules.judged.result import Judged
from progdoc.rules.roles.role_duties import split_faults

CAMPUS = "campus-with-groups"
OURS = ("bodies", "roles", "groups", "house_rules", "procedures.voluntary_use.")


def campus(**put: Any) -> Judged:
    """Judge the campus with other values at some top-level keys."""
    values = read_as_text((PROGRAMS / f"{CAMPUS}.yaml").read_text(encoding="utf-8"))
    judged = checked_values({**values, **put}).judged
    assert judged is not None
    return judged


def test_whatever_is_said_of_roles_groups_and_rules_is_printed_in_the_program() -> None:
    judged, written = judged_whole(CAMPUS), written_whole(CAMPUS)
    seen = printed_words(written.program)
    texts = {path: value for path, value in said_in(judged.description) if path.startswith(OURS)}
    texts = {path: " ".join(value.split()).rstrip(".").lower() for path, value in texts.items() if type(value) in TEXTS}
    texts = {path: words for path, words in texts.items() if path != "groups[4].covered_by"}  # the id of a body
    assert len(texts) > 40
    assert {path: words for path, words in texts.items() if words not in seen} == {}
    assert "unused" not in {section.id for section in written.annex.blocks if hasattr(section, "id")}


def test_the_page_of_a_task_has_the_rules_that_hold_in_it_and_whom_they_are_for() -> None:
    pages = {name: printed_words(page) for name, page in task_documents(judged_whole(CAMPUS)).items()}
    assert "permitted: the mask may come off behind the rope (dust meter behind the rope" in pages["sand-casts"]
    assert "permitted: contact lenses may be worn (employees)" in pages["sand-casts"]
    assert "behind the rope" not in pages["scrub-tanks"]
    assert "no dust mask is worn at an alarm" not in pages["sand-casts"]


def test_a_permission_against_the_law_is_printed_nowhere() -> None:
    rules = [{"id": "lunch", "rule": "permitted", "act": "eating-or-drinking", "says": "Sandwiches at the bench"}]
    judged = campus(house_rules=rules)
    assert "HSE-001" in {finding.code for finding in judged.findings}
    assert not any("sandwiches" in printed_words(page) for page in task_documents(judged).values())


def test_a_role_named_where_somebody_is_asked_for_stands_there_with_its_holder() -> None:
    said = judged_whole(CAMPUS).description
    assert said.procedures.use.watched_by == "Safety officer (Iris Calder; standing in: Tom Vale)"  # by its title
    assert said.procedures.training.by == (
        "Fire watch: Training officer of the fire watch (Ana Reyes; standing in: Tom Vale); Volunteers of the museum: "
        "Instructor of the academy (Northbridge Fire Academy); everybody else: Safety officer (Iris Calder; standing "
        "in: Tom Vale)"
    )
    assert said.procedures.inspection.by == "Each wearer"  # what is said of it stays
    assert said.officer.name == "Iris Calder"
    assert "TXT-020" not in {finding.code for finding in judged_whole(CAMPUS).findings}


def test_a_title_of_any_words_names_its_holder() -> None:
    """“The beekeeping of masks” is nobody's name: as a role that somebody has it is an answer."""
    asked = {"procedures.cleaning.by": "Beekeeping of masks"}
    role = {"id": "bees", "title": "Beekeeping of masks", "holders": ["jo-marsh"]}
    in_part = {"procedures.cleaning.by": "A mask, in May"}
    for put, is_nobody in (
        (asked, True),
        (asked | {"roles": [role]}, False),
        (in_part | {"roles": [role]}, True),
    ):
        judged = checked_values(patched({"set": put})).judged
        assert judged is not None
        assert ("TXT-020" in {finding.code for finding in judged.findings}) is is_nobody, put


def test_who_holds_a_role_answers_for_a_finding_and_sees_no_answers() -> None:
    """29 CFR 1910.134(e)(4)(i): answers are kept confidential, from whoever of the firm holds an office, too."""
    accepted = [{"code": "HSE-006", "reason": "Asked", "by": "lab-keeper", "until": "2026-07-01"}]
    values = read_as_text((PROGRAMS / f"{CAMPUS}.yaml").read_text(encoding="utf-8"))
    procedures = values["procedures"]
    seen = procedures | {"medical": procedures["medical"] | {"confidential": "Handed to Mara Lund, who posts it"}}
    codes = {finding.code for finding in campus(accepted=accepted).findings}
    assert "PRG-079" not in codes
    assert "MED-019" in {finding.code for finding in campus(procedures=seen).findings}
    assert "MED-019" not in codes


def _roles(*duties: dict[str, Any]) -> Program:
    roles = [{"id": f"r{n}", "title": f"R{n}", "duties": [{"duty": "training", **one}]} for n, one in enumerate(duties)]
    things = {
        "groups": [{"id": name, "name": name, "status": "employee"} for name in ("a", "b")],
        "organisation": {"sites": [{"id": name, "name": name} for name in ("x", "y")]},
        "people": [{"id": "p", "group": "a"}, {"id": "q", "group": "b"}],
    }
    return Program.model_validate({"format": 1, "roles": roles, **things})


def test_what_is_narrower_wins_and_the_rest_is_for_whom_names_nothing() -> None:
    def faults(*duties: dict[str, Any]) -> list[tuple[str, tuple[str, ...]]]:
        return [(whom, titles) for _, whom, titles in split_faults(_roles(*duties), Duty.TRAINING)]

    assert faults({}) == []
    assert faults({"groups": ["a"]}, {}) == []
    assert faults({"groups": ["a"], "sites": ["x"]}, {"groups": ["a"]}, {}) == []
    assert faults({"groups": ["a"]}, {"groups": ["b"]}) == []
    assert faults({"groups": ["a"]}) == [("b", ())]
    assert faults({"groups": ["a"]}, {"groups": ["a", "b"]}) == [("a", ("R0", "R1"))]
    assert faults({}, {}) == [("all", ("R0", "R1"))]
    assert faults({"groups": ["a"]}, {"sites": ["x"]}, {}) == [("a, x", ("R0", "R1"))]  # neither is narrower


def test_a_policy_for_a_group_binds_the_tasks_that_somebody_of_it_does_and_no_others() -> None:
    def broken(group: str) -> set[tuple[str, ...]]:
        policy = {"id": "p", "by": "Museum", "source": "7", "groups": [group], "dust_masks": "no"}
        return {finding.subject for finding in campus(policies=[policy]).findings if finding.code == "POL-004"}

    assert broken("volunteers") == set()  # they do the task of the half mask alone
    assert broken("staff") == {("tasks.scrub-tanks", "masks.dust-mask")}
    assert broken("roofing-crew") == set()  # nobody of theirs is named for any task


def test_air_that_the_firm_presumes_deadly_is_deadly_for_every_mask() -> None:
    values = read_as_text((PROGRAMS / f"{CAMPUS}.yaml").read_text(encoding="utf-8"))
    task = values["tasks"][1] | {"events": ["alarm"]}
    del task["immediately_dangerous"]
    judged = campus(tasks=[values["tasks"][0], task, values["tasks"][2]])
    assert judged.selection.air["scrub-tanks"].is_immediately_dangerous
    assert not judged.selection.air["sand-casts"].is_immediately_dangerous
    assert {f.subject[1] for f in judged.findings if f.code == "SEL-001"} == {"masks.half-mask", "masks.dust-mask"}


def test_a_firm_that_describes_none_of_it_is_asked_nothing_of_it() -> None:
    for name in ("small_shop", "base"):
        judged = judged_whole(name)
        ours = [v for v in judged.verdicts if v.requirement.code.startswith(("ROL-", "GRP-", "HSE-"))]
        assert {verdict.status for verdict in ours} == {Status.NOT_APPLICABLE}
        assert not any(question.id in ("roles", "groups", "house-rules") for question in judged.questions)
    assert judged_whole(CAMPUS).as_of == date(2026, 6, 1)
