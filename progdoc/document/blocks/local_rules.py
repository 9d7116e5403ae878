"""The rules of a local pack in the written program: no template knows them, so each is printed with what meets it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from enum import StrEnum
from typing import Any

from progdoc.core.diagnostics import Audience, Scope
from progdoc.core.numbers import long_date
from progdoc.core.said import as_own, said, said_join, unstopped
from progdoc.document.blocks.answers import Verdicts
from progdoc.document.tree.nodes import Answer, Block, Cell, CitationMark, Column, Paragraph, Row, Table, Text
from progdoc.document.tree.tokens import choice_words
from progdoc.model.description.fields import field_at
from progdoc.model.description.words import as_printed
from progdoc.rules.judged.result import Judged
from progdoc.rules.requirement import PackName, Requirement

__all__ = ["local_differences", "local_rules_blocks", "place_of_local_rules", "states_in_words", "words_of_packs"]

_PLACE = "local-rules"


def words_of_packs(judged: Judged) -> str:
    """Return the packs that were applied, in words."""
    return said_join(
        (
            said("“%(title)s” (%(version)s)", title=as_own(pack.title), version=said_join(_version(pack), ", "))
            for pack in judged.packs
        ),
        said(" and "),
    )


def _version(pack: PackName) -> Iterator[str]:
    yield pack.version
    if pack.state and pack.read:
        yield said("read on %(day)s", day=long_date(date.fromisoformat(pack.read)))


def states_in_words(judged: Judged) -> str:
    """Return the states whose own rules were applied, each with the day on which they were read."""
    told = ((pack.state, pack.read) for pack in judged.packs if pack.state)
    return said_join(
        (
            said("%(state)s, as read on %(day)s", state=state, day=long_date(date.fromisoformat(read)))
            if read
            else state
            for state, read in told
        ),
        "; ",
    )


def place_of_local_rules(judged: Judged) -> str:
    """Return where local rules stand in the document, or would stand."""
    if len(judged.packs) > 1:
        return said("those that were given stand in a section of their own, “Local rules”.")
    return said("they would stand in a section of their own, “Local rules”. None were given.")


def local_rules_blocks(judged: Judged, verdicts: Verdicts) -> tuple[Block, ...]:
    """Return an answer or open points for each requirement of a pack that is not the first; nothing without one."""
    base = judged.packs[0].name
    everywhere = [r for r in judged.requirements if r.pack.name != base]
    binding = {id(one.verdict.requirement) for one in judged.verdicts.alike()}
    there = [(one, r) for r in judged.requirements for one in r.in_states if id(one) in binding]
    rules = [*everywhere, *(one for one, _ in there)]
    found = [block for rule in everywhere for block in _rule(judged, verdicts, rule, rule.code)]
    for rule, base_rule in there:
        # A duty that is the federal one, under the state's paragraph, stands with its answers in its own section.
        is_told = rule.duty == base_rule.duty
        found += _rule(judged, verdicts, rule, f"{rule.code}.{_slug(rule.state)}", is_told)
    if not found:
        return ()
    titles = said_join(dict.fromkeys(r.pack.title for r in rules), ", ")
    words = said(
        "Beside the federal rules, or in their place, this program follows: %(titles)s. Each of these "
        "rules stands here.",
        titles=titles,
    )
    return (Paragraph(f"{_PLACE}.about", (Text(words),)), *found)


def local_differences(judged: Judged) -> tuple[Block, ...]:
    """Return the rules that a pack declares to ask for something else than the rule in whose place they stand."""
    rows = tuple(
        Row(
            f"local-differences.{rule.code}{f'.{_slug(rule.state)}' if rule.state else ''}",
            tuple(
                Cell((Text(words),))
                for words in (rule.duty, str(rule.citation), said_join(map(str, rule.also), ", "), rule.differs)
            ),
        )
        for base in judged.requirements
        for rule in (base, *base.in_states)
        if rule.differs
    )
    if not rows:
        return ()
    columns = (
        Column(said("What the local rule asks"), 6),
        Column(said("Rule"), 3),
        Column(said("In place of"), 3),
        Column(said("Why"), 6),
    )
    return (Table("local-differences.all", said("Local rules that ask for something else"), columns, rows),)


def _slug(state: str) -> str:
    return state.casefold().replace(" ", "-")


def _rule(judged: Judged, verdicts: Verdicts, rule: Requirement, name: str, is_told: bool = False) -> Iterator[Block]:
    state = verdicts.state_of((rule.code,))
    if state.prints and rule.scope is Scope.PROGRAM and rule.audience is Audience.PUBLIC:
        shown = "" if is_told else said_join(_described(judged, rule), "; ")
        words = said("%(duty)s %(shown)s.", duty=rule.duty, shown=shown) if shown else rule.duty
        mark = CitationMark(str(rule.citation))
        told = said(" It stands in the place of: %(duty)s", duty=rule.in_place_of)
        replaced = (Text(told),) if rule.in_place_of else ()
        paragraph = Paragraph(f"{_PLACE}.{name}.p", (Text(words), mark, *replaced))
        yield Answer(f"{_PLACE}.{name}", (rule.code,), rule.citations, (paragraph,))
    elif state.open:
        points = tuple(verdicts.open_point(verdict, _PLACE) for verdict in state.open)
        yield Answer(f"{_PLACE}.{name}", (rule.code,), rule.citations, points)


def _described(judged: Judged, rule: Requirement) -> Iterator[str]:
    """Yield what the description says in the fields that meet a rule: their titles and values, in words.

    A yes says what the duty says already.
    """
    for path in rule.reads:
        value = None if "[" in path else judged.index.value_at(path)
        field = field_at(path)
        if value is not None and value is not True and field is not None:
            yield said("%(title)s: %(in_words)s", title=field.title, in_words=unstopped(_in_words(value)))


def _in_words(value: Any) -> str:
    if isinstance(value, tuple):
        return said_join(map(_in_words, value), ", ")
    return said(choice_words(value)) if isinstance(value, StrEnum) else as_printed(value)
