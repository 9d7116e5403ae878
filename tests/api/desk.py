"""A program that holds descriptions in memory, as a web desk does: bytes come in, documents go out as bytes.

Reads `{"on": day, "old": {name: base64}, "new": {…}}` from the terminal and writes the SHA-256 of every file that
comes of it, and the name of every file that is opened on the way and is not progdoc's own.
"""

from __future__ import annotations

import base64
import hashlib
import json
import os
import sys
from collections.abc import Mapping
from datetime import date
from pathlib import Path

import progdoc

_PACKAGE = Path(progdoc.__file__).parent
_OURS = (sys.prefix, sys.base_prefix, str(_PACKAGE), str(_PACKAGE.with_name("templates")))


def documents(files: Mapping[str, bytes], name: str, on: date) -> dict[str, bytes]:
    """Return the set that `progdoc build` writes, or nothing where the description can't be understood."""
    checked = checked_on(files, name, on)
    return progdoc.build(checked) if checked.is_understood else {}


def checked_on(files: Mapping[str, bytes], name: str, on: date) -> progdoc.Checked:
    loaded: progdoc.Loaded = progdoc.load(files, name)
    return progdoc.check(loaded, on=on)


def unprotected(checked: progdoc.Checked) -> list[str]:
    """Return what somebody wears and should not: the task and the mask."""
    selection: tuple[progdoc.SelectedTask, ...] = progdoc.select(checked)
    return [f"{task.air.task.id}: {v.mask.id}" for task in selection for v in task.masks if not v.is_adequate]


def overdue(checked: progdoc.Checked) -> list[str]:
    outlook: progdoc.Outlook = progdoc.due(checked, within_days=30)
    return [item.id for item in outlook.overdue]


def asked_next(checked: progdoc.Checked) -> list[str]:
    questions: tuple[progdoc.Question, ...] = checked.questions
    return [f"{question.id}: {' '.join(question.settles)}" for question in questions]


def changes(old: progdoc.Checked, new: progdoc.Checked) -> list[str]:
    compared: progdoc.Compared = progdoc.compare(old, new)
    return [change.place for change in compared.comparison.description]


def main() -> None:
    from progdoc.app.compare import compared_files

    asked = json.loads(sys.stdin.read())
    on = date.fromisoformat(asked["on"])
    old, new = ({name: base64.b64decode(text) for name, text in asked[side].items()} for side in ("old", "new"))
    opened: list[str] = []
    sys.addaudithook(lambda event, given: opened.append(os.fspath(given[0])) if _is_opening(event, given) else None)
    before, after = checked_on(old, "old", on), checked_on(new, "new", on)
    files = {f"new/{name}": data for name, data in documents(new, "new", on).items()}
    files |= {f"changes/{name}": data for name, data in compared_files(progdoc.compare(before, after)).items()}
    told = {
        "files": {name: hashlib.sha256(data).hexdigest() for name, data in files.items()},
        "findings": [finding.code for finding in after.report.findings],
        "asked": asked_next(after),
        "unprotected": unprotected(after),
        "overdue": overdue(after),
        "changes": changes(before, after),
    }
    sys.stdout.write(json.dumps(told | {"opened": [name for name in opened if not name.startswith(_OURS)]}))


def _is_opening(event: str, given: tuple[object, ...]) -> bool:
    return event == "open" and isinstance(given[0], str | os.PathLike)


if __name__ == "__main__":
    main()
