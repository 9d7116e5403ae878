"""Enters the answers of a renewal worksheet into the files of the description, each at its place.

What the answers say outright is entered: what ended or left is taken out with what names it, new things are added,
findings of the evaluation with their corrections. What takes judgement, such as a new product, becomes an open point
for a person to enter. All other bytes stay.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import field
from functools import partial

from progdoc.app.issue import description_files
from progdoc.app.renewal_answers import Answer
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import long_date
from progdoc.document.papers.renewal_questions import Point, accepted_ids, spelt_id
from progdoc.model.description.fields import texts_in
from progdoc.model.description.ids import references
from progdoc.model.description.program import Program
from progdoc.model.description.renewal import RenewalQuestion
from progdoc.model.description.words import label_of
from progdoc.model.load import Loaded, load
from progdoc.model.people_table.csv_removal import without_people
from progdoc.model.people_table.people_tables import kept_by_hand
from progdoc.model.yaml.yaml_reader import is_description
from progdoc.model.yaml.yaml_removal import without_entries
from progdoc.model.yaml.yaml_splice import EntryValue, with_entry, with_value

__all__ = ["Entered", "Files", "changed_file", "file_of", "with_answers", "with_points"]

Files = dict[str, bytes]
_LISTS = {
    RenewalQuestion.TASKS: "tasks",
    RenewalQuestion.PEOPLE: "people",
    RenewalQuestion.SITES: "organisation.sites",
}
_ROWS = {"task": "tasks", "person": "people", "site": "organisation.sites"}
_OF_A_FINDING = {"correction": "what is done about it", "owner": "who", "due": "by when"}
_LEAST_NAME = 4  # letters of a name that is searched for in texts


@dataclass(slots=True)
class Entered:
    """What became of the answers: changes made, what a person has still to enter, and those points."""

    changes: list[str] = field(default_factory=list)
    by_hand: list[str] = field(default_factory=list)
    to_enter: list[Point] = field(default_factory=list)

    def leave(self, answer: Answer, words: str) -> None:
        """Note what a person has to enter."""
        point = answer.asked.point
        self.by_hand.append(f"{answer.asked.named}: {words}")
        if point not in self.to_enter:
            self.to_enter.append(point)


def with_answers(loaded: Loaded, given: Iterable[Answer]) -> tuple[Files, Entered]:
    """Return the description's files with the answers entered, and what became of each.

    Raises
    ------
    KeyError
        If a file does not hold its lists and values in a form in which single ones can be replaced.
    """
    answers, entered = tuple(given), Entered()
    files = _with_days(description_files(loaded), loaded, answers, entered)
    files = _without_what_ended(files, answers, entered)
    for answer in answers:
        if answer.means == "enter":
            entered.leave(answer, f"{answer.says}: {answer.words}")
        elif answer.means == "rows":
            files = _with_rows(files, answer, entered)
        elif answer.means == "settled" and answer.words:
            entered.changes.append(f"{answer.asked.named}: {answer.says} ({answer.words}).")
    return files, entered


def changed_file(files: Files, name: str, change: Callable[[str], str]) -> Files:
    """Return the files with the text of one changed, its byte-order mark kept."""
    data = files[name]
    mark = b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b""
    text = change(data.removeprefix(mark).decode("utf-8"))
    return {**files, name: mark + text.encode("utf-8")}


def file_of(loaded: Loaded, path: str) -> str:
    """Return the file that holds a path, or else the one that holds `program`."""
    top = path.partition(".")[0].partition("[")[0]
    return loaded.locate(top if top in loaded.description.values else "program").file


# ---- days ---------------------------------------------------------------------------------------------


def _with_days(files: Files, loaded: Loaded, answers: Iterable[Answer], entered: Entered) -> Files:
    program = _program(loaded)
    for answer in answers:
        if answer.day is None:
            continue
        day, told = answer.day.isoformat(), long_date(answer.day)
        if answer.asked.question is RenewalQuestion.EVALUATION:
            last = program.procedures.evaluation.last
            if last is None or last < answer.day:
                files = _with_value(files, loaded, ("procedures", "evaluation", "last"), day)
                entered.changes.append(f"Evaluation of the program: held on {told}.")
        elif answer.means == "done":
            ids = [finding.id for finding in program.procedures.evaluation.findings]
            place = ("procedures", "evaluation", "findings", ids.index(answer.asked.item.id), "done")
            files = _with_value(files, loaded, place, day)
            entered.changes.append(f"{answer.asked.named}: corrected on {told}.")
        elif answer.means == "until":
            for i, (identity, _) in enumerate(accepted_ids(program)):
                if identity == answer.asked.item.id:
                    files = _with_value(files, loaded, ("accepted", i, "until"), day)
                    entered.changes.append(f"{answer.asked.named}: accepted until {told}.")
    return files


def _with_value(files: Files, loaded: Loaded, place: tuple[str | int, ...], value: str) -> Files:
    name = file_of(loaded, str(place[0]))
    if isinstance(place[1], int):  # the list may be spread over files
        name = loaded.locate(f"{place[0]}[{place[1]}]").file
        before = (loaded.locate(f"{place[0]}[{i}]").file for i in range(place[1]))
        place = (place[0], sum(file == name for file in before), *place[2:])
    return changed_file(files, name, lambda text: with_value(text, place, value))


# ---- what ended ---------------------------------------------------------------------------------------


def _without_what_ended(files: Files, answers: Iterable[Answer], entered: Entered) -> Files:
    ended = [answer for answer in answers if answer.means == "remove"]
    if not ended:
        return files
    loaded = load(files)
    program = _program(loaded)
    paths: dict[str, None] = {}
    for answer in ended:
        if answer.asked.question is RenewalQuestion.PEOPLE and (table := kept_by_hand(loaded.description)):
            entered.leave(answer, f"{answer.says}. Take the rows out of {table}, and the name elsewhere.")
            continue
        found, hindered = _going(program, answer)
        if hindered:
            entered.leave(answer, f"{answer.says}. Not taken out, because then {hindered}: decide what it is to bind.")
            continue
        entered.changes.append(f"{answer.asked.named}: taken out.")
        entered.changes += [f"With it: {words}." for words in found.values() if words]
        paths |= dict.fromkeys(found)
    people = {answer.asked.item.id for answer in ended if answer.asked.question is RenewalQuestion.PEOPLE}
    files = _without(files, loaded, paths, people)
    left, hindered_ids = _program(load(files)), {about for _, about in entered.to_enter}
    for answer in ended:
        item = answer.asked.item
        is_gone = answer.asked.question in _LISTS and item.id not in hindered_ids
        if places := ", ".join(_naming(left, item.label)) if is_gone else "":
            told = f"the name still stands under {places}"
            if answer.asked.question is RenewalQuestion.SITES:  # a word such as “yard” may mean any other
                entered.changes.append(f"{answer.asked.named}: {told}.")
            else:
                entered.leave(answer, told)
    return files


def _going(program: Program, answer: Answer) -> tuple[dict[str, str], str]:
    """Return the places that go with a thing, with what they are; or why it can't go."""
    item, question = answer.asked.item, answer.asked.question
    if question is RenewalQuestion.ACCEPTED:
        entries = enumerate(accepted_ids(program))
        return {f"accepted[{i}]": "" for i, (identity, _) in entries if identity == item.id}, ""
    of_list = _LISTS[question]
    things = program.organisation.sites if of_list == "organisation.sites" else getattr(program, of_list)
    found = {f"{of_list}[{i}]": "" for i, thing in enumerate(things) if thing.id == item.id}
    subjects = {f"{of_list}.{item.id}"}
    for i, hazard in enumerate(program.hazards if of_list == "tasks" else ()):
        if hazard.task == item.id:
            found[f"hazards[{i}]"] = f"{hazard.agent} in its air ({hazard.id})"
            subjects.add(f"hazards.{hazard.id}")
    named = tuple(references(program))
    for name, path, wanted in named:
        if (name, wanted) != (of_list, item.id) or path.startswith("hazards["):
            continue
        owner, _, last = path.rpartition(".")
        beside = f"{owner}.{last.partition('[')[0]}["
        siblings = [other for _, other, _ in named if other.startswith(beside)]
        if len(siblings) == 1 and owner.startswith("policies["):
            return {}, f"{_owner(program, owner)} would bind all work"
        if len(siblings) == 1 and ".schedules[" in owner:
            found[owner] = "the change schedule that names it alone"
        else:
            found[path] = f"its mention in {_owner(program, owner)}" if of_list != "people" else ""
    for i, entry in enumerate(program.accepted):
        if entry.subject in subjects:
            found[f"accepted[{i}]"] = f"the accepted caution {entry.code}"
    return found, ""


def _owner(program: Program, path: str) -> str:
    """Return what people call the task or policy at a path; the path itself for anything else."""
    named = re.fullmatch(r"(tasks|policies)\[(\d+)\]", path)
    if named is None:
        return path
    number = int(named[2])
    return f"“{program.tasks[number].name}”" if named[1] == "tasks" else f"the policy of {program.policies[number].by}"


def _without(files: Files, loaded: Loaded, paths: Iterable[str], people: set[str]) -> Files:
    places: dict[str, set[tuple[int, int]]] = {}
    for path in paths:
        here = loaded.locate(path)
        places.setdefault(here.file, set()).add((here.line, here.column))
    for name in places:
        if is_description(name):
            files = changed_file(files, name, partial(without_entries, places=places[name]))
        else:
            files = {**files, name: without_people(files[name], people)}
    return files


def _naming(program: Program, name: str) -> Iterator[str]:
    """Yield where a name stands in a text; the history and people's records tell of the past."""
    if len(name) < _LEAST_NAME:
        return
    pattern = re.compile(rf"\b{re.escape(name)}\b", re.IGNORECASE)
    for path, text in texts_in(program):
        if pattern.search(text) and not path.startswith(("program.history", "people[")):
            yield path


# ---- what is new --------------------------------------------------------------------------------------


def _with_rows(files: Files, answer: Answer, entered: Entered) -> Files:
    kind = answer.asked.plan["row"]
    for row in answer.rows:
        told = "; ".join(filter(None, row.values()))
        if kind == "words":
            entered.leave(answer, told)
            continue
        loaded = load(files)
        if kind == "person" and not all(map(is_description, loaded.description.files)):
            entered.leave(answer, f"{told} (a row in the table of people)")
            continue
        enter = _with_finding if kind == "finding" else _with_thing
        files = enter(files, loaded, answer, row, entered)
    return files


def _with_thing(files: Files, loaded: Loaded, answer: Answer, row: Mapping[str, str], entered: Entered) -> Files:
    program, path = _program(loaded), _ROWS[answer.asked.plan["row"]]
    things = program.organisation.sites if path == "organisation.sites" else getattr(program, path)
    if any(label_of(thing) == row["name"] for thing in things):
        entered.changes.append(f"{answer.asked.named}: {row['name']} stands there already.")
        return files
    identity = _new_id(row["name"], {thing.id for thing in things}, path.rpartition(".")[2])
    own = {key: words for key, words in row.items() if words and key != "where"}
    entered.changes.append(
        f"{answer.asked.named}: {row['name']} is entered as {identity}; check asks what else it takes."
    )
    if row.get("where"):
        entered.leave(answer, f"{row['name']} ({identity}), tasks: {row['where']}")
    return _with_entry(files, loaded, path.split("."), {"id": identity, **own})


def _with_finding(files: Files, loaded: Loaded, answer: Answer, row: Mapping[str, str], entered: Entered) -> Files:
    findings = _program(loaded).procedures.evaluation.findings
    day = answer.day.isoformat() if answer.day else ""
    if any((finding.what, finding.date) == (row["what"], answer.day) for finding in findings):
        entered.changes.append(f"Finding “{row['what']}” stands there already.")
        return files
    identity = _new_id(" ".join(row["what"].split()[:5]), {finding.id for finding in findings}, "finding")
    own = {key: words for key, words in row.items() if words}
    lacks = [title for key, title in _OF_A_FINDING.items() if not row[key]]
    told = f", and does not say yet: {', '.join(lacks)}" if lacks else " with its correction, who and by when"
    entered.changes.append(f"Finding “{row['what']}” is entered as {identity}{told}.")
    return _with_entry(files, loaded, ["procedures", "evaluation", "findings"], {"id": identity, "date": day, **own})


def _with_entry(files: Files, loaded: Loaded, path: list[str], entry: Mapping[str, EntryValue]) -> Files:
    return changed_file(files, file_of(loaded, path[0]), lambda text: with_entry(text, path, entry))


def _new_id(words: str, taken: Iterable[str], kind: str) -> str:
    base, used = spelt_id(words)[:50].rstrip("-") or f"new-{kind.rstrip('s')}", set(taken)
    return next(name for n in range(1, len(used) + 2) if (name := base if n == 1 else f"{base}-{n}") not in used)


# ---- what stays open ----------------------------------------------------------------------------------


def with_points(files: Files, still_open: Iterable[Point], to_enter: Iterable[Point]) -> Files:
    """Return the files with what the renewal still asks in place of what it asked before."""
    loaded = load(files)
    points = _program(loaded).renewal
    kept = {(point.question, about) for point in points if point.to_enter for about in point.about or ("",)}
    settled = [f"renewal[{i}]" for i, point in enumerate(points) if not point.to_enter]
    files = _without(files, loaded, settled, set())
    fresh = [point for point in to_enter if point not in kept]
    for found, marks in ((fresh, {"to_enter": "yes"}), (still_open, {})):
        for question, about in _by_question(found).items():
            entry: dict[str, EntryValue] = {"question": question.value}
            entry |= {"about": about} if about else {}
            files = _with_entry(files, loaded, ["renewal"], {**entry, **marks})
    return files


def _by_question(points: Iterable[Point]) -> dict[RenewalQuestion, tuple[str, ...]]:
    found: dict[RenewalQuestion, tuple[str, ...]] = {}
    for question, about in points:
        found[question] = (*found.get(question, ()), about) if about else found.get(question, ())
    return found


def _program(loaded: Loaded) -> Program:
    if loaded.program is None:
        raise KeyError("; ".join(fault.what for fault in loaded.diagnostics))
    return loaded.program
