"""What is printed is what was judged by: days in findings, due list and cards, and the figures of policies."""

from __future__ import annotations

from document.reading import program_of
from examples import examples
from hypothesis import given
from programs.generated import Generated, programs

from progdoc.core.numbers import long_date
from progdoc.core.report import Status
from progdoc.document.blocks.unused_blocks import printed_words
from progdoc.document.papers.person_card import card_documents
from progdoc.rules.judged.due_results import Kind

# The findings that name the day on which something ran out.
RAN_OUT = {
    Kind.FIT_TEST: ("FIT-002",),
    Kind.TRAINING: ("TRN-012",),
    Kind.INSPECTION: ("INS-015", "INS-017"),
    Kind.CYLINDER: ("AIR-015",),
    Kind.CORRECTION: ("EVA-008",),
}


@examples(8)
@given(programs())
def test_a_finding_the_due_list_and_a_card_name_one_day(program: Generated) -> None:
    judged = program.judged()
    cards = {person: printed_words(card) for person, card in card_documents(judged).items()}
    for item in judged.due(60).overdue:
        if item.kind not in RAN_OUT or item.due is None:
            continue
        told = [
            diagnostic.what
            for verdict in judged.verdicts
            if verdict.requirement.code in RAN_OUT[item.kind] and verdict.subject.ids == item.subject
            for diagnostic in verdict.diagnostics
            if item.kind is not Kind.CORRECTION or diagnostic.location.path == item.path
        ]
        assert not told or any(long_date(item.due) in what for what in told), (item, told)
        for person in (name.partition(".")[2] for name in item.subject if name.startswith("people.")):
            assert long_date(item.due).lower() in cards[person], item


@examples(8)
@given(programs())
def test_nobody_is_fit_tested_longer_than_the_due_list_says(program: Generated) -> None:
    judged = program.judged()
    due = {item.subject: item.due for item in judged.due(60).items if item.kind is Kind.FIT_TEST}
    for pair in judged.roster.all_pairs():
        for choice in pair.choices:
            subject = (f"people.{pair.person.id}", f"masks.{choice.mask}")
            if pair.is_named and subject in due and due[subject] is not None and choice.fit_tested_until:
                assert choice.fit_tested_until >= due[subject]  # the due list takes the strictest of all the tasks
                if len(judged.roster.named[pair.person.id]) == 1:
                    assert choice.fit_tested_until == due[subject]


@examples(3)
@given(programs())
def test_a_stricter_figure_that_a_finding_rests_on_is_printed_in_the_program(program: Generated) -> None:
    judged = program.judged()
    words = printed_words(program_of(judged))
    open_ones = [v for v in judged.verdicts if v.status is Status.GAP]
    cited = {diagnostic.citation for verdict in open_ones for diagnostic in verdict.diagnostics}
    for name, found in judged.figures.tightened.items():
        for policy, wanted in found:
            if any(policy.by in citation for citation in cited) and wanted.value is not True:
                assert wanted.printed.lower() in words, (name, wanted)
