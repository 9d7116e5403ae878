"""One side of a comparison: what was checked, the day it stands for, and the files beside it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from progdoc.app.check import Checked, check
from progdoc.app.issue import IssuedAs
from progdoc.app.manifest import sha256
from progdoc.comparison.changes import Change, Kind, Nature, Side, Topic
from progdoc.core.judged_days import can_be_judged_for
from progdoc.core.late_dataclass import dataclass
from progdoc.core.version import __version__
from progdoc.model.description.base import Described
from progdoc.model.description.program import Program
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import Catalogue
from progdoc.rules.records.dangling_words import MAY_LIE_AHEAD

__all__ = ["Version", "changed_files", "is_issued_by", "judged_by_its_rules", "judged_on_its_day", "side_of"]


@dataclass(frozen=True, slots=True)
class Version:
    """One side of a comparison."""

    name: str  # as its owner would recognise it
    checked: Checked
    issued: IssuedAs | None = None  # what it was issued as, where it is an issued revision
    altered: tuple[str, ...] = ()  # the files of an issued revision that are not as they were issued
    catalogue: Catalogue | None = None  # the rules that it is judged by here; None: the federal ones alone
    own_rules: Catalogue | None = None  # of an issued revision: those it was issued by, as they are read today

    @property
    def judged(self) -> Judged:
        if self.checked.judged is None:
            raise ValueError("a description with faults of form cannot be compared")
        return self.checked.judged

    @property
    def program(self) -> Program:
        """The description as it was written, before the rules refused or added anything."""
        if self.checked.loaded.program is None:
            raise ValueError("a description with faults of form cannot be compared")
        return self.checked.loaded.program


def side_of(version: Version, day: date) -> Side:
    report = version.checked.report
    rules = version.issued.sheet.rules if version.issued else f"{report.rules_pack} {report.rules_version}"
    firm = version.program.organisation.name or ""
    is_issued = version.issued is not None
    return Side(version.name, report.title, report.revision, rules, is_issued, firm, day, version.altered)


# ---- the day of the old side --------------------------------------------------------------------------


def judged_on_its_day(old: Version, new: Version) -> Judged | None:
    """Return the old side as it was judged on its own day; None where no time has passed since.

    An issued revision stands for the day of its issue. A description stands for the day on which it took effect or
    had its last entry, if another one took effect later; else for the day of the comparison, like the other side.
    """
    day = _own_day(old, new)
    if day >= old.checked.report.on or not can_be_judged_for(day):
        return None
    return check(old.checked.loaded, day, old.catalogue).judged


def judged_by_its_rules(old: Version, day: date) -> Judged | None:
    """Return an issued revision as it was judged by its own packs of rules; None where today's are the same.

    None too where the federal rules were others then: those are not at hand, only what they found.
    """
    own, report = old.own_rules, old.checked.report
    if old.issued is None or own is None or not is_issued_by(old, f"{own.pack} {own.version}"):
        return None
    if (own.pack, own.version) == (report.rules_pack, report.rules_version):
        return None
    return check(old.checked.loaded, day, own).judged


def is_issued_by(version: Version, rules: str) -> bool:
    """Whether a revision was issued by these very rules, and by this progdoc."""
    sheet = version.issued.sheet if version.issued else None
    return sheet is not None and (sheet.rules, sheet.progdoc) == (rules, __version__)


def _own_day(old: Version, new: Version) -> date:
    on = old.checked.report.on
    if old.issued is not None:
        return old.issued.sheet.issued_on
    since, until = old.program.program.effective, new.program.program.effective
    if since is None or until is None or until <= since:
        return on
    return max((day for day in _days_done(old.program, "") if day <= min(until, on)), default=since)


def _days_done(part: Described, place: str) -> Iterator[date]:
    """Yield every day of something that was done, and the day on which the program took effect."""
    for name in type(part).model_fields:
        value = getattr(part, name)
        field = f"{place}.{name}" if place else name
        for item in value if isinstance(value, tuple) else (value,):
            if isinstance(item, Described):
                yield from _days_done(item, f"{field}[]" if isinstance(value, tuple) else field)
            elif isinstance(item, date) and (field not in MAY_LIE_AHEAD or field == "program.effective"):
                yield item


# ---- files beside the description ---------------------------------------------------------------------


def changed_files(old: Version, new: Version) -> tuple[Change, ...]:
    """Return the attachments and the files of the look that came, went, or hold something else."""
    before, after = _files(old), _files(new)
    return tuple(
        Change(_kind(one, other), f"file {name}", _WHAT[name.startswith("attachment ")], _short(one), _short(other),
               topic=Topic.FILE, nature=Nature.FACT)
        for name in sorted(before.keys() | after.keys())
        if (one := before.get(name, "")) != (other := after.get(name, ""))
    )  # fmt: skip


_WHAT = {True: "attached file", False: "file of the look"}


def _kind(one: str, other: str) -> Kind:
    return Kind.ADDED if not one else Kind.REMOVED if not other else Kind.REWORDED


def _short(checksum: str) -> str:
    return f"SHA-256 {checksum[:12]}…" if checksum else ""


def _files(version: Version) -> Mapping[str, str]:
    """Return the checksums of the files, by what they are called wherever they lie."""
    loaded, program = version.checked.loaded, version.program
    found = {f"attachment {one.id}": loaded.content(one.file) for one in program.attachments}
    folder = f"{program.program.look}/"
    if program.program.look:
        inside = [name for name in loaded.files if name.startswith(folder)]
        found |= {f"look {name.removeprefix(folder)}": loaded.content(name) for name in inside}
    return {name: sha256(data) for name, data in found.items() if data is not None}
