"""A firm's own stylesheet for the pages: it may change how they look, and fetch nothing from anywhere."""

from __future__ import annotations

import re
from collections.abc import Iterator

__all__ = ["outside_addresses"]

_COMMENT = re.compile(r"/\*(?:[^*]|\*(?!/))*(?:\*/)?")
_ESCAPE = re.compile(r"\\([0-9a-fA-F]{1,6})\s?|\\(\n|.)", re.DOTALL)
_HELD = re.compile(r"""url\(\s*(["']?)(?:data:image/[a-z+.-]+[;,][^()"'\s]*|#[\w-]+)\1\s*\)""", re.IGNORECASE)
_REACHES = re.compile(
    r"@import|@namespace|(?:url|src|image|image-set|-webkit-image-set|element|cross-fade)\(|//|[a-z0-9+.-]:/",
    re.IGNORECASE,
)
_LAST = 0x10FFFF


def outside_addresses(css: str) -> Iterator[tuple[int, str]]:
    """Yield each place that would fetch something, as line and text: pictures may be held in the file alone."""
    plain = _ESCAPE.sub(_meant, _COMMENT.sub(lambda found: "\n" * found[0].count("\n"), css))
    plain = _HELD.sub("", plain)
    for number, line in enumerate(plain.split("\n"), 1):
        for found in _REACHES.finditer(line):
            yield number, line[found.start() : found.start() + 60].strip()


def _meant(found: re.Match[str]) -> str:
    """Return the letter that an escape stands for: `\\75 rl(` is `url(`."""
    if found[1]:
        code = int(found[1], 16)
        return chr(code) if 0 < code <= _LAST else "\ufffd"
    return found[2]
