"""Where a person stands on the way to a mask: asked for, cleared, trained, fit-tested, handed out; and what is next.

A step is open where something of its kind is due at once or overdue, as everywhere else; nothing is judged here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from progdoc.core.late_dataclass import dataclass
from progdoc.core.paper_language import EDGE, ENGLISH, Language, marked
from progdoc.core.said import said, said_in
from progdoc.document.tree.nodes import Column, Row, Table
from progdoc.document.tree.spoken_text import spoken_cell
from progdoc.document.tree.tokens import choice_words
from progdoc.model.description.people import Person, Recommendation
from progdoc.model.description.words import label_of
from progdoc.rules.judged.due_results import OutlookItem
from progdoc.rules.judged.result import Judged

__all__ = ["Step", "path_table", "standing_table", "steps_of"]

_OPEN = ("now", "overdue")
_RESULTS = {True: marked("passed"), False: marked("failed"), None: marked("result not recorded")}


@dataclass(frozen=True, slots=True)
class Step:
    """A step of the way: whether it is done, what is on record of it, and the form that it takes."""

    id: str
    name: str
    is_open: bool
    words: str
    form: str


def steps_of(
    judged: Judged, person: Person, due: Sequence[OutlookItem], language: Language = ENGLISH
) -> tuple[Step, ...]:
    """Return the steps of the way for somebody whom a task with masks names, or who has one; none for anybody else."""
    named = judged.roster.named.get(person.id, ())
    if not named and not person.masks and person.requested is None:
        return ()
    records = judged.records_of(person.id)
    say, own = language.say, language.own
    tasks = ", ".join(f"“{own(label_of(task))}”" for task in named)
    asked = say("asked for on %(day)s", day=language.date(person.requested)) if person.requested else ""
    named_for = say("named for %(tasks)s", tasks=tasks) if tasks else say("no task with masks names them")
    cleared, is_barred = _clearance(judged, person, language)
    trained = say("last %(day)s", day=language.date(records.training[0][1].date)) if records.training else ""
    masks = "; ".join(
        own(label_of(judged.index.masks[one.mask][1]))
        + (f", {say('size %(size)s', size=one.size)}" if one.size else "")
        + (f", {say('since %(day)s', day=language.date(one.since))}" if one.since else "")
        for one in person.masks
    )
    consent = say("consent form signed on %(day)s", day=language.date(person.consented)) if person.consented else ""
    begun, facts = "; ".join(filter(None, (asked, named_for, consent))), say("information for the professional")
    return (
        Step("asked", say("Asked for, or named for the work"), False, begun, say("mask request")),
        _step(("medical", say("Medical recommendation"), facts), due, cleared, language, is_barred),
        _step(("training", say("Training"), say("training record")), due, trained, language),
        _fit_step(judged, person, due, language),
        Step("issue", say("Mask handed out"), not masks and bool(named), masks or say("none"), say("issue and return")),
    )


def _step(
    step: tuple[str, str, str], due: Iterable[OutlookItem], words: str, language: Language, is_barred: bool = False
) -> Step:
    """Return a step (its kind, name and form) by what is due of its kind: what is due later is told with its day."""
    kind, name, form = step
    own = [item for item in due if item.id.startswith(f"{kind}.")]
    waiting = [item for item in own if item.state in _OPEN]
    if not own and not words:
        return Step(kind, name, False, language.say("nobody asks for it"), "–")
    plain = words.replace(EDGE, "")
    because = dict.fromkeys(said_in(language, item.because) for item in waiting)
    told = "; ".join(one for one in because if one.replace(EDGE, "") not in plain)
    coming = min((item.due for item in own if item.due is not None), default=None)
    parts = [words, told, language.say("by %(day)s", day=language.date(coming)) if coming else ""]
    return Step(kind, name, bool(waiting) or is_barred, "; ".join(filter(None, parts)), form)


def _fit_step(judged: Judged, person: Person, due: Sequence[OutlookItem], language: Language) -> Step:
    """Return the step of the fit test: it comes before a mask that seals to the face is handed out."""
    say = language.say
    tested = "; ".join(_tests(judged, person, language))
    is_to_seal = any(
        one.is_mask_required and any(use.mask not in judged.loose_fitting for use in one.task.masks)
        for one in judged.roster.of_person(person)
    )
    is_passed = any(record.is_passed for record in judged.records_of(person.id).fit_tests)
    is_first = is_to_seal and not person.masks and not is_passed
    words = "; ".join(filter(None, (tested, say("before a mask is handed out") if is_first else "")))
    return _step(("fit-test", say("Fit test"), say("fit test record")), due, words, language, is_first)


def _clearance(judged: Judged, person: Person, language: Language) -> tuple[str, bool]:
    entry = judged.records_of(person.id).clearance
    if entry is None:
        return "", False
    says = language.say(choice_words(entry.recommendation))
    return f"{says}, {language.date(entry.date)}", entry.recommendation is Recommendation.NOT_CLEARED


def _tests(judged: Judged, person: Person, language: Language) -> Iterator[str]:
    """Yield the newest test of each mask."""
    seen: set[str] = set()
    for record in judged.records_of(person.id).fit_tests:
        if record.test.mask not in seen:
            seen.add(record.test.mask)
            result = language.say(_RESULTS[record.is_passed])
            mask = language.own(label_of(judged.index.masks[record.test.mask][1]))
            yield f"{mask} {result}, {language.date(record.test.date)}"


def path_table(steps: Sequence[Step], language: Language = ENGLISH) -> Table:
    """Return the way of one person, the first open step marked as the next."""
    first = next((step.id for step in steps if step.is_open), "")
    rows = tuple(
        Row(
            f"path.{step.id}",
            (
                spoken_cell(language, step.name),
                spoken_cell(language, language.say(_state(step, first))),
                spoken_cell(language, step.words),
                spoken_cell(language, step.form),
            ),
        )
        for step in steps
    )
    say = language.say
    columns = (
        Column(say("Step"), 3),
        Column(say("Where it stands"), 2),
        Column(say("On record"), 5),
        Column(say("Form"), 3),
    )
    return Table("path", say("The way to your mask"), columns, rows)


def _state(step: Step, first: str) -> str:
    if not step.is_open:
        return marked("nothing open")
    return marked("next") if step.id == first else marked("open, after that")


def standing_table(found: Iterable[tuple[Person, Sequence[Step]]], language: Language = ENGLISH) -> Table:
    """Return what is next for each for whom something is open, and the form that it takes."""
    rows = []
    for person, steps in found:
        if step := next((one for one in steps if one.is_open), None):
            told = (language.own(label_of(person)), step.name, step.words, step.form)
            rows.append(Row(f"standing.{person.id}", tuple(spoken_cell(language, words) for words in told)))
    columns = (
        Column(said("Person"), 3),
        Column(said("Next step"), 3),
        Column(said("On record"), 5),
        Column(said("Form"), 3),
    )
    return Table("standing.all", said("The way to a mask: what is next for whom"), columns, tuple(rows))
