"""Every public calculation says what it takes, gives, refuses and rests on, in one form."""

import importlib
import inspect
import pkgutil
import re

import pytest

from progdoc import calc

SECTIONS = ("Parameters", "Returns", "Raises", "Examples", "References")
NUMBER = re.compile(r"\b(float|int)\b")
UNIT = re.compile(r"\[[^\]]+\](?!_)")  # "[1]_" is a reference


def _public_functions():
    names = sorted(info.name for info in pkgutil.iter_modules(calc.__path__) if not info.name.startswith("_"))
    modules = {name: importlib.import_module(f"progdoc.calc.{name}") for name in names}
    return [
        pytest.param(getattr(module, public), id=f"{name}.{public}")
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


@pytest.mark.parametrize("function", FUNCTIONS)
def test_sections_are_there(function):
    assert [title for title in SECTIONS if not _section(function, title).strip()] == []


@pytest.mark.parametrize("function", FUNCTIONS)
def test_every_parameter_is_named_and_every_number_has_its_unit(function):
    parameters = inspect.signature(function).parameters.values()
    assert [p.name for p in parameters if not _parameter(function, p.name)] == []
    numbers = [p.name for p in parameters if NUMBER.search(str(p.annotation))]
    assert [name for name in numbers if not UNIT.search(_parameter(function, name))] == []


@pytest.mark.parametrize("function", FUNCTIONS)
def test_a_returned_number_has_its_unit(function):
    if NUMBER.search(str(inspect.signature(function).return_annotation)):
        assert UNIT.search(_section(function, "Returns"))


@pytest.mark.parametrize("function", FUNCTIONS)
def test_an_example_runs_and_a_source_is_cited(function):
    assert ">>> " in _section(function, "Examples")
    assert ".. [1] " in _section(function, "References")
