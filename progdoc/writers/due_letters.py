"""Letters about what falls due, as plain texts to be sent by hand: nothing here is sent.

One for each person, in their own language, and one for the clinic, the trainer and whoever tests fit, in each language
of the firm. All of them name workers; none tells what is on record, so that nobody reads there why somebody is
called to the health professional.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from progdoc.core.paper_language import EDGE, ENGLISH, Language, language_of, marked
from progdoc.core.printable import printable
from progdoc.core.said import said_in
from progdoc.document.blocks.translation_blocks import READ_FIRST
from progdoc.rules.judged.due_results import Kind
from progdoc.rules.judged.plan_results import DayKind, DayPlan, Gear, PlannedDay, PlannedItem
from progdoc.writers.plan_formats import gear_words, weekday

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
            letters[f"{file}.txt"] = _to_host(plan, kind, days, ENGLISH)
            letters |= {f"{file}-{code}.txt": _to_host(plan, kind, days, language_of(code)) for code in plan.papers}
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


_HOSTS = {
    DayKind.CLINIC: (
        marked("The health professional"),
        marked("Clinic day"),
        marked(
            "Please give these people an appointment. We need your written recommendation on each, and nothing else"
            " of what you find (29 CFR 1910.134(e)(6))."
        ),
    ),
    DayKind.CLASS: (marked("The trainer"), marked("Class"), marked("Please plan a class for these people.")),
    DayKind.FIT_TESTS: (
        marked("Whoever tests fit"),
        marked("Day of fit tests"),
        marked("Please plan fit tests for these people."),
    ),
}


def _to_host(plan: DayPlan, kind: DayKind, days: list[PlannedDay], language: Language) -> list[str]:
    say, own = language.say, language.own
    known = {DayKind.CLINIC: plan.clinic, DayKind.CLASS: plan.trainer, DayKind.FIT_TESTS: plan.tester}[kind]
    whom, title, asks = _HOSTS[kind]
    count = len({person for day in days for person, _ in day.people})
    people = language.plural("%(n)s person", "%(n)s people", count, n=count)
    lines = [
        say("To: %(name)s", name=own(known) or say(whom)),
        say("From: %(name)s", name=own(_from(plan)) or say("the officer of the program")),
        say("Date: %(day)s", day=language.date(plan.as_of)),
        say("Subject: %(what)s", what=f"{say(title)}: {people}"),
        "",
        say(asks),
    ]
    for day in days:
        latest = say("On %(day)s, at the latest", day=_weekday(day.latest, language))
        by = say("As soon as you can") if day.late else latest
        lines += ["", f"{by}:", "", *(f"- {own(item.name)}: {_thing(item, language)}" for item in day.items)]
        if day.gear:
            lines += ["", say("What has to be there:"), "", *(f"- {_gear(gear, language)}" for gear in day.gear)]
        if day.protocols:
            named = ", ".join(day.protocols)
            lines += ["", say("Our protocols: %(names)s.", names=named)]
    if language.code in plan.unread_languages:
        lines += ["", say(READ_FIRST)]
    return [*lines, "", *_signed(plan)]


def _weekday(day: date, language: Language) -> str:
    """Return a day, in English with its day of the week."""
    told = language.date(day)
    return told if language.original else f"{weekday(day)}, {told}"


def _gear(gear: Gear, language: Language) -> str:
    if not language.original:
        return gear_words(gear)
    say, own = language.say, language.own
    parts = [
        own(gear.mask),
        say("size %(size)s", size=own(gear.size)) if gear.size else say("size not told"),
        *([say("with %(filters)s", filters=own(", ".join(gear.filters)))] if gear.filters else []),
    ]
    people = language.plural("%(n)s person", "%(n)s people", gear.people, n=gear.people)
    return say("%(gear)s: for %(people)s", gear=", ".join(parts), people=people)


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
