"""The selection for people: as lines for a terminal, and the figures of a task in words.

Numbers are rounded the way that does not flatter.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace

from progdoc.app.check import Checked
from progdoc.app.select import SelectedTask, reason_citation, reason_text, select, tightest_muc
from progdoc.core.lines import Line
from progdoc.core.numbers import number_text, text_of
from progdoc.core.said import said, said_choice, said_join, same
from progdoc.document.blocks.group_policy_blocks import lines_for_group
from progdoc.model.description.quantities import unit_symbol
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import label_in
from progdoc.rules.judged.air_results import Assessment, TaskAir
from progdoc.rules.judged.cartridge_results import ServiceLife
from progdoc.rules.judged.mask_results import ClassVerdict, Escape, MaskVerdict
from progdoc.rules.judged.published import LimitKind
from progdoc.rules.judged.result import Judged
from progdoc.rules.reasons import Reason
from progdoc.rules.records.fit_gear_checks import worn_near

__all__ = ["figures", "gear_in_tests", "selection_lines", "short_limits"]

_SHORT = (LimitKind.STEL, LimitKind.EXCURSION, LimitKind.CEILING, LimitKind.PEAK)

_CAUTION = said(
    "Figures are as good as the evidence. The maker's instructions and the approval label have the last word."
)


def figures(checked: Checked, task: str) -> tuple[str, ...]:
    """Return what is worked out for a task in words: each agent against its limit, and what a mask has to do."""
    selection = checked.judged.selection if checked.judged else None
    if selection is None or task not in selection.air:
        return ()
    air = selection.air[task]
    return (*map(_agent_words, air.agents), _needed_words(air, bool(selection.escape[task].duties)))


def short_limits(checked: Checked, hazards: Collection[str]) -> tuple[str, ...]:
    """Return of each of some agents ("hazards.glue-toluene") the limits that no mean over a shift can meet, in words.

    Said before anybody looks for evidence: whoever reckons a shift's mean of them has to ask again.
    """
    air = checked.judged.selection.air.values() if checked.judged else ()
    asked = [agent for one in air for agent in one.agents if f"hazards.{agent.hazard.id}" in hazards]
    found = {agent.name: [limit.in_words for limit in agent.limits if limit.kind in _SHORT] for agent in asked}
    return tuple(
        said(
            "%(agent)s has limits for less than a shift: %(limits)s. A mean over the shift says nothing of them;"
            " samples of the worst minutes do, or an estimate of the highest level at any moment (averaging: ceiling).",
            agent=agent,
            limits=said_join(limits, "; "),
        )
        for agent, limits in found.items()
        if limits
    )


def gear_in_tests(checked: Checked, people: Collection[str]) -> tuple[str, ...]:
    """Return of each of some people ("people.nora") all that they wear near the face at work beside the mask, in words.

    Said before the test: whoever hears of one piece after the other has it made again for each.
    """
    description = checked.judged.description if checked.judged else None
    found: list[str] = []
    for person in description.people if description else ():
        tasks = [task for task in description.tasks if person.id in task.people] if description else []
        if f"people.{person.id}" in people and (worn := worn_near(tasks)):
            found.append(
                said(
                    "At work %(person)s wears near the face: %(gear)s. A fit test counts with all of it worn.",
                    person=label_of(person),
                    gear=said_join(map(said_choice, sorted(worn)), ", "),
                )
            )
    return tuple(found)


def selection_lines(checked: Checked, task: str | None = None, site: str | None = None) -> Iterator[list[Line]]:
    """Return the selection for a terminal: per task what is in the air, what is needed, and each mask's verdict."""
    judged = checked.judged
    if judged is None:
        yield [
            Line("The description has faults of form, so nothing can be judged: see `progdoc check`.", is_typed=True)
        ]
        return
    for selected in select(checked, task, site):
        yield list(_task_lines(judged, selected))
    yield [_line(_CAUTION, 0)]


def _line(text: str, indent: int, hang: int = 2, kind: str = "") -> Line:
    return Line(text, " " * indent, " " * (indent + hang), kind=kind)


def _task_lines(judged: Judged, selected: SelectedTask) -> Iterator[Line]:
    air = selected.air
    yield _line(said_join([air.task.name or "", same(f"[{air.task.id}]")], "  "), 0)
    for agent in air.agents:
        yield _line(_agent_words(agent), 2)
        for duty in judged.selection.duties[agent.hazard.id]:
            yield _line(said("also: %(duty)s (%(cited)s)", duty=duty.text, cited=same(duty.citation)), 4)
    escape = judged.selection.escape[air.task.id]
    yield _line(_needed_words(air, bool(escape.duties)), 2)
    for verdict in selected.masks:
        yield _line(_verdict_words(verdict, air), 2, kind=_kind(verdict))
        for reason in verdict.reasons:
            told = reason_text(judged, reason, label_in(air.task, verdict.mask))
            yield _line(_with_code(reason, _cited_behind(judged, reason, told)), 6, 9, "why")
        life = judged.service_lives.get((air.task.id, verdict.mask.id))
        if life is not None and verdict.is_adequate:
            yield _line(_life_words(life), 6)
    for group in judged.for_groups.get(air.task.id, ()):
        for words in lines_for_group(group):
            yield _line(said("for %(whom)s: %(what)s", whom=group.names, what=words), 2)
        if group.classes:
            classes = said_join(group.classes, ", ")
            yield _line(
                said("for %(whom)s, of the classes below, not: %(classes)s", whom=group.names, classes=classes), 2
            )
    yield from _escape_lines(escape)
    yield from _shut_lines(judged, said("NOBODY COULD COUNT ON GETTING OUT"), escape.bars)
    goes_in = judged.selection.entry.get(air.task.id, ())
    yield from _shut_lines(judged, said("NOBODY GOES IN, whatever is worn"), goes_in)
    if not air.agents and not air.danger:
        return  # left to others, and nobody says what is in the air
    if not (air.needs_mask or air.is_worn):
        return  # every class would do, and none is asked for
    yield Line(said("classes, least burdensome first"), "  ", "  ", is_typed=True)
    for kind in selected.classes:
        yield _line(_class_words(judged, kind), 4)


def _escape_lines(escape: Escape) -> Iterator[Line]:
    """Say what a standard asks for to get out in, and what hangs at hand: none of it is worn at the work."""
    for duty in escape.duties:
        told = said(
            "at hand for getting out of %(agent)s: %(mask)s (%(cited)s)",
            agent=duty.agent,
            mask=duty.words,
            cited=same(duty.citation),
        )
        yield _line(told if duty.served_by else said_join([told, said("NONE HANGS AT HAND")], "; "), 2)
    for one in escape.masks:
        mask = label_of(one.mask)
        if one.trouble:
            yield _line(
                said("at hand for getting out only: DOES NOT SERVE: %(mask)s: %(why)s", mask=mask, why=one.trouble), 2
            )
        else:
            yield _line(said("at hand for getting out only: %(mask)s", mask=mask), 2)


def _shut_lines(judged: Judged, head: str, reasons: tuple[Reason, ...]) -> Iterator[Line]:
    """Say why nobody works there, with a mask or without one."""
    if reasons:
        yield _line(head, 2, kind="bad")
    for reason in reasons:
        yield _line(_with_code(reason, _cited_behind(judged, reason, reason.told)), 6, 9, "why")


def _with_code(reason: Reason, told: str) -> str:
    return said_join([same(reason.code), told], "  ") if reason.code else told


def _cited_behind(judged: Judged, reason: Reason, told: str) -> str:
    cited = reason_citation(judged, reason)
    return said_join([told, same(f"({cited})")]) if cited else told


def _agent_words(agent: Assessment) -> str:
    governing = agent.governing
    if governing is not None:
        told = said(
            "%(level)s (%(basis)s); limit %(limit)s %(kind)s (%(cited)s); %(ratio)s times",
            level=text_of(governing.level.value, unit_symbol(governing.level.unit), "up"),
            basis=governing.level.basis,
            limit=text_of(governing.level.limit_value, unit_symbol(governing.limit.unit), "down"),
            kind=said_choice(governing.limit.kind),
            cited=same(governing.limit.citation),
            ratio=number_text(governing.value, "up"),
        )
    elif agent.is_unknown:
        told = said("level not known, so the air counts as immediately dangerous")
    else:
        told = agent.floor_basis or said("no level, no limit")
    parts = [told]
    if agent.undetermined:
        parts.append(said("no level for %(limits)s", limits=said_join(agent.undetermined, ", ")))
    if idlh := agent.danger:
        value = text_of(idlh.value, unit_symbol(idlh.unit))
        parts.append(said("IDLH %(value)s (%(origin)s)", value=value, origin=idlh.origin))
    parts += [item.in_words for item in agent.limits if item.kind is LimitKind.ACTION_LEVEL]
    form = said_choice(agent.hazard.form) if agent.hazard.form else said("form not stated")
    return said("%(agent)s, %(form)s: %(told)s", agent=agent.hazard.agent, form=form, told=said_join(parts, "; "))


def _needed_words(air: TaskAir, gets_out_in: bool) -> str:
    if air.danger:
        return said("needed: a mask for immediately dangerous air (%(why)s)", why=said_join(air.danger, "; "))
    if not air.needs_mask:
        if gets_out_in:
            return said("needed: no mask by what is described, but one at hand to get out in")
        return said("needed: no mask, as far as is described")
    needed = number_text(air.needed.value, "up")
    if air.needed.strictly_above:
        told = said("needed: protection factor over %(needed)s", needed=needed)
    else:
        told = said("needed: protection factor %(needed)s", needed=needed)
    return said_join([told, said("(mixture sum %(sum)s)", sum=air.mixture.printed)]) if air.mixture else told


def _verdict_words(verdict: MaskVerdict, air: TaskAir) -> str:
    apf = verdict.credit.apf
    parts = [said("no factor") if apf is None else said("factor %(apf)s", apf=number_text(apf, "down"))]
    tightest = tightest_muc(verdict)
    if tightest and verdict.is_adequate:  # a level beside a no would read as leave
        parts.append(said("up to %(most)s of %(agent)s", most=tightest.printed, agent=tightest.agent))
    if tightest is not None and tightest.margin is not None:
        margin = number_text(tightest.margin, "down")
        parts.append(said("margin %(margin)s = %(sum)s", margin=margin, sum=same(tightest.margin_sum)))
    told = said_join(parts, ", ")
    if verdict.passes:
        told = said_join([told, said("does not stop %(agents)s", agents=said_join(verdict.passes, ", "))], "; ")
    return said(
        "%(answer)s: %(mask)s (%(told)s)",
        answer=_answer(verdict, air),
        mask=label_in(air.task, verdict.mask),
        told=told,
    )


def _kind(verdict: MaskVerdict) -> str:
    if verdict.is_adequate:
        return "good"
    return "bad" if verdict.is_disproved or verdict.is_forbidden else "open"


def _answer(verdict: MaskVerdict, air: TaskAir) -> str:
    """Say whether a mask protects; where something is only missing, the reasons below it say what."""
    if verdict.is_adequate:
        return said("protects") if air.is_worn else said("worn by choice")
    if verdict.is_disproved:
        return said("DOES NOT PROTECT")
    return said("MAY NOT BE WORN HERE") if verdict.is_forbidden else said("NOT SHOWN TO PROTECT YET")


def _life_words(life: ServiceLife) -> str:
    basis = life.basis or said("none")
    if life.hours is None:
        parts = [
            said("cartridges: how many hours they last is not worked out; what is at hand: %(basis)s", basis=basis)
        ]
    else:
        hours = said_join([number_text(life.hours, "down"), same("h")])
        parts = [said("cartridges: %(hours)s", hours=hours), said("basis: %(basis)s", basis=basis)]
    if life.schedule:
        parts.append(said("change: %(schedule)s", schedule=life.schedule))
    if life.refused:
        parts.append(said("not used: %(refused)s", refused=said_join(life.refused, "; ")))
    return said_join(parts, "; ")


def _class_words(judged: Judged, verdict: ClassVerdict) -> str:
    name = verdict.kind.name
    if verdict.apf is not None:
        name = said_join([name, same(f"({number_text(verdict.apf, 'down')})")])
    if verdict.would_do:
        only_with = said_join(verdict.only_with, "; ")
        told = said("%(class_)s, only with %(gear)s", class_=name, gear=only_with) if verdict.only_with else name
        return said_join([said("yes"), told], "  ")
    worst = verdict.reasons[0]
    if "danger" in worst.words:
        worst = replace(worst, words={**worst.words, "danger": said("see above")})
    return said_join([said("no"), reason_text(judged, worst, name)], "   ")
