"""Templates in another language than they are written in: nothing is marked by hand, each passage is by its place.

A template is cut where its Jinja is: what stands in one line between two tags is a passage, with the values in it as
places, `%(name)s` after what is printed there. So is a text in quotes that is printed, and the title of a row. A
catalogue says the passage in its language, the places stay what they were, and the whole is compiled as English is.
What frames a passage is no part of it: signs of headings, lists and cells, blanks, a comma in front of more.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from itertools import count
from typing import Any

from jinja2 import nodes
from jinja2.sandbox import ImmutableSandboxedEnvironment

__all__ = ["Say", "SpokenEnvironment", "passages_of", "said"]

Say = Callable[[str], str]

_FRAME = re.compile(r"\s+|!!! \w+|#+ |- |\d+\. |\||[,;:.)]+(?=\s|$)")  # one piece of what stands in front
_BEHIND = " \t\n|"
_ANCHOR = "{#"  # of a heading, to the end of its line
_PLACE = re.compile(r"%\((\w+)\)s")
_WORD = re.compile(r"[^\W\d_]{2}|\b[aA]\b")
_CLASS = re.compile(r"\s*\.\w+\Z")  # of a heading, in its braces
_TITLES = ("name",)  # what a function prints of what it is given by name


class SpokenEnvironment(ImmutableSandboxedEnvironment):
    """An environment whose templates are said in a language; `own`: names of those that stay as they were written."""

    def __init__(self, say: Say | None, own: Iterable[str] = (), **options: Any) -> None:
        super().__init__(**options)
        self._say = say
        self._as_written = frozenset(own)

    def _parse(self, source: str, name: str | None, filename: str | None) -> nodes.Template:
        tree = super()._parse(source, name, filename)
        if self._say is not None and name not in self._as_written:
            said(tree, self._say)
        return tree


def passages_of(tree: nodes.Template) -> Iterator[tuple[str, int]]:
    """Yield every passage of a template, with its line; the tree is no longer of use."""
    found: list[tuple[str, int]] = []
    line = tree.lineno

    def noted(passage: str) -> str:
        found.append((passage, line))
        return passage

    for node in list(_speaking(tree)):
        line = node.lineno
        _say_at(node, noted)
    yield from found


def said(tree: nodes.Template, say: Say) -> None:
    """Put every passage of a template as a language says it in its place."""
    for node in list(_speaking(tree)):
        _say_at(node, say)
    tree.set_lineno(tree.lineno)
    if tree.environment is not None:
        tree.set_environment(tree.environment)


def _speaking(tree: nodes.Node) -> Iterator[nodes.Node]:
    return tree.find_all((nodes.Output, nodes.Assign, nodes.Call))


def _say_at(node: nodes.Node, say: Say) -> None:
    match node:
        case nodes.Output():
            node.nodes = list(_of_output(node.nodes, say))
        case nodes.Assign():
            node.node = _printed(node.node, say)
        case nodes.Call():
            for given in node.kwargs:
                if given.key in _TITLES:
                    given.value = _printed(given.value, say)


def _of_output(parts: list[nodes.Expr], say: Say) -> Iterator[nodes.Expr]:
    """Yield what is printed between two tags, line by line."""
    line: list[nodes.Expr] = []
    for part in parts:
        if not isinstance(part, nodes.TemplateData):
            line.append(_printed(part, say))
            continue
        for piece in re.split(r"(\n|\|)", part.data):  # a cell ends like a line does
            if piece in ("\n", "|"):
                yield from _of_line(line, say)
                yield nodes.TemplateData(piece)
                line = []
            elif piece:
                line.append(nodes.TemplateData(piece))
    yield from _of_line(line, say)


def _of_line(line: list[nodes.Expr], say: Say) -> Iterator[nodes.Expr]:
    """Yield a line in a language, what frames it as it was."""
    words, behind = _before_anchor(line)
    for part in _said_parts(words, say):
        yield nodes.TemplateData(part) if isinstance(part, str) else part
    yield from behind


def _before_anchor(line: list[nodes.Expr]) -> tuple[list[nodes.Expr], list[nodes.Expr]]:
    """Return what a line says, and the anchor of a heading that ends it."""
    for at, part in enumerate(line):
        if isinstance(part, nodes.TemplateData) and _ANCHOR in part.data:
            words, _, anchor = part.data.partition(_ANCHOR)
            return [*line[:at], nodes.TemplateData(words)], [nodes.TemplateData(_ANCHOR + anchor), *line[at + 1 :]]
    return line, []


def _said_parts(parts: list[nodes.Expr], say: Say) -> Iterator[nodes.Expr | str]:
    """Yield texts and values as the language puts them; as they were where no text holds a word."""
    texts = [_text_of(part) for part in parts]
    values: dict[str, nodes.Expr] = {}
    message = "".join(_place(part, values) if text is None else text for part, text in zip(parts, texts, strict=True))
    start, end = _behind_frames(message), len(message.rstrip(_BEHIND))
    if not _WORD.search(_PLACE.sub("", message[start:end])) or _CLASS.match(message):
        yield from (part if text is None else text for part, text in zip(parts, texts, strict=True))
        return
    yield message[:start]
    for n, piece in enumerate(_PLACE.split(say(message[start:end]))):
        if n % 2:
            yield values[piece]
        elif piece:
            yield piece
    yield message[end:]


def _behind_frames(message: str) -> int:
    """Return where a passage begins behind what frames it."""
    start = 0
    while found := _FRAME.match(message, start):
        start = found.end()
    return start


def _text_of(part: nodes.Expr) -> str | None:
    match part:
        case nodes.TemplateData(data=str(text)) | nodes.Const(value=str(text)):
            return text
    return None


def _place(value: nodes.Expr, values: dict[str, nodes.Expr]) -> str:
    """Return the place of a value in a passage: its own name, or with a number where another value has that."""
    name = re.sub(r"\W+", "_", _name_of(value)) or "value"
    names = (name if n == 1 else f"{name}{n}" for n in count(1))
    free = next(one for one in names if values.get(one, value) == value)
    values[free] = value
    return f"%({free})s"


def _name_of(value: nodes.Node | None) -> str:
    """Return what a value is called: the last of its names."""
    match value:
        case nodes.Name(name=str(name)) | nodes.Getattr(attr=str(name)) | nodes.Const(value=str(name)):
            return name
        case nodes.Getitem(node=nodes.Name(name=str(name)), arg=nodes.Const(value=str(key))):
            return f"{name}_{key}"
        case nodes.Getitem(arg=arg):
            return _name_of(arg)
        case nodes.Call(args=[first, *_]):
            return _name_of(first)
        case nodes.List(items=[first, *_]):
            return _name_of(first)
        case nodes.CondExpr(test=inner) | nodes.Filter(node=inner) | nodes.Not(node=inner) | nodes.Call(node=inner):
            return _name_of(inner)
        case nodes.Compare(expr=inner):
            return _name_of(inner)
        case nodes.Or(left=inner) | nodes.And(left=inner):
            return _name_of(inner)
    return "value"


def _printed(value: Any, say: Say) -> Any:
    """Return what is printed with its texts in a language; names, and what is compared with, stay as they are."""
    match value:
        case nodes.Const(value=str()):
            return nodes.Const("".join(map(str, _said_parts([value], say))))
        case nodes.Concat():
            made = _said_parts([_printed(part, say) if _text_of(part) is None else part for part in value.nodes], say)
            return nodes.Concat([nodes.Const(part) if isinstance(part, str) else part for part in made])
        case nodes.CondExpr():
            value.expr1 = _printed(value.expr1, say)
            value.expr2 = _printed(value.expr2, say) if value.expr2 is not None else None
        case nodes.Filter():
            value.node = _printed(value.node, say)
        case nodes.List():
            value.items = [_printed(item, say) for item in value.items]
        case nodes.Getitem(node=nodes.Dict() as choices):
            for pair in choices.items:
                pair.value = _printed(pair.value, say)
    return value
