"""A firm's own stylesheet for the pages: it changes their looks and fetches nothing; what it hides or says is told.

How a page can be made to hide a sentence has no end: what may change is a closed list instead (`css_looks`), and
whatever else a stylesheet declares is told, what can't be read included.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from progdoc.writers.css_looks import changes_looks

__all__ = ["hiding_rules", "outside_addresses", "printed_words", "sets_colours"]

_COMMENT = re.compile(r"/\*(?:[^*]|\*(?!/))*(?:\*/)?")
_ESCAPE = re.compile(r"\\([0-9a-fA-F]{1,6})\s?|\\(\n|.)", re.DOTALL)
_HELD = re.compile(r"""url\(\s*(["']?)(?:data:image/[a-z+.-]+[;,][^()"'\s]*|#[\w-]+)\1\s*\)""", re.IGNORECASE)
_REACHES = re.compile(
    r"@import|@namespace|(?:url|src|image|image-set|-webkit-image-set|element|cross-fade)\(|//|[a-z0-9+.-]:/",
    re.IGNORECASE,
)
_STRING = re.compile(r'"[^"\n]*"|\'[^\'\n]*\'')
_PART = re.compile(r"[^{};]+|[{};]")
_AT_RULES = re.compile(r"@(?:media|supports|page)\b[^@]*", re.IGNORECASE)
_NO_CONTENT = re.compile(r"(?:nav|img|\.skip|\.logo)(?![\w-])[\w\s.#>-]*")  # nothing of the program stands there
_ADORNS = re.compile(r"[-–—•·▪■□●○◦›»→|/ ]{1,3}")  # what says nothing before a heading or a point
_ADORNED = re.compile(r"(?:li|h[1-6]|a)::?(?:before|after)")  # never a figure: – 5, < 5
_LAST = 0x10FFFF


def outside_addresses(css: str) -> Iterator[tuple[int, str]]:
    """Yield each place that would fetch something, as line and text: pictures may be held in the file alone."""
    plain = _HELD.sub("", _plain(css))
    for number, line in enumerate(plain.split("\n"), 1):
        for found in _REACHES.finditer(line):
            yield number, line[found.start() : found.start() + 60].strip()


def hiding_rules(css: str) -> Iterator[str]:
    """Yield each rule that may do more than change looks where the program may stand, such as hide part of it.

    >>> list(hiding_rules("#use p { color: #333; display: none } nav a { display: none }"))
    ['#use p { display: none }']
    """
    for selector, name, value in _declared(css):
        parts = [part.strip() for part in selector.split(",")]
        if name == "content":
            is_look = all(_ADORNED.fullmatch(part.rpartition(" ")[2]) for part in parts) and not _is_empty(value)
            is_look = is_look or _says(value)  # `printed_words` tells it
        else:
            is_look = bool(name) and (changes_looks(name, value) or all(map(_NO_CONTENT.fullmatch, parts)))
        if not is_look:
            yield f"{selector} {{ {name}: {value} }}" if name else selector


def printed_words(css: str) -> Iterator[str]:
    """Yield what a stylesheet prints by itself: letters, digits, ticks, pictures; a sign that only adorns is none.

    >>> list(printed_words("body::after { content: 'Approved by all' } li::before { content: '– ' }"))
    ['Approved by all']
    """
    for _, name, value in _declared(css):
        if name == "content" and _says(value):
            yield " ".join(part[1:-1] for part in _STRING.findall(value)).strip() or value
        elif "url(" in value.lower():
            yield f"the picture of {name}"


def _is_empty(value: str) -> bool:
    """Return whether nothing is to stand in the place of what ours would say there."""
    return value.strip("\"'") in ("", "none", "normal")


def _says(value: str) -> bool:
    """Return whether what is to be printed is more than a sign that adorns, or the number of a page."""
    words = " ".join(part[1:-1] for part in _STRING.findall(value))
    beside = _STRING.sub("", value).lower().split()
    is_plain = all(part in ("none", "normal", "counter(page)", "counter(pages)") for part in beside)
    return not is_plain or bool(words and not _ADORNS.fullmatch(words))


def sets_colours(css: str) -> bool:
    """Return whether a stylesheet sets colours, which are for light paper alone.

    >>> sets_colours("h1 { color: #333 }"), sets_colours("h1 { margin: 0 }")
    (True, False)
    """
    return any("color" in name or name == "background" for _, name, _ in _declared(css))


def _declared(css: str) -> Iterator[tuple[str, str, str]]:
    """Yield each declaration: where it holds, its name, its value; what can't be read alone, as the first of them."""
    held: list[str] = []

    def kept(found: re.Match[str]) -> str:
        held.append(found[0])
        return f"\0{len(held) - 1}\0"

    def told(text: str) -> str:
        return re.sub("\0([0-9]+)\0", lambda found: held[int(found[1])], " ".join(text.split()))

    plain = _STRING.sub(kept, _HELD.sub(kept, _plain(css)))
    within: list[str] = []
    text = ""
    for part in _PART.findall(plain):
        if part not in "{};":
            text = part
            continue
        if part == "{":
            within.append(told(text))
            if within[-1].startswith("@") and not _AT_RULES.fullmatch(within[-1]):
                yield within[-1], "", ""
        elif text.strip():
            yield from _declaration(within, told(text))
        if part == "}":
            if not within:
                yield "}", "", ""
            within = within[:-1]
        text = ""
    if text.strip() or within:
        yield from _declaration(within, told(text) or "{")


def _declaration(within: list[str], text: str) -> Iterator[tuple[str, str, str]]:
    name, colon, value = text.partition(":")
    selector = " ".join(part for part in within if not part.startswith("@")) or " ".join(within)
    if within and colon:
        yield selector, name.strip().lower(), value.strip()
    elif text.lower() != '@charset "utf-8"':
        yield text, "", ""


def _plain(css: str) -> str:
    return _ESCAPE.sub(_meant, _COMMENT.sub(lambda found: "\n" * found[0].count("\n"), css))


def _meant(found: re.Match[str]) -> str:
    """Return the letter that an escape stands for: `\\75 rl(` is `url(`."""
    if found[1]:
        code = int(found[1], 16)
        return chr(code) if 0 < code <= _LAST else "\ufffd"
    return found[2]
