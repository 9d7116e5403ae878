"""What a run left in the folder of a description that was interrupted there: finished, or cleared away, by the next.

An event may change two files. A run that was killed between them had decided on both, so whoever reads the description
next brings it to its end first: else the same person would stand in both, or in none.
"""

from __future__ import annotations

import os
from pathlib import Path
from time import sleep
from typing import TYPE_CHECKING

from progdoc.app.disk.staging import HeldElsewhereError, staging_of
from progdoc.core.late_dataclass import dataclass
from progdoc.model.yaml.yaml_file import readable

if TYPE_CHECKING:
    from progdoc.app.disk.refusals import Refusal

__all__ = ["Settled", "settled", "why_half_written"]

_TRIES = 40
_MOMENT = 0.05  # seconds, in which another run may come to its end


@dataclass(frozen=True, slots=True)
class Settled:
    """`left_by` names the run that was interrupted, `mended` says if what it had begun was completed."""

    left_by: str
    mended: bool


def settled(folder: Path) -> Settled | None:
    """Bring to its end what was left in a folder, if anything was, and if the disk and other runs allow."""
    if not os.path.lexists(staging_of(folder)):
        return None
    from progdoc.app.disk.placement import holding
    from progdoc.app.disk.refusals import REFUSALS

    try:
        with holding(folder) as held:
            return Settled(held.left_by, held.mended)
    except REFUSALS:
        return None


def why_half_written(folder: Path) -> str:
    """Bring to its end what was left in a folder; return why it can't be read now, where that can't be done."""
    if not os.path.lexists(staging_of(folder)):
        return ""  # nearly always: what would mend it is not even imported
    from progdoc.app.disk.placement import holding, is_half_placed
    from progdoc.app.disk.refusals import REFUSALS

    for left in reversed(range(_TRIES)):
        if not os.path.lexists(staging_of(folder)):
            return ""
        try:
            with holding(folder):
                return ""
        except REFUSALS as error:
            if not is_half_placed(folder):  # what stands there is whole
                return ""
            if isinstance(error, HeldElsewhereError) and left:
                sleep(_MOMENT)
                continue
            return _told(error, folder)
    return ""


def _told(error: Refusal, folder: Path) -> str:
    from progdoc.app.disk.refusals import cause_of

    if isinstance(error, HeldElsewhereError):
        return f"{error.holder} is writing to it; wait until it has ended"
    cause = cause_of(error, folder) if isinstance(error, OSError) else readable(str(error))
    return f"a run was interrupted that had begun to write to it, and it can't be finished: {cause}"
