"""Letters about what falls due, as plain texts to be sent by hand: nothing here is sent.

One for each person, in their own language, and one for the clinic, the trainer and whoever tests fit. All of them name
workers; none tells what is on record, so that nobody reads there why somebody is called to the health professional.
"""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.core.numbers import long_date
from progdoc.core.paper_language import EDGE, ENGLISH, Language, language_of, marked
from progdoc.core.printable import printable
from progdoc.core.said import said_in
from progdoc.document.blocks.translation_blocks import READ_FIRST
from progdoc.rules.judged.due_results import Kind
from progdoc.rules.judged.plan_results import DayKind, DayPlan, PlannedDay, PlannedItem
from progdoc.writers.plan_formats import day_title, gear_words, weekday

__all__ = ["due_letters"]

_FILES = {DayKind.CLINIC: "clinic", DayKind.CLASS: "class", DayKind.FIT_TESTS: "fit-tests"}


def due_letters(plan: DayPlan) -> dict[str, bytes]:
    """Return the letters by the names of their files."""
    people = dict.fromkeys(whom for day in plan.days for whom in day.people)
    letters = {
        f"to-{person}.txt": _to_person(plan, person, name, language_of(plan.languages.get(person, ENGLISH.code)))
        for person, name in people
    }
    for kind, file in _FILES.items():
        days = [day for day in plan.days if day.kind is kind]
        if days:
            letters[f"{file}.txt"] = _to_host(plan, kind, days)
    return {name: _text(lines) for name, lines in letters.items()}


def _text(lines: list[str]) -> bytes:
    """Return the lines as a file; whatever somebody typed stays in the line it belongs to."""
    return "".join(f"{' '.join(printable(line.replace(EDGE, '')).split())}\n" for line in lines).encode("utf-8")


_BRING = marked(
    "For the fit test, bring the mask that you wear, and your glasses and whatever else you wear at work that\n"
    "could touch its seal. Come without hair where it seals: nobody is tested otherwise (29 CFR 1910.134,\n"
    "Appendix A)."
)


def _to_person(plan: DayPlan, person: str, name: str, language: Language) -> list[str]:
    planned, say, own = plan.of_person(person), language.say, language.own
    has_test = any(day.kind is DayKind.FIT_TESTS for day, _ in planned)
    lines = [
        say("To: %(name)s", name=own(name)),
        say("From: %(name)s", name=own(_from(plan)) or say("the officer of the program")),
        say("Date: %(day)s", day=language.date(plan.as_of)),
        say("Subject: %(what)s", what=_subject([item for _, item in planned], language)),
        "",
        f"{name},",
        "",
        say("this is due for you, to be done in this order:" if len(planned) > 1 else "this is due for you:"),
        "",
        *(f"- {_thing(item, language)}: {_when(item, language)}" for _, item in planned),
        "",
        say("You will be told the day and the place."),
    ]
    if has_test:
        lines += ["", *say(_BRING).split("\n")]
    if any(item.is_late for _, item in planned):
        ask = say("What is overdue: ask %(name)s before you next work in a mask.", name=own(plan.officer) or say("us"))
        lines += ["", ask]
    if language.code in plan.unread_languages:
        lines += ["", say(READ_FIRST)]
    return [*lines, "", *_signed(plan)]


def _to_host(plan: DayPlan, kind: DayKind, days: list[PlannedDay]) -> list[str]:
    whom = {
        DayKind.CLINIC: plan.clinic or "The health professional",
        DayKind.CLASS: plan.trainer or "The trainer",
        DayKind.FIT_TESTS: plan.tester or "Whoever tests fit",
    }[kind]
    asks = {
        DayKind.CLINIC: "please give these people an appointment. We need your written recommendation on each, and"
        " nothing else of what you find (29 CFR 1910.134(e)(6)).",
        DayKind.CLASS: "please plan a class for these people.",
        DayKind.FIT_TESTS: "please plan fit tests for these people.",
    }[kind]
    lines = [
        f"To: {whom}",
        f"From: {_from(plan) or 'the officer of the program'}",
        f"Date: {long_date(plan.as_of)}",
        f"Subject: {day_title(kind)}: {_names(days)}",
        "",
        asks[0].upper() + asks[1:],
    ]
    for day in days:
        by = "As soon as you can" if day.late else f"On {weekday(day.latest)}, {long_date(day.latest)}, at the latest"
        lines += ["", f"{by}:", "", *(f"- {item.name}: {_thing(item, ENGLISH)}" for item in day.items)]
        if day.gear:
            lines += ["", "What has to be there:", "", *(f"- {gear_words(gear)}" for gear in day.gear)]
        if day.protocols:
            lines += ["", f"Our protocols: {', '.join(day.protocols)}."]
    return [*lines, "", *_signed(plan)]


def _names(days: list[PlannedDay]) -> str:
    count = len({person for day in days for person, _ in day.people})
    return f"{count} {'person' if count == 1 else 'people'}"


_THINGS = {
    Kind.FIT_TEST: marked("Fit test"),
    Kind.MEDICAL: marked("Medical evaluation"),
    Kind.TRAINING: marked("Training"),
    Kind.INFORMATION: marked("Information for those who choose to wear a mask (Appendix D)"),
    Kind.READING: marked("The program, to be read and signed"),
}


def _thing(item: PlannedItem, language: Language) -> str:
    """Return what is to be done; in English without the name of whom it is for."""
    is_told = item.item.kind is Kind.FIT_TEST or item.item.path.endswith(".surveillance")  # for which mask, which agent
    if not is_told:
        return language.say(_THINGS[item.item.kind])
    what = said_in(language, item.item.what)
    return what if language.original else what.replace(f" of {item.name}", "", 1)


def _when(item: PlannedItem, language: Language) -> str:
    if item.is_late:
        return language.say("at once, it is overdue" if item.item.due else "at once")
    return language.say("by %(day)s", day=language.date(item.by))


def _subject(items: list[PlannedItem], language: Language) -> str:
    kinds = dict.fromkeys(item.item.kind for item in items)
    return "; ".join(language.say(_THINGS[kind]).partition(",")[0] for kind in kinds)


def _from(plan: DayPlan) -> str:
    return ", ".join(filter(None, (plan.officer, plan.firm)))


def _signed(plan: DayPlan) -> Iterator[str]:
    yield from filter(None, (plan.officer, plan.firm, plan.officer_phone))
