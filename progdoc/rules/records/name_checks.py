"""Names of masks and filters that tell another kind than what is described, lists that name twice, and who is nobody.

A crew takes what the page names: a half mask that is called a full facepiece, or a disc that is called P100 and is
none, is taken for what it is called. The words are data (`catalogue/tables/mask_words.yaml`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Set
from functools import cache

from progdoc.core.said import said, said_choice, said_join, same
from progdoc.model.description.ids import references
from progdoc.model.description.masks import Filter, Gas, Mask, Particulate
from progdoc.rules.check_result import CheckResult, person_of, person_path
from progdoc.rules.facts import WHO_TEACHES, Facts
from progdoc.rules.lookup.answers_said import Said, answers_by_a_no, said_by
from progdoc.rules.lookup.clauses import Words
from progdoc.rules.lookup.function_words import tells_in_words, unread_language
from progdoc.rules.lookup.source_words import asks_source, names_a_source
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.lookup.telling_words import is_told, telling
from progdoc.rules.lookup.who_words import (
    asks_who,
    holds_a_name,
    is_called_alike,
    names_a_holder,
    names_somebody,
    parts_of_names,
)
from progdoc.rules.requirement import Subject

__all__ = ["NAME_CHECKS"]

_CLASS = re.compile(r"(?<![\w-])(?:(?P<series>[NRP])[- ]?(?P<grade>95|99|100)|HEPA)(?!\w)", re.IGNORECASE)
_WORD = re.compile(r"\w+")
_IN_A_LIST = re.compile(r"(?P<list>.+)\[\d+\]")
_DENIED = re.compile(r"\b(?:not|no|never|instead of|like)\b", re.IGNORECASE)


def _called_what_it_is(facts: Facts, _subject: Subject) -> CheckResult:
    """The name of a mask tells its kind of facepiece, that of a filter its class and its gases, if it tells any."""
    called = [(path, mask.name or "", _of_mask(mask, mask.name or "")) for path, mask in facts.masks.values()]
    called += [(path, part.name or "", _of_filter(part, part.name or "")) for path, part in facts.filters.values()]
    faults = [
        (f"{path}.name", {"name": name, "called": told[0], "is": told[1]})
        for path, name, found in called
        if not _DENIED.search(name) and (told := next(found, None))
    ]
    faults += [
        (f"{path}.name", {"name": mask.name or "", "called": words, "is": said("a mask in use, not as withdrawn")})
        for path, mask in facts.masks.values()
        if mask.withdrawn is None and (words := _set_aside(mask.name or ""))
    ]
    return CheckResult(("masks", "filters"), tuple(faults), nothing=said("No name tells another thing."))


def _set_aside(name: str) -> str:
    """Return the words by which a mask is called out of use; "not to be used in thin air" sets a bound to its use."""
    found = telling("set_aside").search(name)
    if found is None or is_told("denials", name[: found.start()]):
        return ""
    is_bound = is_told("denials", found[0]) and any(map(str.isalnum, name[found.end() :]))
    return "" if is_bound else found[0]


def _of_mask(mask: Mask, name: str) -> Iterator[tuple[str, str]]:
    if not mask.escape_only and (found := telling("escape_set").search(name)):
        yield found[0], said("a mask to work in, not for escape only")
    kinds = {facepiece: found[0] for facepiece, words in _kind_words() if (found := words.search(name))}
    if kinds and mask.facepiece is not None and str(mask.facepiece) not in kinds:
        yield next(iter(kinds.values())), said_choice(mask.facepiece)
    if mask.built_in_filter is not None:
        yield from _of_class(name, mask.built_in_filter)


def _of_filter(part: Filter, name: str) -> Iterator[tuple[str, str]]:
    yield from _of_class(name, part.particulate)
    gases = set(part.gases)
    if Gas.MULTI_GAS in gases or (part.agents and not gases):  # its label names agents, and no class tells which
        return
    for gas, words in _gas_words().items():
        found = words.search(name)
        if found and gas not in gases:
            against = said_join(sorted(map(said_choice, gases)), said(" and "))
            yield found[0], said("against %(against)s", against=against or said("particles alone"))


def _of_class(name: str, described: Particulate | None) -> Iterator[tuple[str, str]]:
    classes = _CLASS.finditer(name)
    named = {f"{found['series']}{found['grade']}".upper() if found["series"] else "HEPA" for found in classes}
    if named and (described is None or str(described) not in named):
        yield (
            said_join(map(same, sorted(named)), said(" and ")),
            same(str(described)) if described else said("no filter against particles"),
        )


@cache
def _kind_words() -> tuple[tuple[str, Words], ...]:
    entries = table_entries("mask_words", "facepieces")
    alone = (entry for entry in entries if not {"only_alone", "only_with_air"} & set(entry))
    return tuple((str(entry["facepiece"]), Words(map(str, entry["words"]))) for entry in alone)


@cache
def _gas_words() -> dict[Gas, Words]:
    entries = table_entries("mask_words", "gases")
    return {Gas(str(entry["gas"])): Words(map(str, entry["words"])) for entry in entries}


def _named_once(facts: Facts, _subject: Subject) -> CheckResult:
    """A list names nobody and nothing twice: whoever counts it counts one too many."""
    seen: dict[str, set[str]] = {}
    faults = []
    for _, path, wanted in references(facts.description):
        listed = _IN_A_LIST.fullmatch(path)
        known = seen.setdefault(listed["list"], set()) if listed else set()
        if listed and wanted in known:
            faults.append((path, {"name": wanted, "list": listed["list"].rpartition(".")[2].replace("_", " ")}))
        known.add(wanted)
    for i, one in enumerate(facts.description.procedures.fit_testing.protocols):
        known = seen.setdefault("protocols", set())
        if str(one) in known:
            faults.append((f"procedures.fit_testing.protocols[{i}]", {"name": str(one), "list": "protocols"}))
        known.add(str(one))
    return CheckResult(
        ("tasks", "masks"), tuple(faults), nothing="" if faults else said("No list names anything twice.")
    )


def _names_somebody(facts: Facts, _subject: Subject) -> CheckResult:
    """A text that asks who names a person, a role or a firm; what is no answer is told of elsewhere."""
    program = facts.description  # a role that is named stands there in full: its title, and all else of whoever has it
    whole = [_spaced(one.title) for one in program.roles] + [_spaced(one.name) for one in program.bodies]
    everybody = facts.known_by_name

    def beside(path: str) -> Set[str]:
        """Return by which words those are known who are named elsewhere than in a field."""
        return parts_of_names(name for at, name in facts.holders if at != path) if holds_a_name(path) else everybody

    asked = {path: text for path, text in facts.texts_in("") if asks_who(path)}
    faults = [
        (path, {"text": text, "path": path})
        for path, text in asked.items()
        if not names_somebody(text, beside(path))
        and said_by(text) is Said.ANSWER
        and not answers_by_a_no(text, path)
        and not any(name in _spaced(text) for name in whole)
    ]
    return CheckResult(tuple(asked), tuple(faults), nothing=said("Every text that is to tell who names somebody."))


def _spaced(text: str) -> str:
    """Return the words of a text in small letters, with a space around each."""
    return f" {' '.join(_WORD.findall(text.casefold()))} "


def _in_english(facts: Facts, _subject: Subject) -> CheckResult:
    """A text in another language can't be held against anything: whoever reads that language has to."""
    told = {path: text for path, text in facts.texts_in("") if tells_in_words(path)}
    people = [person.name for person in facts.description.people]
    names = [name for name in (*people, facts.description.officer.name) if name]

    def language_of(text: str) -> str:
        """Somebody may be called Della or De la Cruz: their names are in no language."""
        if not unread_language(text):
            return ""
        for name in sorted(names, key=len, reverse=True):
            text = text.replace(name, "")
        return unread_language(text)

    faults = [
        (path, {"text": text, "path": path, "language": language})
        for path, text in told.items()
        if said_by(text) is Said.ANSWER and (language := language_of(text))
    ]
    return CheckResult(tuple(told), tuple(faults), nothing=said("Every text seems to be in English."))


def _given_by_somebody_known(facts: Facts, subject: Subject) -> CheckResult:
    """The newest test and training of a wearer were given by somebody of whom the description tells elsewhere."""
    person, path = person_of(facts, subject), person_path(facts, subject)
    tested = [
        (test.mask, test.date, f"{path}.fit_tests[{i}].tester", test.tester) for i, test in enumerate(person.fit_tests)
    ]
    newest = {mask: day for mask, day, *_ in sorted(tested, key=lambda one: one[1])}
    told = [(at, by) for mask, day, at, by in tested if newest[mask] == day]
    trained = [
        (one.date, f"{path}.training[{i}].by", one.by) for i, one in enumerate(person.training) if not one.elsewhere
    ]
    last = max((day for day, *_ in trained), default=None)
    told += [(at, by) for day, at, by in trained if day == last]
    faults = tuple(
        (at, {"text": text})
        for at, text in told
        if text is not None and said_by(text) is Said.ANSWER and not names_a_holder(text, facts.who_may_teach)
        if not is_called_alike(text, (said_there for place, said_there in facts.texts_in("") if place in WHO_TEACHES))
    )
    read = (f"{path}.fit_tests", f"{path}.training", *WHO_TEACHES)
    return CheckResult(read, faults, nothing=said("No stranger is named as tester or trainer."))


def _sources_named(facts: Facts, _subject: Subject) -> CheckResult:
    """Where a figure of a filter comes from can be looked up again."""
    makes = [mask.make for _, mask in facts.masks.values() if mask.make]
    makes += [part.make for _, part in facts.filters.values() if part.make]
    known = parts_of_names(makes)
    asked = {path: text for path, text in facts.texts_in("") if asks_source(path)}
    faults = [
        (path, {"text": text, "path": path})
        for path, text in asked.items()
        if said_by(text) is Said.ANSWER and not names_a_source(text, known)
    ]
    return CheckResult(tuple(asked), tuple(faults), nothing=said("Every source that is told names something."))


NAME_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "called-what-it-is": _called_what_it_is,
    "named-once": _named_once,
    "names-somebody": _names_somebody,
    "in-english": _in_english,
    "sources-named": _sources_named,
    "given-by-somebody-known": _given_by_somebody_known,
}
