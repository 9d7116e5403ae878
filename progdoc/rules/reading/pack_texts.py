"""The translations that a local pack brings for its own rules: gettext catalogues beside its files, `rules.es.po`.

They are read as strictly as the rules: a fault has its file and line, and a translation fills in what its text does.
A text without one is printed in English, marked as such.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from importlib.resources.abc import Traversable

from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.po_file import PoError, entries_of_po
from progdoc.core.unread import Unread
from progdoc.model.yaml.yaml_file import Bounds, content_of, readable
from progdoc.rules.reading.pack_faults import pack_fault

__all__ = ["pack_texts"]

_NAME = re.compile(r".+\.([a-z]{2,3})\.po")
_FILLED_IN = re.compile(r"\{[^{}]*\}")


def pack_texts(
    files: Iterable[Traversable], bounds: Bounds
) -> tuple[Mapping[str, Mapping[str, str]], tuple[Diagnostic, ...]]:
    """Return the translations of a pack by language and text, and what is wrong with their files."""
    found: dict[str, dict[str, str]] = {}
    faults: list[Diagnostic] = []
    for file in files:
        name = readable(str(file))
        code = _NAME.fullmatch(file.name)
        if code is None:
            fix = "Name it after its file and its language: `rules.es.po`."
            faults.append(pack_fault("PACK-001", Location(name, 0, 0), f"{name} does not tell its language.", fix))
            continue
        text = _text_of(file, bounds)
        if isinstance(text, Unread):
            fix = "Put an ordinary file of UTF-8 text in its place."
            faults.append(pack_fault("PACK-001", Location(name, 0, 0), f"{name} {text.why}.", fix))
            continue
        said = found.setdefault(code[1], {})
        try:
            for line, message, translation in entries_of_po(text):
                if translation and Counter(_FILLED_IN.findall(message)) != Counter(_FILLED_IN.findall(translation)):
                    what = "The translation does not fill in what its text does."
                    fix = "Write each {name} of the text in the translation, once and unchanged."
                    faults.append(pack_fault("PACK-004", Location(name, line, 1), what, fix))
                elif message and translation:
                    said[message] = translation
        except PoError as wrong:
            what = f"This is no catalogue of texts: {wrong.why}."
            faults.append(pack_fault("PACK-004", Location(name, wrong.line, 1), what, "Write `msgid` and `msgstr`."))
    return found, tuple(faults)


def _text_of(file: Traversable, bounds: Bounds) -> str | Unread:
    content = content_of(file, bounds.most_bytes - bounds.bytes)
    if isinstance(content, Unread):
        return content
    if bounds.bytes + len(content) > bounds.most_bytes:
        return Unread(f"makes the rules longer than {bounds.most_bytes:,} bytes")
    bounds.bytes += len(content)
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError:
        return Unread("is no UTF-8 text")
