"""Records to fill in, as documents: what `templates/forms` asks, with what the description already says.

Every form that applies to the firm, and no other; where nobody has settled whether one does, it says so. None of them
names a worker or holds anything about health: names are written in by hand. What the law wants recorded stands in
the forms' own files, with its paragraph.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from progdoc.document.blocks.answers import is_draft
from progdoc.document.blocks.fit_test_words import Entry, protocol_lists
from progdoc.document.papers.form_words import FirmWords, firm_words
from progdoc.document.templating.templates import form_plans
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
    Listing,
    ListItem,
    Notice,
    Paragraph,
    Row,
    Section,
    Signatures,
    Table,
    Text,
)
from progdoc.rules.judged.result import Judged

__all__ = ["form_documents"]

_LONGEST_LINE = 40  # letters that are sure to fit on one line beside a label
_LETTERS_OF_LINE = 55  # in a field of several lines
_Plan = dict[str, Any]  # a form, part, field or column as its file says


def form_documents(judged: Judged) -> dict[str, Document]:
    """Return the forms that apply to this firm, or may, by name."""
    firm = firm_words(judged)
    forms: dict[str, Document] = {}
    for plan in form_plans():
        is_needed = any(map(judged.holds, plan["applies"]))
        asked = () if is_needed else tuple(path for name in plan["applies"] for path in judged.asks(name))
        is_ruled_out = "where" in plan and not (judged.holds(plan["where"]) or judged.asks(plan["where"]))
        if is_needed or (asked and not is_ruled_out):
            for entry in firm.lists[plan["per"]] if "per" in plan else ({},):
                form = _Form(plan, firm, entry, asked)
                document = form.document()
                if any(isinstance(block, Section) for block in document.blocks):  # else nothing here to fill it for
                    forms[form.name] = document
    return forms


class _Form:
    """One form, filled with the words of the firm and, where there is one form for each, of one entry."""

    def __init__(self, plan: _Plan, firm: FirmWords, entry: Entry, asked: tuple[str, ...] = ()) -> None:
        self._plan = plan
        self._asked = asked  # what would tell whether it is needed here, where that is open
        self._firm = firm
        self._words = firm.words | entry
        self._lists = firm.lists | (protocol_lists(firm.judged, entry["id"]) if plan.get("per") == "protocols" else {})
        self.name = f"{plan['id']}-{entry['id']}" if entry else plan["id"]

    def document(self) -> Document:
        program = self._firm.judged.description
        info = program.program
        return resolved(
            Document(
                id=f"forms.{self.name}",
                title=self._said(self._plan["title"], self._words),
                organisation=self._firm.judged.printed(program.organisation.name, "organisation.name"),
                revision=self._firm.judged.printed(info.revision, "program.revision"),
                as_of=self._firm.judged.as_of,
                draft=is_draft(self._firm.judged),
                blocks=tuple(self._blocks()),
                officer=self._firm.judged.printed(program.officer.name, "officer.name"),
                open_texts=self._firm.judged.open_texts,
                paper=info.paper.value,
                shows_citations=True,
            )
        )

    def _blocks(self) -> Iterator[Block]:
        plan = self._plan
        intro: list[Inline] = [Text(self._said(plan["intro"], self._words)), CitationMark(plan["citation"])]
        yield Paragraph("intro", (*intro, Emphasis((Text(f" {self._said(plan['keep'], self._words)}"),))))
        if self._asked:
            yield Notice("open", "caution", (Paragraph("open.words", (Text(_open_words(self._asked)),)),))
        for part in plan["parts"]:
            if "each" not in part:
                yield from self._part(part, part["id"], self._words)
                continue
            for entry in self._lists[part["each"]]:
                yield from self._part(part, f"{part['id']}.{entry['id']}", self._words | entry)
        if "signatures" in plan:
            lines = tuple((line["role"], self._said(line["name"], self._words)) for line in plan["signatures"])
            yield Signatures("signatures", lines)

    def _part(self, part: _Plan, identity: str, words: Entry) -> Iterator[Section]:
        if not self._is_asked(part, words):
            return
        blocks: list[Block] = []
        if "cautions" in part:
            blocks.append(self._cautions(self._lists[part["cautions"]], f"{identity}.caution"))
        notes = [note for note in (self._said(note, words) for note in part.get("notes", ())) if note]
        if asked := self._left_open(part, words):
            notes.append(_open_words(asked))
        blocks += [Paragraph(f"{identity}.note-{n}", (Text(note),)) for n, note in enumerate(notes, 1)]
        fields = [field for field in part.get("fields", ()) if self._is_asked(field, words)]
        if fields:
            rows = tuple(self._field_row(field, identity, words) for field in fields)
            blocks.append(Table(f"{identity}.fields", "", (Column("", 4), Column("", 6)), rows, has_header=False))
        if "columns" in part:
            shown = [column for column in part["columns"] if self._is_asked(column, words)]
            rows = tuple(self._rows(part, shown, identity, words))
            columns = tuple(Column(column["title"], column.get("share", 1)) for column in shown)
            blocks.append(Table(f"{identity}.rows", "", columns, rows))
        yield Section(identity, self._said(part["title"], words), tuple(blocks))

    def _cautions(self, entries: Iterable[Entry], identity: str) -> Notice:
        items = tuple(
            ListItem(
                f"{identity}.{entry['id']}", (Paragraph(f"{identity}.{entry['id']}.words", (Text(entry["label"]),)),)
            )
            for entry in entries
        )
        return Notice(identity, "caution", (Listing(f"{identity}.list", False, items),))

    # ---- rows -------------------------------------------------------------------------------------------

    def _field_row(self, plan: _Plan, part: str, words: Entry) -> Row:
        identity = f"{part}.{plan['id']}"
        label: list[Inline] = [Text(plan["label"])]
        if "hint" in plan:
            label += [LineBreak(), Emphasis((Text(self._said(plan["hint"], words)),))]
        field = self._field(plan, f"{identity}.field", plan["label"], words)
        return Row(identity, (Cell(tuple(label)), Cell((field,))))

    def _rows(self, part: _Plan, columns: list[_Plan], identity: str, words: Entry) -> Iterator[Row]:
        """Yield the lines of a table: those of a list, those the form's file gives, or a number of empty ones."""
        given = part["rows"]
        lines: Iterable[Entry]
        if isinstance(given, int):
            lines = ({"id": str(n), "label": f"line {n}"} for n in range(1, given + 1))
        elif isinstance(given, str):
            lines = self._lists[given]
        else:
            asked = (line for line in given if self._is_asked(line, words))
            lines = ({name: self._said(text, words) for name, text in line.items()} for line in asked)
        for line in lines:
            row = f"{identity}.{line['id']}"
            yield Row(row, tuple(self._cell(column, row, words | line) for column in columns))

    def _cell(self, column: _Plan, row: str, words: Entry) -> Cell:
        if "text" in column:
            return Cell((Text(self._said(column["text"], words)),))
        label = f"{column['title']}: {words['label']}"
        return Cell((self._field(column, f"{row}.{column['id']}.field", label, words),))

    def _field(self, plan: _Plan, identity: str, label: str, words: Entry) -> FormField:
        kind = FieldKind(plan.get("kind", "line"))
        value = self._said(plan.get("value", ""), words)
        choices = plan.get("choices", ())
        if isinstance(choices, str):
            choices = [entry["label"] for entry in self._lists[choices]]
        if kind is FieldKind.CHOICE and not choices:
            kind = FieldKind.LINE
        if kind is FieldKind.LINE and len(value) > _LONGEST_LINE:
            kind = FieldKind.LINES
        lines = len(value) // _LETTERS_OF_LINE + 1 if value else plan.get("lines", 2)
        return FormField(identity, label, kind, tuple(choices), value, lines)

    # ---- words ------------------------------------------------------------------------------------------

    def _said(self, text: str, words: Entry) -> str:
        """Return the form's text with the words of the firm in it; what they hold is never read as a name again."""
        return text.format_map(words).strip()

    def _is_asked(self, plan: _Plan, words: Entry) -> bool:
        """Return whether it is asked here; what nobody has settled is asked."""
        name = plan.get("when")
        if name is None or name in words:
            return name is None or bool(words[name])
        return self._firm.judged.holds(name) or bool(self._left_open(plan, words))

    def _left_open(self, plan: _Plan, words: Entry) -> tuple[str, ...]:
        name = plan.get("when")
        return () if name is None or name in words else self._firm.judged.asks(name)


def _open_words(asked: Iterable[str]) -> str:
    places = ", ".join(f"“{path}”" for path in dict.fromkeys(asked))
    return f"Whether this applies here is not settled yet: nothing is said under {places}."
