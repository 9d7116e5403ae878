"""Takes people out of the table kept in a spreadsheet: all their rows, and no other byte."""

from __future__ import annotations

import re
from collections.abc import Collection

from progdoc.model.people_table.csv_text import MARKS, decoded_table, rows_of, separator_of
from progdoc.model.people_table.heading_words import HEADINGS, heading
from progdoc.model.people_table.people_columns import ALSO_CALLED, COLUMNS

__all__ = ["spare_cells", "without_people"]


def spare_cells(data: bytes, identity: str) -> list[tuple[str, str]]:
    """Return what stands of a person in the columns of a table that are not read, each with its heading.

    >>> spare_cells(b"id,locker\\njo,12\\n", "jo")
    [('locker', '12')]
    """
    text = decoded_table(data)
    head, *rows = rows_of(text, *separator_of(text, HEADINGS))
    at = next(i for i, cell in enumerate(head) if heading(cell.text) == "id")
    return [
        (head[i].text, " ".join(cell.text.split()))
        for row in rows
        if at < len(row) and row[at].text == identity
        for i, cell in enumerate(row)
        if cell.text and i < len(head) and heading(head[i].text) not in COLUMNS
    ]


def without_people(data: bytes, ids: Collection[str]) -> bytes:
    """Return a table that was understood without the rows of some people.

    Raises
    ------
    KeyError
        If its lines can't be told apart.

    >>> without_people(b"id;name\\r\\njo;Jo Marsh\\r\\nravi;Ravi Stone\\r\\n", {"jo"})
    b'id;name\\r\\nravi;Ravi Stone\\r\\n'
    """
    mark, encoding = next(((mark, name) for mark, name in MARKS if data.startswith(mark)), (b"", "utf-8"))
    text = decoded_table(data)
    lines = re.findall(r"[^\n]+\n?|\n", text)
    rows = rows_of(text, *separator_of(text, {*COLUMNS, *ALSO_CALLED}))
    if rows[-1][0].line > len(lines):
        raise KeyError("the lines of the table end in a way that can't be told")
    at = next(i for i, cell in enumerate(rows[0]) if cell.text.lower() == "id")
    starts = [*(row[0].line - 1 for row in rows), len(lines)]
    gone = {
        number
        for row, start, end in zip(rows, starts[:-1], starts[1:], strict=True)
        if at < len(row) and row[at].text in ids
        for number in range(start, end)
    }
    return mark + "".join(line for number, line in enumerate(lines) if number not in gone).encode(encoding)
