"""Task by task: what is in the air, what protects, and the verdict, as tables and notices."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import partial

from progdoc.core.barred import Why
from progdoc.core.numbers import number_text, text_of
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.said import changed, said, said_apart, said_choice, said_in, said_join
from progdoc.document.blocks.answers import told_plainly
from progdoc.document.blocks.limit_verdict import times_words
from progdoc.document.pictures.task_chart import task_figure
from progdoc.document.tree.nodes import Block, Cell, Column, LineBreak, Notice, Paragraph, Row, Strong, Table, Text
from progdoc.document.tree.spoken_text import spoken, text_cell
from progdoc.model.description.quantities import unit_symbol
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.air_results import Assessment, TaskAir
from progdoc.rules.judged.mask_results import MaskVerdict
from progdoc.rules.judged.published import LimitKind
from progdoc.rules.judged.result import Judged

__all__ = [
    "danger_alerts",
    "is_barred",
    "level_words",
    "limit_words",
    "masks_that_fail",
    "selection_blocks",
]


def masks_that_fail(judged: Judged) -> Mapping[tuple[str, str], tuple[str, ...]]:
    """Return what speaks against a mask, by task and mask; a caution alone does not keep it from use."""
    masks = judged.selection.masks.items()
    return {key: tuple(reason.told for reason in one.bars) for key, one in masks if one.bars}


def selection_blocks(judged: Judged, language: Language = ENGLISH) -> dict[str, tuple[Block, ...]]:
    """Return "danger" for the program, and for every task "danger.ID", "air.ID", "protection.ID", "chart.ID"."""
    failing = masks_that_fail(judged)
    selection = judged.selection
    found: dict[str, tuple[Block, ...]] = {"danger": _warning("danger", _all_dangers(judged, failing))}
    for path, task in judged.index.tasks.values():
        air = selection.air[task.id]
        worn = dict.fromkeys((task.id, use.mask) for use in task.masks)  # a mask may be named with other filters too
        verdicts = [selection.masks[key] for key in worn if key in selection.masks]
        found[f"air.{task.id}"] = (_agents(air),) if air.agents else ()
        found[f"protection.{task.id}"] = (
            (_masks(air, verdicts, failing),) if verdicts and air.agents and air.is_worn else ()
        )
        chart = selection.charts[task.id] if air.is_worn else None
        found[f"chart.{task.id}"] = (task_figure(chart, language),) if chart is not None else ()
        found[f"danger.{task.id}"] = _dangers(judged, air, failing, path, language)
    return found


def level_words(agent: Assessment) -> str:
    """Return what is known of the level, in a phrase."""
    governing = agent.governing
    if governing is not None:
        level = text_of(governing.level.value, unit_symbol(governing.level.unit), "up")
        return said(
            "%(level)s, %(basis)s",
            level=level,
            basis=_without_level(governing.level.basis, level),
        )
    if agent.is_unknown:
        return said("not known")
    return agent.floor_basis or said("no level that can be measured")


def _without_level(basis: str, level: str) -> str:
    """Return what a level rests on without the level itself: it is not said twice."""
    return changed(basis, partial(_cut, f": {level}"))


def _cut(end: str, words: str) -> str:
    return words.removesuffix(end)


def _level_in_short(agent: Assessment) -> str:
    """Return it without the names of sampled shifts, which the annex lists."""
    governing = agent.governing
    if governing is None or not governing.level.in_short:
        return level_words(agent)
    return said(
        "%(level)s, %(in_short)s",
        level=text_of(governing.level.value, unit_symbol(governing.level.unit), "up"),
        in_short=governing.level.in_short,
    )


def limit_words(agent: Assessment) -> str:
    """Return the limit that governs, with its kind and source, and the action level where there is one."""
    limit = _limit(agent)
    action = next((one for one in agent.limits if one.kind is LimitKind.ACTION_LEVEL and one.value is not None), None)
    return limit if action is None else said("%(limit)s; %(action)s", limit=limit, action=action.in_words)


def _limit(agent: Assessment) -> str:
    governing = agent.governing
    if governing is not None:
        limit = governing.limit
        amount = text_of(governing.level.limit_value, unit_symbol(limit.unit))
        return said(
            "%(amount)s %(kind_in_words)s (%(citation)s)",
            amount=amount,
            kind_in_words=limit.kind_in_words,
            citation=limit.citation,
        )
    kinds = (limit for limit in agent.limits if limit.kind is not LimitKind.ACTION_LEVEL)
    numeric = next((limit for limit in kinds if limit.value is not None), None)
    if numeric is not None and numeric.value is not None:
        return said(
            "%(numeric)s %(kind_in_words)s (%(citation)s)",
            numeric=text_of(numeric.value, unit_symbol(numeric.unit)),
            kind_in_words=numeric.kind_in_words,
            citation=numeric.citation,
        )
    return said("none published")


def _agents(air: TaskAir) -> Table:
    rows = tuple(
        Row(
            f"air.{air.task.id}.{agent.hazard.id}",
            (
                _agent(agent),
                text_cell(said_choice(agent.hazard.form) if agent.hazard.form else said("not stated")),
                text_cell(_level_in_short(agent), f"{agent.path}.exposure"),
                text_cell(limit_words(agent)),
                text_cell(_ratio_words(agent)),
            ),
        )
        for agent in air.agents
    )
    columns = (
        Column(said("Agent"), 4),
        Column(said_apart("of an agent", "Form"), 2),
        Column(said("Level and evidence"), 5),
        Column(said("Limit"), 4),
        Column(said("Times the limit"), 3, True),
    )
    return Table(f"air.{air.task.id}", said("What is in the air"), columns, rows)


def _agent(agent: Assessment) -> Cell:
    name = Text(agent.hazard.agent, f"{agent.path}.agent")
    if agent.hazard.source is None:
        return Cell((name,))
    return Cell((Strong((name,)), LineBreak(), Text(agent.hazard.source, f"{agent.path}.source")))


def _ratio_words(agent: Assessment) -> str:
    if agent.hazard_ratio is not None:
        return times_words(agent, agent.hazard_ratio)
    return said("unknown") if agent.is_unknown else "–"


def _masks(air: TaskAir, verdicts: Iterable[MaskVerdict], failing: Mapping[tuple[str, str], tuple[str, ...]]) -> Table:
    needed = said("one for immediately dangerous air") if air.danger else _needed_words(air)
    rows = tuple(
        Row(
            f"protection.{air.task.id}.{v.mask.id}",
            (
                text_cell(label_of(v.mask), f"{v.path}.mask"),
                text_cell(said("none") if v.credit.apf is None else number_text(v.credit.apf, "down")),
                text_cell(needed),
                text_cell(
                    said_join(
                        (said("%(agent)s: %(c)s", agent=c.agent, c=c.printed) for c in v.mucs if not v.bars), "; "
                    )
                    or "–"
                ),
                Cell((Strong((Text(said("No") if (air.task.id, v.mask.id) in failing else said("Yes")),)),)),
            ),
        )
        for v in verdicts
    )
    columns = (
        Column(said("Mask"), 7),
        Column(said("Protection factor"), 4, True),
        Column(said("Needed"), 6, True),
        Column(said("May be worn up to"), 8),
        Column(said("Protects"), 4),
    )
    return Table(f"protection.{air.task.id}", said("What protects"), columns, rows)


def _needed_words(air: TaskAir) -> str:
    if not air.needed.value:
        return "–"
    number = number_text(air.needed.value, "up")
    return said("over %(number)s", number=number) if air.needed.strictly_above else number


# ---- what must not be overlooked ----------------------------------------------------------------------


def danger_alerts(judged: Judged) -> tuple[str, ...]:
    """Return, for the cover, which masks nobody may start in, a line a task; the danger notice says why."""
    failing = masks_that_fail(judged)
    lines = [
        said("%(task)s: %(bad)s.", task=task.name, bad=said_join(bad, "; "))
        for _, task in judged.index.tasks.values()
        if (bad := _failing_in(judged, task.id, failing))
    ]
    return (
        *((said("Not shown to protect. Nobody starts these tasks in these masks:"), *lines) if lines else ()),
        *(
            said("%(words)s Nobody starts these tasks: %(tasks)s.", words=words, tasks=said_join(tasks, "; "))
            for words, tasks in _shut(judged)
        ),
    )


_SHUT = {
    Why.NO_MASK: said("A mask has to be worn, and none is named."),
    Why.WAY_OUT: said("No mask to get out of the air is shown to hang at hand."),
    Why.RESCUE: said("Not all is shown to be there that going in, and being got out again, takes."),
}


def is_barred(judged: Judged, task: Task, why: Why) -> bool:
    """Return whether nobody may start a task for that reason."""
    return any(one.task == task.id and one.why is why for one in judged.barred)


def _shut(judged: Judged) -> Iterator[tuple[str, list[str]]]:
    """Yield why tasks are shut to everybody whatever is worn, and the names of those tasks."""
    for why, words in _SHUT.items():
        if shut := [judged.index.tasks[one.task][1].name for one in judged.barred if one.why is why]:
            yield words, shut


def _failing_in(judged: Judged, task_id: str, failing: Mapping[tuple[str, str], tuple[str, ...]]) -> list[str]:
    return [label_of(judged.index.masks[mask][1]) for task, mask in failing if task == task_id]


def _all_dangers(judged: Judged, failing: Mapping[tuple[str, str], tuple[str, ...]]) -> list[str]:
    """Return a line for each mask that does not protect, and each task without a way out: the first thing read.

    The line says the reason that lies in the air, where there is one; the page of the task has the others.
    """
    told = [_worst(judged, *key, words) for key, words in failing.items()]
    head = said("These masks do not protect in these tasks, or are not shown to. Nobody starts a task in one.")
    return [
        *([head, *told] if told else []),
        *(
            said("%(words)s Nobody starts: %(tasks)s.", words=words, tasks=said_join(tasks, "; "))
            for words, tasks in _shut(judged)
        ),
    ]


def _worst(judged: Judged, task: str, mask: str, words: tuple[str, ...]) -> str:
    """Return which mask it is in which task, with the one reason that weighs most: it does not stop what is there."""
    name = label_of(judged.index.masks[mask][1])
    plain = [told_plainly(one) for one in words]
    named = [one for one in plain if name.lower() in one.lower()]
    if named:
        return next((one for one in named if "protect" in one), named[0])
    found = next((one for one in plain if not one.startswith("Whether ")), plain[0])
    named_so = f"{name[:1].upper()}{name[1:]}"
    task_name = judged.index.tasks[task][1].name
    return said("%(mask)s in “%(task)s”: %(found)s", mask=named_so, task=task_name, found=changed(found, _small))


def _small(words: str) -> str:
    return f"{words[:1].lower()}{words[1:]}"


def _dangers(
    judged: Judged, air: TaskAir, failing: Mapping[tuple[str, str], tuple[str, ...]], path: str, language: Language
) -> tuple[Block, ...]:
    """Return what a crew has to know before anything else; the open points below it say why."""
    say, own = language.say, language.own
    told = []
    if air.danger:
        reasons = air.danger[1:] if air.task.immediately_dangerous else air.danger  # the first only repeats it
        lead = said("This air counts as immediately dangerous to life or health")
        whole = said("%(lead)s: %(because)s", lead=lead, because=said_join(reasons, "; ")) if reasons else lead
        told.append(said_in(language, told_plainly(whole)))
    if bad := _failing_in(judged, air.task.id, failing):
        told.append(
            say(
                "Not shown to protect in this task: %(masks)s. Nobody starts the task in it.", masks=own("; ".join(bad))
            )
        )
    for why, words in _SHUT.items():
        if is_barred(judged, air.task, why):
            told.append(f"{say(words)} {say('Nobody starts the task, with a mask worn or without one.')}")
    identity = f"danger.{air.task.id}"
    blocks = tuple(Paragraph(f"{identity}.p{i}", spoken(language, words, path)) for i, words in enumerate(told, 1))
    return (Notice(identity, "danger", blocks),) if blocks else ()


def _warning(identity: str, words: list[str]) -> tuple[Block, ...]:
    blocks = tuple(Paragraph(f"{identity}.p{i + 1}", (Text(text),)) for i, text in enumerate(words))
    return (Notice(identity, "danger", blocks),) if blocks else ()
