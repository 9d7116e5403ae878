"""Reads a description and judges it: the use case behind `check`, and the first half of every other one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from progdoc import __version__
from progdoc.app.attachments import missing_attachments
from progdoc.core.diagnostics import Diagnostic
from progdoc.core.report import Report
from progdoc.model.load import Loaded, load
from progdoc.rules.judge import judge
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import Catalogue, built_in_catalogue, catalogue_with

__all__ = ["Checked", "base_of", "check", "check_path"]


@dataclass(frozen=True, slots=True)
class Checked:
    """What came of a description: nothing to judge while it can't be understood."""

    loaded: Loaded
    judged: Judged | None
    report: Report

    @property
    def is_understood(self) -> bool:
        return self.judged is not None


def check_path(path: Path, as_of: date, rules: Sequence[Path] = ()) -> Checked:
    """Read the description at a path and judge it on a day, by the federal rules and by a user's packs of rules."""
    loaded = load(path)
    catalogue, faults = catalogue_with(rules)
    hindering = (*missing_attachments(loaded, base_of(path)), *faults)
    if hindering:
        loaded = Loaded(None, loaded.description, (*loaded.diagnostics, *hindering))
    return check(loaded, as_of, catalogue)


def base_of(path: Path) -> Path:
    """Return the folder that files named in the description are beside."""
    return path if path.is_dir() else path.parent


def check(loaded: Loaded, as_of: date, catalogue: Catalogue | None = None) -> Checked:
    """Judge a description that was read; without a catalogue, by the federal rules alone."""
    catalogue = catalogue or built_in_catalogue()
    if loaded.program is None:
        return Checked(loaded, None, _report(loaded.diagnostics, as_of, catalogue.pack, catalogue.version))
    judged = judge(loaded, catalogue, as_of)
    return Checked(loaded, judged, judged.report(__version__))


def _report(findings: tuple[Diagnostic, ...], as_of: date, pack: str, version: str) -> Report:
    return Report(
        on=as_of, rules_pack=pack, rules_version=version, title="", revision="", findings=findings, version=__version__
    )
