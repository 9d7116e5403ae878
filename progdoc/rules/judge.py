"""The whole of the rules in one call: selection, verdicts, findings, and the report they make."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from progdoc.core.diagnostics import Diagnostic
from progdoc.core.report import Report, RequirementStatus, Status
from progdoc.model.description.program import Program
from progdoc.model.load import Loaded
from progdoc.rules.evaluate import evaluate, findings
from progdoc.rules.facts import Facts, label_of
from progdoc.rules.in_force.rule_set import rule_set
from progdoc.rules.masks.selection import select
from progdoc.rules.reading.catalogue import Catalogue
from progdoc.rules.requirement import Verdict

__all__ = ["Judged", "judge"]


@dataclass(frozen=True, slots=True)
class Judged:
    """A description, judged on a day."""

    facts: Facts
    catalogue: Catalogue
    verdicts: tuple[Verdict, ...]
    findings: tuple[Diagnostic, ...]

    def report(self, version: str, answered_in: Mapping[str, tuple[str, ...]] | None = None) -> Report:
        """Return everything a renderer needs; `answered_in` tells by code where the document answers."""
        program = self.facts.description
        answers = answered_in or {}
        return Report(
            on=self.facts.as_of,
            rules_pack=self.catalogue.pack,
            rules_version=self.catalogue.version,
            title=program.program.title or "",
            revision=program.program.revision or "",
            findings=self.findings,
            requirements=tuple(
                RequirementStatus(
                    code=v.requirement.code,
                    name=v.requirement.name,
                    citation=str(v.requirement.citation),
                    status=v.status,
                    because=v.because,
                    subject=v.subject.ids,
                    answered_in=answers.get(v.requirement.code, ()) if v.status is Status.MET else (),
                )
                for v in self.verdicts
            ),
            version=version,
            names=_names(program),
        )


def judge(loaded: Loaded, catalogue: Catalogue, as_of: date) -> Judged:
    """Judge a description that was understood."""
    if loaded.program is None:
        raise ValueError("a description with faults of form cannot be judged")
    rules = rule_set(catalogue.law_on(as_of), loaded.program)
    facts = Facts(rules, loaded.locate, as_of, select(rules, as_of))
    verdicts = evaluate(facts, catalogue.in_force(as_of))
    return Judged(facts, catalogue, verdicts, (*loaded.diagnostics, *findings(facts, verdicts)))


def _names(program: Program) -> dict[str, str]:
    """Return what people call each described thing, by its id in subjects."""
    lists: dict[str, tuple[Any, ...]] = {
        "tasks": program.tasks,
        "masks": program.masks,
        "filters": program.filters,
        "people": program.people,
    }
    return {f"{kind}.{thing.id}": label_of(thing) for kind, things in lists.items() for thing in things}
