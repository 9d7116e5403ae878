"""Records to fill in, as documents: what `templates/forms` asks, with what the description already says.

Every form that applies to the firm, and no other; where nobody has settled whether one does, it says so. None of them
names a worker or holds anything about health: names are written in by hand, but for the sets that are made for a crew
and kept apart. What the law wants recorded stands in the forms' own files, with its paragraph.

A field of its own says which form it is; by that and by the names of its fields a completed one is read back.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import field
from typing import Any

from progdoc.core.late_dataclass import dataclass
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.document.blocks.answers import is_draft
from progdoc.document.blocks.fit_test_words import Entry, protocol_lists
from progdoc.document.blocks.translation_blocks import read_first
from progdoc.document.papers.form_marks import MARK_FIELD, field_name, form_mark
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
from progdoc.document.tree.spoken_text import plain, spoken
from progdoc.rules.judged.result import Judged

__all__ = ["MadeForm", "Place", "crew_forms", "form_documents", "made_forms"]

_LONGEST_LINE = 40  # letters that are sure to fit on one line beside a label
_MOST_ON_A_SHEET = 250  # people; a longer one nobody passes around
_LETTERS_OF_LINE = 55  # in a field of several lines
_Plan = dict[str, Any]  # a form, part, field or column as its file says
_LINES_TOGETHER = 5  # of a table that is filled in: so few are not parted by the end of a page


@dataclass(frozen=True, slots=True)
class Place:
    """A field of a form and where it stands: in which part, called what there, about which thing, in which line."""

    field: FormField
    plan: _Plan
    part: str
    name: str
    entry: Entry  # of a part that is repeated for each of something; empty in any other
    line: Entry  # of a table; empty outside one


@dataclass(frozen=True, slots=True)
class MadeForm:
    """A form as it was made, with the mark by which it is known and all its places in order."""

    name: str
    plan: _Plan
    entry: Entry  # where there is one form for each of something, that thing
    document: Document
    mark: str
    places: tuple[Place, ...]
    lists: Mapping[str, tuple[Entry, ...]]


def form_documents(judged: Judged, language: Language = ENGLISH) -> dict[str, Document]:
    """Return the forms that apply to this firm, or may, by name."""
    return {form.name: form.document for form in made_forms(judged, language=language)}


def made_forms(judged: Judged, lines: int = 0, language: Language = ENGLISH) -> Iterator[MadeForm]:
    """Yield the forms that apply to this firm, or may.

    Parameters
    ----------
    lines
        How many empty lines their logs have at least, where that is more than their files say.
    language
        In another than English the name of a form begins with its code: "es/training".
    """
    firm = firm_words(judged, language)
    for plan, asked in _that_apply(judged):
        for entry in firm.lists[plan["per"]] if "per" in plan else ({},):
            form = _Form(plan, firm, entry, asked, lines).made()
            if any(isinstance(block, Section) for block in form.document.blocks):  # else nothing here to fill it for
                yield form


def crew_forms(
    judged: Judged, language: Language = ENGLISH, elsewhere: frozenset[str] = frozenset()
) -> Iterator[tuple[str, MadeForm]]:
    """Yield for each crew the forms that are filled in person by person, with their names in it; restricted.

    A crew is who is named for a task; of a large one a sheet has some, and the next ones the others. `elsewhere`:
    subjects that belong to other sites alone, and are left out.
    """
    firm = firm_words(judged, language)
    for plan, asked in _that_apply(judged):
        if "per_crew" in plan:
            for task, crew in ((of, crew) for of, crew in firm.crews.items() if f"tasks.{of}" not in elsewhere):
                count = -(-len(crew) // _MOST_ON_A_SHEET)
                for sheet in range(count):
                    some = crew[sheet * _MOST_ON_A_SHEET : (sheet + 1) * _MOST_ON_A_SHEET]
                    of_several = (sheet + 1, count) if count > 1 else None
                    form = _Form(plan, firm, {}, asked, crew=some, of=task, sheet=of_several).made()
                    yield f"{form.name}-{task}{f'.{sheet + 1}' if sheet else ''}", form


def _that_apply(judged: Judged) -> Iterator[tuple[_Plan, tuple[str, ...]]]:
    """Yield each form that applies, with what would tell whether it does where that is open."""
    for plan in form_plans():
        is_needed = any(map(judged.holds, plan["applies"]))
        asked = () if is_needed else tuple(path for name in plan["applies"] for path in judged.asks(name))
        is_ruled_out = "where" in plan and not (judged.holds(plan["where"]) or judged.asks(plan["where"]))
        if is_needed or (asked and not is_ruled_out):
            yield plan, asked


@dataclass(slots=True)
class _Form:
    """One form, filled with the words of the firm and, where there is one form for each, of one entry."""

    plan: _Plan
    firm: FirmWords
    entry: Entry
    asked: tuple[str, ...] = ()  # what would tell whether it is needed here, where that is open
    least_lines: int = 0
    crew: tuple[Entry, ...] = ()
    of: str = ""  # the task that the crew is named for
    sheet: tuple[int, int] | None = None  # which of how many has these of the crew
    places: list[Place] = field(default_factory=list)
    words: Entry = field(init=False)
    lists: dict[str, tuple[Entry, ...]] = field(init=False)
    language: Language = field(init=False)

    def __post_init__(self) -> None:
        self.language = self.firm.language.on(self.plan["id"])
        of_protocol = (
            protocol_lists(self.firm.judged, self.entry["id"], self.language)
            if self.plan.get("per") == "protocols"
            else {}
        )
        self.words, self.lists = self.firm.words | self.entry, self.firm.lists | of_protocol

    @property
    def name(self) -> str:
        name = f"{self.plan['id']}-{self.entry['id']}" if self.entry else str(self.plan["id"])
        return f"{self.language.code}/{name}" if self.language.original else name

    def made(self) -> MadeForm:
        judged = self.firm.judged
        program = judged.description
        info = program.program
        parts = tuple(self._parts())
        names = [place.field.id for place in self.places]
        mark = form_mark(self.name, self.plan["version"], program.organisation.name or "", info.revision or "", names)
        title = plain(self._said(self.plan["title"], self.words))
        number = str(self.sheet[0]) if self.sheet else ""
        document = Document(
            id=f"forms.{self.name.replace('/', '.')}",
            title=f"{title}: {self.firm.tasks[self.of]}{_of_several(self.sheet)}" if self.of else title,
            organisation=judged.printed(program.organisation.name, "organisation.name"),
            revision=judged.printed(info.revision, "program.revision"),
            as_of=judged.as_of,
            draft=is_draft(judged),
            blocks=(*read_first(judged, self.language, is_framed=False), *self._head(mark), *parts, *self._end()),
            officer=judged.printed(program.officer.name, "officer.name"),
            open_texts=judged.open_texts,
            paper=info.paper.value,
            shows_citations=True,
            saves_as=f"{'-'.join(filter(None, (*self.name.split('/'), self.of, number)))}.filled.json",
            language=self.language.tag,
        )
        return MadeForm(self.name, self.plan, self.entry, resolved(document), mark, tuple(self.places), self.lists)

    def _head(self, mark: str) -> Iterator[Block]:
        plan = self.plan
        intro: list[Inline] = [*self._texts(plan["intro"], self.words), CitationMark(plan["citation"])]
        keep = spoken(self.language, f" {self._said(plan['keep'], self.words)}")
        yield Paragraph("intro", (*intro, Emphasis(keep)))
        if self.asked:
            yield Notice("open", "caution", (Paragraph("open.words", (Text(_open_words(self.asked, self.language)),)),))
        label = self.language.say("Leave as it is")
        shown = FormField(MARK_FIELD, label, FieldKind.LINES, value=mark, lines=1, is_fixed=True)
        row = Row("form.mark.row", (Cell((Text(label),)), Cell((shown,))))
        yield Table("form.mark.table", "", (Column("", 2), Column("", 9)), (row,), has_header=False)

    def _end(self) -> Iterator[Block]:
        if "signatures" in self.plan:
            lines = tuple(
                (self.language.say(line["role"]), plain(self._said(line["name"], self.words)))
                for line in self.plan["signatures"]
            )
            yield Signatures("signatures", lines)

    def _parts(self) -> Iterator[Block]:
        for part in self.plan["parts"]:
            if "each" not in part:
                yield from self._part(part, part["id"], {})
                continue
            for entry in self.lists[part["each"]]:
                yield from self._part(part, f"{part['id']}.{entry['id']}", entry)

    def _part(self, part: _Plan, identity: str, entry: Entry) -> Iterator[Section]:
        words = self.words | entry
        if not self._is_asked(part, words):
            return
        blocks: list[Block] = []
        if "cautions" in part:
            blocks.append(self._cautions(self.lists[part["cautions"]], f"{identity}.caution"))
        notes = [note for note in (self._said(note, words) for note in part.get("notes", ())) if note]
        if asked := self._left_open(part, words):
            notes.append(_open_words(asked, self.language))
        blocks += [Paragraph(f"{identity}.note-{n}", spoken(self.language, note)) for n, note in enumerate(notes, 1)]
        fields = [one for one in part.get("fields", ()) if self._is_asked(one, words)]
        if fields:
            rows = tuple(self._field_row(one, part, identity, entry) for one in fields)
            blocks.append(Table(f"{identity}.fields", "", (Column("", 4), Column("", 6)), rows, has_header=False))
        if "columns" in part:
            shown = [column for column in part["columns"] if self._is_asked(column, words)]
            rows = tuple(self._rows(part, shown, identity, entry))
            columns = tuple(Column(self.language.say(column["title"]), column.get("share", 1)) for column in shown)
            is_whole = len(rows) <= _LINES_TOGETHER
            blocks.append(Table(f"{identity}.rows", "", columns, rows, is_whole=is_whole))
        yield Section(identity, plain(self._said(part["title"], words)), tuple(blocks))

    def _cautions(self, entries: Iterable[Entry], identity: str) -> Notice:
        items = tuple(
            ListItem(
                f"{identity}.{entry['id']}",
                (Paragraph(f"{identity}.{entry['id']}.words", spoken(self.language, entry["label"])),),
            )
            for entry in entries
        )
        return Notice(identity, "caution", (Listing(f"{identity}.list", False, items),))

    # ---- rows -------------------------------------------------------------------------------------------

    def _field_row(self, plan: _Plan, part: _Plan, at: str, entry: Entry) -> Row:
        words = self.words | entry
        identity = f"{at}.{plan['id']}"
        named = self.language.say(plan["label"])
        label: list[Inline] = [Text(named)]
        if "hint" in plan:
            label += [LineBreak(), Emphasis(self._texts(plan["hint"], words))]
        control = self._field(plan, f"{identity}.field", named, words)
        self.places.append(Place(control, plan, part["id"], plan["id"], entry, {}))
        return Row(identity, (Cell(tuple(label)), Cell((control,))))

    def _rows(self, part: _Plan, columns: list[_Plan], identity: str, entry: Entry) -> Iterator[Row]:
        """Yield the lines of a table: those of a list, those the form's file gives, or a number of empty ones."""
        words = self.words | entry
        given = part["rows"]
        lines: Iterable[Entry]
        if isinstance(given, int):
            crew = self.crew if "per_crew" in self.plan and self.plan["per_crew"] == part["id"] else ()
            count = max(given, self.least_lines, len(crew) + 2 if crew else 0)
            lines = (
                {
                    "id": str(n),
                    "label": self.language.say("line %(number)s", number=n),
                    **(crew[n - 1] if n <= len(crew) else {}),
                }
                for n in range(1, count + 1)
            )
        elif isinstance(given, str):
            lines = self.lists[given]
        else:
            asked = (line for line in given if self._is_asked(line, words))
            lines = (
                {name: text if name == "id" else self._said(text, words) for name, text in line.items()}
                for line in asked
            )
        for line in lines:
            row, said = f"{identity}.{line['id']}", words | line
            yield Row(row, tuple([self._cell(column, part, row, line, entry, said) for column in columns]))

    def _cell(self, column: _Plan, part: _Plan, row: str, line: Entry, entry: Entry, words: Entry) -> Cell:
        if "text" in column:
            return Cell(self._texts(column["text"], words))
        label = f"{self.language.say(column['title'])}: {plain(words['label'])}"
        given = line.get(column["of_person"], "") if "of_person" in column else ""
        control = self._field(column, f"{row}.{column['id']}.field", label, words, given)
        self.places.append(Place(control, column, part["id"], column["id"], entry, line))
        return Cell((control,))

    def _field(self, plan: _Plan, identity: str, label: str, words: Entry, given: str = "") -> FormField:
        kind = FieldKind(plan.get("kind", "line"))
        value = plain(given or self._said(plan.get("value", ""), words))
        choices = plan.get("choices", ())
        if isinstance(choices, str):
            choices = [plain(entry["label"]) for entry in self.lists[choices]]
        else:
            choices = [self.language.say(choice) for choice in choices]
        if kind is FieldKind.CHOICE and not choices:
            kind = FieldKind.LINE
        if kind is FieldKind.LINE and len(value) > _LONGEST_LINE:
            kind = FieldKind.LINES
        lines = len(value) // _LETTERS_OF_LINE + 1 if value else plan.get("lines", 2)
        return FormField(field_name(identity), label, kind, tuple(choices), value, lines)

    # ---- words ------------------------------------------------------------------------------------------

    def _said(self, text: str, words: Entry) -> str:
        """Return the form's text with the words of the firm in it; what they hold is never read as a name again."""
        return self.language.say(text).format_map(words).strip() if text else ""

    def _texts(self, text: str, words: Entry) -> tuple[Text, ...]:
        return spoken(self.language, self._said(text, words))

    def _is_asked(self, plan: _Plan, words: Entry) -> bool:
        """Return whether it is asked here; what nobody has settled is asked."""
        name = plan.get("when")
        if name is None or name in words:
            return name is None or bool(words[name])
        return self.firm.judged.holds(name) or bool(self._left_open(plan, words))

    def _left_open(self, plan: _Plan, words: Entry) -> tuple[str, ...]:
        name = plan.get("when")
        return () if name is None or name in words else self.firm.judged.asks(name)


def _of_several(sheet: tuple[int, int] | None) -> str:
    return f" ({sheet[0]}/{sheet[1]})" if sheet else ""


def _open_words(asked: Iterable[str], language: Language) -> str:
    places = ", ".join(f"“{path}”" for path in dict.fromkeys(asked))
    return language.say(
        "Whether this applies here is not settled yet: nothing is said under %(places)s.", places=places
    )
