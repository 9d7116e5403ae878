"""The judged description: the one result that documents, comparisons, writers and reports read.

What is printed was worked out before it got here. What is large and asked for by few outputs is worked out by the
rules when it is first asked for: such a field is a function.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date

from progdoc.core.barred import Barred
from progdoc.core.citations import Citation, Source
from progdoc.core.diagnostics import Diagnostic
from progdoc.core.late_dataclass import dataclass
from progdoc.core.questions import Question
from progdoc.core.report import Report, RequirementStatus, Status, StatusesOfMany, StatusOfMany
from progdoc.model.description.emergency_plans import Foreseeable
from progdoc.model.description.index import Index
from progdoc.model.description.program import Program
from progdoc.rules.judged.assignment_results import Roster
from progdoc.rules.judged.borrowed_results import Borrowed
from progdoc.rules.judged.calendar_results import CalendarDay
from progdoc.rules.judged.cartridge_results import CartridgeChange, ServiceLife
from progdoc.rules.judged.due_results import Outlook
from progdoc.rules.judged.every_verdict import EveryVerdict
from progdoc.rules.judged.figure_results import PrintedFigures
from progdoc.rules.judged.mask_results import ClassVerdict, OfGroup, Selection
from progdoc.rules.judged.record_results import NamedProtocol, OldEvidence, ParticleFilter, PersonRecords
from progdoc.rules.judged.responsibility_results import Responsibilities
from progdoc.rules.requirement import Fact, PackName, Requirement, Verdict

__all__ = ["Judged", "Statuses"]


@dataclass(frozen=True, slots=True)
class Statuses(StatusesOfMany):
    """How each subject stands to each requirement, as reports print it: people times duties, so that none is kept."""

    verdicts: EveryVerdict
    answered_in: Mapping[str, tuple[str, ...]]

    def __len__(self) -> int:
        return len(self.verdicts)

    def __contains__(self, row: object) -> bool:
        return any(row == one for one in self)

    def __iter__(self) -> Iterator[RequirementStatus]:
        cited = _Cited()
        return (self._told(one, cited) for one in self.verdicts)

    def alike(self) -> Iterator[StatusOfMany]:
        cited = _Cited()
        for one in self.verdicts.alike():
            members = one.of.members
            is_all = one.many == len(members)
            yield self._told(one.verdict, cited), members if is_all else [members[i] for i in one.numbers]

    def _told(self, v: Verdict, cited: _Cited) -> RequirementStatus:
        code = v.requirement.code
        answered = self.answered_in.get(code, ()) if v.status is Status.MET else ()
        return RequirementStatus(
            code, v.requirement.name, cited[v.citation], v.status, v.because, v.subject.ids, v.evidence, answered
        )


class _Cited(dict[Citation, str]):
    """How each paragraph is cited, written once."""

    def __missing__(self, citation: Citation) -> str:
        self[citation] = told = str(citation)
        return told


@dataclass(frozen=True, slots=True)
class Judged:
    """A description, judged on a day."""

    index: Index  # the description itself, and where everything in it stands
    adopted: frozenset[str]  # the places that nobody wrote: adopting a paragraph states them
    as_of: date
    rules_pack: str
    rules_version: str
    packs: tuple[PackName, ...]
    requirements: tuple[Requirement, ...]  # in force on the day
    known: Mapping[str, Requirement]  # every code, whether in force or not
    sources: tuple[Source, ...]  # every law, standard and paper that a citation may name
    agent_standards: frozenset[str]  # the sections that are each about one agent
    verdicts: EveryVerdict
    findings: tuple[Diagnostic, ...]
    questions: tuple[Question, ...]  # the findings under the answers that settle them, what is asked next first
    open_texts: frozenset[str]  # the places whose text only holds the place of an answer: no paper repeats it
    program_facts: Mapping[str, Fact]  # by the name of a predicate: how it stands for the program as a whole
    selection: Selection  # the air of every task, and every mask in it
    for_groups: Mapping[str, tuple[OfGroup, ...]]  # by task, where something is otherwise for some of the crew
    cartridge_changes: Mapping[tuple[str, str, str], CartridgeChange]  # by task, mask and filter
    service_lives: Mapping[tuple[str, str], ServiceLife]  # by task and mask
    loose_fitting: frozenset[str]  # masks that are known not to seal to the face
    evaluated_tasks: frozenset[str]  # tasks that call for a medical evaluation
    particle_filters: tuple[ParticleFilter, ...]
    gas_cartridges: frozenset[str]  # filters that stop gas or vapour: a vapour may spend them
    filter_colours: Mapping[str, tuple[str, ...]]  # by filter, those by which it is told apart, where they are known
    protocols: tuple[NamedProtocol, ...]  # of fit tests, as the program names them
    old_evidence: tuple[OldEvidence, ...]
    figures: PrintedFigures  # what is in force of each figure of the law
    roster: Roster  # who may do which task
    barred: tuple[Barred, ...]  # the work that nobody may start, and how many people may not start the rest of it
    responsibilities: Responsibilities  # who has which duty, and the rules of the firm
    barring: frozenset[str]  # the codes of what bars work for everybody
    emergencies_at: Mapping[str, tuple[tuple[str, Foreseeable], ...]]  # by task: those that may happen there
    calendar: Mapping[str, CalendarDay]  # by its id: an entry of the firm's own calendar
    due: Callable[[int], Outlook]  # what falls due, seen so many days ahead
    records_of: Callable[[str], PersonRecords]  # by the id of a person
    borrowed: tuple[Borrowed, ...]  # figures that are not law, in use here, and that nobody has confirmed
    classes_for: Callable[[str], tuple[ClassVerdict, ...]]  # which classes of mask would do in a task

    @property
    def description(self) -> Program:
        return self.index.description

    def is_timed(self, change: CartridgeChange) -> bool:
        """Whether how long a cartridge lasts is told: not where nobody may wear its mask."""
        return self.selection.masks[change.task.id, change.mask.id].is_timed

    def printed(self, text: str | None, path: str) -> str:
        """Return a text as a paper prints it outside its sentences: nothing where it answers nothing."""
        return "" if text is None or path in self.open_texts else text

    def holds(self, predicate: str) -> bool:
        """Whether a fact is known to be true of the program."""
        return self.program_facts[predicate].holds is True

    def asks(self, predicate: str) -> tuple[str, ...]:
        """Return where somebody would have to say whether a fact is true of the program; nothing where it is known."""
        fact = self.program_facts[predicate]
        return fact.ask if fact.holds is None else ()

    def report(self, version: str, answered_in: Mapping[str, tuple[str, ...]] | None = None) -> Report:
        """Return everything a renderer needs; `answered_in` tells by code where the document answers."""
        program = self.description
        return Report(
            on=self.as_of,
            rules_pack=self.rules_pack,
            rules_version=self.rules_version,
            title=program.program.title or "",
            revision=program.program.revision or "",
            findings=self.findings,
            requirements=Statuses(self.verdicts, answered_in or {}),
            version=version,
            names=self.index.names,
            questions=self.questions,
            barred=self.barred,
            barring=self.barring,
        )
