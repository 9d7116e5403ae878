"""What stands in a cell of a table, as the description writes it: yes, words, a day year first."""

from __future__ import annotations

import re
from dataclasses import field, replace

from progdoc.core.late_dataclass import dataclass
from progdoc.model.description.people import ReevaluateWhen, Topic
from progdoc.model.people_table.csv_text import CsvCell
from progdoc.model.people_table.people_columns import DateOrder
from progdoc.model.people_table.workbook import day_of_serial
from progdoc.model.yaml.yaml_tree import Content, Node

__all__ = ["CellValues"]

_YES_NO = {"yes": "yes", "y": "yes", "true": "yes", "no": "no", "n": "no", "false": "no"}
_ISO = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_STROKES = re.compile(r"([0-9]{1,2})[/.-]([0-9]{1,2})[/.-]([0-9]{4}|[0-9]{2})")
_NAMED_MONTH = re.compile(
    r"([0-9]{1,2})[ .-]+([a-z]{3})[a-z]*[ .,-]+([0-9]{4})|([a-z]{3})[a-z]*[ .]+([0-9]{1,2}),? +([0-9]{4})"
)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_SERIAL = re.compile(r"[0-9]{5}(?:\.[0-9]{1,12})?")
_TIME = re.compile(r"[ T][0-9]{1,2}:[0-9]{2}(?::[0-9]{2}(?:\.[0-9]+)?)?(?: ?[AaPp]\.?[Mm]\.?)?$")


@dataclass(slots=True)
class CellValues:
    """How the cells of one file are read, and those whose day could not be told."""

    order: DateOrder | None
    counts_from_1904: bool | None  # None: a plain number is no day
    file: str = ""
    undeclared: list[CsvCell] = field(default_factory=list)
    uncounted: list[CsvCell] = field(default_factory=list)

    def node(self, cell: CsvCell, kind: str) -> Node:
        return Node(self.content(cell, kind), cell.line, cell.column, cell.line, cell.column, self.file)

    def content(self, cell: CsvCell, kind: str) -> Content:
        text = cell.text
        if kind == "yes-no":
            return _YES_NO.get(text.lower(), text)
        if kind == "word":
            return _word(text)
        if kind == "words":
            parts = [_word(part) for part in re.split(r"[;,|\n]", text) if part.strip()]
            if parts == ["all"]:
                parts = [topic.value for topic in Topic]
            return [self.at(part, cell) for part in parts]
        if kind == "numbers":
            return [self.at(part, cell) for part in re.split(r"[\s;|]+", text) if part]
        if kind == "days":
            parts = [part.strip() for part in re.split(r"[;|]", text) if part.strip()]
            return [self.at(self._dated(part, cell), cell) for part in parts]
        return self._day(cell) if kind == "day" else text

    def at(self, content: Content, cell: CsvCell) -> Node:
        return Node(content, cell.line, cell.column, cell.line, cell.column, self.file)

    def _dated(self, text: str, cell: CsvCell) -> dict[str, Node]:
        """Return a day, and behind it what called for it if that is one of the list."""
        day, _, because = text.rpartition(" ")
        if because not in list(ReevaluateWhen):
            return {"date": self.at(self._day(replace(cell, text=text)), cell)}
        return {"date": self.at(self._day(replace(cell, text=day.strip())), cell), "because": self.at(because, cell)}

    def _day(self, cell: CsvCell) -> str:
        """Return a day written year first where that can be told; else as it stands, to be refused with its place."""
        text = _TIME.sub("", cell.text)
        if _ISO.fullmatch(text):
            return text
        if named := _NAMED_MONTH.fullmatch(text.lower()):
            first, month, year, other_month, other_day, other_year = named.groups()
            if (month or other_month) in _MONTHS:
                number = _MONTHS.index(month or other_month) + 1
                return f"{year or other_year}-{number:02}-{int(first or other_day):02}"
        if _SERIAL.fullmatch(text):
            return self._counted(cell, float(text))
        strokes = _STROKES.fullmatch(text)
        if not strokes:
            return cell.text
        if self.order is None:
            self.undeclared.append(cell)
            return cell.text
        first, second, year = strokes.groups()
        month, day = (first, second) if self.order is DateOrder.MONTH_FIRST else (second, first)
        return f"{year if len(year) == 4 else f'20{year}'}-{int(month):02}-{int(day):02}"

    def _counted(self, cell: CsvCell, number: float) -> str:
        day = None if self.counts_from_1904 is None else day_of_serial(number, self.counts_from_1904)
        if self.counts_from_1904 is None:
            self.uncounted.append(cell)
        return day.isoformat() if day else cell.text


def _word(text: str) -> str:
    return re.sub(r"[\s_]+", "-", text.strip().lower())
