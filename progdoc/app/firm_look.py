"""A firm's own look: what its folder holds, read, checked and bounded before anything is made from it.

`look.yaml`, `logo.svg` or `logo.png`, `reference.docx`, `style.css` and `templates/`, each of them optional. Every
fault is told at once; a look that has one is not used at all. What reads a part is imported only for a look that has
that part.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field, replace
from pathlib import PurePosixPath

from progdoc.app.file_faults import file_fault
from progdoc.app.look_values import look_values
from progdoc.app.manifest import is_safe_name, sha256
from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.late_dataclass import dataclass
from progdoc.core.look import PLAIN, Logo, Look
from progdoc.core.unread import Unread
from progdoc.model.load import Loaded, look_named_in
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.pack_faults import did_you_mean

__all__ = ["NO_LOOK", "TEMPLATES", "FirmLook", "faults_in_print", "is_read", "look_in", "look_of"]

_STYLESHEET, _REFERENCE, _VALUES = "style.css", "reference.docx", "look.yaml"
_LOGOS = ("logo.png", "logo.svg")
_FILES = (_VALUES, *_LOGOS, _REFERENCE, _STYLESHEET)
TEMPLATES = "templates/program/"
_MOST_CSS_BYTES = 500_000
# What a desk leaves in a folder unasked.
_UNASKED = ("thumbs.db", "desktop.ini")

_Files = Mapping[str, bytes | Unread]


@dataclass(frozen=True, slots=True)
class FirmLook:
    """A look that can be worn, and what it was read from: by name the SHA-256 of each file."""

    look: Look = PLAIN
    folder: str = ""
    checksums: Mapping[str, str] = field(default_factory=dict)


NO_LOOK = FirmLook()


def is_read(name: str) -> bool:
    """Return whether a file of the folder is looked at: not those that a desk leaves there, nor a note to readers.

    >>> [is_read(name) for name in ("look.yaml", "~$reference.docx", ".DS_Store", "README.md")]
    [True, False, False, False]
    """
    last = PurePosixPath(name).name
    return not (last.startswith((".", "~$")) or last.lower() in _UNASKED or last.upper().startswith("README"))


def look_of(loaded: Loaded) -> tuple[FirmLook, list[Diagnostic]]:
    """Return the look that a description names, from its files, and everything that is wrong with it."""
    folder = look_named_in(loaded.description)
    if not folder:
        return NO_LOOK, []
    here = loaded.locate("program.look")
    if not is_safe_name(folder):
        fix = "Write the name of a folder beside the description, such as `look: look`."
        return NO_LOOK, [file_fault("LOOK-001", here, f"`{folder}` is no folder inside that of the description.", fix)]
    inside = f"{folder}/"
    found = {name.removeprefix(inside): data for name, data in loaded.files.items() if name.startswith(inside)}
    why = loaded.files.get(folder)
    return look_in(why if isinstance(why, Unread) else found, folder, here)


def look_in(files: _Files | Unread, folder: str, named_at: Location | None = None) -> tuple[FirmLook, list[Diagnostic]]:
    """Return the look that the files of a folder make, and everything that is wrong with them.

    Parameters
    ----------
    files
        By their names inside the folder: "look.yaml", "templates/program/sections/training.md.j2"; or why there are
        none.
    folder
        What findings call it.
    named_at
        Where the description names it, if it does.
    """
    if isinstance(files, Unread) or not any(map(is_read, files)):
        what = f"The folder `{folder}` {files.why if isinstance(files, Unread) else 'holds nothing of a look'}."
        fix = f"Put the folder there with one of these in it: {', '.join(_FILES)}, templates; or name no look."
        return NO_LOOK, [file_fault("LOOK-001", named_at or Location(folder, 0, 0), what, fix)]
    read = _Folder(files, folder)
    look = read.look()
    known = {name: data for name, data in sorted(read.files.items()) if isinstance(data, bytes)}
    checksums = {name: sha256(data) for name, data in known.items()}
    return (NO_LOOK if read.faults else FirmLook(look, folder, checksums)), read.faults


def faults_in_print(judged: Judged, worn: FirmLook) -> list[Diagnostic]:
    """Return what is wrong with a firm's own templates once they are filled in with what is described."""
    if not worn.look.templates:
        return []
    from progdoc.document.papers.task_page import task_pages
    from progdoc.document.papers.training_kit import training_pages
    from progdoc.document.papers.written_program import written_program
    from progdoc.document.templating.templates import own_templates

    templates = own_templates(worn.look.templates)
    _pages, of_pages = task_pages(judged, templates)
    _kit, of_kit = training_pages(judged, templates)
    found = (*written_program(judged, templates).faults, *of_pages, *of_kit)
    told = {(fault.name, fault.line, fault.why): None for fault in found}
    return [_template_fault(worn.folder, *one) for one in told]


def _template_fault(folder: str, name: str, line: int, why: str) -> Diagnostic:
    place = Location(f"{folder}/{TEMPLATES}{name}" if name else f"{folder}/templates", line, 1 if line else 0)
    what = f"{why[0].upper()}{why[1:]}."
    return file_fault("LOOK-009", place, what, "Mend it there; DEVELOPERS.md lists what a template may call.")


class _Folder:
    """One reading of a folder, with every fault."""

    def __init__(self, files: _Files, folder: str) -> None:
        self.files = {name: data for name, data in files.items() if is_read(name)}
        self.folder = folder
        self.faults: list[Diagnostic] = []

    def look(self) -> Look:
        for name, data in sorted(self.files.items()):
            if isinstance(data, Unread):
                self._refuse("LOOK-002", name, f"`{name}` {data.why}.", "Put an ordinary file in its place.")
        look = self._said()
        return replace(
            look,
            logo=self._logo(),
            stylesheet=self._stylesheet(),
            reference=self._reference(),
            templates=self._templates(),
        )

    def _refuse(self, code: str, name: str, what: str, fix: str, line: int = 0) -> None:
        place = Location(f"{self.folder}/{name}" if name else self.folder, line, 1 if line else 0)
        self.faults.append(file_fault(code, place, what, fix))

    def _content(self, name: str) -> bytes | None:
        data = self.files.get(name)
        return data if isinstance(data, bytes) else None

    def _said(self) -> Look:
        data = self._content(_VALUES)
        if data is None:
            return PLAIN
        look, faults = look_values(data, f"{self.folder}/{_VALUES}")
        self.faults += faults
        return look

    def _logo(self) -> Logo | None:
        given = [name for name in _LOGOS if self._content(name) is not None]
        if not given:
            return None
        from progdoc.writers.logo import MOST_LOGO_BYTES, LogoError, png_logo, svg_logo

        if len(given) == len(_LOGOS):
            self._refuse("LOOK-006", given[1], "There are both logo.png and logo.svg.", "Keep one of them.")
        readers: dict[str, Callable[[bytes], Logo]] = dict(zip(_LOGOS, (png_logo, svg_logo), strict=True))
        logo = None
        for name in given:
            data = self._content(name) or b""
            if len(data) > MOST_LOGO_BYTES:
                what = f"`{name}` has {len(data):,} bytes, and {MOST_LOGO_BYTES:,} are the most."
                self._refuse("LOOK-006", name, what, "Save it smaller.")
                continue
            try:
                logo = readers[name](data)
            except LogoError as fault:
                fix = "Save the mark as a plain SVG of shapes, or as logo.png of no more than 2000 by 2000 dots."
                self._refuse("LOOK-006", name, f"`{name}` can't be used: {fault}.", fix)
        return logo

    def _stylesheet(self) -> str:
        data = self._content(_STYLESHEET)
        if data is None:
            return ""
        from progdoc.writers.own_stylesheet import outside_addresses

        try:
            css = data.decode("utf-8-sig")
        except UnicodeDecodeError:
            self._refuse("LOOK-002", _STYLESHEET, "`style.css` is not written in UTF-8.", "Save it as UTF-8.")
            return ""
        if len(data) > _MOST_CSS_BYTES:
            what = f"`style.css` has {len(data):,} bytes, and {_MOST_CSS_BYTES:,} are the most."
            self._refuse("LOOK-002", _STYLESHEET, what, "Write less.")
            return ""
        for line, found in outside_addresses(css):
            fix = "Take it out; a picture may be held in the file as `url(data:image/…)`."
            self._refuse("LOOK-008", _STYLESHEET, f"`{found}` would fetch something.", fix, line)
        return css

    def _reference(self) -> bytes:
        data = self._content(_REFERENCE)
        if data is None:
            return b""
        from progdoc.writers.docx.own_reference import StylesError, own_reference

        try:
            return own_reference(data)
        except StylesError as fault:
            what, fix = f"`{_REFERENCE}` can't be used: {fault}.", "Save it anew in Word as a Word document (.docx)."
            if fault.missing:
                what = f"`{_REFERENCE}` lacks the styles: {', '.join(fault.missing)}."
                fix = (
                    "Open a program.docx that progdoc wrote, change its styles to your taste, and save it as"
                    " reference.docx; or make these styles in yours, under these names."
                )
            self._refuse("LOOK-007", _REFERENCE, what, fix)
            return b""

    def _templates(self) -> dict[str, str]:
        others = [(name, data) for name, data in sorted(self.files.items()) if name not in _FILES]
        if not others:
            return {}
        from progdoc.document.templating.own_templates import MOST_TEMPLATE_BYTES
        from progdoc.document.templating.templates import own_templates, shipped_templates

        ours = shipped_templates().names()
        known = (*_FILES, *(f"{TEMPLATES}{name}" for name in ours))
        found: dict[str, str] = {}
        for name, data in others:
            if isinstance(data, Unread):
                continue
            short = name.removeprefix(TEMPLATES)
            if name not in known:
                self._unknown(name, known)
            elif len(data) > MOST_TEMPLATE_BYTES:
                what = f"It has {len(data):,} bytes, and {MOST_TEMPLATE_BYTES:,} are the most."
                self._refuse("LOOK-009", name, what, "Write less.")
            else:
                try:
                    found[short] = data.decode("utf-8-sig")
                except UnicodeDecodeError:
                    self._refuse("LOOK-009", name, "It is not written in UTF-8.", "Save it as UTF-8.")
        for fault in own_templates(found).faults() if found else ():
            self.faults.append(_template_fault(self.folder, fault.name, fault.line, fault.why))
        return found

    def _unknown(self, name: str, known: tuple[str, ...]) -> None:
        near = did_you_mean(name, known)
        listed = ", ".join(_FILES) + f", {TEMPLATES}… with a name of ours"
        self._refuse(
            "LOOK-003", name, f"`{name}` is no part of a look.{near}", f"Take it out, or use one of: {listed}."
        )
