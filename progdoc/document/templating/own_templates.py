"""A firm's own templates, held to what ours need: no Python, no files, no arithmetic, and an end in sight.

What may stand in a template is a closed list, checked before it is compiled, so that nothing has to be guarded
against that can't be written. What may grow, repetition and text, is counted while it runs, and the counting is the
same on every machine: no clock is asked.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from jinja2 import Undefined, nodes
from jinja2.exceptions import TemplateRuntimeError, TemplateSyntaxError

from progdoc.document.templating.said_templates import Say, SpokenEnvironment

__all__ = ["MOST_TEMPLATE_BYTES", "OwnEnvironment"]

MOST_TEMPLATE_BYTES = 200_000
_MOST_STEPS = 5_000_000  # parts of a template that are worked out, each time they are
_MOST_LETTERS = 1_000_000  # that are printed or handed to a function
_MOST_BRACKETS, _MOST_TOGETHER = 2000, 100  # `[` in all and in one paragraph: reading them takes ever longer
_STEPS_OF_A_CALL = 250  # a function of ours does more than a part of a template

_PLAIN = (
    nodes.Template, nodes.Output, nodes.TemplateData, nodes.Name, nodes.Const, nodes.Getattr, nodes.Getitem,
    nodes.Call, nodes.CallBlock, nodes.Keyword, nodes.If, nodes.CondExpr, nodes.For, nodes.Macro, nodes.Assign,
    nodes.Include, nodes.Compare, nodes.Operand, nodes.And, nodes.Or, nodes.Not, nodes.Concat, nodes.List, nodes.Dict,
    nodes.Pair, nodes.Filter, nodes.Test,
)  # fmt: skip
_REPEATED = nodes.Template | nodes.For | nodes.Macro | nodes.CallBlock
_FILTERS = ("capitalize", "list", "selectattr", "rejectattr", "reject", "length")
_TESTS = ("none", "defined")
_IN_A_LIST = (nodes.Const, nodes.Getattr, nodes.Call, nodes.Concat, nodes.CondExpr)  # never a list in a list
_MARK = re.compile("[\ue000-\uf8ff]")
_NOT_TYPED = "it holds signs that no keyboard types and that progdoc keeps for itself"
_ADDRESS_LINE = re.compile(r"^ {0,3}\[(?:[^\[\]\\]|\\.)*\]:", re.MULTILINE)  # Markdown prints nothing of it
_NOT_IN_TEXT = (
    (_MARK, _NOT_TYPED),
    (_ADDRESS_LINE, "the address of a link stands right behind its words: [words](https://…)"),
)


class OwnEnvironment(SpokenEnvironment):
    """The environment of ours and of the firm's templates together; only the firm's are held and counted."""

    def __init__(
        self, own: frozenset[str], printable: Callable[[Any], Any], say: Say | None = None, **options: Any
    ) -> None:
        super().__init__(say, own, finalize=self._printed, **options)
        self.globals.clear()  # no `range`, no `lipsum`: whatever repeats runs over what is described
        self._own = own
        self._printable = printable
        self._steps = self._letters = 0

    def begin(self) -> None:
        """Count from nothing again, for the next template."""
        self._steps = self._letters = 0

    def counted(self, context: Mapping[str, Any]) -> dict[str, Any]:
        """Return the context with every function counted, and what it is handed."""
        return {name: self._called(value) if callable(value) else value for name, value in context.items()}

    def tick(self, steps: int, letters: int) -> str:
        """Count one more run through a part of a template."""
        self._steps += steps
        self._letters += letters
        if self._steps > _MOST_STEPS:
            raise TemplateRuntimeError("it goes on without end, or repeats far more than a program can need")
        if self._letters > _MOST_LETTERS:
            raise TemplateRuntimeError(f"it writes more than {_MOST_LETTERS:,} letters")
        return ""

    def joined(self, parts: list[Any]) -> str:
        """Return texts one behind the other: what `~` means in a firm's template."""
        text = "".join(map(self._text, parts))
        self.tick(1, len(text))
        return text

    @staticmethod
    def hold(text: str) -> str:
        """Return a text that is about to be read as Markdown; refuse one that would take without end to be read."""
        together = max(part.count("[") for part in text.split("\n\n"))
        if together > _MOST_TOGETHER or text.count("[") > _MOST_BRACKETS:
            raise TemplateRuntimeError(f"it opens more than {_MOST_TOGETHER} brackets `[` in one paragraph")
        return text

    def _called(self, function: Callable[..., Any]) -> Callable[..., Any]:
        def call(*given: Any, **named: Any) -> Any:
            handed = [*given, *(value for name, value in named.items() if name != "caller")]
            texts = [part for value in handed for part in (value if isinstance(value, list) else [value])]
            self.tick(_STEPS_OF_A_CALL + len(texts), sum(len(text) for text in texts if isinstance(text, str)))
            return function(*given, **named)

        return call

    def _printed(self, value: Any) -> str:
        text = self._text(value)
        self.tick(1, len(text))
        return text

    def _text(self, value: Any) -> str:
        shown = self._printable(value)
        if isinstance(shown, Undefined):
            return str(shown)  # which raises, and says what is not there
        if not isinstance(shown, str | int):
            raise TemplateRuntimeError("prints a list, a group or a function: name the one value that is meant")
        return str(shown)

    def _parse(self, source: str, name: str | None, filename: str | None) -> nodes.Template:
        tree = super()._parse(source, name, filename)
        if name in self._own:
            for line, why in _refused(tree):
                raise TemplateSyntaxError(why, line, name, filename)
            _count_in(tree)
        return tree


def _refused(tree: nodes.Template) -> Iterator[tuple[int, str]]:
    """Yield what a firm's template may not hold, with its line."""
    for node in _all(tree):
        if why := _why_not(node):
            yield node.lineno, why
        text = node.data if isinstance(node, nodes.TemplateData) else ""
        for pattern, why in _NOT_IN_TEXT:
            if found := pattern.search(text):
                yield node.lineno + text[: found.start()].count("\n"), why


def _all(node: nodes.Node) -> Iterator[nodes.Node]:
    left = [node]
    while left:
        found = left.pop()
        yield found
        left += found.iter_child_nodes()


def _why_not(node: nodes.Node) -> str:
    """Return why a part may not stand in a firm's template; nothing where it may."""
    match node:
        case nodes.Getattr(attr=str(name)) | nodes.Getitem(arg=nodes.Const(value=str(name))) if name.startswith("_"):
            return f"`{name}` leads out of what is described: a template may not go there"
        case nodes.Call(node=called) if not isinstance(called, nodes.Name):
            return "a template calls the functions of DEVELOPERS.md by their names, and no other"
        case nodes.Call() if node.dyn_args or node.dyn_kwargs:
            return "`*` in front of what a function is given has no use in a template"
        case nodes.Include() if not isinstance(node.template, nodes.Const) or node.ignore_missing:
            return '`include` takes one name in quotes, such as "procedures/appendix_b2.md.j2"'
        case nodes.Include(template=nodes.Const(value=name)) if not _stays_inside(name):
            return f"`include` stays among the templates: {name!r} leads out of them"
        case nodes.For() if node.recursive:
            return "`recursive` has no use in a template"
        case nodes.Filter() if node.name not in _FILTERS:
            return f"the filter `{node.name}` is not known here; known: {', '.join(_FILTERS)}"
        case nodes.Test() if node.name not in _TESTS:
            return f"the test `{node.name}` is not known here; known: {', '.join(_TESTS)}"
        case nodes.List() if not all(isinstance(item, _IN_A_LIST) for item in node.items):
            return "a list holds single values, no other lists"
        case nodes.Dict() if not all(isinstance(pair.value, nodes.Const) for pair in node.items):
            return "a group in braces holds plain texts only"
        case nodes.Const(value=str(text)) if _MARK.search(text):
            return _NOT_TYPED
        case _ if type(node) not in _PLAIN:
            return f"a template has no use for this ({type(node).__name__.lower()}): no arithmetic, no import, no block"
    return ""


def _stays_inside(name: object) -> bool:
    return isinstance(name, str) and all(part not in ("", ".", "..") for part in name.split("/")) and "\\" not in name


def _count_in(tree: nodes.Template) -> None:
    """Let every part that may run many times count its own size each time it does; and joined texts be counted."""
    for node in [node for node in _all(tree) if isinstance(node, _REPEATED)]:
        inside = list(_all(node))
        letters = sum(len(part.data) for part in inside if isinstance(part, nodes.TemplateData))
        sizes: list[nodes.Expr] = [nodes.Const(len(inside)), nodes.Const(letters)]
        node.body.insert(0, nodes.Output([_ours("tick", sizes)], lineno=node.lineno))
    _with_joined(tree)
    tree.set_lineno(tree.lineno)


def _ours(name: str, given: list[nodes.Expr]) -> nodes.Call:
    return nodes.Call(nodes.EnvironmentAttribute(name), given, [], None, None)


def _with_joined(node: nodes.Node) -> None:
    """Put our own joining of texts in the place of Jinja's, everywhere below a node."""
    for field, value in node.iter_fields():
        if isinstance(value, nodes.Concat):
            setattr(node, field, _joined(value))
        elif isinstance(value, list):
            value[:] = [_joined(item) if isinstance(item, nodes.Concat) else item for item in value]
    for child in node.iter_child_nodes():
        _with_joined(child)


def _joined(node: nodes.Concat) -> nodes.Call:
    return _ours("joined", [nodes.List(list(node.nodes), lineno=node.lineno)])
