"""Every requirement is seen met, missed and, where it can be, not applicable.

One complete program and small changes to it go in as YAML and come out as verdicts; nothing in between is looked at.
What the selection of masks finds is looked at more closely in its own tests.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from examples import TIMES, some
from programs.patching import BASE, PROGRAMS, catalogue_of, judged, judged_by, patched, patches, read_as_text, written
from published_value import published

from progdoc.core.diagnostics import Audience, Severity
from progdoc.core.report import Status
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.requirement import Condition


def change_of(entry: dict[str, Any]) -> str:
    """Return in one text what an entry changes, whatever it expects of it."""
    return written([entry.get("program"), entry.get("set"), entry.get("drop")])


def by_change() -> dict[str, list[tuple[str, dict[str, Any]]]]:
    """Return the patches by what they change: what several codes are tried with is judged once."""
    found: dict[str, list[tuple[str, dict[str, Any]]]] = {}
    for code, entry in patches():
        found.setdefault(change_of(entry), []).append((code, entry))
    return found


CHANGES = by_change()
PATCHES = [(change, code, entry) for change, same in CHANGES.items() for code, entry in same]
REQUIREMENTS = built_in_catalogue().requirements
ALWAYS = Condition("all")
# What these forbid is either there, a gap, or not there: then nothing of the kind is there to be met.
NEVER_MET = {
    "SEL-010",  # an escape mask worn for work
    "SEL-022",  # a mask without extra oxygen above 14,000 feet
    "MED-038",  # a limit that only a person can weigh
    "EXP-028",  # one agent estimated twice in a task
    *(f"PRG-06{n}" for n in (2, 3, 4, 5)),  # two words of one thing, a figure that can't be
    "TSK-025",
    "EXP-047",
    "POL-013",  # a policy that is still to come
    "TXT-001",  # a text that holds the place of an answer
    "TXT-002",
    *(f"REF-00{n}" for n in (1, 2, 3, 4, 5, 7, 8, 9)),  # a word that points at nothing
    "TXT-004",  # one word where the text is to say how
    "MSK-015",  # a mask or a filter that says of itself that it is not approved
    "FLT-019",
    "TXT-006",  # a text that takes back what is affirmed
    "TXT-018",  # a mask or filter that is called what it is not
    "TXT-019",  # a list that names somebody twice
    "VOL-005",  # a text that advises a mask worn by choice
    "TXT-020",  # a text that is to tell who and names nobody
    "TXT-021",  # a text in another language
    "TXT-022",  # a source that is hearsay
    "OWN-004",  # words of the firm that tell nothing
    "OWN-003",  # words of the firm's own against the program
    "REF-011",  # somebody who left, named or with records from later
    "REF-012",
    "CAL-007",  # a practice given out as law, or seldom
    "CAL-008",
    "TXT-017",  # a text that tells what the law forbids
    "MED-020",  # a professional of a trade that need not be let judge health
    "HAZ-003",  # guidance that names another mask than the figure beside it
    "HAZ-004",  # an irritant that is said to be none
    "FLT-027",  # an agent named against the class of its cartridge
    "TSK-026",  # others named for a task that our people do
    "MED-019",  # answers that somebody of the firm sees
    "TXT-007",  # a text that names an agent that is no hazard
    "TSK-018",  # a text that speaks of a tank, a faint, thin air
    "TXT-009",  # a day to come in a text of what was done, and work told in two ways
    "TXT-010",
    "PRG-066",  # an approval that nobody gives, a draft in words, a person who left
    "PRG-067",
    "PRG-068",
    "PRG-070",  # a revision signed for that never was
    "TRN-015",  # a wearer trained in a language that the program does not speak
    "TRN-016",  # a tester or trainer of whom nothing else is told
    "PRG-075",  # a finding that is put away for years
    "PRG-076",  # a revision that the history does not tell of, a worker named on the cover
    "PRG-077",
    "PRG-078",
    "PRG-079",  # a finding that somebody unknown answers for
    "PRG-080",  # an acceptance of nothing
    "PRG-072",  # a renewal whose worksheet is not answered, or not entered
    "PRG-073",
    "EVA-011",
    "EMG-010",  # emergencies listed beside the reason why there is none
    "EMG-003",  # a crew that stays in, or takes its masks off, in the air of an emergency
    "ALT-004",  # steps by a reading that do not rise or end
    "OWN-001",  # a text of the firm's own without a place, and a word of the law with another meaning
    "OWN-002",
    "OWN-011",  # a document that follows itself, or is kept by somebody unknown
    "OWN-012",
    "USE-017",  # a wearer who stays in when the mask fails
    "TSK-017",  # a text that names too little oxygen
    "TXT-005",  # two masks or two filters of one name
}
OF_THE_WRITTEN_PROGRAM = [r for r in REQUIREMENTS if r.code.startswith(("PRG", "MED", "FIT", "REC"))]


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Judged:
    return judged(BASE, tmp_path_factory.mktemp("base"))


@pytest.fixture(scope="module")
def nothing_in_use(tmp_path_factory: pytest.TempPathFactory) -> Judged:
    values = read_as_text((PROGRAMS / "nothing-in-use.yaml").read_text(encoding="utf-8"))
    return judged(values, tmp_path_factory.mktemp("nothing"))


def statuses(found: Judged, code: str) -> set[str]:
    return {v.status.value for v in found.verdicts if v.requirement.code == code}


def test_a_complete_program_has_no_finding(base: Judged) -> None:
    assert [(d.code, d.location.path, d.what) for d in base.findings] == []
    assert {v.status for v in base.verdicts} == {Status.MET, Status.NOT_APPLICABLE}


def test_where_nobody_wears_a_mask_nothing_applies(nothing_in_use: Judged) -> None:
    for requirement in OF_THE_WRITTEN_PROGRAM:
        assert statuses(nothing_in_use, requirement.code) <= {"not-applicable"}, requirement.code


# They look at what is found elsewhere: a text is asked for once, and a code is accepted that some finding has.
LOOK_AT_OTHERS = ("TXT", "REF")
ADOPTS = re.compile(r'"adopt": \[?"\(')


def _judged(change: str, folder: Path) -> tuple[dict[str, Any], Judged]:
    """Judge what a change makes of the base program: once, and by nothing but the codes that it is tried for.

    Adopting a paragraph states what all its duties ask, so that there, too, all of them are judged.
    """
    codes = {code for code, _ in CHANGES[change]}
    values = patched(CHANGES[change][0][1])
    if any(code.startswith(LOOK_AT_OTHERS) for code in codes) or ADOPTS.search(written(values)):
        return values, judged(values, folder)
    return values, judged_by(catalogue_of(codes), values, folder)


def tried_together() -> dict[str, list[str]]:
    """Return the changes to try, by the codes that they are tried for: together what is told of one code first.

    At night all of them; on each change the first that shows a code met, missed or not applicable.
    """
    first: dict[tuple[str, str], str] = {}
    for change, code, entry in PATCHES:
        first.setdefault((code, entry["expect"]), change)
    tried = set(CHANGES if TIMES > 1 else first.values())
    together: dict[str, list[str]] = {}
    for change, same in CHANGES.items():
        if change in tried:
            together.setdefault(same[0][0], []).append(change)
    return {
        "-".join(dict.fromkeys(code for change in changes for code, _ in CHANGES[change])): changes
        for changes in together.values()
    }


TOGETHER = tried_together()


@published("29 CFR 1910.134: what a changed program then breaks, paragraph by paragraph")
@pytest.mark.parametrize("codes", TOGETHER, ids=list(TOGETHER))
def test_a_change_is_judged_as_the_law_asks(codes: str, tmp_path: Path) -> None:
    for change in TOGETHER[codes]:
        values, found = _judged(change, tmp_path)
        for code, entry in CHANGES[change]:
            check_judged(found, code, entry, values)


def check_judged(found: Judged, code: str, entry: dict[str, Any], values: dict[str, Any]) -> None:
    subject = tuple(entry.get("subject", ()))
    verdicts = [v for v in found.verdicts if v.requirement.code == code and v.subject.ids == subject]
    assert [v.status.value for v in verdicts] == [entry["expect"]], (code, entry, [v.because for v in verdicts])
    if entry["expect"] != "gap":
        return
    findings = [d for d in found.findings if d.code == code and d.subject == subject]
    assert entry["at"] in [d.location.path for d in findings], (code, entry)
    finding = next(d for d in findings if d.location.path == entry["at"])
    assert finding.location.line > 0 or entry["at"].partition(".")[0] not in values, (code, entry)
    assert entry.get("says", "") in f"{finding.what} {finding.fix}", (code, entry)
    assert "{" not in finding.what + finding.why + finding.fix.partition("\n")[0], (code, entry)


@pytest.mark.parametrize("number", range(0, len(CHANGES), 1 if TIMES > 1 else 150))
def test_a_code_is_judged_alone_as_among_all_others(number: int, tmp_path: Path) -> None:
    values, alone = _judged(list(CHANGES)[number], tmp_path)
    tried = {verdict.requirement.code for verdict in alone.verdicts}
    among_all = judged(values, tmp_path)
    assert alone.verdicts == tuple(v for v in among_all.verdicts if v.requirement.code in tried)
    assert all(gap in among_all.findings for verdict in alone.verdicts for gap in verdict.diagnostics)


def test_every_code_is_seen_met_and_missed_and_not_applicable(base: Judged, nothing_in_use: Judged) -> None:
    expected: dict[str, set[str]] = {}
    for _, code, entry in PATCHES:
        expected.setdefault(code, set()).add(entry["expect"])
    for found in (base, nothing_in_use):
        for verdict in found.verdicts:
            expected.setdefault(verdict.requirement.code, set()).add(verdict.status.value)
    for requirement in REQUIREMENTS:
        seen = expected[requirement.code]
        assert seen >= ({"gap"} if requirement.code in NEVER_MET else {"met", "gap"}), requirement.code
        assert "not-applicable" in seen or requirement.applies == ALWAYS, requirement.code


def test_what_names_people_is_restricted() -> None:
    for requirement in REQUIREMENTS:
        about_people = requirement.per in ("wearer", "worn-mask", "empty-text-of-people", "leaver", "post-person")
        assert (requirement.audience is Audience.RESTRICTED) == about_people, requirement.code


def test_no_medical_reason_is_ever_repeated(tmp_path: Path) -> None:
    medical = [(change, e) for change, code, e in PATCHES if code.startswith("MED-03") and e["expect"] == "gap"]
    for entry in some(dict(medical).values(), 3):
        for finding in judged(patched(entry), tmp_path).findings:
            assert "light-work-only" not in f"{finding.what}{finding.fix}"


def test_only_required_findings_come_from_what_the_law_asks() -> None:
    softer = {r.code for r in OF_THE_WRITTEN_PROGRAM if r.severity is not Severity.REQUIRED}
    described = {"FIT-036", "FIT-505", "PRG-013", "PRG-014", "PRG-015", "PRG-044", "PRG-060", "PRG-061"}
    described |= {"PRG-062", "PRG-063", "PRG-064", "PRG-065", "PRG-078", "FIT-038"}  # two words of one thing
    described |= {"FIT-039"}  # who gives the tests
    described |= {"PRG-066", "PRG-067", "PRG-068", "PRG-075", "PRG-079"}  # claims that no paragraph speaks of
    described |= {"PRG-080"}  # an acceptance of nothing
    described |= {"REC-013"}  # the way of a mask to a person and back
    described |= {"PRG-069", "PRG-070", "PRG-071", "PRG-076", "PRG-077"}  # readers, history: no paragraph asks
    # No paragraph names a phone number, what the officer may decide, a copy in the package, where records lie, or
    # which of the accepted protocols it has to be.
    # What a license lets a profession do is for each state to say.
    assert softer == described | {"MED-002", "MED-007", "MED-020", "MED-038", "PRG-042", "REC-001"}
