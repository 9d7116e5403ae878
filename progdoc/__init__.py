"""Writes a respiratory protection program from a description of a workplace, and says what is missing.

The functions named here are public; what they take and return is held in memory, and no file is touched:

>>> import progdoc
>>> from datetime import date
>>> loaded = progdoc.load({"shop.yaml": b"format: 1"})
>>> checked = progdoc.check(loaded, on=date(2026, 11, 24))
>>> checked.is_understood
True

They are imported when first asked for, so that `import progdoc` costs nothing.
"""

from __future__ import annotations

from progdoc.core.version import __version__

TYPE_CHECKING = False  # type checkers take it for true; to import it would be a quarter of the help's time
if TYPE_CHECKING:
    from typing import Any

    from progdoc.app.build import build
    from progdoc.app.check import Checked, check
    from progdoc.app.compare import Compared, compare
    from progdoc.app.due import due
    from progdoc.app.record import Recorded, record
    from progdoc.app.record_events import Event
    from progdoc.app.select import SelectedTask, select
    from progdoc.core.questions import Question
    from progdoc.model.load import Loaded, load
    from progdoc.rules.judged.due_results import Outlook

__all__ = [
    "Checked",
    "Compared",
    "Event",
    "Loaded",
    "Outlook",
    "Question",
    "Recorded",
    "SelectedTask",
    "__version__",
    "build",
    "check",
    "compare",
    "due",
    "load",
    "record",
    "select",
]

_PUBLIC = {
    "Checked": "progdoc.app.check",
    "Compared": "progdoc.app.compare",
    "Event": "progdoc.app.record_events",
    "Loaded": "progdoc.model.load",
    "Outlook": "progdoc.rules.judged.due_results",
    "Question": "progdoc.core.questions",
    "Recorded": "progdoc.app.record",
    "SelectedTask": "progdoc.app.select",
    "build": "progdoc.app.build",
    "check": "progdoc.app.check",
    "compare": "progdoc.app.compare",
    "due": "progdoc.app.due",
    "load": "progdoc.model.load",
    "record": "progdoc.app.record",
    "select": "progdoc.app.select",
}


if not TYPE_CHECKING:  # else a type checker would let any name pass

    def __getattr__(name: str) -> Any:
        if name not in _PUBLIC:
            raise AttributeError(f"module 'progdoc' has no attribute {name!r}")
        from importlib import import_module

        return getattr(import_module(_PUBLIC[name]), name)
