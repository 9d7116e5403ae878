"""What can't have happened, or can't be entered: a day to come, a size not stocked, a mask that somebody does not wear.

Each is told in words for a contractor: what is wrong, and what to type instead.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date

from progdoc.app.event_kinds import ALL, KINDS, OPTIONS
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import long_date
from progdoc.core.paper_language import marked
from progdoc.core.said import said, said_join
from progdoc.document.papers.renewal_questions import spelt_id
from progdoc.model.description.index import Index
from progdoc.model.description.masks import Gas, Mask
from progdoc.model.description.people import Person
from progdoc.model.description.program import Program
from progdoc.model.description.words import label_of
from progdoc.rules.lookup.facepieces import SCBA
from progdoc.rules.lookup.fit_protocols import fit_protocols, protocol_steps
from progdoc.rules.records.fit_record_checks import CHANGED_FILTERS, SMOKE_FILTERS

__all__ = ["Refused", "chosen", "day_of", "nearest", "people_of", "refusals_of"]

_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_MOST_SHOWN = 12
_OF_LEFT = ("return", "leaving", "medical", "examination", "reevaluation")  # what may still come of somebody who left
_OF_MANY = ("inspection", "flow-test")
_BEGUN = {  # where the first of a kind is described
    "unit": marked("None is described: name each under `units` of its mask, with an `id` and its `serial`, first."),
    "cylinder": marked("None is described: write it under `cylinders`, or as `cylinder` of a single mask, first."),
    "entry": marked("The firm has no calendar of its own: write what comes round under `calendar` first."),
}


@dataclass(frozen=True, slots=True)
class Refused:
    """Why something is not entered: under which code, what is wrong, and what to type."""

    code: str
    what: str
    fix: str


def chosen(typed: str) -> list[str]:
    """Return ids or names that were typed with commas or semicolons between, each once."""
    return list(dict.fromkeys(" ".join(part.split()) for part in re.split("[,;]", typed) if part.strip()))


def day_of(text: str) -> str:
    """Return a day as it is written in the description; "" for anything else."""
    return text if _DAY.fullmatch(text) else ""


def nearest(wanted: str, known: Collection[str], kind: str) -> Refused:
    """Return what to say of an id that is not known: the nearest spelling, or what there is."""
    near = difflib.get_close_matches(wanted.lower(), list(known), 1, 0.6)
    shown = ", ".join(f"`{name}`" for name in list(known)[:_MOST_SHOWN]) + ", …" * (len(known) > _MOST_SHOWN)
    fix = (
        said("Did you mean %(near)s?", near=f"`{near[0]}`")
        if near
        else said("Known: %(shown)s.", shown=shown or said("none"))
    )
    what = said("%(wanted)s is no %(kind)s of this description.", wanted=f"`{wanted}`", kind=said(kind))
    return Refused("RECORD-001", what, fix)


def new_person(values: Mapping[str, str]) -> str:
    """Return the id of somebody new: as typed, or made of the name."""
    return values.get("id", "") or spelt_id(values["name"])


def newest_medical(person: Person) -> int:
    """Return the place of somebody's newest recommendation in the list; -1 if there is none."""
    return max(range(len(person.medical)), key=lambda i: person.medical[i].date, default=-1)


def places_of_units(program: Program) -> dict[str, tuple[str | int, ...]]:
    """Return where each single mask, and each cylinder in reserve, stands, by its id."""
    found: dict[str, tuple[str | int, ...]] = {
        unit.id: ("masks", i, "units", j) for i, mask in enumerate(program.masks) for j, unit in enumerate(mask.units)
    }
    return {**found, **{cylinder.id: ("cylinders", i) for i, cylinder in enumerate(program.cylinders)}}


def units_of(index: Index, typed: str, kind: str) -> list[str]:
    """Return the single masks and cylinders meant by ids, of a look or a test also by their kind, their post, or `all`.

    What was withdrawn is meant by its own id alone.
    """
    program = index.description
    if kind not in _OF_MANY:
        return chosen(typed)
    used = [(mask.id, unit) for mask in program.masks for unit in mask.units if unit.withdrawn is None]
    found: dict[str, None] = {}
    for wanted in chosen(typed):
        many = [unit.id for mask, unit in used if wanted.lower() == ALL or wanted in (mask, unit.post)]
        found |= dict.fromkeys([wanted] if not many or wanted in places_of_units(program) else many)
    return list(found)


def places_of_cylinders(program: Program) -> dict[str, tuple[str | int, ...]]:
    """Return where each cylinder stands, on a mask or in reserve, by its id."""
    found: dict[str, tuple[str | int, ...]] = {
        unit.cylinder.id: ("masks", i, "units", j, "cylinder")
        for i, mask in enumerate(program.masks)
        for j, unit in enumerate(mask.units)
        if unit.cylinder is not None
    }
    return {**found, **{cylinder.id: ("cylinders", i) for i, cylinder in enumerate(program.cylinders)}}


def people_of(index: Index, typed: str) -> tuple[list[Person], list[Refused]]:
    """Return the people meant by ids or full names; `all` is everybody who has not left."""
    if typed.strip().lower() == ALL:
        return [person for person in index.description.people if person.left is None], []
    by_name: dict[str, list[Person]] = {}
    for person in index.description.people:
        by_name.setdefault(" ".join((person.name or "").split()).lower(), []).append(person)
    found: dict[str, Person] = {}
    refused = []
    for wanted in chosen(typed):
        named = by_name.get(wanted.lower(), [])
        if wanted in index.people:
            found[wanted] = index.people[wanted][1]
        elif len(named) == 1:
            found[named[0].id] = named[0]
        elif named:
            ids = said_join([f"`{one.id}`" for one in named], said(" or "))
            what = said("More than one person is called %(name)s.", name=wanted)
            refused.append(Refused("RECORD-001", what, said("Write %(line)s.", line=ids)))
        else:
            near = difflib.get_close_matches(wanted.lower(), [name for name in by_name if name], 1, 0.75)
            is_name = near and wanted.lower() not in index.people
            known = nearest(wanted, list(index.people), marked("person"))
            known = replace(known, fix=said_join([known.fix, said("Somebody new is entered by `joining`.")]))
            meant = by_name[near[0]][0].id if is_name else ""
            fix = said("Did you mean %(near)s?", near=f"`{meant}`")
            refused.append(Refused(known.code, known.what, fix) if meant else known)
    return list(found.values()), refused


def refusals_of(index: Index, kind: str, day: date, values: Mapping[str, str]) -> Iterator[Refused]:
    """Yield why an event can't be entered; nothing is asked of what belongs to the rules."""
    _, needed, may, _ = KINDS[kind]
    missing = [name for name in needed if not values.get(name, "").strip()]
    for name in missing:
        what = said("It is not said: %(what)s.", what=said(OPTIONS[name][1]))
        yield Refused("RECORD-005", what, f"Add `--{name} {OPTIONS[name][0]}`.")
    for name in values:
        if name not in (*needed, *may):
            known = ", ".join(f"`{one}`" for one in (*needed, *may))
            yield Refused("RECORD-005", f"`{name}` is not asked of this kind of event.", f"It takes {known}.")
    if missing:
        return
    if kind == "transfer" and not (values.get("to", "").strip() or values.get("off", "").strip()):
        yield Refused(
            "RECORD-005", "It is not said to which work they went over.", "Add `--to IDS`, `--off IDS` or both."
        )
    if kind == "withdrawal" and bool(values.get("mask")) is bool(values.get("unit")):
        what = "It is not said what was taken out of use: a whole kind of mask, or single ones."
        yield Refused("RECORD-005", what, "Add `--mask ID` or `--unit IDS`, one of the two.")
    yield from _unknown(index, kind, values)
    if kind == "joining":
        yield from _new(index, values)
    if kind == "inspection" and values.get("pressure"):
        yield from _airless(index, values["unit"])
    if kind == "correction":
        yield from _done(index, day, values["finding"])
    people, unknown = people_of(index, values["who"]) if values.get("who") else ([], [])
    yield from unknown
    for person in people:
        if person.left is not None and person.left < day and kind not in _OF_LEFT:
            what = said("%(who)s left on %(day)s.", who=label_of(person), day=long_date(person.left))
            yield Refused("RECORD-003", what, said("Name an earlier day, or somebody who has not left."))
    if kind == "reevaluation":
        for person in people:
            if newest_medical(person) < 0:
                what = f"{label_of(person)} has no medical recommendation that another one would follow."
                yield Refused("RECORD-003", what, "Enter it by `medical` once it comes; nobody works in a mask before.")
    if "mask" in values and values["mask"] in index.masks:
        mask = index.masks[values["mask"]][1]
        yield from _size(mask, values.get("size", ""))
        if kind == "fit-test":
            yield from _test(index, mask, values)
        for person in people:
            yield from _of_mask(index, kind, day, person, mask, values)
    if kind == "filter-change" and values.get("filter") in index.filters:
        yield from _change(index, values["filter"], chosen(values.get("tasks", "")))
    if kind == "leaving":
        if values.get("archive", "no").strip().lower() not in ("yes", "y", "no", "n"):
            yield Refused("RECORD-005", "It is not said plainly whether to archive them.", "Write `yes` or `no`.")
        for person in people:
            if person.left is not None and person.left != day:
                what = f"{label_of(person)} is said to have left on {long_date(person.left)}."
                yield Refused("RECORD-003", what, "Correct the day where it stands, if it is wrong.")


def _unknown(index: Index, kind: str, values: Mapping[str, str]) -> Iterator[Refused]:
    program = index.description
    known: dict[str, tuple[Iterable[str], str]] = {
        "mask": (index.masks, marked("mask")),
        "masks": (index.masks, marked("mask")),
        "filter": (index.filters, marked("filter or cartridge")),
        "tasks": (index.tasks, marked("task")),
        "to": (index.tasks, marked("task")),
        "off": (index.tasks, marked("task")),
        "unit": (places_of_units(program), marked("single mask with records of its own")),
        "cylinder": (places_of_cylinders(program), marked("cylinder")),
        "entry": ([entry.id for entry in program.calendar], marked("entry of the calendar")),
        "group": ([group.id for group in program.groups], marked("group of people")),
    }
    if kind == "correction":
        known["finding"] = (
            [one.id for one in program.procedures.evaluation.findings],
            marked("finding of an evaluation"),
        )
    for name, (there, called) in known.items():
        wanted = chosen(values.get(name, "")) if name != "mask" else [values[name].strip()] if name in values else []
        wanted = units_of(index, values.get(name, ""), kind) if name == "unit" else wanted
        for one in wanted:
            if one not in there:
                found = nearest(one, list(there), called)
                yield found if there or name not in _BEGUN else replace(found, fix=said(_BEGUN[name]))


def _airless(index: Index, typed: str) -> Iterator[Refused]:
    """Yield each single mask that has no air of its own, whose pressure is told."""
    wanted = units_of(index, typed, "inspection")
    for mask in index.description.masks:
        carries = mask.mode is None or mask.mode in SCBA or mask.auxiliary_air
        for unit in (one.id for one in mask.units if one.id in wanted and not carries and one.cylinder is None):
            fix = "Record it apart, without `--pressure`; those of one kind are named by the id of the mask."
            yield Refused("RECORD-003", f"`{unit}`, a {label_of(mask)}, carries no air of its own.", fix)


def _done(index: Index, day: date, wanted: str) -> Iterator[Refused]:
    findings = index.description.procedures.evaluation.findings
    done = next((one.done for one in findings if one.id == wanted.strip()), None)
    if done is not None and done != day:
        what = f"The finding `{wanted.strip()}` is said to have been corrected on {long_date(done)}."
        still = [one.id for one in findings if one.done is None]
        yield Refused(
            "RECORD-003", what, f"Still open: {', '.join(still) or 'none'}. Correct a wrong day where it stands."
        )


def _new(index: Index, values: Mapping[str, str]) -> Iterator[Refused]:
    there = index.people.get(new_person(values))
    if not new_person(values):
        yield Refused("RECORD-005", "No id can be made of that name.", "Add `--id`, in small letters and hyphens.")
    if there is not None and (there[1].name or "").lower() != values["name"].lower():
        what = f"`{new_person(values)}` is the id of {label_of(there[1])}."
        yield Refused("RECORD-003", what, "Add `--id` with another one.")


def _size(mask: Mask, size: str) -> Iterator[Refused]:
    if size and mask.sizes and size not in mask.sizes:
        what = f"Size {size} of {label_of(mask)} is not kept in stock."
        fix = f"Stocked are {', '.join(mask.sizes)}. A new size is added under `sizes` of the mask."
        yield Refused("RECORD-003", what, fix)


def _test(index: Index, mask: Mask, values: Mapping[str, str]) -> Iterator[Refused]:
    protocol = values.get("protocol", "").strip()
    if not protocol:
        return
    rule = fit_protocols().get(protocol)
    if rule is None:
        yield nearest(protocol, list(fit_protocols()), marked("fit-test protocol"))
        return
    kind = mask.facepiece.value if mask.facepiece else ""
    if kind and kind not in rule["masks"]:
        suit = [name for name, entry in fit_protocols().items() if kind in entry["masks"]]
        what = (
            f"{rule['name']} does not suit {label_of(mask)}, a {kind.replace('-', ' ')} ({protocol_steps(protocol)})."
        )
        fix = (
            f"Those that do: {', '.join(suit)}."
            if suit
            else "No protocol is for a mask that does not seal to the face."
        )
        yield Refused("RECORD-003", what, fix)
    fitted = values.get("filters", "").strip() or (mask.built_in_filter.value if mask.built_in_filter else "")
    wanted = SMOKE_FILTERS if mask.built_in_filter else CHANGED_FILTERS  # a dust mask can't change its filter
    if ("fitted_classes" in rule or protocol == "irritant-smoke") and fitted and fitted not in wanted:
        what = f"A filter of class {fitted} does not suit {rule['name']}: it asks for {rule['fitted_with']}."
        yield Refused("RECORD-003", what, "Name the filters that were fitted, or another protocol.")
    parts = [index.filters[name][1] for name in mask.filters if name in index.filters]
    gas = rule.get("fitted_gas")
    if gas and parts and not any(gas in part.gases or Gas.MULTI_GAS in part.gases for part in parts):
        what = f"None of the filters of {label_of(mask)} suits {rule['name']}: it asks for {rule['fitted_with']}."
        yield Refused("RECORD-003", what, "Name another protocol, or add the cartridge under `filters` of the mask.")


def _change(index: Index, part: str, tasks: Sequence[str]) -> Iterator[Refused]:
    """A filter is changed where a mask has it."""
    to_get_out = {mask.id for _, mask in index.masks.values() if part in mask.filters}
    worn_in = [
        task.id
        for _, task in index.tasks.values()
        if any(part in use.filters for use in task.masks) or to_get_out & set(task.escape_masks)
    ]
    strange = [task for task in tasks if task in index.tasks and task not in worn_in]
    if strange:
        what = f"No mask of {', '.join(f'`{task}`' for task in strange)} has `{part}`."
        where = f"It is worn in {', '.join(f'`{task}`' for task in worn_in)}." if worn_in else "No task has it."
        yield Refused("RECORD-003", what, f"{where} Name that task, or the filter that was changed.")


def _of_mask(
    index: Index, kind: str, day: date, person: Person, mask: Mask, values: Mapping[str, str]
) -> Iterator[Refused]:
    worn = {issued.mask: issued for issued in person.masks}
    by_work = {use.mask for _, task in index.tasks_by_person.get(person.id, ()) for use in task.masks}
    theirs = ", ".join(f"`{one}`" for one in worn) or "no mask"
    if kind == "fit-test" and mask.id not in {*worn, *by_work}:
        what = f"{label_of(person)} does not wear `{mask.id}`, and none of their tasks names it."
        yield Refused("RECORD-003", what, f"They wear {theirs}. A new mask is named in the task first, or handed out.")
    was_returned = any((one.mask, one.date) == (mask.id, day) for one in person.returned)
    if kind == "return" and mask.id not in worn and not was_returned:
        yield Refused("RECORD-003", f"{label_of(person)} does not wear `{mask.id}`.", f"They wear {theirs}.")
    if kind != "issue":
        return
    if mask.withdrawn is not None and mask.withdrawn.since <= day:
        what = f"{label_of(mask)} is out of use since {long_date(mask.withdrawn.since)}."
        yield Refused("RECORD-003", what, "Hand out another mask.")
    has = worn.get(mask.id)
    is_same = has is not None and (has.size or "", has.since) == (values.get("size", ""), day)
    if has is not None and not is_same:
        size = f" in size {has.size}" if has.size else ""
        what = f"{label_of(person)} has `{mask.id}`{size} already."
        yield Refused("RECORD-003", what, "For another size record its return first.")
