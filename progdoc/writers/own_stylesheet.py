"""A firm's own stylesheet for the pages: it changes their looks and fetches nothing; what it hides or says is told."""

from __future__ import annotations

import re
from collections.abc import Iterator

__all__ = ["hiding_rules", "outside_addresses", "printed_words"]

_COMMENT = re.compile(r"/\*(?:[^*]|\*(?!/))*(?:\*/)?")
_ESCAPE = re.compile(r"\\([0-9a-fA-F]{1,6})\s?|\\(\n|.)", re.DOTALL)
_HELD = re.compile(r"""url\(\s*(["']?)(?:data:image/[a-z+.-]+[;,][^()"'\s]*|#[\w-]+)\1\s*\)""", re.IGNORECASE)
_REACHES = re.compile(
    r"@import|@namespace|(?:url|src|image|image-set|-webkit-image-set|element|cross-fade)\(|//|[a-z0-9+.-]:/",
    re.IGNORECASE,
)
_HIDES = {
    "display": ("none",),
    "visibility": ("hidden", "collapse"),
    "content-visibility": ("hidden",),
    **dict.fromkeys(
        ("opacity", "font-size", "max-height", "height", "scale"), ("0", "0px", "0%", "0pt", "0em", "0rem")
    ),
}
_NO_CONTENT = ("nav", "footer", "header", "img", ".skip", ".logo")  # nothing of the program stands there
_WORD = re.compile(r"[^\W\d_]{2}")
_LAST = 0x10FFFF


def outside_addresses(css: str) -> Iterator[tuple[int, str]]:
    """Yield each place that would fetch something, as line and text: pictures may be held in the file alone."""
    plain = _HELD.sub("", _plain(css))
    for number, line in enumerate(plain.split("\n"), 1):
        for found in _REACHES.finditer(line):
            yield number, line[found.start() : found.start() + 60].strip()


def hiding_rules(css: str) -> Iterator[str]:
    """Yield each rule that hides part of a page where the program may stand.

    >>> list(hiding_rules("#use p { color: red; display: none } nav a { display: none }"))
    ['#use p { display: none }']
    """
    for selector, name, value in _declared(css):
        is_hidden = value.lower().removesuffix("!important").strip() in _HIDES.get(name, ())
        if is_hidden and not all(part.strip().startswith(_NO_CONTENT) for part in selector.split(",")):
            yield f"{selector} {{ {name}: {value} }}"


def printed_words(css: str) -> Iterator[str]:
    """Yield the words that a stylesheet prints by itself; a sign or a number is none.

    >>> list(printed_words("body::after { content: 'Approved by all' } li::before { content: '– ' }"))
    ['Approved by all']
    """
    for _, name, value in _declared(css):
        if name == "content" and value[:1] in ("'", '"') and _WORD.search(value):
            yield value.strip("\"' ")


def _declared(css: str) -> Iterator[tuple[str, str, str]]:
    """Yield each declaration: where it holds, its name, its value."""
    for rule in _plain(css).split("}"):
        selector, _, declarations = rule.rpartition("{")
        selector = " ".join(selector.rpartition("{")[2].split())
        for declaration in declarations.split(";"):
            name, _, value = declaration.partition(":")
            yield selector, name.strip().lower(), " ".join(value.split())


def _plain(css: str) -> str:
    return _ESCAPE.sub(_meant, _COMMENT.sub(lambda found: "\n" * found[0].count("\n"), css))


def _meant(found: re.Match[str]) -> str:
    """Return the letter that an escape stands for: `\\75 rl(` is `url(`."""
    if found[1]:
        code = int(found[1], 16)
        return chr(code) if 0 < code <= _LAST else "\ufffd"
    return found[2]
