"""Judges a description that was read: the use case behind `check`, and the first half of every other one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from progdoc.app.attachments import missing_attachments, unfit_texts, unusable_figures
from progdoc.app.firm_look import NO_LOOK, FirmLook, faults_in_print, look_in, look_of
from progdoc.app.own_words import told_of_own_words
from progdoc.core.diagnostics import Diagnostic, Scope, Severity, worst_first
from progdoc.core.judged_days import FIRST_DAY, LAST_DAY, can_be_judged_for
from progdoc.core.late_dataclass import dataclass
from progdoc.core.questions import Question
from progdoc.core.report import Report
from progdoc.core.unread import Unread
from progdoc.core.version import __version__
from progdoc.model.load import Loaded
from progdoc.rules.in_force.states_of_work import enforcing_states
from progdoc.rules.judge import judge
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import Catalogue, catalogue_with

__all__ = ["Checked", "check", "gaps_of_program", "with_look"]


@dataclass(frozen=True, slots=True)
class Checked:
    """What came of a description: nothing to judge while it can't be understood."""

    loaded: Loaded
    judged: Judged | None
    report: Report
    worn: FirmLook = NO_LOOK  # the firm's own look of its documents

    @property
    def is_understood(self) -> bool:
        return self.judged is not None

    @property
    def questions(self) -> tuple[Question, ...]:
        """What is to be answered, the next question first; none while the description can't be understood."""
        return self.report.questions


def check(
    loaded: Loaded, on: date, catalogue: Catalogue | None = None, rule_faults: Sequence[Diagnostic] = ()
) -> Checked:
    """Judge a description that was read, on a day.

    Parameters
    ----------
    loaded
        What `load` returned.
    on
        The day to judge for, one of `progdoc.core.judged_days`.
    catalogue
        The rules to judge by; where none are given the federal ones, and those that ship for the states of the firm.
    rule_faults
        What is wrong with a user's own packs of rules: nothing is judged by rules that can't be read.
    """
    if not can_be_judged_for(on):
        raise ValueError(f"the rules in force on {on} are not known; they are from {FIRST_DAY} to {LAST_DAY}")
    if catalogue is None:
        catalogue, _ = catalogue_with((), enforcing_states(loaded.program) if loaded.program else frozenset())
    worn, look_faults = look_of(loaded)
    hindering = (
        *missing_attachments(loaded),
        *unfit_texts(loaded),
        *unusable_figures(loaded),
        *rule_faults,
        *look_faults,
    )
    if hindering:
        loaded = replace(loaded, program=None, diagnostics=(*loaded.diagnostics, *hindering))
    if loaded.program is None:
        return Checked(loaded, None, _not_understood(loaded, on, catalogue.pack, catalogue.version))
    judged = judge(loaded, catalogue, on)
    return _worn(Checked(loaded, judged, judged.report(__version__)), worn, ())


def with_look(checked: Checked, files: Mapping[str, bytes | Unread] | Unread, folder: str = "look") -> Checked:
    """Return the same in a look of the firm's own, in place of the one that the description names.

    Parameters
    ----------
    checked
        What `check` returned; where it was not understood it is returned as it is.
    files
        Of the look's folder, by their names inside it; or why there are none.
    folder
        What findings call it.
    """
    return _worn(checked, *look_in(files, folder)) if checked.is_understood else checked


def _worn(checked: Checked, worn: FirmLook, faults: Sequence[Diagnostic]) -> Checked:
    """Return what was judged with its look; where that can't be worn, the faults instead: nothing is half printed."""
    if checked.judged is not None and not faults:
        faults = faults_in_print(checked.judged, worn)
    if not faults:
        return _with_own_words(replace(checked, worn=worn))
    loaded, report = checked.loaded, checked.report
    loaded = replace(loaded, program=None, diagnostics=(*loaded.diagnostics, *faults))
    return Checked(loaded, None, _not_understood(loaded, report.on, report.rules_pack, report.rules_version))


def _with_own_words(checked: Checked) -> Checked:
    """Return the same with what the look's own words leave out or take back among the findings."""
    found = told_of_own_words(checked.judged, checked.worn) if checked.judged is not None else []
    if checked.judged is None or not found:
        return checked
    findings = tuple(worst_first([*checked.judged.findings, *found]))
    judged = replace(checked.judged, findings=findings)
    return replace(checked, judged=judged, report=judged.report(__version__))


def gaps_of_program(checked: Checked) -> list[Diagnostic]:
    """Return what the written program lacks: it makes a draft, and keeps it from being issued."""
    return [d for d in checked.report.findings if d.severity is Severity.REQUIRED and d.scope is Scope.PROGRAM]


def _not_understood(loaded: Loaded, as_of: date, pack: str, version: str) -> Report:
    from progdoc.model.named_workers import workers_named

    return Report(
        on=as_of,
        rules_pack=pack,
        rules_version=version,
        title="",
        revision="",
        findings=loaded.diagnostics,
        version=__version__,
        workers=workers_named(loaded.description, loaded.files),
    )
