"""Tables to a workbook (.xlsx, ECMA-376 part 1) whose bytes repeat: texts as texts, days as days, lists to choose from.

No cell is ever a formula, whatever a text begins with. What may be chosen stands in a hidden sheet of its own, since a
list inside a rule may hold neither commas nor more than 255 signs.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import field
from datetime import date
from xml.sax.saxutils import escape, quoteattr

from progdoc.core.late_dataclass import dataclass
from progdoc.core.printable import printable
from progdoc.writers.zip_bytes import stored_zip

__all__ = ["BookColumn", "BookSheet", "workbook_bytes"]

Value = str | int | float | date | None

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_TYPES = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_LONGEST = 32_767  # signs of a cell, as Excel's own limits say
_LAST_ROW = 1000  # down to which cells are prepared to be filled in
_DAY_ZERO = date(1899, 12, 30)
_FIRST_DAY, _LAST_DAY = date(1950, 1, 1), date(2099, 12, 31)
_PLAIN, _HEADING, _DAY, _TEXT = range(4)  # styles, in the order of `_STYLES`
_STYLES = (
    f'{_HEAD}<styleSheet xmlns="{_MAIN}"><numFmts count="1"><numFmt numFmtId="164" formatCode="yyyy\\-mm\\-dd"/>'
    "</numFmts>"
    '<fonts count="2"><font><sz val="11"/><name val="Arial"/></font><font><b/><sz val="11"/><name val="Arial"/></font>'
    '</fonts><fills count="3"><fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/>'
    '</fill><fill><patternFill patternType="solid"><fgColor rgb="FFE3E8EC"/></patternFill></fill></fills>'
    '<borders count="1"><border><left/><right/><top/><bottom/><diagonal/></border></borders>'
    '<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs><cellXfs count="4">'
    '<xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/>'
    '<xf numFmtId="49" fontId="1" fillId="2" borderId="0" xfId="0" applyNumberFormat="1" applyFont="1" applyFill="1"/>'
    '<xf numFmtId="164" fontId="0" fillId="0" borderId="0" xfId="0" applyNumberFormat="1"/>'
    '<xf numFmtId="49" fontId="0" fillId="0" borderId="0" xfId="0" applyNumberFormat="1"/>'
    '</cellXfs><cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>'
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class BookColumn:
    """A column: its heading, what it holds, and what may be chosen in it; `only` refuses anything else."""

    heading: str
    holds: str = "text"  # text, day or number
    choices: tuple[str, ...] = ()
    only: bool = True
    note: str = ""


@dataclass(frozen=True, slots=True)
class BookSheet:
    """A sheet: its columns, and below them its rows."""

    name: str
    columns: tuple[BookColumn, ...]
    rows: Sequence[Sequence[Value]] = field(default=())


def workbook_bytes(sheets: Sequence[BookSheet], lists: str) -> bytes:
    """Return a workbook; the same sheets give the same bytes.

    Parameters
    ----------
    lists
        What the hidden sheet is called that holds what may be chosen.
    """
    choices = list(dict.fromkeys(c.choices for sheet in sheets for c in sheet.columns if c.choices))
    parts = {
        f"xl/worksheets/sheet{number}.xml": _sheet_xml(sheet, choices, lists) for number, sheet in enumerate(sheets, 1)
    }
    names = [sheet.name for sheet in sheets]
    if choices:
        parts[f"xl/worksheets/sheet{len(sheets) + 1}.xml"] = _lists_xml(choices)
        names.append(lists)
    entries = {name: (_HEAD + xml).encode("utf-8") for name, xml in {**parts, **_frame(names, bool(choices))}.items()}
    return stored_zip({**entries, "xl/styles.xml": _STYLES.encode("utf-8")})


def _frame(names: Sequence[str], has_lists: bool) -> dict[str, str]:
    """Return the parts around the sheets: which there are, and where."""
    numbers = range(1, len(names) + 1)
    hidden = [' state="hidden"' if has_lists and number == len(names) else "" for number in numbers]
    listed = "".join(
        f'<sheet name={quoteattr(name)} sheetId="{n}"{state} r:id="rId{n}"/>'
        for n, name, state in zip(numbers, names, hidden, strict=True)
    )
    targets = "".join(
        f'<Relationship Id="rId{n}" Type="{_RELATIONS}/worksheet" Target="worksheets/sheet{n}.xml"/>' for n in numbers
    )
    styles = f'<Relationship Id="rId{len(names) + 1}" Type="{_RELATIONS}/styles" Target="styles.xml"/>'
    types = "".join(
        f'<Override PartName="/xl/worksheets/sheet{n}.xml" ContentType="{_TYPES}.worksheet+xml"/>' for n in numbers
    )
    return {
        "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}/content-types"><Default Extension="rels"'
        ' ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml"'
        f' ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="{_TYPES}.sheet.main+xml"/>'
        f'<Override PartName="/xl/styles.xml" ContentType="{_TYPES}.styles+xml"/>{types}</Types>',
        "_rels/.rels": f'<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Id="rId1"'
        f' Type="{_RELATIONS}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_RELATIONS}"><sheets>{listed}</sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}/relationships">{targets}{styles}'
        "</Relationships>",
    }


def _sheet_xml(sheet: BookSheet, choices: Sequence[tuple[str, ...]], lists: str) -> str:
    longest = [
        max((len(str(row[n])) for row in sheet.rows if row[n] is not None), default=0)
        for n in range(len(sheet.columns))
    ]
    wide = [min(40, max(12, len(c.heading) + 3, most + 2)) for c, most in zip(sheet.columns, longest, strict=True)]
    widths = "".join(
        f'<col min="{n}" max="{n}" width="{width}" style="{_style(column)}" customWidth="1"/>'
        for n, (column, width) in enumerate(zip(sheet.columns, wide, strict=True), 1)
    )
    head = _row(1, [(column.heading, _HEADING) for column in sheet.columns])
    body = "".join(
        _row(number, [(value, _style(column)) for value, column in zip(row, sheet.columns, strict=True)])
        for number, row in enumerate(sheet.rows, 2)
    )
    rules = list(_rules(sheet.columns, choices, lists, max(_LAST_ROW, len(sheet.rows) + 200)))
    told = f'<dataValidations count="{len(rules)}">{"".join(rules)}</dataValidations>' if rules else ""
    return (
        f'<worksheet xmlns="{_MAIN}"><sheetPr><pageSetUpPr fitToPage="1"/></sheetPr><sheetViews>'
        '<sheetView workbookViewId="0"><pane ySplit="1" topLeftCell="A2"'
        ' activePane="bottomLeft" state="frozen"/></sheetView></sheetViews><sheetFormatPr defaultRowHeight="15"/>'
        f"<cols>{widths}</cols><sheetData>{head}{body}</sheetData>{told}"
        '<pageSetup orientation="landscape" fitToWidth="1" fitToHeight="0"/></worksheet>'
    )


def _lists_xml(choices: Sequence[tuple[str, ...]]) -> str:
    longest = max(map(len, choices))
    rows = "".join(_row(n + 1, [(one[n] if n < len(one) else None, _TEXT) for one in choices]) for n in range(longest))
    return f'<worksheet xmlns="{_MAIN}"><sheetData>{rows}</sheetData></worksheet>'


def _rules(columns: Sequence[BookColumn], choices: Sequence[tuple[str, ...]], lists: str, last: int) -> Iterator[str]:
    """Yield what each column lets in: one of a list, or a day."""
    for number, column in enumerate(columns):
        cells = f"{_letters(number)}2:{_letters(number)}{last}"
        note = f' showInputMessage="1" prompt={quoteattr(column.note[:255])}' if column.note else ""
        if column.choices:
            at = _letters(choices.index(column.choices))
            refuses = ' showErrorMessage="1"' if column.only else ""
            yield (
                f'<dataValidation type="list" allowBlank="1"{refuses}{note} sqref="{cells}">'
                f"<formula1>{escape(lists)}!${at}$1:${at}${len(column.choices)}</formula1></dataValidation>"
            )
        elif column.holds == "day":
            yield (
                f'<dataValidation type="date" operator="between" allowBlank="1" showErrorMessage="1"{note}'
                f' sqref="{cells}"><formula1>{_serial(_FIRST_DAY)}</formula1><formula2>{_serial(_LAST_DAY)}</formula2>'
                "</dataValidation>"
            )


def _row(number: int, cells: Sequence[tuple[Value, int]]) -> str:
    filled = "".join(
        _cell(f"{_letters(n)}{number}", value, style) for n, (value, style) in enumerate(cells) if value is not None
    )
    return f'<row r="{number}">{filled}</row>'


def _cell(place: str, value: Value, style: int) -> str:
    if isinstance(value, date):
        return f'<c r="{place}" s="{_DAY}"><v>{_serial(value)}</v></c>'
    if isinstance(value, int | float):
        return f'<c r="{place}" s="{_PLAIN}"><v>{value:.15g}</v></c>'
    text = escape(printable(str(value))[:_LONGEST])
    return f'<c r="{place}" s="{style}" t="inlineStr"><is><t xml:space="preserve">{text}</t></is></c>'


def _style(column: BookColumn) -> int:
    return {"day": _DAY, "number": _PLAIN}.get(column.holds, _TEXT)


def _serial(day: date) -> int:
    """Return a day as a spreadsheet counts it; after February 1900 alone."""
    return (day - _DAY_ZERO).days


def _letters(index: int) -> str:
    text, number = "", index + 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("A") + rest) + text
    return text
