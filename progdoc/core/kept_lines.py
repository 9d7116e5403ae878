"""Files of what was worked out before: a line for each thing, under the key of all that it hangs on.

Each line holds the SHA-256 of its text. One that was cut off or damaged where progdoc is installed, or a file that is
gone or can't be read, counts for nothing: then the thing is worked out anew, only slower, and never wrong.
"""

from __future__ import annotations

import zlib
from base64 import b64decode, b64encode
from collections.abc import Mapping
from hashlib import sha256
from importlib.resources.abc import Traversable

__all__ = ["kept_bytes", "kept_line", "kept_lines", "kept_text", "line_of_bytes"]


def kept_line(key: str, text: str) -> str:
    """Return the line for a text without line breaks, under a key without blanks."""
    return f"{key} {_check(text)} {text}\n"


def kept_lines(file: Traversable) -> dict[str, str]:
    """Return by its key what stands behind it; nothing where there is no file to be read."""
    try:
        text = file.read_bytes().decode("utf-8", "replace")
    except OSError:  # such as while it is first written
        return {}
    return {key: rest for key, _, rest in (line.partition(" ") for line in text.split("\n"))}


def kept_text(lines: Mapping[str, str], key: str) -> str | None:
    """Return the text under a key; None where there is none, or not as it was written."""
    check, _, text = lines.get(key, "").partition(" ")
    return text if check and check == _check(text) else None


def line_of_bytes(key: str, content: bytes) -> str:
    """Return the line for bytes, under a key without blanks."""
    return kept_line(key, b64encode(zlib.compress(content, 9)).decode())


def kept_bytes(lines: Mapping[str, str], key: str) -> bytes | None:
    """Return the bytes under a key; None where there are none, or not as they were written."""
    text = kept_text(lines, key)
    return zlib.decompress(b64decode(text)) if text is not None else None


def _check(text: str) -> str:
    return sha256(text.encode(errors="replace")).hexdigest()
