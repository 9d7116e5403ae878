"""The two sides of a comparison at their paths: descriptions, folders or issued revisions, in any mix."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from progdoc.app.check import check
from progdoc.app.compare import Compared, Version, compare
from progdoc.app.disk.description_files import load_path
from progdoc.app.disk.issued_folder import issue_sheet, issued_as, lacks_description
from progdoc.app.disk.issued_rules import packs_in
from progdoc.app.disk.verified_revision import verify
from progdoc.app.issue import DESCRIPTION
from progdoc.core.diagnostics import Diagnostic
from progdoc.model.load import Loaded
from progdoc.rules.in_force.states_of_work import enforcing_states
from progdoc.rules.reading.catalogue import catalogue_with

__all__ = ["compare_paths", "version_at", "versions_at"]


def compare_paths(old: Path, new: Path, on: date, rules: Sequence[Path] = ()) -> Compared | list[Diagnostic]:
    """Return how two descriptions differ; or every fault that keeps one of them from being understood."""
    sides = versions_at(old, new, on, rules)
    return sides if isinstance(sides, list) else compare(*sides)


def versions_at(
    old: Path, new: Path, on: date, rules: Sequence[Path] = ()
) -> tuple[Version, Version] | list[Diagnostic]:
    """Return both sides, judged; or every fault that keeps one of them from being understood.

    Parameters
    ----------
    rules
        Packs of rules, laid over the federal ones for both sides. Where none are named, those that the new side was
        issued by; where it was not issued, those of the old one.
    """
    lacking = [fault for path in (old, new) for fault in lacks_description(path)]
    if lacking:
        return lacking
    packs = rules or packs_in(new if issue_sheet(new) else old)
    sides = version_at(old, on, packs), version_at(new, on, packs)
    faults = [d for side in sides if not side.checked.is_understood for d in side.checked.report.findings]
    return faults or sides


def version_at(path: Path, on: date, rules: Sequence[Path] | None = None) -> Version:
    """Return the description at a path, or the one that an issued revision holds, judged on a day.

    Parameters
    ----------
    rules
        The packs of rules to judge by, in place of those that it was issued by.
    """
    issued = issued_as(path)
    if issued is None:
        loaded = load_path(path)
        catalogue, faults = catalogue_with(rules or (), _states_of(loaded))
        return Version(path.name, check(loaded, on, catalogue, faults), catalogue=catalogue)
    loaded = load_path(path / DESCRIPTION)
    states = _states_of(loaded)
    altered = tuple(sorted({_name_in(path, fault) for fault in verify(path).faults}))
    own, own_faults = catalogue_with(packs_in(path), states)
    catalogue, faults = (own, own_faults) if rules is None else catalogue_with(rules, states)
    checked = check(loaded, on, catalogue, faults)
    return Version(path.name, checked, issued, altered, catalogue, None if own_faults else own)


def _states_of(loaded: Loaded) -> frozenset[str]:
    """Return the states whose rules bind work of a description: each side is judged by those of its own places."""
    return enforcing_states(loaded.program) if loaded.program else frozenset()


def _name_in(folder: Path, fault: Diagnostic) -> str:
    """Return which file of a folder a fault is about, as somebody may read it who is not to know the workers."""
    file = Path(fault.location.file)
    name = file.relative_to(folder).as_posix() if file.is_relative_to(folder) and file != folder else file.name
    return "a restricted file" if name.startswith("restricted/") else name
