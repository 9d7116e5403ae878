"""Words in Markdown: kept literal, emphasised or linked the same in every common reader of it."""

from __future__ import annotations

import re

__all__ = ["as_code", "as_link", "emphasised", "escaped", "heading_safe", "line_safe"]

# A backslash keeps these literal in every reader. The others need an entity: the tilde strikes words out in
# some readers and can't be escaped in the rest.
_LITERAL = {ord(sign): f"\\{sign}" for sign in "\\`*_{}[]|"} | {
    ord("<"): "&lt;",
    ord(">"): "&gt;",
    ord("~"): "&#126;",
}
_WHITE = re.compile(r"[ \t\r\n\f\v]+")
_ENTITY = re.compile(r"&(?! )")  # where "&" may begin an entity
# Markup only where a line begins: heading, bullet, rule, numbered item.
_LINE_START = re.compile(r"#|[-+](?=[- ]|$)|(?<=\d)[.)](?= |$)")
_NUMBER = re.compile(r"\d*")
_HREF_SIGNS = {ord(sign): f"%{ord(sign):02X}" for sign in "()[]|*`"}


def escaped(text: str) -> str:
    """Return the text such that no reader finds markup in it; line ends and runs of blanks become one.

    >>> print(escaped("a|b *c* [d](javascript:1) <b>"))
    a\\|b \\*c\\* \\[d\\](javascript:1) &lt;b&gt;
    """
    literal = _ENTITY.sub("&amp;", _WHITE.sub(" ", text)).translate(_LITERAL)
    return f"{literal[:-1]}\\!" if literal.endswith("!") else literal  # "!" and a link make a picture


def line_safe(line: str) -> str:
    """Return escaped words fit to begin a line.

    >>> print(line_safe("1. May"), line_safe("- 5 °F"), line_safe("0.5 ppm"))
    1\\. May \\- 5 °F 0.5 ppm
    """
    line = line.strip().replace("]:", "]&#58;")  # some readers see a link's definition even behind a backslash
    number = _NUMBER.match(line)
    start = number.end() if number else 0
    return f"{line[:start]}\\{line[start:]}" if _LINE_START.match(line, start) else line


def heading_safe(words: str) -> str:
    """Return escaped words fit for a heading, where signs at the end would be taken for closing ones."""
    words = words.strip()
    body = words.rstrip("#")
    return body + "\\#" * (len(words) - len(body))


def emphasised(mark: str, tag: str, words: str, following: str) -> str:
    """Return words between marks where every reader sees them, else between tags.

    A closing mark after punctuation counts only before a blank; marks within marks are read differently by
    every reader. `following` is the letter after them, "" at the end.
    """
    inner = words.strip(" ")
    if not inner:
        return words
    before = words[: len(words) - len(words.lstrip(" "))]
    after = words[len(words.rstrip(" ")) :]
    ends_clear = inner[-1].isalnum() or (inner[-1] in ".,:;?" and (after + following)[:1] in {"", " "})
    is_plain = inner[0].isalnum() and ends_clear and not {"*", "<"} & {*inner, following}
    marked = f"{mark}{inner}{mark}" if is_plain else f"<{tag}>{inner}</{tag}>"
    return f"{before}{marked}{after}"


def as_link(words: str, href: str) -> str:
    """Return a link; the caller has checked that the address is allowed."""
    return f"[{words}]({href.translate(_HREF_SIGNS)})"


def as_code(text: str) -> str:
    """Return a line of working as code, line by line; as plain words where it holds the mark of code."""
    lines = (line.strip() for line in text.split("\n"))
    return "<br>".join(line_safe(escaped(line)) if "`" in line else f"`{line}`" for line in lines if line)
