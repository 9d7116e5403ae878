"""What falls due for devices, breathing air, evidence of exposure, and the program itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date

from progdoc.calc.calendar_days import window_end_after
from progdoc.calc.due_dates import is_overdue
from progdoc.core.numbers import long_date
from progdoc.core.said import said
from progdoc.model.description.breathing_air import AirSource
from progdoc.model.description.devices import Unit, Withdrawn
from progdoc.model.description.exposure_evidence import LeadTask, Unknown
from progdoc.model.description.masks import Mask
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import DoneBy, Task
from progdoc.rules.air.evidence import oldest_kind
from progdoc.rules.air.floors import is_assumed_lead
from progdoc.rules.air.monitoring import monitoring_cycles
from progdoc.rules.due.due_items import DueItem
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import cylinder_due, evaluation_cycles, evidence_cycles, inspection_cycles
from progdoc.rules.in_force.intervals import Cycle, own, shortest
from progdoc.rules.in_force.policy_reach import is_coming, origin_of
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.judged.due_results import Kind
from progdoc.rules.judged.figure_results import OWN
from progdoc.rules.lookup.answers_said import is_declared_unknown
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.seasons import months_each_year
from progdoc.rules.lookup.withdrawal import is_withdrawn
from progdoc.rules.records.air_checks import beds_due
from progdoc.rules.records.dangling_words import last_day_accepted
from progdoc.rules.records.entry_checks import oxygen_to_show
from progdoc.rules.records.upkeep_checks import LOOKED_AT_AGAIN, begins_on, evaluated_on

__all__ = ["due_for_workplace"]

_OUR_MONTHS = 12  # our choice, where the law sets no interval
_YEAR_IS_OLD = said("good practice: evidence is looked at again after a year")


def due_for_workplace(facts: Facts) -> Iterator[DueItem]:
    """Yield what falls due that is about no single wearer."""
    for path, mask in facts.masks.values():
        for i, unit in enumerate(() if is_withdrawn(mask, facts.as_of) else mask.units):
            if is_withdrawn(unit, facts.as_of):
                continue
            yield from _inspection(facts, mask, unit, f"{path}.units[{i}]")
            yield from _cylinder(facts, mask, unit, f"{path}.units[{i}]")
        if mask.withdrawn is not None and not is_withdrawn(mask, facts.as_of):
            yield _withdrawal(mask, mask.withdrawn, path)
    yield from _air_test(facts)
    for air in facts.selection.air.values():
        for agent in air.agents:
            yield from _exposure(facts, agent)
    for path, task in facts.our_tasks:
        yield from _oxygen(facts, path, task)
    yield from _evaluation(facts)
    yield from _document_review(facts)
    yield from _corrections(facts)
    yield from _acceptances(facts)
    yield from _policies(facts)


# ---- devices and air ----------------------------------------------------------------------------------


def _inspection(facts: Facts, mask: Mask, unit: Unit, path: str) -> Iterator[DueItem]:
    cycles = inspection_cycles(facts.rules, mask, facts.tasks_around(mask))
    if not cycles:
        return
    done = max((entry.date for entry in unit.inspections if entry.date <= facts.as_of), default=None)
    yield _again(
        f"inspection.{mask.id}.{unit.id}", Kind.INSPECTION,
        said("Inspection of %(mask)s %(serial)s", mask=label_of(mask), serial=unit.serial or unit.id),
        done, facts.as_of, cycles, said("no inspection is on record"), f"{path}.inspections",
        (f"masks.{mask.id}", f"units.{unit.id}"),
    )  # fmt: skip


def _cylinder(facts: Facts, mask: Mask, unit: Unit, path: str) -> Iterator[DueItem]:
    if unit.cylinder is None:
        return
    done, due = unit.cylinder.requalified, cylinder_due(facts.rules, facts.tasks_around(mask), unit.cylinder)
    because = said("last %(done)s", done=long_date(done)) if done else said("no test is on record")
    yield DueItem(
        id=f"cylinder.{mask.id}.{unit.cylinder.id}",
        kind=Kind.CYLINDER,
        due=due,
        what=said("Requalification of cylinder %(serial)s", serial=unit.cylinder.serial or unit.cylinder.id),
        because=because if due else said("no date is recorded by which it is due"),
        basis=cited("cylinder-tests"),
        path=f"{path}.cylinder",
        subject=(f"masks.{mask.id}", f"units.{unit.id}"),
    )


def _withdrawal(mask: Mask, gone: Withdrawn, path: str) -> DueItem:
    """A mask that is to go out of use: on that day nobody wears it any more."""
    return DueItem(
        id=f"withdrawal.{mask.id}",
        kind=Kind.WITHDRAWAL,
        due=gone.since,
        what=said("%(mask)s goes out of use: nobody wears it from this day on", mask=label_of(mask)),
        because=gone.because,
        basis=OWN,
        path=f"{path}.withdrawn",
        subject=(f"masks.{mask.id}",),
    )


def _air_test(facts: Facts) -> Iterator[DueItem]:
    supply = facts.description.procedures.air_supply
    if AirSource.COMPRESSOR not in supply.sources:
        return
    done = supply.tested if supply.tested and supply.tested <= facts.as_of else None
    if (until := beds_due(facts)) is not None and supply.compressor.tag_date is not None:
        told = said("the tag is of %(tag_date)s", tag_date=long_date(supply.compressor.tag_date))
        where = "procedures.air_supply.compressor.tag_date"
        yield DueItem("air-beds", Kind.AIR_TEST, until, said("Beds and filters of the compressor"), told, OWN, where)
    cycles = own(supply.test_interval)
    what, path = said("Analysis of the breathing air"), "procedures.air_supply.tested"
    if cycles:
        yield _again("air-test", Kind.AIR_TEST, what, done, facts.as_of, cycles, said("never analysed"), path)
    elif done is None:  # the law asks for good air, and sets no interval in which that is shown again
        yield DueItem("air-test", Kind.AIR_TEST, None, what, said("never analysed"), cited("breathing-air"), path)


def _again(
    identity: str,
    kind: Kind,
    what: str,
    done: date | None,
    as_of: date,
    cycles: Sequence[Cycle],
    never: str,
    path: str,
    subject: tuple[str, ...] = (),
) -> DueItem:
    """Return the item of something that comes round: due after the shortest interval, or at once if never done."""
    cycle = shortest(done or as_of, cycles)
    due = cycle.from_day(done) if done and cycle else None
    because = said("last %(done)s", done=long_date(done)) if done else never
    return DueItem(identity, kind, due, what, because, cycle.basis if cycle else "", path, subject, cycle)


# ---- evidence of exposure -----------------------------------------------------------------------------


def _exposure(facts: Facts, agent: Assessment) -> Iterator[DueItem]:
    evidence = agent.hazard.exposure
    if agent.task.done_by is not DoneBy.OUR_PEOPLE:
        return
    if isinstance(evidence, LeadTask):
        yield from _assumed(agent)
        return
    if is_declared_unknown(evidence) and (agent.task.emergency_only or agent.task.structural_fire):
        return  # the air of an emergency can't be told ahead, and nothing waits for it
    known = oldest_kind(evidence, agent.limits, facts.as_of)
    done = known[0] if known else None
    cycles = monitoring_cycles(agent) + evidence_cycles(facts.rules, agent.task, agent.hazard)
    item = _again(
        f"exposure.{agent.hazard.id}", Kind.EXPOSURE,
        said("Exposure to %(agent)s at “%(task)s”: assess again", agent=agent.hazard.agent, task=label_of(agent.task)),
        done, facts.as_of, cycles or (Cycle(_OUR_MONTHS, 0, _YEAR_IS_OLD),), said("the evidence is not dated"),
        f"{agent.path}.exposure", (f"tasks.{agent.task.id}", f"hazards.{agent.hazard.id}"),
    )  # fmt: skip
    if isinstance(evidence, Unknown | None):
        because = said("nobody knows how much is in the air")
        item = replace(item, because=because, basis=cited("estimate"), cycle=None)
    yield item


def _oxygen(facts: Facts, path: str, task: Task) -> Iterator[DueItem]:
    if told := oxygen_to_show(facts, task):
        done = told.date if told.date and told.date <= facts.as_of else None
        yield _again(
            f"oxygen.{task.id}", Kind.EXPOSURE, said("Oxygen at “%(task)s”: measure again", task=label_of(task)),
            done, facts.as_of, (Cycle(_OUR_MONTHS, 0, _YEAR_IS_OLD),), said("the evidence is not dated"),
            f"{path}.oxygen", (f"tasks.{task.id}",),
        )  # fmt: skip


def _assumed(agent: Assessment) -> Iterator[DueItem]:
    """The law assumes a level of lead until the air is assessed, and names no day by which that is done."""
    if is_assumed_lead(agent.hazard, agent.task, agent.substance):
        yield DueItem(
            id=f"exposure.{agent.hazard.id}",
            kind=Kind.EXPOSURE,
            due=None,
            what=said(
                "Exposure to %(agent)s at “%(task)s”: assess it", agent=agent.hazard.agent, task=label_of(agent.task)
            ),
            because=said("the level is only assumed"),
            basis=cited("lead-assessment"),
            path=f"{agent.path}.exposure",
            subject=(f"tasks.{agent.task.id}", f"hazards.{agent.hazard.id}"),
        )


# ---- the program --------------------------------------------------------------------------------------


def _evaluation(facts: Facts) -> Iterator[DueItem]:
    """The law sets no interval: a day lies ahead only where the firm or a policy set one.

    Where nobody did, an evaluation of more than a year ago is listed as one to look at again, and so is the next one
    where the program names its occasion in words: a month that it names each year gives the day, other words none.
    """
    evaluation = facts.description.procedures.evaluation
    cycles = evaluation_cycles(facts.rules, [task for _, task in facts.our_tasks])
    done, starts = evaluated_on(facts), begins_on(facts)
    is_long_ago = done is not None and is_overdue(LOOKED_AT_AGAIN.from_day(done), facts.as_of)
    if cycles or is_long_ago or evaluation.occasion:
        path = "procedures.evaluation.last"
        what = said("Evaluation of the program")
        item = _again(
            "evaluation",
            Kind.EVALUATION,
            what,
            done or starts,
            facts.as_of,
            cycles or (LOOKED_AT_AGAIN,),
            said("none is on record"),
            path,
        )
        if done is not None and done != evaluation.last:
            item = replace(item, because=said("none is on record; in force since %(done)s", done=long_date(done)))
        elif done is None and starts is not None:
            item = replace(
                item, because=said("none is on record; in force from %(starts)s on", starts=long_date(starts))
            )
        item = replace(item, due=_in_its_month(evaluation.occasion, done or starts, item.due, bool(cycles)))
        if evaluation.occasion and not cycles:
            item = replace(
                item,
                because=said(
                    "%(because)s; the program says when: %(occasion)s",
                    because=item.because,
                    occasion=evaluation.occasion,
                ),
            )
        yield item


def _in_its_month(occasion: str | None, since: date | None, due: date | None, is_adopted: bool) -> date | None:
    """Return the end of the next month that the firm names as its own; an interval that somebody set may come sooner.

    Where neither is said, the day stands that good practice gives.
    """
    named = [] if since is None or not occasion else months_each_year(occasion)
    days = [window_end_after(since, month, month) for month in named if since is not None]
    return min([*days, due] if is_adopted and due is not None else days, default=due)


def _document_review(facts: Facts) -> Iterator[DueItem]:
    """The day that the document itself names for its next review."""
    control = facts.description.program.control
    if control.next_review is not None:
        yield DueItem(
            id="document-review",
            kind=Kind.EVALUATION,
            due=control.next_review,
            what=said("Review of the document"),
            because=said("%(owner)s keeps it", owner=control.owner)
            if control.owner
            else said("its control names the day"),
            basis=OWN,
            path="program.control.next_review",
        )


def _corrections(facts: Facts) -> Iterator[DueItem]:
    for i, finding in enumerate(facts.description.procedures.evaluation.findings):
        if finding.date > facts.as_of or (finding.done is not None and finding.done <= facts.as_of):
            continue
        owner = said("; %(owner)s sees to it", owner=finding.owner) if finding.owner else ""
        yield DueItem(
            id=f"correction.{finding.id}",
            kind=Kind.CORRECTION,
            due=finding.due,
            what=said("Correction: %(correction)s", correction=finding.correction or finding.what),
            because=said(
                "found %(date)s: %(what)s%(owner)s", date=long_date(finding.date), what=finding.what, owner=owner
            ),
            basis=OWN if finding.due else cited("correction"),  # the law sets no day
            path=f"procedures.evaluation.findings[{i}]",
        )


def _acceptances(facts: Facts) -> Iterator[DueItem]:
    named: Counter[str] = Counter()
    for i, entry in enumerate(facts.description.accepted):
        # Whatever was typed as a code is part of an id, which has no spaces and is there once.
        name = "-".join(f"{entry.code}.{entry.subject}".split() if entry.subject else entry.code.split())
        named[name] += 1
        if is_overdue(entry.until, facts.as_of) or entry.until > last_day_accepted(facts.as_of):
            continue  # it has come back, or was never put away: the gap report shows it
        yield DueItem(
            id=f"acceptance.{name}" + (f".{named[name]}" if named[name] > 1 else ""),
            kind=Kind.ACCEPTANCE,
            due=entry.until,
            what=said("Accepted finding %(code)s comes back", code=entry.code),
            because=said("accepted by %(by)s: %(reason)s", by=entry.by, reason=entry.reason),
            basis=OWN,
            path=f"accepted[{i}]",
        )


def _policies(facts: Facts) -> Iterator[DueItem]:
    """A policy that is still to come: from its day on, records and masks have to keep it."""
    for i, policy in enumerate(facts.description.policies):
        if policy.date is not None and is_coming(policy, facts.as_of):
            yield DueItem(
                id=f"policy.{policy.id}",
                kind=Kind.POLICY,
                due=policy.date,
                what=said("Rules of %(by)s begin to bind: put right what falls short by then", by=policy.by),
                because=said("%(source)s, dated %(date)s", source=policy.source, date=long_date(policy.date)),
                basis=origin_of(policy),
                path=f"policies[{i}].date",
            )
