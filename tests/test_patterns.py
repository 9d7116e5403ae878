"""No regular expression whose work grows faster than its text: a long text must not freeze any command.

Every expression in the package is found in its syntax tree, with the methods it is used by, and judged by its
structure (`regex_growth.py`). Those that are made of words are judged as they are made.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from importlib import import_module
from pathlib import Path

import pytest
from examples import TIMES
from regex_growth import growth
from source_trees import nodes_of

import progdoc
from progdoc.rules.lookup.clauses import word_pattern

ROOT = Path(progdoc.__file__).parent
FUNCTIONS = {"compile", "search", "match", "fullmatch", "sub", "subn", "split", "findall", "finditer"}
# Never given what grows: why, in words.
BOUNDED = {
    "comparison/told_changes.py:_PART": "paths of a description: names of ours, and ids, which hold no bracket",
    "document/templating/section_renderer.py:_REPEATED": "marks of ours, which are always closed",
    "document/tree/markdown_tree.py:_INLINE": "marks of ours, which are always closed",
    "model/yaml/yaml_reader.py:_STEP": "a path that the reader wrote: its quotes are closed, its names have a bound",
    "rules/snippet.py:_LINE": "the last part takes whatever a line can hold, so nothing is tried twice",
    "rules/snippet.py:_PAIR": "an example of ours, filled with ids",
    "writers/docx/pagination.py:_PIECE": "a piece ends at a dash or at the end of the word, whichever comes first",
    "writers/redline_html.py:_TITLE_LINES": "one list of a page of ours, which is closed",
}
MADE_OF_WORDS = 2500  # characters: longer lists are all at night


@pytest.mark.parametrize(
    ("pattern", "method", "expected"),
    [
        (r"(-\S+ ?)+", "fullmatch", "explosive"),
        (r"(a*)*b", "match", "explosive"),
        (r"(?:a|a)*b", "match", "explosive"),
        (r"(\w+\s?)*:", "search", "explosive"),
        (r"\s+end", "search", "square"),
        (r"\w+\s*\w+$", "match", "square"),
        (r"\d+ days", "sub", "square"),
        (r"<[^>]*>", "search", "square"),
        (r"\d+(?=\D*$)", "search", "square"),
        (r"\b\w+ days", "search", "linear"),
        (r"(?<!\d)\d+ days", "search", "linear"),
        (r"[ ]+", "search", "linear"),
        (r"[a-z0-9]+(?:-[a-z0-9]+)*", "fullmatch", "linear"),
        (r"-.*", "search", "linear"),
    ],
)
def test_the_growth_of_known_expressions_is_told(pattern: str, method: str, expected: str) -> None:
    """Each can be seen by hand: two ways round one loop, or a second loop that takes the signs of the first."""
    assert growth(pattern, method=method) == expected


def _escaped(node: ast.expr) -> bool:
    """Whether what is put into an expression is words that stand for themselves."""
    return "re.escape" in ast.unparse(node)


class _Module:
    def __init__(self, file: Path) -> None:
        self.name = file.relative_to(ROOT).as_posix()
        dotted = ".".join(("progdoc", *file.relative_to(ROOT).with_suffix("").parts))
        self.globals = vars(import_module(dotted.removesuffix(".__init__")))
        self.nodes = nodes_of(file)

    def uses(self, name: str) -> set[str]:
        """Return by which methods a name of the module is used."""
        return {
            node.attr
            for node in self.nodes
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == name
        } & FUNCTIONS

    def patterns(self) -> Iterator[tuple[str, str, int, set[str]]]:
        """Yield every expression: its name or line, its text, its flags and the methods it is used by."""
        named = {
            id(node.value): node.targets[0].id
            for node in self.nodes
            if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name)
        }
        makers: dict[int, ast.FunctionDef] = {}
        for function in self.nodes:
            if isinstance(function, ast.FunctionDef):
                makers |= {id(node): function for node in ast.walk(function)}
        for node in self.nodes:
            if not (isinstance(node, ast.Call) and _is_of_re(node.func)):
                continue
            method = node.func.attr
            methods = {method}
            if method == "compile":
                methods = self.uses(named[id(node)]) if id(node) in named else set()
            for text, flags in self._texts(node, makers.get(id(node))):
                yield named.get(id(node)) or str(node.lineno), text, flags, methods or {"search"}

    def _texts(self, call: ast.Call, maker: ast.FunctionDef | None) -> Iterator[tuple[str, int]]:
        given = [keyword.value for keyword in call.keywords if keyword.arg == "flags"]
        given += call.args[1:2] if call.func.attr == "compile" else []
        flags = int(self._value(given[0])) if given else 0
        written = call.args[0]
        try:
            yield self._value(written), flags
        except NameError:
            if maker is not None and not maker.args.args and "Pattern" in ast.unparse(maker.returns):
                made = self.globals[maker.name]()
                yield made.pattern, made.flags
                return
            if not isinstance(written, ast.JoinedStr):
                yield self._filled(written), flags
                return
            yield (
                "".join(p.value if isinstance(p, ast.Constant) else self._filled(p.value) for p in written.values),
                flags,
            )

    def _value(self, node: ast.expr) -> str:
        return eval(compile(ast.Expression(node), self.name, "eval"), self.globals)

    def _filled(self, node: ast.expr) -> str:
        if _escaped(node):
            return "word"
        place = self.name, ast.unparse(node)
        known = self.globals.get(place[1])
        assert place in FILLED or isinstance(known, str), place
        return FILLED.get(place) or known


def _is_of_re(node: ast.expr) -> bool:
    return (
        isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and node.value.id == "re"
        and node.attr in FUNCTIONS
    )


_MADE = word_pattern(["^a word$", "* after any", "any * between", "at the end.", "on *"])
# What stands where an expression is put together of other things than escaped words: one with all that can stand there.
FILLED: dict[tuple[str, str], str] = {
    ("comparison/moved_parts.py", "mark"): "\ue010",
    ("model/people_table/csv_text.py", "sign"): ";",
    ("rules/air/surveillance.py", "some"): r"\d+|one|an?|the",
    ("rules/air/surveillance.py", "shorter"): "day|shift|week|month",
    ("rules/lookup/clauses.py", "f\"(?<![\\\\w'{joint}])(?:{'|'.join(parts)})\" if parts else '(?!)'"): _MADE.pattern,
    ("rules/records/entry_checks.py", "found"): "a word|an other",
}


@cache
def _patterns() -> list[tuple[str, str, int, str]]:
    found = {}
    for file in sorted(ROOT.rglob("*.py")):
        if "dev" not in file.parts and "re." in file.read_text(encoding="utf-8") and file.name != "__main__.py":
            module = _Module(file)
            for name, text, flags, methods in module.patterns():
                for method in methods:
                    found[f"{module.name}:{name}", text, flags, method] = None
    return list(found)


def test_no_expression_of_ours_grows_faster_than_its_text() -> None:
    worse = [
        f"{where} {method}: {found}: {text[:80]}"
        for where, text, flags, method in _patterns()
        if where not in BOUNDED
        and (TIMES > 1 or len(text) <= MADE_OF_WORDS)
        and (found := growth(text, flags, method)) != "linear"
    ]
    assert len(_patterns()) > 150
    assert worse == []
    assert {where for where, *_ in _patterns()} >= BOUNDED.keys()
