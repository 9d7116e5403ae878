"""Every public calculation says what it takes, gives, refuses and rests on, in one form."""

import importlib
import inspect
import pkgutil
import re

from progdoc import calc

SECTIONS = ("Parameters", "Returns", "Raises", "Examples", "References")
NUMBER = re.compile(r"\b(float|int)\b")
UNIT = re.compile(r"\[[^\]]+\](?!_)")  # "[1]_" is a reference


def _public_functions():
    names = sorted(info.name for info in pkgutil.iter_modules(calc.__path__) if not info.name.startswith("_"))
    modules = {name: importlib.import_module(f"progdoc.calc.{name}") for name in names}
    return [
        getattr(module, public)
        for name, module in modules.items()
        for public in sorted(module.__all__)
        if inspect.isfunction(getattr(module, public))
    ]


FUNCTIONS = _public_functions()


def _section(function, title):
    """Return a section's text: from under its rule to the next ruled title."""
    text = inspect.getdoc(function) or ""
    ruled = rf"^{title}\n-{{{len(title)}}}\n(.*?)(?=^\S[^\n]*\n-{{4,}}$|\Z)"
    found = re.search(ruled, text, re.DOTALL | re.MULTILINE)
    return found[1] if found else ""


def _parameter(function, name):
    found = re.search(rf"^{name}\n((?:    .*\n?)+)", _section(function, "Parameters"), re.MULTILINE)
    return found[1] if found else ""


def test_there_are_calculations_to_check():
    assert len(FUNCTIONS) > 15


def test_sections_are_there():
    for function in FUNCTIONS:
        assert [title for title in SECTIONS if not _section(function, title).strip()] == [], function


def test_every_parameter_is_named_and_every_number_has_its_unit():
    for function in FUNCTIONS:
        parameters = inspect.signature(function).parameters.values()
        assert [p.name for p in parameters if not _parameter(function, p.name)] == [], function
        numbers = [p.name for p in parameters if NUMBER.search(str(p.annotation))]
        assert [name for name in numbers if not UNIT.search(_parameter(function, name))] == [], function


def test_a_returned_number_has_its_unit():
    giving = [f for f in FUNCTIONS if NUMBER.search(str(inspect.signature(f).return_annotation))]
    assert [function for function in giving if not UNIT.search(_section(function, "Returns"))] == []


def test_an_example_runs_and_a_source_is_cited():
    for function in FUNCTIONS:
        assert ">>> " in _section(function, "Examples"), function
        assert ".. [1] " in _section(function, "References"), function
