"""The fonts that the typesetter carries, found once for all that a run sets and draws; the machine's are no part.

The same letters are then there on every machine, and the same bytes come of them.
"""

from __future__ import annotations

from functools import cache
from typing import Any

__all__ = ["own_fonts"]


@cache
def own_fonts() -> Any:
    """Return the fonts as the typesetter takes them."""
    import typst  # only who asks for pages or pictures loads it

    return typst.Fonts(include_system_fonts=False)
