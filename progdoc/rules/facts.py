"""Everything the rules may ask of a description on a day: what it says, and what was worked out of that so far."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from copy import copy
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any, TypeVar

from progdoc.core.diagnostics import Location
from progdoc.model.description.fields import days_in, texts_in
from progdoc.model.description.index import Index
from progdoc.model.description.masks import Mask
from progdoc.model.description.people import Person
from progdoc.model.description.roles import BodyKind
from progdoc.model.description.workplace import Task
from progdoc.rules.adoption import Adopted
from progdoc.rules.cartridge_life.schedules import cartridge_changes
from progdoc.rules.in_force.rule_set import RuleSet, law_for
from progdoc.rules.in_force.states_of_work import only_state
from progdoc.rules.judged.cartridge_results import CartridgeChange
from progdoc.rules.judged.figure_results import Law
from progdoc.rules.judged.mask_results import Selection
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.empty_shapes import holds_letters
from progdoc.rules.lookup.promises import only_put_off
from progdoc.rules.lookup.who_words import holds_a_name, parts_of_names
from progdoc.rules.lookup.withdrawal import is_withdrawn
from progdoc.rules.reasons import Reason
from progdoc.rules.requirement import Subject

__all__ = ["NO_EARLIER", "WHO_TEACHES", "Facts", "Relevant"]

# Where the program tells who tests the fit and who trains, beside those who are known by their names.
WHO_TEACHES = ("procedures.fit_testing.done_by", "procedures.fit_testing.testers_able", "procedures.training.by")


# Who somebody is, how the officer is reached, why a finding is accepted: nobody and none are no answer there either.
# What is planned is the very answer to why a finding is accepted, and to how one of an evaluation will be put right.
_MAY_PROMISE = re.compile(r"accepted\[\d+\]\.reason|procedures\.evaluation\.findings\[\d+\]\.correction")
NO_EARLIER = date(1970, 1, 1)  # our choice: what was done before counts for nobody
_OF_SOMEBODY = re.compile(
    r"officer\.(?:phone|deputies\[\d+\])|accepted\[\d+\]\.(?:by|reason)|program\.(?:history|translations_read)\[\d+\]\.by|people\[\d+\]\.name"
)


_ROW = re.compile(r"hazards\[\d+\]\.exposure\.row")


def _holds_the_place(path: str, text: str) -> bool:
    said = said_by(text)
    if holds_letters(text, path):
        return True
    if said is Said.PLACEHOLDER and _ROW.fullmatch(path):
        return False  # “ii” and “iii” name rows of the law's table, and other rows are judged against it
    if said is Said.PLACEHOLDER:
        return not (_MAY_PROMISE.fullmatch(path) and only_put_off(text))
    return said is not Said.ANSWER and _OF_SOMEBODY.fullmatch(path) is not None


T = TypeVar("T")

_OF_PEOPLE = ("wearer", "worn-mask", "in-task")


@dataclass(frozen=True, slots=True, eq=False)
class Relevant:
    """The tasks and masks a subject has to do with, each with its place in the description.

    There is one of each in a description: people of a crew, who do the same in the same masks, have the very same.
    """

    tasks: tuple[tuple[str, Task], ...]
    masks: tuple[tuple[str, Mask], ...]


class Facts(Index):
    """A description on a given day, with its air and masks judged."""

    def __init__(
        self,
        rules: RuleSet,
        locate: Callable[[str], Location],
        as_of: date,
        selection: Selection,
        adopted: Adopted | None = None,
        known_codes: frozenset[str] = frozenset(),
        refused: tuple[tuple[str, str], ...] = (),
    ) -> None:
        super().__init__(rules.program)
        self.rules = rules
        self.locate = locate
        self.as_of = as_of
        self.selection = selection
        self.adopted = adopted or Adopted()
        self.known_codes = known_codes
        self.idle_acceptances: tuple[int, ...] = ()  # those that cover no finding: known once all else is judged
        self.rules_of_crews = rules  # for work whoever does it; `rules` is for what people share
        self.of_everybody = self  # the same without regard to whom it is asked for
        self.tells_work_apart = False  # whether what bars a mask may be otherwise for a group than for others
        self.by_group: dict[str, Facts] = {}  # as `of` gives them; "" for everybody whose group no policy names
        self._refused = refused  # evidence that was judged as silence
        self._about: dict[tuple[str, tuple[str, ...]], dict[Callable[[Facts, Subject], Any], Any]] = {}
        self._shared: dict[tuple[str, ...], tuple[str, ...]] = {}
        self._about_work: dict[Relevant, dict[Callable[[Facts, Subject], Any], Any]] = {}
        self._person: Subject | None = None  # who was asked about last, and what was worked out
        self._about_person: dict[Callable[[Facts, Subject], Any], Any] = {}

    def of(self, person: Person) -> Facts:
        """Return the same as it is for a person: bound by the policies that bind their group, and by no others."""
        return self.by_group.get(person.group or "") or self.by_group.get("", self)

    def bound_by(self, rules: RuleSet, selection: Selection) -> Facts:
        """Return the same description with other policies in force; what does not go by them is looked up once."""
        for name in _WHATEVER_BINDS:
            getattr(self, name)
        other = copy(self)
        other.description, other.rules, other.selection = rules.program, rules, selection
        other.by_group, other._about, other._about_work = {}, {}, {}
        other._person, other._about_person = None, {}
        return other

    @cached_property
    def cartridge_changes(self) -> dict[tuple[str, str, str], CartridgeChange]:
        """When each gas cartridge is changed, by task, mask and filter."""
        return cartridge_changes(self.description, self.selection.air)

    def texts_in(self, path: str) -> tuple[tuple[str, str], ...]:
        """Return every free text of the thing at a place, of all if it is "", each with its own place: read once."""
        known = self._texts.get(path)
        if known is None:
            known = tuple(texts_in(self.value_at(path), path))
            self._texts[path] = known
        return known

    @cached_property
    def _texts(self) -> dict[str, tuple[tuple[str, str], ...]]:
        return {}

    @cached_property
    def empty_texts(self) -> tuple[tuple[str, str], ...]:
        """The texts that only hold the place of an answer, and evidence that is refused, each with its place."""
        empty = [(path, text) for path, text in self.texts_in("") if _holds_the_place(path, text)]
        told = {path for path, _ in self._refused}
        return (*(entry for entry in empty if entry[0] not in told), *self._refused)

    @cached_property
    def empty_text_at(self) -> Mapping[str, str]:
        """The same texts by their places."""
        return dict(self.empty_texts)

    @cached_property
    def odd_days(self) -> Mapping[str, tuple[tuple[str, date], ...]]:
        """Every day that somebody typed and that has not come, or is a slip of the year, with its place.

        By the thing that they are told of ("people[7]", "program"): looked for once, not for each wearer.
        """
        found: dict[str, list[tuple[str, date]]] = {}
        for path, day in days_in(self.description, lambda day: day > self.as_of or day < NO_EARLIER):
            found.setdefault(path.partition(".")[0], []).append((path, day))
        return {thing: tuple(days) for thing, days in found.items()}

    def shared(self, paths: tuple[str, ...]) -> tuple[str, ...]:
        """Return the same places as one object: many duties look at the same of a person, and all are kept."""
        return self._shared.setdefault(paths, paths)

    def forget_texts(self) -> None:
        """Let go of what was read of the whole description: whoever asks again, reads again."""
        for name in ("_texts", "odd_days", "empty_texts", "empty_text_at", "holders"):
            self.__dict__.pop(name, None)

    def forget_people(self) -> None:
        """Let go of what was shared while all duties were asked, and of what is known of the last person."""
        self._shared.clear()
        self._person, self._about_person = None, {}

    def about(self, subject: Subject, worked_out: Callable[[Facts, Subject], T]) -> T:
        """Return what is worked out about a subject, once: many requirements ask for the same.

        People are too many for that: of them it is kept of the one who was asked about last, who is judged in one go.
        """
        if subject.kind not in _OF_PEOPLE:
            kept = self._about.setdefault((subject.kind, subject.ids), {})
        else:
            if self._person is not subject:
                self._person, self._about_person = subject, {}
            kept = self._about_person
        return self._in(kept, subject, worked_out)

    def about_work(self, subject: Subject, worked_out: Callable[[Facts, Subject], T]) -> T:
        """Return what rests on the tasks and masks of a subject alone, once for all people who have the same."""
        if subject.kind not in _OF_PEOPLE or not subject.ids[0].startswith("people."):
            return self.about(subject, worked_out)
        return self._in(self._about_work.setdefault(self.relevant_to(subject), {}), subject, worked_out)

    def _in(
        self,
        kept: dict[Callable[[Facts, Subject], Any], Any],
        subject: Subject,
        worked_out: Callable[[Facts, Subject], T],
    ) -> T:
        if worked_out not in kept:
            kept[worked_out] = worked_out(self, subject)
        found: T = kept[worked_out]
        return found

    @cached_property
    def ids_by_name(self) -> Mapping[str, tuple[str, ...]]:
        """The ids of the people who bear each name that is said."""
        found: dict[str, list[str]] = {}
        for person in self.description.people:
            if person.name:
                found.setdefault(person.name, []).append(person.id)
        return {name: tuple(ids) for name, ids in found.items()}

    @cached_property
    def holders(self) -> tuple[tuple[str, str], ...]:
        """The names of those who are known by them, wherever they stand, each with its place."""
        return tuple((path, text) for path, text in self.texts_in("") if holds_a_name(path))

    @cached_property
    def known_by_name(self) -> frozenset[str]:
        """The words by which `holders` are known: worked out once, not for each text that names somebody."""
        return parts_of_names(name for _, name in self.holders)

    @cached_property
    def who_may_teach(self) -> frozenset[str]:
        """The words by which those are known who may have tested or trained a wearer."""
        return self.known_by_name | parts_of_names(text for at, text in self.texts_in("") if at in WHO_TEACHES)

    @property
    def names_of_ours(self) -> tuple[str, ...]:
        """The names of everybody who is described: the officer, deputies, people, who holds a role of the firm."""
        said, officer = self.description, self.description.officer
        outside = {body.id for body in said.bodies if body.kind is not BodyKind.DEPARTMENT}
        roles = [role for role in said.roles if role.body not in outside]
        held = (name for role in roles for name in (*role.holders, *role.deputies))
        names = (officer.name, *officer.deputies, *(person.name for person in said.people), *held)
        return tuple(dict.fromkeys(name for name in names if name))

    def is_needed(self, task: Task) -> bool:
        """Return whether the air of a task calls for a mask, whatever was declared."""
        return self.selection.air[task.id].needs_mask

    def is_worn(self, task: Task) -> bool:
        """Return whether a mask is required in a task, by declaration or by its air."""
        return self.selection.air[task.id].is_worn

    def law_of(self, *tasks: Task) -> Law:
        """Return the law for some tasks, of none for all that we do: a state's figures bind the work there alone."""
        return law_for(self.rules, tasks or (task for _, task in self.our_tasks))

    def only_state(self, tasks: tuple[Task, ...]) -> str:
        """Return the state in which all of some tasks are done, looked up once: every duty of a wearer asks for it."""
        key = tuple(task.id for task in tasks)
        if key not in self._only_states:
            self._only_states[key] = only_state(self.description, tasks)
        return self._only_states[key]

    @cached_property
    def _only_states(self) -> dict[tuple[str, ...], str]:
        return {}

    def tasks_of(self, subject: Subject) -> tuple[Task, ...]:
        """Return the tasks that decide which policies and states' rules bind a subject."""
        return tuple(task for _, task in self.relevant_to(subject).tasks)

    def masks_about(self, subject: Subject) -> tuple[Mask, ...]:
        """Return the masks that, with these tasks, decide which policies bind a subject."""
        return tuple(mask for _, mask in self.relevant_to(subject).masks)

    def tasks_around(self, mask: Mask) -> tuple[Task, ...]:
        """Return the tasks that name a mask, worn or at hand; all of them for one that hangs on the wall."""
        named = (*self.tasks_by_mask.get(mask.id, ()), *self.tasks_by_escape_mask.get(mask.id, ())) or self.our_tasks
        return tuple(task for _, task in named)

    def reasons(self, subject: Subject) -> tuple[Reason, ...]:
        """Return why a hazard is not assessed, or a mask does not do in a task."""
        return self.selection.reasons.get(subject.ids, ())

    def _is_at_hand(self, mask: Mask) -> bool:
        return self.is_kept(mask) and not is_withdrawn(mask, self.as_of)

    # ---- what decides whether a duty applies ------------------------------------------------------------

    @cached_property
    def _found_relevant(self) -> dict[tuple[str, ...], Relevant]:
        return {}

    def relevant_to(self, subject: Subject) -> Relevant:
        """Return the tasks and masks that decide whether a duty applies to a subject."""
        # What is relevant to a mask in a task is the same for every wearer, so these are kept once for all of them.
        key = (subject.kind, *(subject.ids[1:] if subject.kind == "in-task" else subject.ids))
        known = self._found_relevant.get(key)
        if known is None:
            found = self._in_task(subject) if subject.kind == "in-task" else self._relevant_to(subject)
            places = tuple(tuple(path for path, _ in things) for things in (found.tasks, found.masks))
            known = self._found_relevant[key] = self._every_relevant.setdefault(places, found)
        return known

    @cached_property
    def _every_relevant(self) -> dict[tuple[tuple[str, ...], ...], Relevant]:
        return {}

    def _in_task(self, subject: Subject) -> Relevant:
        """The one task that a subject's ids name, and the one mask, if they name one."""
        named = [text.partition(".") for text in subject.ids]
        return Relevant(
            tuple(self.tasks[name] for kind, _, name in named if kind == "tasks"),
            tuple(self.masks[name] for kind, _, name in named if kind == "masks"),
        )

    def _relevant_to(self, subject: Subject) -> Relevant:
        ids = [text.partition(".")[2] for text in subject.ids]
        match subject.kind:
            case "task" | "hazard":
                task = self.tasks[ids[0]]
                return Relevant((task,), self.masks_of(task[1]))
            case "mask-use" | "escape-mask":
                return Relevant((self.tasks[ids[0]],), (self.masks[ids[1]],))
            case "mask" | "unit":
                tasks = (*self.tasks_by_mask.get(ids[0], ()), *self.tasks_by_escape_mask.get(ids[0], ()))
                return Relevant(tasks, (self.masks[ids[0]],))
            case "wearer":
                tasks = self.tasks_by_person.get(ids[0], ())
                issued = tuple(self.masks[m.mask] for m in self.people[ids[0]][1].masks)
                return Relevant(tasks, issued)
            case "worn-mask":
                mask = self.masks[ids[1]]
                tasks = self.tasks_by_person.get(ids[0], ())
                return Relevant(tuple(t for t in tasks if any(u.mask == ids[1] for u in t[1].masks)), (mask,))
            case "filter":
                tasks = tuple(t for t in self.our_tasks if any(ids[0] in u.filters for u in t[1].masks))
                return Relevant(tasks, ())
            case "schedule":
                return Relevant(self.our_tasks, ())
            case _:
                used = {use.mask for _, task in self.our_tasks for use in task.masks}
                # An emergency mask hangs on the wall, and an escape mask on the belt, whether or not a task names it.
                at_hand = (p for p in self.masks.values() if p[1].id in used or self._is_at_hand(p[1]))
                return Relevant(self.our_tasks, tuple(at_hand))


_WHATEVER_BINDS = tuple(
    name
    for kind in (Index, Facts)
    for name, found in vars(kind).items()
    if isinstance(found, cached_property) and name != "cartridge_changes"
)
