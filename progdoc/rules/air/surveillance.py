"""Which standards ask for examinations of who does a task, from how many days a year on, and on how many it is done.

Days are those that the description states, or the most that its words on how often allow: “two or three days a week”
are three in each of 52 weeks. What those words do not tell is asked, and never taken for few.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from math import ceil

from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import counted
from progdoc.core.said import said
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.workplace import Task
from progdoc.rules.air.asbestos import is_classed
from progdoc.rules.air.floors import is_assumed_lead
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.judged.published import LimitKind
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.limits import industries_of
from progdoc.rules.lookup.seasons import days_of_season
from progdoc.rules.lookup.table_files import table_entries, table_rows
from progdoc.rules.lookup.text_intervals import intervals_in, spans_days, weekdays_in

__all__ = [
    "Surveillance",
    "days_in_year",
    "least_days",
    "most_days",
    "surveillance_rules",
    "unread_surveillance",
]

_HAIR = 1e-9
_DAYS_IN_YEAR = 365
_WEEK_DAYS = 7
_TIMES = {"week": 52, "month": 12, "year": 1}
_ASSUMED = "assumed"
_UNDER_ASBESTOS_SURVEILLANCE = ("I", "II", "III")


@dataclass(frozen=True, slots=True)
class Surveillance:
    """What one standard asks for, where it does."""

    agent: str
    industry: str
    trigger: str
    days: int
    is_more_than: bool
    what: str  # "examination"; what is due from the first day on is offered once
    whats: str  # "examinations"
    first_months: int | None  # how soon again at the beginning, and for how long
    first_span_months: int | None
    again_months: int | None
    citation: str
    again_citation: str

    def begins_at(self, days: int) -> bool:
        """Return whether so many days a year are enough for it."""
        return days > self.days if self.is_more_than else days >= self.days

    @property
    def is_first(self) -> bool:
        """Whether it is due from the first day on, so that no days are counted for it."""
        return self.days <= 1

    @property
    def how_often(self) -> str:
        """How soon it is repeated, in words; nothing where that was not read."""
        if self.again_months is None:
            return ""
        if self.first_months is None:
            return said(", again every %(again_months)s", again_months=counted(self.again_months, "month"))
        return said(
            ", again every %(first_months)s months in the first %(first_span_months)s and every "
            "%(again_months)s from then on",
            first_months=self.first_months,
            first_span_months=self.first_span_months,
            again_months=self.again_months,
        )

    @property
    def threshold(self) -> str:
        return (
            said("more than %(days)s a year", days=counted(self.days, "day"))
            if self.is_more_than
            else said("%(days)s a year or more", days=counted(self.days, "day"))
        )


def _months(text: str) -> int | None:
    return int(text) if text else None


@cache
def _rules() -> tuple[Surveillance, ...]:
    return tuple(
        Surveillance(
            agent=row["agent"],
            industry=industry,
            trigger=row["trigger"],
            days=int(row["days"]),
            is_more_than=row["more_than"] == "yes",
            what=row["what"],
            whats=row["whats"],
            first_months=_months(row["first_months"]),
            first_span_months=_months(row["first_span_months"]),
            again_months=_months(row["again_months"]),
            citation=row["citation"],
            again_citation=row["again_citation"],
        )
        for row in table_rows("surveillance")
        for industry in row["industries"].split(";")
    )


def surveillance_rules(agent: Assessment) -> Iterator[Surveillance]:
    """Yield the rules whose days are to be counted: the level, the mask or the class of work is one of theirs."""
    if agent.substance is None:
        return
    for rule in _rules():
        if rule.agent != agent.substance.id or rule.industry not in industries_of(agent.task):
            continue
        if rule.is_first and is_assumed_lead(agent.hazard, agent.task, agent.substance) is not (
            rule.trigger == _ASSUMED
        ):
            continue  # the paragraph on assumed levels stands in for the one on levels that were found
        if agent.is_unknown or agent.is_over_limit or _is_reached(rule, agent):
            yield rule


def unread_surveillance(agent: Assessment) -> Iterator[tuple[str, str]]:
    """Yield the standards whose medical paragraph was not read, and where it stands, for air that may call for it."""
    if agent.substance is None:
        return
    is_relevant = agent.is_unknown or agent.is_over_limit or _is_at_action_level(agent)
    for row in table_rows("surveillance_unread") if is_relevant else ():
        for industry in row["industries"].split(";") if row["agent"] == agent.substance.id else ():
            if industry in industries_of(agent.task):
                yield agent.substance.standard_in(industry), row["look_up"]


def _is_at_action_level(agent: Assessment) -> bool:
    floors = [limit for limit in agent.limits if limit.kind is LimitKind.ACTION_LEVEL and limit.value]
    levels = [
        in_limit_unit(Quantity(ratio.level.value, ratio.level.unit, ""), floor.unit, agent.substance)
        for ratio in agent.ratios
        if ratio.limit.kind is LimitKind.TWA
        for floor in floors
    ]
    least = min((floor.value for floor in floors if floor.value), default=None)
    return least is not None and any(level is not None and level >= least * (1 - _HAIR) for level in levels)


def _is_reached(rule: Surveillance, agent: Assessment) -> bool:
    """Whether the action level, a limit, or a class of work is one that counts though no limit is passed."""
    if rule.trigger == _ASSUMED:
        return is_assumed_lead(agent.hazard, agent.task, agent.substance)
    if rule.trigger == "mask":
        return False
    if rule.trigger == "action-level":
        return _is_at_action_level(agent)
    work = agent.hazard.asbestos
    is_of_class = is_classed(agent.task, agent.substance) and (
        work is None or work.work_class in _UNDER_ASBESTOS_SURVEILLANCE
    )
    return is_of_class or any(ratio.value >= 1.0 - _HAIR for ratio in agent.ratios)


def days_in_year(task: Task) -> int | None:
    """Return on how many days of a year a task is done at the most; None where nobody says, or not in such words."""
    if task.days_per_year is not None:
        return int(task.days_per_year)
    return most_days(task.frequency) if task.frequency else None


def least_days(task: Task) -> int:
    """Return the days a year to count for a task: where nobody says how many, it is done on one at the least."""
    days = days_in_year(task)
    return 1 if days is None else days


def most_days(text: str) -> int | None:
    """Return the most days a year that a text on how often names; None where it names none.

    >>> [most_days(text) for text in ("Two or three days a week", "Twice a month", "Daily in summer", "Now and then")]
    [156, 24, 365, None]
    >>> [most_days(text) for text in ("Every Friday", "Mondays and Fridays", "Every other day", "2 days every 3 weeks")]
    [52, 104, 182, None]
    >>> [most_days(text) for text in ("Each shift", "Monday to Friday", "Weekdays.", "Mon-Fri, for two weeks")]
    [365, 260, 260, None]

    >>> [most_days(text) for text in ("Two days a week, April to October", "About 55 days a year, two days a week")]
    [62, 55]

    What is said beside may shorten the season, never lengthen each time: a week, three times a year, is not three days.
    A count of the whole year stands before one of its weeks or months.
    """
    days = _all_year(text)
    return days if days is None else _in_season(days, text)


def _all_year(text: str) -> int | None:
    if whole := _whole_frequencies().get(" ".join(text.casefold().split()).strip(" .")):
        return whole
    found = list(_pattern().finditer(text))
    if not found and spans_days(text) and not _spans("y").search(text):
        return len(weekdays_in(text)) * _TIMES["week"]
    if not found:
        return _by_rounds(text)
    rest = _pattern().sub(" ", text)
    periods = [match["per"] or match["adverb"] for match in found if not match["daily"]]
    if any(_spans(period[0].lower()).search(rest) for period in periods):
        return None
    of_years = [match for match in found if (match["per"] or "").lower() == "year"]
    return min(max(map(_of_match, of_years or found)), _DAYS_IN_YEAR)


def _in_season(days: int, text: str) -> int:
    """Return how many of the days of a year fall into the one season that a text names beside one count."""
    found, season = list(_pattern().finditer(text)), days_of_season(text)
    if season is None or len(found) != 1 or (found[0]["per"] or "").lower() == "year":
        return days
    return min(days, season, ceil(days * season / _DAYS_IN_YEAR) + 1)  # a week that the season cuts counts whole


def _by_rounds(text: str) -> int | None:
    """Return the days a year of work that comes round: every Friday, every other day; each time is one day."""
    rounds, rest = list(intervals_in(text)), text
    for one in rounds:
        rest = rest.replace(one.words, " ")
    if not rounds or _spans("y").search(rest):
        return None
    found = [int(_DAYS_IN_YEAR / one.days) if one.days else int(_TIMES["month"] / one.months) for one in rounds]
    is_weekly = any(one.days == _WEEK_DAYS for one in rounds)
    return min(max(*found, len(weekdays_in(text)) * _TIMES["week"] if is_weekly else 0), _DAYS_IN_YEAR)


@cache
def _whole_frequencies() -> dict[str, int]:
    groups = table_entries("text_beside", "whole_frequencies")
    return {str(words): int(group["means"]) for group in groups for words in group["words"]}


@cache
def _spans(per: str) -> re.Pattern[str]:
    """What may not stand beside so many times in a week, month or year: how long each time is."""
    shorter = {"w": "day|shift", "m": "day|shift|week", "y": "day|shift|week|month"}[per]
    number = "|".join(map(str, table_entries("text_beside", "numbers")))
    some = rf"\d+|{number}|an?|the|each|some|several|few|whole|full|all|half"
    return re.compile(rf"\b(?:{some})(?: \w+)? (?:{shorter})s?\b", re.IGNORECASE)


def _of_match(match: re.Match[str]) -> int:
    if match["daily"]:
        return _DAYS_IN_YEAR
    if match["adverb"]:
        return _TIMES[match["adverb"].lower().removesuffix("ly")]
    often = match["most"] or match["count"] or match["times"]
    return _number(often) * _TIMES[match["per"].lower()]


def _number(word: str) -> int:
    names = {str(name): i for i, name in enumerate(table_entries("text_beside", "numbers"))}
    names |= {str(entry["word"]): int(entry["means"]) for entry in table_entries("text_beside", "times")}
    return int(word) if word.isdigit() else names[word.lower()]


@cache
def _pattern() -> re.Pattern[str]:
    number = rf"\d{{1,3}}|{'|'.join(map(str, table_entries('text_beside', 'numbers')))}"
    times = "|".join(str(entry["word"]) for entry in table_entries("text_beside", "times"))
    count = rf"(?P<count>{number})(?: ?(?:or|to|-|–) ?(?P<most>{number}))? (?:days?|times|shifts?)"
    per = r"(?:a|an|per|each|every|in a) (?P<per>week|month|year)"
    return re.compile(
        rf"\b(?:(?:{count}|(?P<times>{times})) {per}|(?P<daily>daily|(?:every|each) (?:working |work)?day)"
        rf"|(?P<adverb>weekly|monthly|yearly))\b",
        re.IGNORECASE,
    )
