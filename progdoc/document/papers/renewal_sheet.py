"""The renewal worksheet: what the officer looks at again before the next revision is issued, to fill in and sign.

It finds nothing wrong by itself: beside each question stands what the description says today, and no answer is given.
It names workers, is for the officer alone, and has no place for anything about health.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import long_date
from progdoc.document.papers.renewal_questions import SHEET_FIELD, SUMMARY_FIELD, Asked, Point, asked_of
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    Block,
    Cell,
    CitationMark,
    Column,
    Document,
    Emphasis,
    FieldKind,
    FormField,
    Inline,
    LineBreak,
    Notice,
    Paragraph,
    Row,
    Section,
    Signatures,
    Strong,
    Table,
    Text,
)
from progdoc.model.description.renewal import RenewalQuestion
from progdoc.rules.judged.result import Judged

__all__ = ["Since", "renewal_sheet"]

_KEYED = (Column("", 4), Column("", 7))

_HOW = (
    "Read what the description says today, look where the work is done, then answer. No answer is given for you, and"
    " what you leave empty stays an open point. Fill it in on the screen, here or in the Word file or page of the same"
    " name; keep the completed file, and give its name to progdoc behind “renew … --answers”. Half filled in does no"
    " harm: what is missing is asked again."
)
_CAUTIONS = (
    "This sheet names workers: keep it with the officer's records. Write nothing about anybody's health on it. It lists"
    " what to look at, and decides nothing: NIOSH's list of approved equipment, the maker, the health professional and"
    " the law in force come first."
)


@dataclass(frozen=True, slots=True)
class Since:
    """What happened since the last issued revision: wearers by name with their tasks, and findings."""

    words: str = ""  # the revision and its rules; "" where none was named
    came: tuple[tuple[str, str], ...] = ()
    left: tuple[tuple[str, str], ...] = ()
    by_rules: tuple[tuple[str, str, str], ...] = ()


def renewal_sheet(
    judged: Judged,
    revision: str,
    mark: str,
    since: Since,
    saves_as: str,
    still_open: Collection[Point],
    site: str = "",
) -> Document:
    """Return the worksheet for the next revision of a description judged for its first day.

    Parameters
    ----------
    revision
        The number of the revision that is being opened.
    mark
        What tells this worksheet from all others; it stands in a field of its own and is read back.
    since
        What happened since the last issue, to be shown beside the questions.
    saves_as
        The name under which a browser keeps what was filled in.
    still_open
        The questions to ask, each with the id that it is about.
    site
        The name of the site that the worksheet is for, beside the firm as a whole; "" where it is for all.
    """
    program = judged.description
    of_question: dict[RenewalQuestion, list[Asked]] = {}
    for asked in asked_of(judged):
        if asked.point in still_open:
            of_question.setdefault(asked.question, []).append(asked)
    notes = {RenewalQuestion.NEW_PEOPLE: _who_came_and_left(since), RenewalQuestion.LAW: _by_rules(since)}
    sections = (_section(asked, notes.get(question, ())) for question, asked in of_question.items())
    return resolved(
        Document(
            id="renewal",
            title="Renewal worksheet",
            organisation=program.organisation.name or "",
            revision=revision,
            as_of=judged.as_of,
            draft=False,
            blocks=(*_head(judged, revision, mark, since, site), *sections, *_end(judged)),
            paper=program.program.paper.value,
            is_ahead=True,
            saves_as=saves_as,
        )
    )


# ---- head and end -------------------------------------------------------------------------------------


def _head(judged: Judged, revision: str, mark: str, since: Since, site: str) -> Iterator[Block]:
    told = (
        f"For revision {revision}, as of {long_date(judged.as_of)}."
        f" {since.words or 'No issued revision was named to compare with: who came or left is for you to say.'}"
        f" Rules: {judged.rules_pack} {judged.rules_version}."
    )
    if site:
        told += f" It asks of {site} and of the firm as a whole; other sites have worksheets of their own."
    words = (("told", told), ("how", _HOW), ("cautions", _CAUTIONS))
    yield Notice("renewal.note", "note", tuple(_paragraph(f"renewal.note.{name}", text) for name, text in words))
    label = "This worksheet; leave it as it is"
    row = _row(
        "renewal.mark", label, FormField(SHEET_FIELD, label, FieldKind.LINES, value=mark, lines=1, is_fixed=True)
    )
    yield Table("renewal.mark.table", "", _KEYED, (row,), has_header=False)


def _end(judged: Judged) -> Iterator[Block]:
    label = "What changed in this revision, in a line"
    row = _row("renewal.summary.row", label, FormField(SUMMARY_FIELD, label, FieldKind.LINES, lines=2))
    yield Section(
        "renewal.summary.part",
        "Line for the revision history",
        (Table("renewal.summary.table", "", _KEYED, (row,), has_header=False),),
    )
    yield Signatures("renewal.signed", (("Respiratory protection officer", judged.description.officer.name or ""),))


def _who_came_and_left(since: Since) -> tuple[str, ...]:
    left = (f"Left since the last issue: {name} ({tasks})." for name, tasks in since.left)
    came = (f"Came since the last issue: {name} ({tasks})." for name, tasks in since.came)
    return (*left, *came)


def _by_rules(since: Since) -> tuple[str, ...]:
    return tuple(
        f"Changed by other rules alone: {what}: {now} {before}".rstrip() for what, now, before in since.by_rules
    )


# ---- questions ----------------------------------------------------------------------------------------


def _section(asked: list[Asked], notes: Iterable[str]) -> Section:
    plan, place = asked[0].plan, f"renewal.{asked[0].question.value}"
    words: tuple[Inline, ...] = (
        Strong((Text(plan["asks"]),)),
        LineBreak(),
        Emphasis((Text(plan["why"]),)),
        CitationMark(plan["citation"]),
        LineBreak(),
        Text("What the description says today, and your answer:"),
    )
    blocks: list[Block] = [Paragraph(f"{place}.asks", words)]
    blocks += [_paragraph(f"{place}.note-{n}", note) for n, note in enumerate(notes, 1)]
    for one in asked:
        blocks.append(Table(f"{one.field('item')}", "", _KEYED, tuple(_item_rows(one)), has_header=False))
    if "rows" in plan:
        columns = tuple(Column(column["title"], column["share"]) for column in plan["columns"])
        blocks.append(Table(f"{place}.lines", "", columns, tuple(_lines(asked[0]))))
    return Section(f"{place}.part", plan["title"], tuple(blocks))


def _item_rows(asked: Asked) -> Iterator[Row]:
    """Yield what is said today, then the room for the answer."""
    item = asked.item
    name = item.label if item.id else "Today"
    today: list[Inline] = []
    for line in item.lines:
        today += [LineBreak(), Text(line)] if today else [Text(line)]
    yield Row(asked.field("today"), (Cell((Text(name),)), Cell(tuple(today))))
    label = f"Answer: {item.label}" if item.id else "Answer"
    choices = tuple(answer["say"] for answer in asked.plan["answers"])
    yield _row(asked.field("row"), "Answer", FormField(asked.field("answer"), label, FieldKind.CHOICE, choices))
    for field in asked.plan.get("fields", ()):
        label = f"{field['label']}: {item.label}" if item.id else field["label"]
        control = FormField(asked.field(field["id"]), label, FieldKind(field["kind"]), lines=2)
        yield _row(asked.field(f"{field['id']}-row"), field["label"], control)


def _lines(asked: Asked) -> Iterator[Row]:
    for number in range(1, asked.plan["rows"] + 1):
        cells = (
            FormField(
                asked.field(f"{number}.{column['id']}"),
                f"{column['title']}: line {number}",
                FieldKind(column.get("kind", "lines")),
                lines=2,
            )
            for column in asked.plan["columns"]
        )
        yield Row(asked.field(f"line-{number}"), tuple(Cell((cell,)) for cell in cells))


def _row(identity: str, label: str, field: FormField) -> Row:
    return Row(identity, (Cell((Text(label),)), Cell((field,))))


def _paragraph(identity: str, text: str) -> Paragraph:
    return Paragraph(identity, (Text(text),))
