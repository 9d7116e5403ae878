"""Tables as strings of XML: a cell at a time through an object model takes minutes for a long roster."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from progdoc.document.tree.nodes import Cell, Column, FieldKind, Figure, FormField, Row, Signatures, Table, Text
from progdoc.writers.column_widths import column_widths
from progdoc.writers.docx.inline_xml import inlines
from progdoc.writers.docx.word_text import attribute, field, paragraph, run
from progdoc.writers.docx.writing import Place, Writing
from progdoc.writers.wording import SIGNATURE_TITLES

__all__ = ["GAP", "bookmark_ends", "caption", "frame", "plain_table", "signatures", "table"]

GAP = paragraph("TableGap", "")  # two tables or frames in a row would otherwise become one
_SIGNING_HEIGHT = 964  # 17 mm, enough for a hand
_SIGNING_SHARES = (3, 3, 4, 2)
_PEN_HEIGHT = 510  # 9 mm: a line for a pen
_TICK_HEIGHT = 397  # 7 mm: a box for a tick
_HEADING_SIZE = 180  # 9 pt, as the style of headings says
_CELL_MARGINS = 180  # both, and what programs round differently
_HAIR = 0.001  # a sum of fractions is no whole number
_RIGHT = '<w:jc w:val="right"/>'


def caption(label: str, node: Table | Figure, writing: Writing, properties: str) -> str:
    """Return a caption that Word counts, and restarts where the tree's number is another."""
    if not node.number:
        return paragraph("Caption", writing.bookmarks.around(node.id, run(node.caption)), properties)
    is_next = node.number == writing.captions.get(label, 0) + 1
    writing.captions[label] = node.number
    restart = "" if is_next else f" \\r {node.number}"
    name = run(f"{node.label or label} ") + field(f"SEQ {label} \\* ARABIC{restart}", str(node.number))
    return paragraph("Caption", writing.bookmarks.around(node.id, name) + run(f". {node.caption}"), properties)


def table(node: Table, writing: Writing, place: Place) -> Iterator[str]:
    """Yield caption, table and the gap below it."""
    if node.caption:
        yield caption("Table", node, writing, f"<w:keepNext/>{place.indent}")
    else:
        yield from bookmark_ends(writing.bookmarks.around(node.id))
    widths = _widths(node.columns, place.width)
    fields = [_fields(row) for row in node.rows]
    is_form = any(fields)
    is_short = node.is_whole and not node.is_dense
    stands_together = is_short or (is_form and not node.has_header)
    rows = [
        _row(row, own, node, widths, writing, stands_together and row is not node.rows[-1])
        for row, own in zip(node.rows, fields, strict=True)
    ]
    if node.has_header:
        titles = [run(column.title) for column in node.columns]
        rows.insert(0, _header(titles, node.columns, widths))
    style = "SigningTable" if is_form else "ProgramTable"
    yield frame(style, widths, "".join(rows), place, node.caption, node.has_header)
    yield GAP


def _fields(row: Row) -> list[FormField]:
    return [child for cell in row.cells for child in cell.children if isinstance(child, FormField)]


def _room_to_fill_in(fields: list[FormField]) -> str:
    """Return the least height of a row, for a pen or a tick; what is given already takes the room it needs."""
    is_ticked = all(field.kind in (FieldKind.BOX, FieldKind.CHOICE) for field in fields)
    lines = max(field.lines if field.kind is FieldKind.LINES and not field.value else 1 for field in fields)
    return f'<w:trHeight w:val="{_TICK_HEIGHT if is_ticked else _PEN_HEIGHT * lines}" w:hRule="atLeast"/>'


def plain_table(titles: tuple[str, ...], shares: tuple[int, ...], lines: Sequence[tuple[str, ...]]) -> Table:
    """Return a table of plain text; without titles its first column heads the rows."""
    columns = tuple(Column(title, share) for title, share in zip(titles or [""] * len(shares), shares, strict=True))
    rows = tuple(Row("", tuple(Cell((Text(value),)) for value in line)) for line in lines)
    return Table("", "", columns, rows, has_header=bool(titles))


def signatures(node: Signatures, writing: Writing, place: Place) -> Iterator[str]:
    """Yield a table to sign on: the lines stand together on one page."""
    yield from bookmark_ends(writing.bookmarks.around(node.id))
    titles = node.titles or SIGNATURE_TITLES
    columns = tuple(Column(title, share) for title, share in zip(titles, _SIGNING_SHARES, strict=True))
    widths = _widths(columns, place.width)
    rows = [_header([run(title) for title in titles], columns, widths)]
    height = f'<w:cantSplit/><w:trHeight w:val="{_SIGNING_HEIGHT}" w:hRule="atLeast"/>'
    for n, (role, name) in enumerate(node.lines, 1):
        together = "<w:keepNext/>" if n < len(node.lines) else ""
        texts = [paragraph("TableKey", run(role), together)]
        texts += [paragraph("TableText", run(text), together) for text in (name, "", "")]
        bottom = '<w:vAlign w:val="bottom"/>'
        cells = "".join(_cell(text, width, bottom) for text, width in zip(texts, widths, strict=True))
        rows.append(f"<w:tr><w:trPr>{height}</w:trPr>{cells}</w:tr>")
    yield frame("SigningTable", widths, "".join(rows), place, "Signatures", has_header=True)
    yield GAP


def frame(style: str, widths: list[int], rows: str, place: Place, name: str, has_header: bool) -> str:
    """Return a table of fixed widths around its rows. Lines, margins and fills are its style's."""
    grid = "".join(f'<w:gridCol w:w="{width}"/>' for width in widths)
    named = f'<w:tblCaption w:val="{attribute(name)}"/>' if name else ""
    first_row, first_column = int(has_header), int(not has_header)
    return (
        f'<w:tbl><w:tblPr><w:tblStyle w:val="{style}"/><w:tblW w:w="{sum(widths)}" w:type="dxa"/>'
        f'<w:tblInd w:w="{place.left}" w:type="dxa"/><w:tblLayout w:type="fixed"/>'
        f'<w:tblLook w:val="{"0620" if has_header else "0680"}" w:firstRow="{first_row}" w:lastRow="0" '
        f'w:firstColumn="{first_column}" w:lastColumn="0" w:noHBand="1" w:noVBand="1"/>{named}</w:tblPr>'
        f"<w:tblGrid>{grid}</w:tblGrid>{rows}</w:tbl>"
    )


def bookmark_ends(bookmark: str) -> Iterator[str]:
    """Yield the two ends of an empty bookmark, each an element of its own."""
    if bookmark:
        start, end = bookmark.split("/>", 1)
        yield f"{start}/>"
        yield end


def _widths(columns: tuple[Column, ...], width: int) -> list[int]:
    """Return whole widths that add up to the table's."""
    wide = column_widths(columns, width, _HEADING_SIZE, _CELL_MARGINS)
    edges = [int(sum(wide[:n]) + _HAIR) for n in range(len(wide) + 1)]
    return [right - left for left, right in pairwise(edges)]


def _header(titles: list[str], columns: tuple[Column, ...], widths: list[int]) -> str:
    cells = "".join(
        _cell(
            paragraph("TableHeading", title, _RIGHT if column.numeric else ""),
            width,
            '<w:vAlign w:val="bottom"/>',
        )
        for title, column, width in zip(titles, columns, widths, strict=True)
    )
    return f"<w:tr><w:trPr><w:cantSplit/><w:tblHeader/></w:trPr>{cells}</w:tr>"


def _row(row: Row, fields: list[FormField], node: Table, widths: list[int], writing: Writing, keeps_next: bool) -> str:
    cells = (*row.cells, *[Cell(())] * (len(node.columns) - len(row.cells)))
    kind, height, middle = "Table", "", ""
    if node.is_dense:
        kind = "DenseTable"
    if fields:
        kind, height, middle = "Form", _room_to_fill_in(fields), '<w:vAlign w:val="center"/>'
    told = []
    for n, (column, cell, width) in enumerate(zip(node.columns, cells, widths, strict=True)):
        content = inlines(cell.children, writing)
        is_key = n == 0 and not node.has_header
        if n == 0:
            content = writing.bookmarks.around(row.id, content)
        properties = ("<w:keepNext/>" if keeps_next else "") + (_RIGHT if column.numeric else "")
        text = paragraph(f"{kind}{'Key' if is_key else 'Text'}", content, properties)
        told.append(_cell(text, width, middle))
    return f"<w:tr><w:trPr><w:cantSplit/>{height}</w:trPr>{''.join(told)}</w:tr>"


def _cell(content: str, width: int, properties: str) -> str:
    return f'<w:tc><w:tcPr><w:tcW w:w="{width}" w:type="dxa"/>{properties}</w:tcPr>{content}</w:tc>'
