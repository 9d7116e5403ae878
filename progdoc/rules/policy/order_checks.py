"""Before and after, as policies set it: which step of a person came too early, too late or before its time.

Judged is the newest of the later steps; of fit tests, the newest in each mask, for one vouches for no other. `within`
counts from the newest earlier step to the first later one after it; where that lies a year and more away, it is a later
round, of which the first record need not be kept any more.
Of smoking and eating a fit test's record says how long nobody did (`nothing_before`), and its form asks for it; before
other steps they are on no record, and what is asked of them is printed alone.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator
from datetime import date

from progdoc.calc.due_dates import is_overdue, months_after
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import long_date
from progdoc.core.said import said
from progdoc.model.description.people import FitTest, Person, Recommendation, Result
from progdoc.model.description.policies import Policy
from progdoc.model.description.quantities import Quantity, in_unit
from progdoc.model.description.step_order import UNRECORDED, OrderRule, Step
from progdoc.rules.check_result import CheckResult, person_of, person_path
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.intervals import own, shortest
from progdoc.rules.in_force.policy_reach import origin_of
from progdoc.rules.in_force.rule_set import binding
from progdoc.rules.judged.order_words import order_words, step_words
from progdoc.rules.lookup.cited import cited
from progdoc.rules.requirement import Subject

__all__ = ["ORDER_CHECKS", "Awaited", "awaited_steps"]

_A_ROUND = 12  # months: our choice; records of earlier rounds need not be kept
_AGAINST_THE_LAW = (Step.FIT_TEST, Step.CLEARANCE)


@dataclass(frozen=True, slots=True)
class Awaited:
    """A step that a policy wants by a day, and that nobody has recorded yet."""

    policy: Policy
    rule: OrderRule
    number: int
    since: date
    due: date
    path: str


# ---- people ---------------------------------------------------------------------------------------------


def _steps(person: Person, path: str, step: Step, policy: Policy, as_of: date) -> list[tuple[date, str]]:
    """Return the days of a step up to a day, with their places, in their order."""
    found: list[tuple[date, str]] = []
    if step is Step.CLEARANCE:
        cleared = [(i, one) for i, one in enumerate(person.medical)]
        found = [(m.date, f"medical[{i}]") for i, m in cleared if m.recommendation is not Recommendation.NOT_CLEARED]
    elif step is Step.TRAINING:
        found = [(one.date, f"training[{i}]") for i, one in enumerate(person.training)]
    elif step is Step.READING:
        found = [(one.date, f"has_read[{i}]") for i, one in enumerate(person.has_read)]
    elif step is Step.FIT_TEST:
        tests = [(i, one) for i, one in enumerate(person.fit_tests) if one.result is not Result.FAIL]
        named = [(i, one) for i, one in tests if not policy.masks or one.mask in policy.masks]
        found = [(one.date, f"fit_tests[{i}]") for i, one in named]
    return sorted(((day, f"{path}.{place}") for day, place in found if day <= as_of), key=lambda one: one[0])


def _later(day: date, interval: Quantity | None) -> date | None:
    cycle = shortest(day, own(interval))
    return cycle.from_day(day) if cycle is not None else None


def _rules_for(facts: Facts, subject: Subject) -> Iterator[tuple[Policy, int, OrderRule]]:
    for policy in binding(facts.rules, facts.tasks_of(subject), facts.masks_about(subject)):
        for number, rule in enumerate(policy.order):
            if rule.then not in UNRECORDED and (rule.first not in UNRECORDED or rule.then is Step.FIT_TEST):
                yield policy, number, rule


def _troubles(facts: Facts, subject: Subject, policy: Policy, rule: OrderRule) -> Iterator[tuple[str, str]]:
    """Yield where a rule is not kept, and what stands against it."""
    person, path = person_of(facts, subject), person_path(facts, subject)
    thens = _steps(person, path, rule.then, policy, facts.as_of)
    judged = _newest(person, thens, rule, {mask.id for mask in facts.masks_about(subject)})
    if rule.first in UNRECORDED:
        yield from _restless(person, judged, rule)
        return
    firsts = _steps(person, path, rule.first, policy, facts.as_of)
    first, then = step_words(rule.first), step_words(rule.then)
    if not thens:
        late = _awaited_until(firsts, thens, rule)
        if late is not None and is_overdue(late, facts.as_of):
            since = long_date(firsts[-1][0])
            yield path, said("no %(then)s since the %(first)s of %(firsts)s", then=then, first=first, firsts=since)
        return
    early = list(_too_early(judged, firsts, rule))
    yield from early
    newest = firsts[-1][0] if firsts else None
    latest = _later(newest, rule.within) if newest and not early else None
    following = [one for one in thens if newest and one[0] >= newest]
    if newest is None or latest is None or not following or following[0][0] >= months_after(newest, _A_ROUND):
        return
    if following[0][0] > latest:
        yield (
            following[0][1],
            said(
                "%(then)s on %(following)s, %(first)s on %(newest)s: too late after it",
                then=then,
                following=long_date(following[0][0]),
                first=first,
                newest=long_date(newest),
            ),
        )


def _newest(
    person: Person, thens: list[tuple[date, str]], rule: OrderRule, masks: Container[str]
) -> list[tuple[date, str]]:
    """Return the newest of the later steps; of fit tests that in each of the masks it is about, for one vouches for
    no other."""
    tests = {_test_at(person, place).mask: (day, place) for day, place in thens} if rule.then is Step.FIT_TEST else {}
    return [test for mask, test in tests.items() if mask in masks] or thens[-1:]


def _test_at(person: Person, place: str) -> FitTest:
    return person.fit_tests[int(place.rpartition("[")[2].removesuffix("]"))]


def _too_early(
    judged: list[tuple[date, str]], firsts: list[tuple[date, str]], rule: OrderRule
) -> Iterator[tuple[str, str]]:
    first, then = step_words(rule.first), step_words(rule.then)
    for day, place in judged:
        before = max((one for one, _ in firsts if one <= day), default=None)
        earliest = _later(before, rule.after) if before else None
        if before is None:
            yield (
                place,
                said(
                    "%(then)s on %(day)s, and no %(first)s before it is on record",
                    then=then,
                    day=long_date(day),
                    first=first,
                ),
            )
        elif earliest is not None and day < earliest:
            yield (
                place,
                said(
                    "%(then)s on %(day)s, %(first)s on %(before)s: too soon after it",
                    then=then,
                    day=long_date(day),
                    first=first,
                    before=long_date(before),
                ),
            )


def _restless(person: Person, judged: list[tuple[date, str]], rule: OrderRule) -> Iterator[tuple[str, str]]:
    """Yield what stands against a rest before a fit test; nothing where it was as long as asked."""
    for day, place in judged if rule.wait is not None else ():
        stated = _test_at(person, place).nothing_before
        if stated is None:
            yield (
                place,
                said(
                    "nothing is said of %(step)s before the fit test of %(day)s",
                    step=step_words(rule.first),
                    day=long_date(day),
                ),
            )
        elif rule.wait is not None and in_unit(stated, "min") < in_unit(rule.wait, "min"):
            yield (
                place,
                said(
                    "no %(step)s for %(time)s only before the fit test of %(day)s",
                    step=step_words(rule.first),
                    time=stated.printed,
                    day=long_date(day),
                ),
            )


def _awaited_until(firsts: list[tuple[date, str]], thens: list[tuple[date, str]], rule: OrderRule) -> date | None:
    return _later(firsts[-1][0], rule.within) if firsts and not thens else None


def awaited_steps(facts: Facts, subject: Subject) -> Iterator[Awaited]:
    """Yield each step of a wearer that a policy wants by a day, and that is on no record yet."""
    person, path = person_of(facts, subject), person_path(facts, subject)
    for policy, number, rule in _rules_for(facts, subject):
        if rule.first in UNRECORDED:
            continue
        firsts = _steps(person, path, rule.first, policy, facts.as_of)
        due = _awaited_until(firsts, _steps(person, path, rule.then, policy, facts.as_of), rule)
        if due is not None:
            yield Awaited(policy, rule, number, firsts[-1][0], due, path)


def _order_kept(facts: Facts, subject: Subject) -> CheckResult:
    """The steps of a wearer came in the order, and at the distance, that the policies of their work ask for."""
    path, faults, bound = person_path(facts, subject), [], False
    for policy, _, rule in _rules_for(facts, subject):
        bound = True
        for place, told in _troubles(facts, subject, policy, rule):
            words = {"rule": order_words(rule), "told": told, "policy": policy.id, "citation": origin_of(policy)}
            faults.append((place, words))
    if not bound:
        return CheckResult((path,), nothing=said("No policy of their work sets an order that records can show."))
    return CheckResult((path,), tuple(faults))


# ---- the rules themselves -------------------------------------------------------------------------------


def _senseless(rule: OrderRule, day: date) -> str:
    if rule.then in UNRECORDED:
        return said(
            "nobody records %(step_words)s, and nothing has to come before it", step_words=step_words(rule.then)
        )
    if rule.first is rule.then:
        return said("a step can't come before itself")
    if rule.wait is not None and rule.first not in UNRECORDED:
        return said("hours are on no record; write days as `after`")
    if rule.first in UNRECORDED and (rule.wait is None or rule.within or rule.after):
        return said("%(step_words)s takes a `wait` in hours or minutes", step_words=step_words(rule.first))
    if (rule.first, rule.then) == _AGAINST_THE_LAW:
        return said("the law has the clearance before the fit test, %(cited)s", cited=cited("clearance-first"))
    if rule.within is not None and rule.after is not None:
        latest, earliest = _later(day, rule.within), _later(day, rule.after)
        if latest is not None and earliest is not None and latest < earliest:
            return said(
                "%(within)s are over before %(after)s are", within=rule.within.printed, after=rule.after.printed
            )
    return ""


def _order_makes_sense(facts: Facts, _subject: Subject) -> CheckResult:
    faults = tuple(
        (f"policies[{i}].order[{j}]", {"policy": policy.id, "rule": order_words(rule), "told": told})
        for i, policy in enumerate(facts.description.policies)
        for j, rule in enumerate(policy.order)
        if (told := _senseless(rule, facts.as_of))
    )
    shown = tuple(f"policies[{i}].order" for i, policy in enumerate(facts.description.policies) if policy.order)
    return CheckResult(
        ("policies",), faults, shown=shown[:1], nothing="" if shown else said("No policy sets an order.")
    )


ORDER_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "order-kept": _order_kept,
    "order-makes-sense": _order_makes_sense,
}
