"""Quantities in a text beside a figure: what stands in the words may not break the limit that the figure keeps.

Calendar time and plain numbers are held against the figure itself, and only where the text speaks of the same thing:
a text may time another thing than the figure beside it ("calibrated every two years").
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from progdoc.core.numbers import counted
from progdoc.core.said import said, same
from progdoc.model.description.quantities import Dimension, Quantity, in_unit, is_comparable
from progdoc.model.description.words import as_printed
from progdoc.rules.air.declared_work import most_oxygen
from progdoc.rules.air.surveillance import most_days
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.judged.figure_results import LawValue, Stricter
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.telling_words import is_told
from progdoc.rules.lookup.text_intervals import counts_in, intervals_in, quantities_in, speaks_of, texts_beside
from progdoc.rules.requirement import Subject

__all__ = ["TEXT_FIGURE_CHECKS", "limits_beside", "shares_of_oxygen"]

_WIDE = 2.0  # our choice: holidays and free days make up to half of "every day", and no more
_PERCENT = r"(?:%|percent\b|per cent\b)"
_OXYGEN_NAMED = r"(?:oxygen|o2|o₂)\b(?! (?:bleach|cleaner|absorber|sensor|lance))"
_OXYGEN = re.compile(
    rf"(?<!\d)(?P<before>\d+(?:[.,]\d+)?) ?{_PERCENT} (?:of |by volume of )?{_OXYGEN_NAMED}"
    rf"|\b{_OXYGEN_NAMED}[^.;\d%]{{0,200}}?(?P<behind>\d+(?:[.,]\d+)?) ?{_PERCENT}",
    re.IGNORECASE,
)


def limits_beside(facts: Facts) -> Iterator[LawValue]:
    """Yield every figure of the law that stands in the procedures with a unit, calendar time left out."""
    for rule in facts.law_of().values.values():
        has_unit = isinstance(rule.value, Quantity) and rule.kind != Dimension.INTERVAL
        if has_unit and rule.program and facts.value_at(rule.program) is not None:
            yield rule


def _texts_against_figures(facts: Facts, _subject: Subject) -> CheckResult:
    read: list[str] = []
    faults: dict[str, dict[str, str]] = {}
    shown: tuple[str, ...] = ()  # a text and the figure it agrees with: one pair is enough
    for rule in limits_beside(facts):
        group = rule.program.rpartition(".")[0]
        for path, text in facts.texts_in(group):
            if path.rpartition(".")[0] != group:
                continue
            read += [rule.program, path]
            for found in _named_in(text, rule):
                if _breaks(found, rule):
                    figure = facts.value_at(rule.program)
                    words = {"text": text, "found": found.printed, "said": figure.printed, "field": rule.program}
                    faults[path] = {
                        **words,
                        "limit": said(
                            ", and the limit is %(rule)s (%(citation)s)", rule=rule.printed, citation=rule.citation
                        ),
                    }
                elif said_by(text) is Said.ANSWER:
                    shown = shown or (rule.program, path)
    for figure, path, text, named, agrees in _same_things(facts):
        read += [figure, path]
        if agrees:
            shown = shown or (figure, path)
        elif path not in faults:
            faults[path] = {
                "text": text, "found": named, "said": as_printed(facts.value_at(figure)), "field": figure, "limit": "",
            }  # fmt: skip
    nothing = "" if shown else said("No text names a quantity beside a figure with a limit.")
    return CheckResult(tuple(dict.fromkeys(read)), tuple(faults.items()), shown, nothing)


def _same_things(facts: Facts) -> Iterator[tuple[str, str, str, str, bool]]:
    """Yield figure, place and text, what the text names of the same thing, and whether the two agree."""
    for entry in texts_beside():
        figure, value = entry["figure"], facts.value_at(entry["figure"])
        group = figure.rpartition(".")[0]
        if value is None or facts.value_at(group) is None:
            continue
        for path, text in facts.texts_in(group):
            if path.rpartition(".")[0] != group:
                continue
            clauses = [text] if path in entry.get("texts", ()) else list(speaks_of(text, entry["about"]))
            for found, agrees in (pair for clause in clauses for pair in _named_beside(clause, value)):
                yield figure, path, text, found, agrees


def _named_beside(clause: str, value: Quantity | int) -> Iterator[tuple[str, bool]]:
    if not isinstance(value, Quantity):
        yield from ((said("“%(words)s”", words=words), count == value) for words, count in counts_in(clause))
        return
    (own,) = intervals_in(f"every {value.value:g} {value.unit}")
    for found in intervals_in(clause):
        if bool(found.months) == bool(own.months):  # days are not held against months
            yield said("“%(found)s”", found=found.words), (found.months, found.days) == (own.months, own.days)


def _named_in(text: str, rule: LawValue) -> Iterator[Quantity]:
    for found in quantities_in(text, Dimension(rule.kind)):
        if isinstance(rule.value, Quantity) and is_comparable(found, rule.value):
            yield found


def _breaks(found: Quantity, rule: LawValue) -> bool:
    limit = rule.value
    if not isinstance(limit, Quantity):
        return False
    over = in_unit(found, limit.unit) - limit.value
    return over > 0 if rule.stricter is Stricter.LOWER else over < 0


def _oxygen_in_words(facts: Facts, subject: Subject) -> CheckResult:
    """A text of a task names less oxygen than anybody may work in with a filter, and the task's own figure does not."""
    task_path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    described = (task_path, *(agent.path for agent in facts.selection.air[task.id].agents))
    texts = [entry for path in described for entry in facts.texts_in(path)]
    least = facts.law_of(task).amount("least-oxygen", "%")
    lowest = task.oxygen.lowest if task.oxygen else None
    stated = (
        said("`%(task_path)s.oxygen` says %(lowest)s", task_path=same(task_path), lowest=lowest.printed)
        if lowest
        else said("nothing is said under `%(task_path)s.oxygen`", task_path=same(task_path))
    )
    faults = []
    for path, text in texts:
        low = [share for share in shares_of_oxygen(text) if share < least and (lowest is None or share < lowest.value)]
        if low:
            found = said("%(low)s %%", low=same(f"{min(low):g}"))
            faults.append((path, {"text": text, "found": found, "said": stated}))
    return CheckResult(
        tuple(path for path, _ in texts), tuple(faults), nothing=said("No text of the task names so little oxygen.")
    )


def _oxygen_over_air(facts: Facts, subject: Subject) -> CheckResult:
    """The oxygen that is stated for a task is more than the air of a room may hold."""
    task_path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    read = (f"{task_path}.oxygen.lowest", f"{task_path}.oxygen.highest")
    most = most_oxygen(task)
    if most is None or task.oxygen is None:
        return CheckResult(read, nothing=said("No oxygen is stated for this task."))
    place = read[most is task.oxygen.highest]
    is_over = most.value > facts.law_of(task).amount("enriched-air", "%")
    return CheckResult(read, ((place, {"found": most.printed}),) if is_over else (), shown=(place,))


def shares_of_oxygen(text: str) -> Iterator[float]:
    """Yield the percentages of oxygen that a text names.

    >>> list(shares_of_oxygen("Vat with about 15 % oxygen; O2 down to 12.5 percent, humidity 8 %; 3 % oxygen bleach"))
    [15.0, 12.5]
    """
    for match in _OXYGEN.finditer(text):
        yield float((match["before"] or match["behind"]).replace(",", "."))


def _days_agree(facts: Facts, subject: Subject) -> CheckResult:
    """A figure for the days of a task is near what its words come to, where they hold for the whole year."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    places = (f"{path}.frequency", f"{path}.days_per_year")
    found = most_days(task.frequency) if task.frequency and not is_told("part_of_the_year", task.frequency) else None
    if found is None or task.days_per_year is None:
        return CheckResult(places, nothing=said("No words and figure say on how many days it is done."))
    days = int(task.days_per_year)
    if found / _WIDE <= days <= found:
        return CheckResult(places)
    words = {"text": f"{task.frequency}", "found": counted(found, "day"), "days": str(days)}
    return CheckResult(places, ((places[1], words),))


TEXT_FIGURE_CHECKS = {
    "texts-agree-with-figures": _texts_against_figures,
    "oxygen-as-words-say": _oxygen_in_words,
    "oxygen-no-more-than-air-holds": _oxygen_over_air,
    "days-agree-with-words": _days_agree,
}
