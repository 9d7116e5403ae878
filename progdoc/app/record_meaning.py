"""What the entries of a record mean: what lies between two judgements of a description on one day, in words."""

from __future__ import annotations

from progdoc.core.barred import barred_words
from progdoc.core.diagnostics import Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import long_date
from progdoc.core.report import Status, is_accepted
from progdoc.core.said import said, said_join, same
from progdoc.model.description.words import label_of
from progdoc.rules.judged.result import Judged

__all__ = ["Meaning", "meaning_of"]


@dataclass(frozen=True, slots=True)
class Meaning:
    """What the entries do to a description as judged on one day, in words; restricted, since they name people."""

    settled: tuple[str, ...]  # findings that are gone
    arisen: tuple[str, ...]  # findings that are new
    due: tuple[str, ...]  # what falls due on another day than before
    opened: tuple[str, ...]  # work that was barred, and is not any more
    barred: tuple[str, ...]  # work that is barred through it
    begun: tuple[str, ...] = ()  # work that is told for the first time, and barred until more is told of it


def meaning_of(old: Judged, new: Judged) -> Meaning:
    """Return what lies between two judgements of one day, in words."""
    was, now = _findings(old), _findings(new)
    doubtful = {
        (one.requirement.code, *one.subject.ids) for one in old.verdicts.open if one.status is Status.UNDETERMINED
    }
    duties = {one.code: one.duty for one in old.requirements}
    had, has = _due(old), _due(new)
    shut, closed = _barred(old), _barred(new)
    known = {task.id for task in old.description.tasks}
    begun = {one.task: one for one in new.barred if one.is_for_all and one.task not in known}
    fresh = {barred_words(one, new.index.names) for one in begun.values()}
    present = {"", *(person.id for person in new.roster.people)}
    moved = [
        said("%(what)s: %(day)s (was %(before)s)", what=what, day=day, before=had[key][1])
        if key in had
        else said("%(what)s: %(day)s", what=what, day=day)
        for key, (what, day) in has.items()
        if had.get(key, ("", ""))[1] != day
    ]
    gone = [said("%(what)s: nothing more is due", what=what) for key, (what, _) in had.items() if key not in has]
    return Meaning(
        settled=tuple(
            said("It is told now whether this applies: %(duty)s", duty=duties[key[0]])
            if key in doubtful and key[0] in duties
            else words
            for key, several in was.items()
            for words in _more_in(several, now.get(key, ()))
        ),
        arisen=tuple(words for key, several in now.items() for words in _more_in(several, was.get(key, ()))),
        due=(*moved, *gone),
        opened=tuple(words for words, who in shut.items() if words not in closed and who in present),
        barred=tuple(words for words in closed if words not in shut and words not in fresh),
        begun=tuple(new.index.names.get(f"tasks.{task}", task) for task in begun),
    )


def _findings(judged: Judged) -> dict[tuple[str, ...], tuple[str, ...]]:
    """Return what is required or doubtful, in words, by code and what it is about: of one thing several may be told."""
    found: dict[tuple[str, ...], tuple[str, ...]] = {}
    for one in judged.findings:
        if one.severity in (Severity.REQUIRED, Severity.CAUTION) and not is_accepted(one):
            key = (one.code, *one.subject)
            found[key] = (*found.get(key, ()), said_join([same(one.code), one.what], ": "))
    return found


def _more_in(several: tuple[str, ...], others: tuple[str, ...]) -> tuple[str, ...]:
    """Return what is told of a thing on one side alone, where it is more; the same, told in other words, is no more."""
    return tuple(words for words in several if words not in others) if len(several) > len(others) else ()


def _due(judged: Judged) -> dict[str, tuple[str, str]]:
    days = {
        item.id: (item.what, said("at once") if item.due is None else said("due %(day)s", day=long_date(item.due)))
        for item in judged.due(0).items
    }
    return dict(sorted(days.items()))


def _barred(judged: Judged) -> dict[str, str]:
    """Return what nobody may start, in words; and what is barred to single people, each with the person's id."""
    named = judged.index.names
    words = {barred_words(one, named): "" for one in judged.barred if one.is_for_all}
    for person in judged.roster.people:
        for one in judged.roster.of_person(person):
            if not one.may:
                told = said("%(who)s may not start “%(task)s”", who=label_of(person), task=label_of(one.task))
                words[told] = person.id
    return words
