"""What a renewal asks about this description, and what the description says of it today.

Each thing asked about has a mark made of what it is and of what is shown of it, and the fields of the worksheet carry
that mark. So an answer can be taken only for what its giver had before their eyes.
"""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from typing import Any

from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import long_date
from progdoc.core.resources import templates_root
from progdoc.document.blocks.equipment_blocks import kind_of, stops_of
from progdoc.document.blocks.selection_blocks import level_words, limit_words
from progdoc.document.tree.tokens import choice_words
from progdoc.model.description.program import Acceptance, Program
from progdoc.model.description.renewal import RenewalQuestion
from progdoc.model.description.roles import Role
from progdoc.model.description.words import as_printed, label_of
from progdoc.model.description.workplace import DoneBy, Task
from progdoc.model.yaml.yaml_values import entries_of, plain_of, read_shipped, whole_of
from progdoc.rules.judged.result import Judged

__all__ = [
    "SHEET_FIELD",
    "SUMMARY_FIELD",
    "Asked",
    "Item",
    "Point",
    "accepted_ids",
    "asked_of",
    "question_plans",
    "spelt_id",
]

SHEET_FIELD = "renewal.worksheet"  # says which worksheet it is
SUMMARY_FIELD = "renewal.summary"
_NOT_SAID = "not stated"
_AHEAD_DAYS = 365
_LONGEST_ID = 60
_LETTERS = 8  # of a digest: enough to tell apart what one firm has
_Plan = dict[str, Any]
Point = tuple[RenewalQuestion, str]  # a question, and the id that it is about ("" for all)


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that is asked about: its id ("" for a question about all), its name, and what is said of it today."""

    id: str
    label: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """A question about one thing, with the mark of its fields."""

    question: RenewalQuestion
    plan: _Plan
    item: Item

    @property
    def point(self) -> Point:
        return self.question, self.item.id

    @property
    def thing(self) -> str:
        """The part of its mark that tells what is asked about."""
        return f"renewal.{self.question.value}.{_digest(self.item.id)}"

    @property
    def named(self) -> str:
        """What is asked about, in words."""
        return f"{self.plan['title']}: {self.item.label}" if self.item.id else str(self.plan["title"])

    @property
    def shown(self) -> str:
        """The part of its mark that tells what stood beside it."""
        return _digest(self.item.label, *self.item.lines)

    def field(self, name: str) -> str:
        return f"{self.thing}.{self.shown}.{name}"


def _digest(*words: str) -> str:
    return hashlib.sha256("\0".join(words).encode()).hexdigest()[:_LETTERS]


@cache
def question_plans() -> dict[RenewalQuestion, _Plan]:
    """Return what the worksheet asks, in its order; `templates/renewal/README.md` says how a question is written."""
    kinds = {"rows": whole_of, "share": whole_of}
    file = templates_root() / "renewal" / "worksheet.yaml"
    plans = read_shipped(file, lambda top: [plain_of(node, kinds) for node in entries_of(top["questions"])])
    return {RenewalQuestion(plan["id"]): plan for plan in plans}


def asked_of(judged: Judged) -> tuple[Asked, ...]:
    """Return every question of a description's renewal, judged for the day from which the new revision applies."""
    return tuple(
        Asked(question, plan, item) for question, plan in question_plans().items() for item in _ITEMS[question](judged)
    )


# ---- work, air and places -----------------------------------------------------------------------------


def _tasks(judged: Judged) -> Iterator[Item]:
    for _, task in judged.index.our_tasks:
        yield Item(task.id, task.name, tuple(_said(_of_task(judged, task))))


def _of_task(judged: Judged, task: Task) -> Iterator[tuple[str, Any]]:
    sites = {site.id: site.name for site in judged.description.organisation.sites}
    yield "What is done", task.description
    yield "Where", "; ".join(sites[site] for site in task.sites)
    yield "How long and how often", ", ".join(filter(None, (as_printed(task.duration or ""), task.frequency)))
    yield "Effort", choice_words(task.effort) if task.effort else ""
    yield "Controls", "; ".join(task.controls)
    yield "Mask", f"{choice_words(task.use)}; {_masks_of(judged, task)}" if task.use else ""
    yield "By reading", "; ".join(f"over {step.over.printed}: {step.action}" for step in task.steps)


def _masks_of(judged: Judged, task: Task) -> str:
    filters = judged.index.filters
    return " or ".join(
        " with ".join([label_of(judged.index.masks[use.mask][1]), *(label_of(filters[f][1]) for f in use.filters)])
        + (f" ({use.when})" if use.when else "")
        for use in task.masks
    )


def _new_tasks(judged: Judged) -> Iterator[Item]:
    yield _all_of(task.name for task in judged.description.tasks)


def _products(judged: Judged) -> Iterator[Item]:
    for air in judged.selection.air.values():
        for agent in air.agents:
            hazard = agent.hazard
            told = (
                ("From", hazard.source),
                ("Form", choice_words(hazard.form) if hazard.form else ""),
                ("Level", level_words(agent)),
                ("Limit", limit_words(agent)),
            )
            yield Item(hazard.id, f"{hazard.agent} in “{air.task.name}”", tuple(_said(told)))


def _new_products(judged: Judged) -> Iterator[Item]:
    yield _all_of(dict.fromkeys(hazard.agent for hazard in judged.description.hazards))


def _evidence(judged: Judged) -> Iterator[Item]:
    for one in judged.old_evidence:
        yield Item(spelt_id(one.where), one.what, (_day("Dated", one.day),))


def _sites(judged: Judged) -> Iterator[Item]:
    for site in judged.description.organisation.sites:
        tasks = (task.name for _, task in judged.index.our_tasks if site.id in task.sites)
        yield Item(
            site.id,
            site.name,
            tuple(_said((("Address", site.address), ("State", site.state), ("Tasks", "; ".join(tasks))))),
        )


def _new_sites(judged: Judged) -> Iterator[Item]:
    yield _all_of(site.name for site in judged.description.organisation.sites)


def _emergencies(judged: Judged) -> Iterator[Item]:
    plan = judged.description.procedures.emergencies
    told = [f"{one.what}: {one.crew}" for one in plan.foreseeable]
    if plan.none_because or not told:
        told += _said((("None, because", plan.none_because),))
    out = "" if plan.out_with_mask_on is None else f"out with the mask on: {as_printed(plan.out_with_mask_on)}"
    told += _said((("A mask fails", "; ".join(filter(None, (out, plan.mask_fails))) or None),))
    yield _all_of(told)


# ---- people -------------------------------------------------------------------------------------------


def _people(judged: Judged) -> Iterator[Item]:
    index = judged.index
    for _, person in index.present:
        tasks = "; ".join(task.name for _, task in index.tasks_by_person.get(person.id, ()))
        masks = "; ".join(
            ", size ".join(filter(None, (label_of(index.masks[worn.mask][1]), worn.size))) for worn in person.masks
        )
        told = (("Job", person.job), ("Tasks", tasks or "none"), ("Masks", masks or "none"))
        yield Item(person.id, label_of(person), tuple(_said(told)))


def _new_people(judged: Judged) -> Iterator[Item]:
    yield _all_of(label_of(person) for _, person in judged.index.present)


def _officer(judged: Judged) -> Iterator[Item]:
    officer = judged.description.officer
    told = (
        ("Officer", officer.name),
        ("Position", officer.title),
        ("Phone", officer.phone),
        ("May decide", officer.authority),
        ("Qualified by", "; ".join(officer.qualifications)),
        ("Deputies", "; ".join(officer.deputies)),
        *((role.title, _held_by(judged, role)) for role in judged.description.roles),
    )
    yield _all_of(_said(told))


def _held_by(judged: Judged, role: Role) -> str:
    names = {person.id: label_of(person) for _, person in judged.index.people.values()}
    holders = "; ".join(names.get(one, one) for one in role.holders) or "nobody"
    deputies = "; ".join(names.get(one, one) for one in role.deputies)
    return f"{holders}, standing in: {deputies}" if deputies else holders


def _contractors(judged: Judged) -> Iterator[Item]:
    program = judged.description
    told = [f"{task.name}: {task.others or 'nobody named'}" for task in program.tasks if task.done_by is DoneBy.OTHERS]
    told += [f"{task.name}: the mask is asked for by {task.required_by}" for task in program.tasks if task.required_by]
    told += [f"{body.name}: {body.part}" for body in program.bodies if body.part]
    told += [f"{group.name}: not covered here, {group.covered_by}" for group in program.groups if not group.covered]
    told += [
        f"{one.name}: breathing air, {one.used_for or 'for what is not said'}"
        for one in program.procedures.air_supply.suppliers
    ]
    yield _all_of(told or ["Nobody else is named."])


# ---- masks, law ---------------------------------------------------------------------------------------


def _masks(judged: Judged) -> Iterator[Item]:
    for mask in judged.description.masks:
        worn = (t.name for _, t in judged.index.our_tasks if mask.id in (*(u.mask for u in t.masks), *t.escape_masks))
        told = (
            ("Make and model", " ".join(filter(None, (mask.make, mask.model)))),
            ("Kind", kind_of(mask)),
            ("Approval", mask.approval),
            ("Tasks", "; ".join(worn) or "none"),
        )
        yield Item(mask.id, label_of(mask), tuple(_said(told)))


def _filters(judged: Judged) -> Iterator[Item]:
    for part in judged.description.filters:
        made = " ".join(filter(None, (part.make, part.model)))
        told = (("Make and model", made), ("Stops", stops_of(part)), ("Approval", part.approval))
        yield Item(part.id, label_of(part), tuple(_said(told)))


def _new_masks(judged: Judged) -> Iterator[Item]:
    yield _all_of(map(label_of, (*judged.description.masks, *judged.description.filters)))


def _law(judged: Judged) -> Iterator[Item]:
    place = judged.description.program.jurisdiction
    told = [f"Rules that this was judged by: {judged.rules_pack} {judged.rules_version}"]
    told += _said((("Enforced by", choice_words(place.authority) if place.authority else ""),))
    told += _said((("State", place.state),)) if place.state else []
    program = judged.description
    told += [f"Policy of {policy.by}: {policy.source}" for policy in program.policies]
    told += [f"Own rule: {rule.says}" for rule in program.house_rules]
    told += [f"Own text: {own.title}" for own in program.own_sections]
    told += [f"Word of our own: {one.term}: {one.means}" for one in program.definitions]
    yield _all_of(told)


# ---- evaluation and what comes ------------------------------------------------------------------------


def _evaluation(judged: Judged) -> Iterator[Item]:
    plan = judged.description.procedures.evaluation
    told = (
        ("Last evaluation", long_date(plan.last) if plan.last else ""),
        ("By", plan.by),
        ("How", plan.how),
        ("When", plan.occasion),
        ("How wearers are asked", plan.consulted_how),
    )
    yield _all_of(_said(told))


def _open_findings(judged: Judged) -> Iterator[Item]:
    for finding in judged.description.procedures.evaluation.findings:
        if finding.done is None:
            told = (("Correction", finding.correction), ("Who", finding.owner))
            lines = (_day("Found on", finding.date), *_said(told), _day("By when", finding.due))
            yield Item(finding.id, finding.what, lines)


def _coming_year(judged: Judged) -> Iterator[Item]:
    seen = judged.due(_AHEAD_DAYS)
    told = (
        f"{long_date(one.due) if one.due else 'at once'}: {one.what} ({one.because})"
        for one in (*seen.overdue, *seen.soon)
    )
    yield _all_of(tuple(told) or ("Nothing that the description knows of.",))


def _accepted(judged: Judged) -> Iterator[Item]:
    for identity, entry in accepted_ids(judged.description):
        ended = "; it has ended" if entry.until < judged.as_of else ""
        told = (("Reason", entry.reason), ("Accepted by", entry.by))
        label = f"{entry.code} {entry.subject or ''}".rstrip()
        yield Item(identity, label, (*_said(told), f"{_day('Until', entry.until)}{ended}"))


def accepted_ids(program: Program) -> Iterator[tuple[str, Acceptance]]:
    """Yield what is accepted with the id that tells it from the others: code and subject, numbered where need be."""
    seen: dict[str, int] = {}
    for entry in program.accepted:
        identity = spelt_id(f"{entry.code} {entry.subject or ''}")
        seen[identity] = seen.get(identity, 0) + 1
        yield (identity if seen[identity] == 1 else f"{identity[:55]}-{seen[identity]}"), entry


# ---- words --------------------------------------------------------------------------------------------


def _all_of(lines: Iterable[str]) -> Item:
    """Return the one item of a question about all: what the description says today."""
    return Item("", "Today", tuple(lines) or ("Nothing is said of it.",))


def spelt_id(text: str) -> str:
    """Return words as an id is spelt; "" where no letter of them can stand in one. Long ones end in their digest.

    >>> spelt_id("Scraping, then sanding: sashes")
    'scraping-then-sanding-sashes'
    """
    letters = (c for c in unicodedata.normalize("NFKD", text.lower()) if not unicodedata.combining(c))
    plain = "".join(c if c.isascii() and c.isalnum() else " " for c in letters)
    spelt = "-".join(plain.split())
    return spelt if len(spelt) <= _LONGEST_ID else f"{spelt[: _LONGEST_ID - _LETTERS - 1].rstrip('-')}-{_digest(text)}"


def _said(told: Iterable[tuple[str, Any]]) -> Iterator[str]:
    """Yield a line for each thing told; what could be said and is not is named as not stated."""
    for name, words in told:
        yield f"{name}: {' '.join(str(words).split()) if words else _NOT_SAID}"


def _day(name: str, day: Any) -> str:
    return f"{name}: {long_date(day) if day else _NOT_SAID}"


_ITEMS: dict[RenewalQuestion, Callable[[Judged], Iterator[Item]]] = {
    RenewalQuestion.TASKS: _tasks,
    RenewalQuestion.NEW_TASKS: _new_tasks,
    RenewalQuestion.PRODUCTS: _products,
    RenewalQuestion.NEW_PRODUCTS: _new_products,
    RenewalQuestion.EVIDENCE: _evidence,
    RenewalQuestion.PEOPLE: _people,
    RenewalQuestion.NEW_PEOPLE: _new_people,
    RenewalQuestion.SITES: _sites,
    RenewalQuestion.NEW_SITES: _new_sites,
    RenewalQuestion.EMERGENCIES: _emergencies,
    RenewalQuestion.OFFICER: _officer,
    RenewalQuestion.CONTRACTORS: _contractors,
    RenewalQuestion.MASKS: _masks,
    RenewalQuestion.FILTERS: _filters,
    RenewalQuestion.NEW_MASKS: _new_masks,
    RenewalQuestion.LAW: _law,
    RenewalQuestion.EVALUATION: _evaluation,
    RenewalQuestion.OPEN_FINDINGS: _open_findings,
    RenewalQuestion.COMING_YEAR: _coming_year,
    RenewalQuestion.ACCEPTED: _accepted,
}
