"""What is typed after an option, as a value: a file, a day, a digest, a number; or why not. Imports nothing heavy."""

from __future__ import annotations

import argparse

TYPE_CHECKING = False  # without `typing`: it would take a quarter of the help's time
if TYPE_CHECKING:
    from datetime import date
    from pathlib import Path

__all__ = ["typed_day", "typed_days", "typed_digest", "typed_file", "typed_jobs"]


def typed_file(text: str) -> Path:
    from pathlib import Path

    if not text:
        raise argparse.ArgumentTypeError("the name is empty")
    return Path(text)


def typed_day(text: str) -> date:
    from datetime import date

    try:
        if len(text) != 10:
            raise ValueError(text)
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"“{text}” is not a day; write it as 2026-11-24") from None


def typed_digest(text: str) -> str:
    """Return a digest, or its beginning as somebody wrote it beside a signature: “a1b2 c3d4 e5f6 0718”."""
    digest = "".join(text.split()).lower()
    if not 16 <= len(digest) <= 64 or not set(digest) <= set("0123456789abcdef"):
        raise argparse.ArgumentTypeError(
            f"“{text}” is no SHA-256; write the 64 digits that `progdoc issue` printed, or the first 16 of them"
        )
    return digest


def typed_days(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 5):
        raise argparse.ArgumentTypeError(f"“{text}” is no number of days; write for example 30")
    return int(text)


def typed_jobs(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 0 < int(text) <= 1000):
        raise argparse.ArgumentTypeError(f"“{text}” is no number of jobs; write for example 4")
    return int(text)
