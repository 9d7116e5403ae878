"""The register of single devices: lives that have ended, cylinders in reserve, bench tests, repairs, posts, lots.

Each asks only about what is described: who keeps no register is asked for none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date

from progdoc.calc.due_dates import is_overdue
from progdoc.core.numbers import long_date
from progdoc.core.said import said, said_join
from progdoc.model.description.devices import Cylinder, InspectionResult, Material, Unit
from progdoc.model.description.masks import Mask
from progdoc.model.description.words import label_of
from progdoc.rules.check_result import CheckResult, person_of, person_path, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import charge_needed, cylinder_due, flow_test_cycles
from progdoc.rules.in_force.intervals import shortest
from progdoc.rules.judged.figure_results import Setter
from progdoc.rules.lookup.facepieces import seals
from progdoc.rules.lookup.telling_words import is_told
from progdoc.rules.lookup.unit_state import UnitState, low_charge, unit_state
from progdoc.rules.lookup.withdrawal import is_withdrawn
from progdoc.rules.requirement import Subject

__all__ = ["DEVICE_CHECKS", "last_flow_test"]


def _mask_of(facts: Facts, subject: Subject) -> Mask:
    return facts.masks[subject.ids[0].partition(".")[2]][1]


# ---- lives ----------------------------------------------------------------------------------------------


def _life_not_over(facts: Facts, subject: Subject) -> CheckResult:
    """No last day that is stated of a piece, of the canister on it or of its cylinder lies behind."""
    unit, path = facts.value_at(subject.path), subject.path
    stated = [(f"{path}.end_of_life", said("its end of life"), unit.end_of_life)]
    stated += [(f"{path}.use_by", said("the use-by day of its cartridge or canister"), unit.use_by)]
    if unit.cylinder is not None:
        stated += [(f"{path}.cylinder.end_of_life", said("the end of life of its cylinder"), unit.cylinder.end_of_life)]
    known = [(place, what, day) for place, what, day in stated if day is not None]
    if not known:
        return CheckResult((path,), nothing=said("No last day of it is stated."))
    faults = tuple(
        (place, {"what": what, "day": long_date(day)}) for place, what, day in known if is_overdue(day, facts.as_of)
    )
    return CheckResult(tuple(place for place, _, _ in known), faults, shown=(path,))


def _composite_life_said(cylinder: Cylinder | None, path: str) -> CheckResult:
    if cylinder is None or cylinder.material is not Material.COMPOSITE:
        return CheckResult((path,), nothing=said("Nobody says that its cylinder is a composite one."))
    place = f"{path}.end_of_life"
    return result_at(place, {} if cylinder.end_of_life is None else None)


def _life_of_composite_on_unit(facts: Facts, subject: Subject) -> CheckResult:
    return _composite_life_said(facts.value_at(subject.path).cylinder, f"{subject.path}.cylinder")


def _life_of_composite_in_reserve(facts: Facts, subject: Subject) -> CheckResult:
    return _composite_life_said(facts.value_at(subject.path), subject.path)


# ---- cylinders in reserve -------------------------------------------------------------------------------


def _in_reserve(check: Callable[[Facts, Subject], CheckResult]) -> Callable[[Facts, Subject], CheckResult]:
    """Return the check of a cylinder that is still in use."""

    def of_one_in_use(facts: Facts, subject: Subject) -> CheckResult:
        is_gone = is_withdrawn(facts.value_at(subject.path), facts.as_of)
        return CheckResult((subject.path,), nothing=said("It is out of use.")) if is_gone else check(facts, subject)

    return of_one_in_use


def _spare_tested(facts: Facts, subject: Subject) -> CheckResult:
    spare, path = facts.value_at(subject.path), f"{subject.path}.requalify_by"
    due = cylinder_due(facts.rules, [task for _, task in facts.our_tasks], spare)
    if due is None:
        return result_at(path, {"due": said("no requalification date is recorded")})
    return result_at(path, {"due": said("due %(due)s", due=long_date(due))} if is_overdue(due, facts.as_of) else None)


def _spare_life_not_over(facts: Facts, subject: Subject) -> CheckResult:
    end, path = facts.value_at(subject.path).end_of_life, f"{subject.path}.end_of_life"
    if end is None:
        return CheckResult((path,), nothing=said("The end of its life is not stated."))
    return result_at(path, {"day": long_date(end)} if is_overdue(end, facts.as_of) else None)


def _spare_charged(facts: Facts, subject: Subject) -> CheckResult:
    """A cylinder in reserve was not found down to the pressure at which it is charged again, and left."""
    spare, path = facts.value_at(subject.path), f"{subject.path}.inspections"
    past = [(one.date, i) for i, one in enumerate(spare.inspections) if one.date <= facts.as_of]
    fitting = [facts.masks[name][1] for name in spare.masks] or [mask for _, mask in facts.masks.values()]
    charges = [needed for mask in fitting if (needed := charge_needed(facts.rules, mask)) is not None]
    if not past or not charges:
        return CheckResult((path,), nothing=said("No inspection of it is recorded, or no mask carries a cylinder."))
    record, place = spare.inspections[max(past)[1]], f"{path}[{max(past)[1]}]"
    if record.result is InspectionResult.OUT_OF_SERVICE:
        return CheckResult((place,), shown=(place,))
    low = [(left, one) for one in charges if (left := low_charge(record, one, spare.rated)) is not None]
    if not low:
        return CheckResult((place,), shown=(place,))
    found, charge = low[0]
    cites = {} if charge.setter is Setter.LAW else {"citation": charge.origin}
    words = {"date": long_date(record.date), "found": found.printed, "most": charge.text, **cites}
    return CheckResult((place,), ((place, words),))


# ---- bench tests and repairs ----------------------------------------------------------------------------


def last_flow_test(unit: Unit, as_of: date) -> date | None:
    """Return the day of the last bench test that a set passed, where no later one failed it."""
    past = sorted((one for one in unit.flow_tests if one.date <= as_of), key=lambda one: one.date)
    return past[-1].date if past and past[-1].passed is not False else None


def _flow_tested(facts: Facts, subject: Subject) -> CheckResult:
    """The last bench test of a set was passed, and is not older than the maker, a policy or the firm lets it be."""
    unit, path, mask = facts.value_at(subject.path), f"{subject.path}.flow_tests", _mask_of(facts, subject)
    found = flow_test_cycles(facts.rules, mask, facts.tasks_around(mask))
    done = last_flow_test(unit, facts.as_of)
    past = [one for one in unit.flow_tests if one.date <= facts.as_of]
    if past and done is None:
        day = max(one.date for one in past)
        return result_at(path, {"last": said("it did not pass its flow test of %(day)s", day=long_date(day))})
    newest = max(past, key=lambda one: one.date, default=None)
    if newest is not None and newest.passed is None:
        return result_at(
            path, {"last": said("nobody says whether it passed its flow test of %(date)s", date=long_date(newest.date))}
        )
    cycle = shortest(done or facts.as_of, found)
    if cycle is None:
        return CheckResult((path,), nothing="" if past else said("Nobody sets an interval for flow tests."))
    if done is None:
        return result_at(
            path,
            {
                "last": said("no flow test is recorded, and one is asked for every %(cycle)s", cycle=cycle.text),
                **cycle.cites,
            },
        )
    due = cycle.from_day(done)
    told = said("last flow test %(done)s, due %(due)s", done=long_date(done), due=long_date(due))
    return result_at(path, {"last": told, **cycle.cites} if is_overdue(due, facts.as_of) else None)


def _each_repair(facts: Facts, subject: Subject, wrong: Callable[[Unit, int, date], str], nothing: str) -> CheckResult:
    unit, path = facts.value_at(subject.path), f"{subject.path}.repairs"
    past = [i for i, one in enumerate(unit.repairs) if one.since <= facts.as_of]
    faults = []
    for i in past:
        if trouble := wrong(unit, i, facts.as_of):
            told = {
                "repair": unit.repairs[i].what.rstrip("."),
                "date": long_date(unit.repairs[i].since),
                "trouble": trouble,
            }
            faults.append((f"{path}[{i}]", told))
    return CheckResult((path,), tuple(faults), nothing="" if past else nothing)


def _untrained(unit: Unit, i: int, _as_of: date) -> str:
    if unit.repairs[i].trained is False:
        return said("whoever did it was not trained for it")
    return said("nobody says that whoever did it was trained for it") if unit.repairs[i].trained is None else ""


def _untested(unit: Unit, i: int, as_of: date) -> str:
    repair = unit.repairs[i]
    if repair.done is None or repair.done > as_of:
        return ""  # it is still out of use
    if is_told("gave_up", repair.what):
        return said(
            "it came back on %(done)s, and “%(what)s” tells of no repair", done=long_date(repair.done), what=repair.what
        )
    looks = [one.date for one in unit.inspections if one.result is not None and one.date <= as_of]
    looks += [one.date for one in unit.flow_tests if one.passed is not False and one.date <= as_of]
    looks += [repair.tested] if repair.tested is not None and repair.tested <= as_of else []
    return (
        ""
        if any(day >= repair.done for day in looks)
        else said("it came back on %(done)s", done=long_date(repair.done))
    )


def _repaired_by_trained(facts: Facts, subject: Subject) -> CheckResult:
    return _each_repair(facts, subject, _untrained, said("No repair of it is recorded."))


def _tested_after_repair(facts: Facts, subject: Subject) -> CheckResult:
    return _each_repair(facts, subject, _untested, said("No repair of it is recorded."))


# ---- posts ----------------------------------------------------------------------------------------------


def _fixed_to(facts: Facts, post: str) -> Iterator[tuple[Mask, Unit]]:
    for _, mask in facts.masks.values():
        yield from ((mask, unit) for unit in mask.units if unit.post == post)


def _enough_at_post(facts: Facts, subject: Subject) -> CheckResult:
    """As many pieces that may be worn are fixed to a post as people of it put one on at once."""
    post, path = facts.value_at(subject.path), subject.path
    needed = int(post.at_once) if post.at_once is not None else len(set(post.people))
    place = f"{path}.at_once" if post.at_once is not None else f"{path}.people"
    if not needed:
        return CheckResult((path,), nothing=said("Nobody says how many put on a mask there."))
    sound = [
        unit
        for mask, unit in _fixed_to(facts, post.id)
        if not is_withdrawn(mask, facts.as_of)
        and unit_state(unit, facts.as_of, charge_needed(facts.rules, mask)) in (UnitState.SOUND, UnitState.UNSAID)
    ]
    fault = {"found": str(len(sound)), "needed": str(needed)} if len(sound) < needed else None
    return result_at(place, fault)


def _cleaned_at_post(facts: Facts, subject: Subject) -> CheckResult:
    """What several people of a post wear in turn is cleaned before the next one, there or by the general rule."""
    post, path = facts.value_at(subject.path), f"{subject.path}.cleaned_between"
    pieces = [unit for mask, unit in _fixed_to(facts, post.id) if not mask.disposable]
    is_shared = len(set(post.people)) > len(pieces) or len(set(post.people)) > int(post.at_once or len(post.people))
    if not pieces or not is_shared:
        return CheckResult((path,), nothing=said("No mask of it is known to be worn by several people."))
    if post.cleaned_between is not None:
        return result_at(path, None if post.cleaned_between else {"said": said("they are not")})
    rule = "procedures.cleaning.between_wearers"
    if facts.description.procedures.cleaning.between_wearers:
        return CheckResult((path, rule), shown=(rule,))
    return result_at(path, {"said": said("nobody says that they are")})


def _tested_for_their_posts(facts: Facts, subject: Subject) -> CheckResult:
    """Whoever serves at a post has its sealing masks among their own: by these alone fit tests are asked for."""
    person, place = person_of(facts, subject), f"{person_path(facts, subject)}.masks"
    posts = [post for post in facts.description.posts if f"posts.{post.id}" in subject.ids]
    sealing = {
        mask.id: (post, mask)
        for post in posts
        for mask, _ in _fixed_to(facts, post.id)
        if mask.facepiece is not None and seals(mask.facepiece)
    }
    faults = tuple(
        (place, {"post": label_of(post), "mask": label_of(mask), "mask_id": mask.id})
        for post, mask in sealing.values()
        if mask.id not in {own.mask for own in person.masks}
    )
    return CheckResult(
        (place,), faults, nothing="" if sealing else said("They serve at no post with a mask that seals.")
    )


# ---- lots -----------------------------------------------------------------------------------------------


def _lots_in_date(facts: Facts, subject: Subject) -> CheckResult:
    part, path = facts.value_at(subject.path), f"{subject.path}.stock"
    dated = [(f"{path}[{i}].use_by", lot) for i, lot in enumerate(part.stock) if lot.use_by is not None]
    if not dated:
        return CheckResult((path,), nothing=said("No lot with a use-by day is described."))
    faults = tuple(
        (place, {"lot": lot.lot, "day": long_date(lot.use_by)})
        for place, lot in dated
        if is_overdue(lot.use_by, facts.as_of) and lot.pieces != 0
    )
    return CheckResult(tuple(place for place, _ in dated), faults, shown=(path,))


def _some_lot_in_date(facts: Facts, subject: Subject) -> CheckResult:
    """Of a filter whose lots are listed, one at least is there and not past its day."""
    part, path = facts.value_at(subject.path), f"{subject.path}.stock"
    if not part.stock:
        return CheckResult((path,), nothing=said("No lot is described."))
    left = [lot for lot in part.stock if lot.pieces != 0 and not (lot.use_by and is_overdue(lot.use_by, facts.as_of))]
    return result_at(path, None if left else {"lots": said_join((lot.lot for lot in part.stock), ", ")})


DEVICE_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "piece-within-its-life": _life_not_over,
    "composite-life-said": _life_of_composite_on_unit,
    "spare-composite-life-said": _in_reserve(_life_of_composite_in_reserve),
    "spare-cylinder-tested": _in_reserve(_spare_tested),
    "spare-cylinder-within-its-life": _in_reserve(_spare_life_not_over),
    "spare-cylinder-charged": _in_reserve(_spare_charged),
    "flow-tested": _flow_tested,
    "repaired-by-trained": _repaired_by_trained,
    "tested-after-repair": _tested_after_repair,
    "enough-at-post": _enough_at_post,
    "cleaned-at-post": _cleaned_at_post,
    "tested-for-their-posts": _tested_for_their_posts,
    "lots-in-date": _lots_in_date,
    "some-lot-in-date": _some_lot_in_date,
}
