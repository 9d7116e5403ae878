"""Reads and writes gettext catalogues that stand beside data: `h_storage.es.po` has the Spanish of `h_storage.yaml`.

Only what these need: texts with one translation each, no plurals. An entry whose translation is empty or marked fuzzy
is passed over: the text then stays English. Whatever else stands in a file is a fault with its line.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping

__all__ = ["PoError", "entries_of_po", "po_of", "texts_of_po"]

_LINE = re.compile(r'(?:(msgctxt|msgid|msgid_plural|msgstr|msgstr\[\d\]) )?"((?:[^"\\]|\\[nt"\\])*)"')
_ESCAPED = re.compile(r"\\(.)")
_MEANT = {"n": "\n", "t": "\t"}
_HEAD = """\
msgid ""
msgstr ""
"Language: {code}\\n"
"MIME-Version: 1.0\\n"
"Content-Type: text/plain; charset=utf-8\\n"
"Content-Transfer-Encoding: 8bit\\n"
"""


class PoError(Exception):
    """A line is no line of such a catalogue."""

    def __init__(self, line: int, why: str) -> None:
        self.line, self.why = line, why
        super().__init__(f"line {line}: {why}")


def texts_of_po(content: str) -> dict[str, str]:
    r"""Return the translations of a catalogue by their texts.

    Raises
    ------
    PoError
        At the first line that can't be read, or where a text stands a second time.

    Examples
    --------
    >>> texts_of_po('msgid "Wear %s"\nmsgstr "Use "\n"%s"\n\nmsgid "A"\nmsgstr ""\n')
    {'Wear %s': 'Use %s'}
    """
    return {text: said for _, text, said in entries_of_po(content) if text and said}


def entries_of_po(content: str) -> Iterator[tuple[int, str, str]]:
    """Yield where each entry of a catalogue begins, its text and its translation, empty where it has none.

    Raises
    ------
    PoError
        At the first line that can't be read, or where a text stands a second time.
    """
    seen: set[str] = set()
    for line, text, said in _entries(content):
        if text in seen:
            raise PoError(line, "this text stands here a second time")
        seen.add(text)
        yield line, text, said


def po_of(code: str, texts: Iterable[str], known: Mapping[str, str]) -> str:
    r"""Return a catalogue of one language: every text with its translation, empty where none is known.

    >>> po_of("es", ["A", "{n} B"], {"A": "Á"}).partition("8bit\\n\"\n")[2]
    '\nmsgid "A"\nmsgstr "Á"\n\n#, python-brace-format\nmsgid "{n} B"\nmsgstr ""\n'
    """
    return _HEAD.format(code=code) + "".join(_entry(text, known.get(text, "")) for text in texts)


def _entry(text: str, said: str) -> str:
    flag = "#, python-brace-format\n" if "{" in text else ""
    return f"\n{flag}msgid {_quoted(text)}\nmsgstr {_quoted(said)}\n"


def _quoted(text: str) -> str:
    return '"{}"'.format(text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\t", "\\t"))


def _entries(content: str) -> Iterator[tuple[int, str, str]]:
    """Yield where each entry begins, its text and its translation; that of a fuzzy one is empty."""
    begin, part, is_fuzzy = 0, "", False
    read: dict[str, list[str]] = {}
    lines = [*content.split("\n"), ""]
    for number, line in enumerate(lines, 1):
        match = _LINE.fullmatch(line) if line and line[0] != "#" else None
        is_next = match is None or match[1] == "msgid"
        if is_next and "msgstr" in read:
            yield begin, "".join(read["msgid"]), "" if is_fuzzy else "".join(read["msgstr"])
            read, is_fuzzy = {}, False
        if match is None:
            if line and line[0] != "#":
                raise PoError(number, 'neither a comment nor msgid "…" or msgstr "…"')
            is_fuzzy |= line.startswith("#,") and "fuzzy" in line
            continue
        if match[1]:
            part = match[1]
            if part != ("msgstr" if read else "msgid"):
                raise PoError(number, f"{part} can't stand here: each msgid has one msgstr behind it")
            begin = begin if read else number
            read[part] = []
        elif not read:
            raise PoError(number, "text that belongs to no msgid")
        words = match[2]
        read[part].append(_ESCAPED.sub(lambda sign: _MEANT.get(sign[1], sign[1]), words) if "\\" in words else words)
    if read:
        raise PoError(begin, "a msgid without its msgstr")
