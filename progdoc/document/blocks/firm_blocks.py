"""The firm itself as tables: who the employer is, where it works, who signs, what may happen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from progdoc.core.numbers import long_date, stated_text
from progdoc.core.said import changed, said, said_choice, said_join
from progdoc.document.blocks.answers import is_draft
from progdoc.document.blocks.control_blocks import control_rows
from progdoc.document.blocks.in_force_words import policy_reach_words
from progdoc.document.blocks.local_rules import states_in_words
from progdoc.document.tree.nodes import Block, Cell, Column, Emphasis, Paragraph, Row, Signatures, Table, Text
from progdoc.document.tree.spoken_text import text_cell
from progdoc.model.description.emergency_plans import Foreseeable
from progdoc.model.description.fields import field_at
from progdoc.model.description.oversight import Finding
from progdoc.model.description.policies import Policy, PolicyCredit, PolicyLimit
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.step_order import OrderRule
from progdoc.model.description.words import as_printed, label_of
from progdoc.rules.judged.order_words import order_words
from progdoc.rules.judged.result import Judged

__all__ = ["bounds_of_own_words", "cover_blocks", "firm_blocks"]

_ABOUT_A_POLICY = ("id", "by", "source", "date", "sites", "tasks", "groups", "agents", "masks")


def firm_blocks(program: Program, as_of: date) -> dict[str, tuple[Block, ...]]:
    """Return the blocks by name; empty where nothing was said."""
    return {
        "emergencies": _emergencies(program),
        "policies": _policies(program, as_of),
        "evaluation-findings": _findings(program),
    }


def cover_blocks(judged: Judged) -> tuple[Block, ...]:
    """Return what the cover says of the firm, and the lines to sign on."""
    officer = judged.description.officer.name or ""
    meaning = (
        said("This is a draft. It is not to be signed, nor worked by, before its open points are settled.")
        if is_draft(judged)
        else said(
            "By signing, the officer confirms that work is done as this text says; the employer puts it into force."
        )
    )
    lines = ((said("Respiratory protection officer"), officer), (said("For the employer"), ""))
    approval = (Paragraph("approval.meaning", (Text(meaning),)), Signatures("approval.signatures", lines))
    return (*_firm(judged), *approval)


def bounds_of_own_words(base: str) -> Paragraph:
    """Return what stands at the end of a section of the firm's own: nobody can judge what it may say."""
    return Paragraph(f"{base}.bounds", (Emphasis((Text(said("The law and this program still hold.")),)),))


def _firm(judged: Judged) -> tuple[Block, ...]:
    firm = judged.description.organisation
    told = (
        (said("Trade"), firm.trade, "organisation.trade"),
        (said("Address"), firm.address, "organisation.address"),
        (said("Workers"), stated_text(firm.employees) if firm.employees else None, "organisation.employees"),
        *control_rows(judged.description),
        (said("Rules of states, in part"), states_in_words(judged), "program.jurisdiction.state"),
    )
    rows = tuple(Row(f"firm.{path}", (text_cell(name), text_cell(value, path))) for name, value, path in told if value)
    columns = (Column("", 3), Column("", 7))
    return (Table("firm", "", columns, rows, has_header=False),) if rows else ()


def _emergencies(program: Program) -> tuple[Block, ...]:
    base = "procedures.emergencies.foreseeable"
    foreseen = program.procedures.emergencies.foreseeable
    tells_agents = any(one.agents for one in foreseen)  # nobody is asked for them where nobody goes in
    names = {mask.id: label_of(mask) for mask in program.masks}
    tasks = {task.id: label_of(task) for task in program.tasks}
    rows = tuple(
        Row(
            f"emergencies.{i + 1}",
            (
                _happening(one, f"{base}[{i}]", tasks),
                text_cell(one.crew, f"{base}[{i}].crew"),
                *([text_cell(said_join(one.agents, ", ") or "–", f"{base}[{i}].agents")] if tells_agents else []),
                text_cell(_going_in(one, names), f"{base}[{i}].going_in"),
            ),
        )
        for i, one in enumerate(foreseen)
    )
    columns = (
        Column(said("What may happen"), 4),
        Column(said("What the crew does"), 6),
        *([Column(said("In the air then"), 3)] if tells_agents else []),
        Column(said("Our people go in before it is known to be clean"), 3),
    )
    return (Table("emergencies.all", said("Emergencies that can be foreseen"), columns, rows),) if rows else ()


def _happening(one: Foreseeable, path: str, tasks: Mapping[str, str]) -> Cell:
    """What may happen, and in which tasks, where that is said."""
    where = (
        (Text(said(" (%(tasks)s)", tasks=said_join((tasks[task] for task in one.tasks), "; ")), f"{path}.tasks"),)
        if one.tasks
        else ()
    )
    return Cell((Text(one.what, f"{path}.what"), *where))


def _going_in(one: Foreseeable, names: Mapping[str, str]) -> str:
    masks = said(" (%(masks)s)", masks=said_join((names[mask] for mask in one.masks), ", ")) if one.masks else ""
    goes_in = said("not said") if one.going_in is None else as_printed(one.going_in)
    return said("%(goes_in)s%(masks)s", goes_in=goes_in, masks=masks)


def _findings(program: Program) -> tuple[Block, ...]:
    base = "procedures.evaluation.findings"
    rows = tuple(
        Row(
            f"findings.{one.id}",
            (
                text_cell(long_date(one.date), f"{base}[{i}].date"),
                text_cell(one.what, f"{base}[{i}].what"),
                text_cell(
                    said_join((p for p in (one.correction, one.owner) if p), "; ") or "–", f"{base}[{i}].correction"
                ),
                text_cell(_until(one), f"{base}[{i}].due"),
            ),
        )
        for i, one in enumerate(program.procedures.evaluation.findings)
    )
    columns = (
        Column(said("Found on"), 3),
        Column(said("What"), 5),
        Column(said("Put right by"), 5),
        Column(said("When"), 4),
    )
    return (Table("findings.all", "", columns, rows),) if rows else ()


def _until(one: Finding) -> str:
    parts = (
        said("due %(due)s", due=long_date(one.due)) if one.due else "",
        said("done %(done)s", done=long_date(one.done)) if one.done else said("open"),
    )
    return said_join((part for part in parts if part), "; ")


def _policies(program: Program, as_of: date) -> tuple[Block, ...]:
    rows = tuple(
        Row(
            f"policies.{policy.id}",
            (
                text_cell(policy.by, f"policies[{i}].by"),
                text_cell(
                    said("%(source)s%(dated)s", source=policy.source, dated=_dated(policy, as_of)),
                    f"policies[{i}].source",
                ),
                text_cell(policy_reach_words(policy, program), f"policies[{i}]"),
                text_cell(said_join(_asked(policy), "; "), f"policies[{i}]"),
            ),
        )
        for i, policy in enumerate(program.policies)
    )
    columns = (
        Column(said("Who asks"), 3),
        Column(said("Written in"), 3),
        Column(said("Holds for"), 3),
        Column(said("What it asks"), 5),
    )
    return (Table("policies.all", said("Stricter rules that bind us"), columns, rows),) if rows else ()


def _dated(policy: Policy, as_of: date) -> str:
    if policy.date is None:
        return ""
    day = long_date(policy.date)
    return (
        said(", %(day)s", day=day)
        if policy.date <= as_of
        else said("; binds from %(day)s on, not yet kept here", day=day)
    )


def _asked(policy: Policy) -> Iterator[str]:
    """Yield each rule of a policy under the title of its field."""
    for name in type(policy).model_fields:
        value, field = getattr(policy, name), field_at(f"policies[].{name}")
        if field is None or name in _ABOUT_A_POLICY or value is None or value == ():
            continue
        answer, _, _ = field.description.partition(": ")
        if isinstance(value, bool) and answer == as_printed(value):
            yield changed(field.description, _behind_answer)  # "yes: no beards at all." says what the yes asks for
        else:
            yield said(
                "%(title)s: %(rule_words)s", title=changed(field.title, str.lower), rule_words=_rule_words(value)
            )


def _behind_answer(words: str) -> str:
    return words.partition(": ")[2].rstrip(".")


def _rule_words(value: object) -> str:
    match value:
        case Quantity():
            return value.printed
        case int() | float():
            return stated_text(value)
        case PolicyLimit():
            fraction = said(", %(fraction)s", fraction=said_choice(value.fraction)) if value.fraction else ""
            return said(
                "%(value)s %(averaging)s%(fraction)s",
                value=value.value.printed,
                averaging=said_choice(value.averaging),
                fraction=fraction,
            )
        case OrderRule():
            return order_words(value)
        case PolicyCredit():
            kind = said_join(map(said_choice, filter(None, (value.facepiece, value.mode))), ", ")
            return said("%(kind)s %(most)s", kind=kind, most=stated_text(value.most))
        case tuple():
            return said_join(map(_rule_words, value), ", ")
        case _:
            return as_printed(value)
