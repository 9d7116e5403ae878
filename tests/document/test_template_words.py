"""What a template compares with a word is a closed list of the model's, and the word is on it.

A slip would not raise anything: the comparison fails, and the text falls into its `else`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from jinja2 import Environment, nodes
from programs.patching import AS_OF, PROGRAMS

from progdoc.app.disk.description_files import load_path
from progdoc.core.resources import templates_root
from progdoc.document.papers.form_words import firm_words
from progdoc.document.templating.templates import form_plans
from progdoc.model.description.fields import field_at
from progdoc.rules.judge import judge
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.reading.predicates import PREDICATES

ROOT = Path(str(templates_root())) / "program"
TEXT = {file.relative_to(ROOT).as_posix(): file.read_text(encoding="utf-8") for file in sorted(ROOT.rglob("*.j2"))}

# What the names of a template stand for in the description; `document/templating/context.py` puts it there.
NAMES = {
    **{name: name for name in ("program", "organisation", "officer", "procedures", "attachments")},
    **{name: name for name in ("tasks", "masks", "filters")},
    "task": "tasks[]",  # of a page for the crew
    "schedules": "procedures.filter_changes.schedules",
    "tasks[].agents": "hazards",
    "tasks[].worn": "masks",
}
ENTRIES = (
    "list",
    "select",
    "reject",
    "selectattr",
    "rejectattr",
    "sort",
    "first",
    "last",
)  # filters that hand on entries
TESTS = ("eq", "equalto", "==", "ne", "!=", "in", "sameas")
AS_WORDS = ("words",)  # functions of a template that print a choice in words


class Reading:
    """One template: what each of its names stands for, and what is wrong with its words."""

    def __init__(self, text: str) -> None:
        environment = Environment(comment_start_string="<#", comment_end_string="#>")
        self.scope = dict(NAMES)
        self.compared = 0
        self.faults: list[str] = []
        self._read(environment.parse(text))

    def _read(self, node: nodes.Node) -> None:
        outer = self.scope
        if isinstance(node, nodes.For) and isinstance(node.target, nodes.Name):
            place = self._place(node.iter)
            self.scope = {**outer, node.target.name: f"{place}[]" if place else ""}
        elif isinstance(node, nodes.Assign) and isinstance(node.target, nodes.Name):
            self.scope[node.target.name] = self._place(node.node)
        self._look(node)
        for inner in node.iter_child_nodes():
            self._read(inner)
        self.scope = outer

    def _look(self, node: nodes.Node) -> None:
        if isinstance(node, nodes.Compare):
            sides = [node.expr, *(operand.expr for operand in node.ops)]
            words = [word for side in sides for word in _words(side)]
            for side in sides:
                if words and not _words(side):
                    self._hold(self._place(side), words, node.lineno)
        elif isinstance(node, nodes.Test) and node.name in TESTS:
            words = [word for argument in node.args for word in _words(argument)]
            if words:
                self._hold(self._place(node.node), words, node.lineno)
        elif isinstance(node, nodes.Filter) and node.name == "reject" and len(node.args) > 1:
            self._hold(
                f"{self._place(node.node)}[]", [word for one in node.args[1:] for word in _words(one)], node.lineno
            )
        elif isinstance(node, nodes.Filter) and node.name in ("selectattr", "rejectattr") and len(node.args) > 1:
            attribute, _, *given = [word for argument in node.args for word in _words(argument)]
            self._hold(f"{self._place(node.node)}[].{attribute}", given, node.lineno)
        elif isinstance(node, nodes.Getitem) and isinstance(node.node, nodes.Dict):
            keys = [word for pair in node.node.items for word in _words(pair.key)]
            self._hold(self._place(node.arg), keys, node.lineno, is_whole=True)
        elif isinstance(node, nodes.Concat):
            self._never_a_choice(node.nodes, node.lineno)
        elif isinstance(node, nodes.Filter) and node.name not in ENTRIES:
            self._never_a_choice([node.node] if node.node else [], node.lineno)
        elif isinstance(node, nodes.Call) and isinstance(node.node, nodes.Name):
            if node.node.name not in AS_WORDS:
                self._never_a_choice(node.args, node.lineno)
            if node.node.name in ("holds", "when"):
                unknown = {word for argument in node.args for word in _words(argument)} - set(PREDICATES)
                self.faults += [f"line {node.lineno}: `{word}` is no fact" for word in sorted(unknown)]

    def _hold(self, place: str, words: list[str], line: int, is_whole: bool = False) -> None:
        """Hold words that are compared with a place against the values it may have."""
        self.compared += 1
        field = field_at(place) if place else None
        if field is None or not field.values:
            self.faults.append(f"line {line}: {words} stand against {place or '?'}, which is no closed list")
            return
        self.faults += [f"line {line}: {place} never holds `{word}`" for word in words if word not in field.values]
        if is_whole:
            self.faults += [f"line {line}: {place} may hold `{v}` too" for v in field.values if v not in words]

    def _never_a_choice(self, given: list[nodes.Expr], line: int) -> None:
        """A choice is compared or printed, not built into a text: there it would stand as the model spells it."""
        for expression in given:
            field = field_at(place) if (place := self._place(expression)) else None
            if field and field.values:
                self.faults.append(f"line {line}: {place} is no text to be joined or changed")

    def _place(self, node: nodes.Node | None) -> str:
        """Return the place in the description that an expression leads to, or nothing."""
        if isinstance(node, nodes.Name):
            return self.scope.get(node.name, "")
        if isinstance(node, nodes.Getattr):
            place = f"{self._place(node.node)}.{node.attr}".lstrip(".")
            return NAMES.get(place, place)
        if isinstance(node, nodes.Filter) and node.name in ENTRIES:
            return self._place(node.node)
        return ""


def _words(node: nodes.Node) -> list[str]:
    if isinstance(node, nodes.List | nodes.Tuple):
        return [word for item in node.items for word in _words(item)]
    return [node.value] if isinstance(node, nodes.Const) and isinstance(node.value, str) else []


@pytest.mark.parametrize("name", TEXT)
def test_every_word_that_a_template_compares_is_a_value_of_the_model(name: str) -> None:
    assert Reading(TEXT[name]).faults == []


def test_the_comparisons_of_the_templates_are_seen() -> None:
    written = sum(len(re.findall(r"""[=!]= "|\}\[|"in", \[""", text)) for text in TEXT.values())
    assert sum(Reading(text).compared for text in TEXT.values()) == written > 15


SLIPS = [
    ('{% if procedures.use.hair == "clean shaven" %}a{% endif %}', "procedures.use.hair never holds `clean shaven`"),
    ('{% if procedures.use.hare != "clean-shaven" %}a{% endif %}', "procedures.use.hare, which is no closed list"),
    ('{% if officer.name == "Jo" %}a{% endif %}', "officer.name, which is no closed list"),
    ('{% if procedures.use.hair in ["clean-shaven", "none"] %}a{% endif %}', "never holds `none`"),
    ('{% if procedures.use.hair is eq "shaven" %}a{% endif %}', "never holds `shaven`"),
    ('{{ "a" if "maker" == procedures.cleaning.adoptt }}', "which is no closed list"),
    ('{% for t in tasks if t.done_by == "noone" %}a{% endfor %}', "tasks[].done_by never holds `noone`"),
    ('{% set u = procedures.use %}{% if u.hair == "shaven" %}a{% endif %}', "never holds `shaven`"),
    ('{{ {"wet": "w"}[procedures.filter_changes.particulate.when] }}', "may hold `damaged` too"),
    ('{% for r in procedures.filter_changes.particulate.when %}{{ {"wett": "w"}[r] }}{% endfor %}', "holds `wett`"),
    ('{{ masks | selectattr("mode", "equalto", "power") | list }}', "masks[].mode never holds `power`"),
    ('{{ "is " ~ procedures.use.hair }}', "no text to be joined or changed"),
    ("{{ procedures.use.hair | upper }}", "no text to be joined or changed"),
    ("{{ phrase(procedures.use.hair) }}", "no text to be joined or changed"),
    ('{{ holds("in-user") }}', "`in-user` is no fact"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "fault"), SLIPS, ids=[text for text, _ in SLIPS])
def test_a_slip_is_found(text: str, fault: str) -> None:
    assert any(fault in found for found in Reading(text).faults), Reading(text).faults


def values_of(place: str) -> tuple[str, ...]:
    field = field_at(place)
    assert field is not None
    return field.values


# ---- forms ----------------------------------------------------------------------------------------------

FORMS = form_plans()
# What the description ticks on a form, by the word that a form's file calls it: everything it may say there.
TICKED = {
    "{effort}": {value.replace("-", " ") for value in values_of("tasks[].effort")},
    "{rescue}": {"yes"},  # a task that is for emergencies only; else it is left to the pen
}


def parts_of(plan: Any) -> Iterator[dict[str, Any]]:
    """Yield a form, its parts, fields, rows and columns."""
    if isinstance(plan, dict):
        yield plan
    for inner in plan.values() if isinstance(plan, dict) else plan if isinstance(plan, list) else ():
        yield from parts_of(inner)


def test_what_the_description_ticks_on_a_form_is_among_its_choices() -> None:
    ticked = {
        part["value"]: set(part["choices"])
        for plan in FORMS
        for part in parts_of(plan)
        if isinstance(part.get("choices"), list) and "value" in part
    }
    assert set(ticked) == set(TICKED)
    for word, choices in ticked.items():
        assert choices >= TICKED[word]


def test_what_a_form_depends_on_is_a_fact_or_a_word() -> None:
    firm = firm_words(judge(load_path(PROGRAMS / "base.yaml"), built_in_catalogue(), AS_OF))
    words = {*firm.words, *(word for entry in firm.lists["protocols"] for word in entry)}
    asked = {part["when"] for plan in FORMS for part in parts_of(plan) if "when" in part}
    asked |= {fact for plan in FORMS for fact in plan["applies"]}
    assert "qualitative" in words
    assert asked - words - set(PREDICATES) == set()
