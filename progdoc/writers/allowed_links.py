"""What may become a link. Everything else is printed as words, whoever wrote it."""

from __future__ import annotations

import re

__all__ = ["is_allowed_href"]

_OUTSIDE = re.compile(r"(https://[^/]|mailto:[^/])\S*", re.IGNORECASE)
_FRAGMENT = re.compile(r"#\S+")
# A file of the set: no scheme, no host, no place counted from the root of a disk.
_RELATIVE = re.compile(r"(?![/\\])[^\s:?#\\]+(#\S*)?")
_NEVER = re.compile(r"[\x00-\x20\x7f\\\"<>`]")


def is_allowed_href(href: str) -> bool:
    """Return whether the address is https, mailto, a relative file name or a place in this document.

    >>> is_allowed_href("gaps.html#FIT-002"), is_allowed_href("https://www.ecfr.gov/")
    (True, True)
    >>> is_allowed_href("javascript:1"), is_allowed_href("//example.org"), is_allowed_href("file:///x")
    (False, False, False)
    """
    if _NEVER.search(href):
        return False
    return any(form.fullmatch(href) for form in (_OUTSIDE, _FRAGMENT, _RELATIVE))
