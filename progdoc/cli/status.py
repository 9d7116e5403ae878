"""The exit statuses; other programs rely on them."""

from __future__ import annotations

__all__ = ["CHANGED", "FAULT", "GAPS", "OK", "UNUSABLE"]

OK = 0  # nothing required is missing; `compare`: nothing changed
GAPS = 1  # required gaps remain
CHANGED = 1  # `compare`: something changed
UNUSABLE = 2  # the description, the arguments or the disk won't do; nothing was written
FAULT = 3  # a fault of progdoc itself
