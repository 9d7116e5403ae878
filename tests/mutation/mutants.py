"""Small faults to seed into a module: each changes one comparison, number, sign, condition or call.

A mutant is named by its file, function and change, so that a list of survivors can be read, and stays true when
lines move.
"""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

__all__ = ["Mutant", "mutants_of", "seeded"]

_COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
_ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Div,
    ast.Mod: ast.Mult, ast.Pow: ast.Mult,
}  # fmt: skip
_NAMES = {"min": "max", "max": "min", "any": "all", "all": "any"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """One fault; `number` is its place among those of its file."""

    file: Path
    number: int
    function: str  # "" at the top of the module
    before: str
    after: str

    def __str__(self) -> str:
        place = f"{self.file.as_posix()}, {self.function or 'top of the module'}"
        return f"{place}: `{self.before}` to `{self.after}`"


@dataclass(frozen=True, slots=True)
class _Fault:
    """A change of a node that is not made yet, and the part of the tree to print before and after it."""

    node: ast.AST
    shown: ast.AST
    function: str
    change: Callable[[], None]


def mutants_of(file: Path) -> list[Mutant]:
    """Return every fault that can be seeded into a file, in its order."""
    found = []
    for number, fault in enumerate(_faults(ast.parse(file.read_text(encoding="utf-8")))):
        before, sound = _words(fault.shown), _fields(fault.node)
        fault.change()
        found.append(Mutant(file, number, fault.function, before, _words(fault.shown)))
        vars(fault.node).update(sound)
    return found


def _fields(node: ast.AST) -> dict[str, object]:
    return {name: list(value) if isinstance(value, list) else value for name, value in vars(node).items()}


def seeded(mutant: Mutant) -> ast.Module:
    """Return the module with the fault in it."""
    tree = ast.parse(mutant.file.read_text(encoding="utf-8"))
    _fault(tree, mutant.number).change()
    return ast.fix_missing_locations(tree)


def _fault(tree: ast.Module, number: int) -> _Fault:
    return next(fault for at, fault in enumerate(_faults(tree)) if at == number)


def _words(node: ast.AST) -> str:
    words = " ".join(ast.unparse(ast.fix_missing_locations(node)).split())
    return words.partition(": ")[0] if isinstance(node, ast.If | ast.While | ast.FunctionDef) else words


def _faults(node: ast.AST, function: str = "", around: ast.AST | None = None) -> Iterator[_Fault]:
    """Yield the faults of a node and of all below it. Words, types and decorators are left alone."""
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        function = f"{function}.{node.name}" if function else node.name
    for change in _changes(node):
        shown = around if isinstance(node, ast.Constant) and isinstance(around, ast.expr | ast.stmt) else node
        yield _Fault(node, shown, function, change)
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "exc", "type_params"):
            continue
        for inner in value if isinstance(value, list) else [value]:
            if isinstance(inner, ast.AST) and not isinstance(inner, ast.JoinedStr) and not _is_export(inner):
                yield from _faults(inner, function, node)


def _is_export(node: ast.AST) -> bool:
    return isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__"


def _changes(node: ast.AST) -> Iterator[Callable[[], None]]:
    match node:
        case ast.Compare(ops=ops):
            for at, operator in enumerate(ops):
                other = _COMPARISONS[type(operator)]
                yield lambda at=at, other=other: node.ops.__setitem__(at, other())
        case ast.BinOp(op=operator) if type(operator) in _ARITHMETIC and not _is_text(node):
            yield lambda: setattr(node, "op", _ARITHMETIC[type(operator)]())
        case ast.AugAssign(value=value) if not _is_text(node):  # times nothing: as if the line were not there
            yield lambda: setattr(node, "value", ast.BinOp(value, ast.Mult(), ast.Constant(0)))
        case ast.BoolOp(op=operator, values=values):
            yield lambda: setattr(node, "op", ast.Or() if isinstance(operator, ast.And) else ast.And())
            for at in range(len(values)):  # without one of them: its neighbour stands in its place too
                yield lambda at=at: node.values.__setitem__(at, node.values[at - 1])
        case ast.UnaryOp(op=ast.Not(), operand=operand):
            yield lambda: setattr(node, "operand", ast.UnaryOp(ast.Not(), operand))
        case ast.UnaryOp(op=ast.USub()):
            yield lambda: setattr(node, "op", ast.UAdd())
        case ast.If(test=test) | ast.IfExp(test=test) | ast.While(test=test) if _is_bare(test):
            yield lambda: setattr(node, "test", ast.UnaryOp(ast.Not(), test))
        case ast.comprehension(ifs=ifs) if ifs:
            for at in range(len(ifs)):
                yield lambda at=at: node.ifs.pop(at)
        case ast.Constant(value=bool(value)):
            yield lambda: setattr(node, "value", not value)
        case ast.Constant(value=int(value) | float(value)):
            yield lambda: setattr(node, "value", value + 1 if isinstance(value, int) or value < 10 else value * 1.1)
        case ast.Call(func=ast.Name(id=name)) if name in _NAMES:
            yield lambda: setattr(node, "func", ast.Name(_NAMES[name], ast.Load()))
        case ast.Expr(value=ast.Call()):
            yield lambda: setattr(node, "value", ast.Constant(None))


def _is_bare(test: ast.expr) -> bool:
    """Return whether a condition has no comparison or connective that is changed by itself."""
    return not isinstance(test, ast.Compare | ast.BoolOp | ast.UnaryOp)


def _is_text(node: ast.BinOp | ast.AugAssign) -> bool:
    parts = [node.left, node.right] if isinstance(node, ast.BinOp) else [node.value]
    return any(isinstance(part, ast.JoinedStr) or isinstance(getattr(part, "value", None), str) for part in parts)
