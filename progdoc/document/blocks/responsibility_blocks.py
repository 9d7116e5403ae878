"""Who answers for what, bodies and groups, and the firm's own rules: as tables, and as lists for the page of a task."""

from __future__ import annotations

import re
from collections.abc import Iterable

from progdoc.core.numbers import number_text
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.said import changed, said, said_in, said_join, unstopped
from progdoc.document.tree.nodes import Block, Column, Listing, ListItem, Paragraph, Row, Table, Text
from progdoc.document.tree.spoken_text import spoken, text_cell
from progdoc.model.description.groups import Group
from progdoc.model.description.house_rules import HouseRule
from progdoc.model.description.program import Program
from progdoc.model.description.roles import Body, Duty
from progdoc.model.description.words import label_of
from progdoc.rules.judged.responsibility_results import DutyHeld
from progdoc.rules.judged.result import Judged

__all__ = ["group_in_words", "responsibility_blocks"]

_SPOKEN = {
    "medical": said("medical evaluation"),
    "contractors-people": said("contractor's people"),
    "selection": said("selection of masks"),
}
_RULE = re.compile(r"house_rules\[\d+\]")


def responsibility_blocks(judged: Judged, language: Language = ENGLISH) -> dict[str, tuple[Block, ...]]:
    """Return the blocks by name; empty where nothing was said. Permissions against the law are printed nowhere."""
    program, order = judged.description, judged.responsibilities
    void = {
        found[0]
        for finding in judged.findings
        if finding.code == "HSE-001" and (found := _RULE.match(finding.location.path))
    }
    rules = [(f"house_rules[{i}]", rule) for i, rule in enumerate(program.house_rules)]
    blocks = {
        "roles": _duties(order.duties),
        "bodies": _bodies(program),
        "groups": _groups(program),
        "ways-of-groups": _ways(program),
        "house-rules": _rules([one for one in rules if one[0] not in void], program),
    }
    for duty in Duty:
        entries = [one for one in order.duties if one.duty is duty]
        blocks[f"duty.{duty.value}"] = () if duty in order.told else _who(duty, entries)
    for task in program.tasks:
        held = [one for one in order.rules_by_task.get(task.id, ()) if one[0] not in void]
        blocks[f"rules.{task.id}"] = _rules_of_task(task.id, held, program, language)
    return blocks


def _table(name: str, caption: str, columns: Iterable[tuple[str, int]], rows: Iterable[Row]) -> tuple[Block, ...]:
    given = tuple(rows)
    return (Table(name, caption, tuple(Column(*column) for column in columns), given),) if given else ()


def _duties(duties: tuple[DutyHeld, ...]) -> tuple[Block, ...]:
    """Return a row for each role and whom it is for, with all duties that it has for them."""
    found: dict[tuple[str, str], list[DutyHeld]] = {}
    for one in duties:
        found.setdefault((one.path.partition(".")[0], one.whom), []).append(one)
    rows = (
        Row(
            f"roles.{having[0].path}",
            (
                text_cell(
                    changed(said_join((_words(one.duty.value) for one in having), ", "), str.capitalize),
                    f"{having[0].path}.duty",
                ),
                text_cell(whom, having[0].path),
                text_cell(having[0].role, f"{role}.title"),
                text_cell(having[0].holders or "–", f"{role}.holders"),
                text_cell(having[0].deputies or "–", f"{role}.deputies"),
            ),
        )
        for (role, whom), having in found.items()
    )
    columns = (
        (said("Duties"), 6),
        (said("For"), 4),
        (said("Role"), 3),
        (said("Who has it"), 4),
        (said("Standing in"), 3),
    )
    return _table("roles.all", said("Who answers for what"), columns, rows)


def _who(duty: Duty, entries: list[DutyHeld]) -> tuple[Block, ...]:
    if not entries:
        return ()
    is_split = len(entries) > 1 or entries[0].whom != "everybody"
    told = (
        said(
            "%(whom)s%(role)s%(holders)s",
            whom=said("%(whom)s: ", whom=one.whom) if is_split else "",
            role=one.role,
            holders=said(" (%(holders)s)", holders=one.holders) if one.holders else "",
        )
        for one in entries
    )
    words = said("Who answers for %(words)s: %(told)s.", words=_words(duty.value), told=said_join(told, "; "))
    return (Paragraph(f"duty.{duty.value}", (Text(words, entries[0].path),)),)


def _bodies(program: Program) -> tuple[Block, ...]:
    rows = (
        Row(
            f"bodies.{body.id}",
            (
                text_cell(body.name, f"bodies[{i}].name"),
                text_cell(_words(body.kind.value), f"bodies[{i}].kind"),
                text_cell(_part(body, program) or "–", f"bodies[{i}].part"),
                text_cell(body.contact or "–", f"bodies[{i}].contact"),
            ),
        )
        for i, body in enumerate(program.bodies)
    )
    columns = (
        (said("Body"), 4),
        (said("Kind"), 2),
        (said("Part in the program, or its roles"), 6),
        (said("Reached by"), 3),
    )
    return _table("bodies.all", said("Departments, and others with a part in the program"), columns, rows)


def _part(body: Body, program: Program) -> str:
    """Return what a body does: in the firm's words, by its roles, and whom it evaluates."""
    roles = said_join((role.title for role in program.roles if role.body == body.id), ", ")
    seen = said_join((group.name for group in program.groups if group.clinic == body.id), ", ")
    return said_join(filter(None, (body.part, roles, said("evaluates: %(seen)s", seen=seen) if seen else "")), "; ")


def _groups(program: Program) -> tuple[Block, ...]:
    rows = (
        Row(
            f"groups.{group.id}",
            (
                text_cell(group.name, f"groups[{i}].name"),
                text_cell(_words(group.status.value), f"groups[{i}].status"),
                text_cell(_covered(group, program), f"groups[{i}].covered_by"),
                text_cell(
                    said_join(_way(group, program), "; ") or (said("as everybody") if group.covered else "–"),
                    f"groups[{i}]",
                ),
            ),
        )
        for i, group in enumerate(program.groups)
    )
    columns = ((said("Group"), 4), (said("Status"), 2), (said("Covered here"), 4), (said("Their way to a mask"), 6))
    return _table("groups.all", said("Groups of people"), columns, rows)


def _ways(program: Program) -> tuple[Block, ...]:
    """Return for each group that has one its own way to a medical evaluation."""
    items = tuple(
        ListItem(
            f"ways.{group.id}",
            (
                Paragraph(
                    f"ways.{group.id}.p",
                    (Text(said("%(group)s. %(way)s.", group=group.name, way=way), f"groups[{i}]"),),
                ),
            ),
        )
        for i, group in enumerate(program.groups)
        if group.covered and (way := unstopped(said_join(_way(group, program), "; ")))
    )
    return (
        (Paragraph("ways", (Text(said("Groups with a way of their own:")),)), Listing("ways.all", False, items))
        if items
        else ()
    )


def _covered(group: Group, program: Program) -> str:
    if group.covered:
        return said("yes")
    bodies = {body.id: body.name for body in program.bodies}
    return (
        said("no; instead: %(bodies)s", bodies=bodies.get(group.covered_by, group.covered_by))
        if group.covered_by
        else said("no")
    )


def group_in_words(group: Group, program: Program) -> str:
    """Return a group with its own way to a mask, if it has one."""
    return said_join((group.name, *_way(group, program)), "; ")


def _way(group: Group, program: Program) -> Iterable[str]:
    clinic = next((body.name for body in program.bodies if body.id == group.clinic), "")
    told = (
        (said("Clinic"), clinic),
        (said("Consent form"), group.consent_form),
        (said("Hiring physical"), group.hiring_physical),
    )
    return (said("%(name)s: %(words)s", name=name, words=words) for name, words in told if words)


def _rules(rules: list[tuple[str, HouseRule]], program: Program) -> tuple[Block, ...]:
    rows = (
        Row(
            f"house-rules.{rule.id}",
            (
                text_cell(changed(_words(rule.rule.value), str.capitalize), f"{path}.rule"),
                text_cell(rule.says, f"{path}.says"),
                text_cell(_where(rule, program) or said("everywhere"), path),
                text_cell(said_join(filter(None, (rule.by, rule.source)), ", ") or "–", f"{path}.by"),
            ),
        )
        for path, rule in rules
    )
    columns = ((said("Kind"), 2), (said("Rule"), 6), (said("Where and when"), 5), (said("Set by"), 4))
    return _table("house-rules.all", said("Rules of our own"), columns, rows)


def _rules_of_task(
    task: str, rules: list[tuple[str, HouseRule]], program: Program, language: Language
) -> tuple[Block, ...]:
    def words(path: str, rule: HouseRule) -> tuple[Text, ...]:
        kind = language.say(_words(rule.rule.value)).capitalize()
        says = f"{language.own(rule.says.rstrip('.'))}{said_in(language, _when(rule, program))}"
        return spoken(language, f"{kind}: {says}.", path)

    items = tuple(
        ListItem(f"rules.{task}.{rule.id}", (Paragraph(f"rules.{task}.{rule.id}.p", words(path, rule)),))
        for path, rule in rules
    )
    return (Listing(f"rules.{task}", False, items),) if items else ()


def _when(rule: HouseRule, program: Program) -> str:
    """Return for whom a rule is, and from which reading on: that it is about this task, its page tells."""
    told = [group.name for group in program.groups if group.id in rule.groups] + _readings(rule)
    return said(" (%(told)s)", told=said_join(told, "; ")) if told else ""


def _readings(rule: HouseRule) -> list[str]:
    told = [said("air quality index over %(index)s", index=number_text(rule.index))] if rule.index is not None else []
    return told + ([rule.reading] if rule.reading else [])


def _where(rule: HouseRule, program: Program) -> str:
    names = {f"sites.{site.id}": site.name for site in program.organisation.sites}
    names |= {f"tasks.{task.id}": task.name for task in program.tasks}
    names |= {f"groups.{group.id}": group.name for group in program.groups}
    names |= {f"masks.{mask.id}": label_of(mask) for mask in program.masks}
    told = [_words(event.value) for event in rule.events] + _readings(rule)
    told += [names[f"{kind}.{one}"] for kind in ("sites", "tasks", "groups", "masks") for one in getattr(rule, kind)]
    return said_join(told, "; ")


def _words(value: str) -> str:
    return _SPOKEN.get(value) or said(value.replace("-", " "))
