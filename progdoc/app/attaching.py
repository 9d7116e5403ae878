"""Takes a file into a description as an attachment: of a kind that is known, within bounds, under a name of ours."""

from __future__ import annotations

from collections.abc import Callable, Collection
from datetime import date

from progdoc.app.attached_text import why_no_text
from progdoc.app.check import Checked
from progdoc.app.file_faults import file_fault
from progdoc.app.record import Recorded, entered
from progdoc.app.record_events import Put, Way
from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.said import said, said_number, same
from progdoc.document.papers.renewal_questions import spelt_id
from progdoc.model.load import Loaded

__all__ = ["MOST_ATTACHED", "attached"]

MOST_ATTACHED = 5_000_000  # bytes
_BEGINS = {  # how a file of each kind begins: ISO 32000-1, 7.5.2; APPNOTE 4.3.7; PNG 5.2; JFIF (ISO/IEC 10918-5)
    "pdf": b"%PDF-",
    "docx": b"PK\x03\x04",
    "odt": b"PK\x03\x04",
    "png": b"\x89PNG\r\n\x1a\n",
    "jpg": b"\xff\xd8\xff",
}
_PLACE = "what you sent"


def attached(
    checked: Checked,
    title: str,
    ending: str,
    data: bytes,
    day: date,
    taken: Collection[str],
    judge: Callable[[Loaded], Checked],
) -> Recorded | list[Diagnostic]:
    """Return what becomes of a description with a file attached; or why it can't be.

    Parameters
    ----------
    title
        What the file is, as the program prints it.
    ending
        Of the name that it had: "pdf".
    day
        Of the copy.
    taken
        The names that lie beside the description already.
    """
    faults = [*_faults(title, ending, data)]
    if faults:
        return faults
    known = {one.id for one in checked.loaded.program.attachments} if checked.loaded.program else set()
    base = spelt_id(title)[:50].rstrip("-") or "attachment"
    names = (base if number == 1 else f"{base}-{number}" for number in range(1, len(known) + len(taken) + 2))
    one = next(name for name in names if name not in known and f"{name}.{ending}" not in taken)
    file = f"{one}.{ending}"
    entry = {"id": one, "title": title, "file": file, "date": day.isoformat()}
    return entered(checked, [Put((), "attachments", entry, Way.ADD, "attachments")], judge, beside={file: data})


def _faults(title: str, ending: str, data: bytes) -> list[Diagnostic]:
    place = Location(_PLACE, 0, 0)
    known = ", ".join(_BEGINS)
    if not title:
        return [file_fault("RECORD-005", place, said("It is not said what the file is."), said("Write what it is."))]
    if not data.startswith(_BEGINS.get(ending, b"\0nothing")):
        what = said("It is none of the files that go into a program.")
        fix = said("Send one of these, under its own ending: %(known)s.", known=same(known))
        return [file_fault("RECORD-006", place, what, fix)]
        what = "It is none of the files that go into a program."
        return [file_fault("RECORD-006", place, what, f"Send one of these, under its own ending: {known}.")]
    if why := why_no_text(f"It.{ending}", data, is_official=False):
        return [file_fault("RECORD-006", place, said("It %(why)s.", why=why), said("Send the text itself."))]
    if len(data) > MOST_ATTACHED:
        what = said("It is over %(most)s bytes large.", most=said_number(f"{MOST_ATTACHED:,}"))
        return [file_fault("RECORD-006", place, what, said("Send a smaller copy."))]
    return []
