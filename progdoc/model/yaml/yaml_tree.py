"""One file's text to a tree of plain texts, each with its line and column.

The tree grows from the parser's events, not from its ready-made nodes: nothing recurses, nothing is
typed, and the limits on depth, number and length bind before memory does. Scalars stay text; only an
empty one, `~` and `null` are no value.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import field
from typing import Any

import yaml
from yaml.events import (
    AliasEvent,
    CollectionEndEvent,
    DocumentStartEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceStartEvent,
)

from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said, said_number
from progdoc.model.yaml.yaml_faults import fault
from progdoc.model.yaml.yaml_syntax import Opened, is_private, shown, syntax_fault
from progdoc.model.yaml.yaml_text import is_printable

__all__ = ["MOST_VALUES", "Content", "Node", "Tree", "dotted", "read_tree"]

MOST_LEVELS = 40
MOST_CHARACTERS = 20_000
MOST_VALUES = 500_000
MOST_FAULTS = 100
LONGEST_NAME = 200
_SHORT = 40  # characters of a text that may stand elsewhere, too
_COLUMNS = tuple(range(1000))

# The C parser is ten times faster; where PyYAML was built without it, the other one does.
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

_PLAIN_NAME = re.compile(r"[^\s.\[\]\"]+(?: [^\s.\[\]\"]+)*")
_GLUED = re.compile(r"[a-z][a-z0-9_-]*:(?!//)\S")


@dataclass(slots=True)
class Node:
    """A value, where it stands, and where its name stands."""

    content: Content
    line: int
    column: int
    key_line: int
    key_column: int
    file: str = ""  # where it is another than that of what it stands in

    def part(self, name: str | int) -> Node | None:
        """Return what stands here under a name, or in a list at a place."""
        content = self.content
        if isinstance(name, str):
            return content.get(name) if isinstance(content, dict) else None
        return content[name] if isinstance(content, list) and name < len(content) else None


Content = dict[str, Node] | list[Node] | str | None


@dataclass(slots=True)
class Tree:
    """What one file says, as far as it could be read."""

    top: dict[str, Node] = field(default_factory=dict)
    diagnostics: list[Diagnostic] = field(default_factory=list)
    is_complete: bool = True
    values: int = 0


def dotted(parts: Sequence[str | int]) -> str:
    """Return a path in the form that diagnostics print.

    >>> dotted(["people", 2, "fit_tests", 0, "date"]), dotted(["limits", "U.S."])
    ('people[2].fit_tests[0].date', 'limits."U.S."')
    """
    path = ""
    for part in parts:
        if isinstance(part, int):
            path += f"[{part}]"
        else:
            path += ("." if path else "") + dotted_name(part)
    return path


def dotted_name(name: str) -> str:
    """Return one name of a path, quoted where its own dots or brackets would mislead."""
    return name if _PLAIN_NAME.fullmatch(name) else json.dumps(name, ensure_ascii=False)


def read_tree(text: str, file: str, most_values: int = MOST_VALUES, before: int = 0) -> Tree:
    """Read one file; stop at the first place where it is not YAML, with all faults up to there.

    Of the values that may be read, so many were read before this file.
    """
    growth = _Growth(text, file, most_values, before)
    try:
        for event in yaml.parse(text, Loader=_LOADER):
            if not growth.takes(event):
                growth.tree.is_complete = False
                break
    except yaml.YAMLError as error:
        growth.stop(syntax_fault(error, text, file, growth.quoted()))
        growth.tree.is_complete = False
    return growth.finished()


@dataclass(slots=True)
class _Open:
    """A mapping or list that is still being read."""

    content: dict[str, Node] | list[Node]
    in_brackets: bool
    is_refused: bool = False  # it stands where a name belongs, which has been reported
    name: str | None = None  # in a mapping: the name last read; None if it was no name
    awaits_value: bool = False
    keeps: bool = True  # false where the name was refused, so its value goes nowhere
    name_line: int = 0
    name_column: int = 0


class _Growth:
    """The state of one file's reading: open collections, faults, and what was found."""

    def __init__(self, text: str, file: str, most_values: int, before: int) -> None:
        self.text, self.file, self.most_values, self.values_left = text, file, most_values, most_values - before
        self.has_question_mark = "?" in text
        self.tree = Tree()
        self.open: list[_Open] = []
        self.last_quoted: Any = None
        self.documents = 0
        self.root: Node | None = None
        self.texts: dict[str, str] = {}  # of a thousand people most say the same: each text is kept once
        self.line = 0  # the last one, which the values in it share

    def takes(self, event: Any) -> bool:
        """Take the next event; say whether reading may go on."""
        if isinstance(event, ScalarEvent):
            self._scalar(event)
        elif isinstance(event, (MappingStartEvent, SequenceStartEvent)):
            self._collection(event)
            if len(self.open) > MOST_LEVELS:
                self._report("YAML-048", event, f"this is nested over {MOST_LEVELS} levels deep")
                return False
        elif isinstance(event, CollectionEndEvent):
            self.open.pop()
            return True
        elif isinstance(event, AliasEvent):
            self._report("YAML-042", event, f"{self._source(event)} is an alias", attach=True)
        elif isinstance(event, DocumentStartEvent):
            self.documents += 1
            if self.documents > 1:
                self._report("YAML-046", event, "a second document starts on this line")
                return False
            return True
        else:
            return True
        self.tree.values += 1
        if self.tree.values > self.values_left:
            self._report("YAML-050", event, f"there are over {self.most_values:,} values to read")
            return False
        return True

    def quoted(self) -> Opened | None:
        """Return the last quoted text that was read whole."""
        if self.last_quoted is None:
            return None
        start, end = self.last_quoted.start_mark, self.last_quoted.end_mark
        return Opened(self.last_quoted.style, start.line + 1, start.column + 1, end.line + 1, end.column + 1)

    def stop(self, last: Diagnostic) -> None:
        """Add the fault at which reading ends, unless a better word for the same slip stands already."""
        found = self.tree.diagnostics
        if found and (found[-1].code, found[-1].location.line) == (last.code, last.location.line):
            found.pop()
        found.append(last)

    def finished(self) -> Tree:
        tree = self.tree
        root = self.root
        if root is not None and isinstance(root.content, dict):
            tree.top = root.content
        elif tree.is_complete:
            tree.is_complete = False
            if root is None or root.content is None:
                tree.diagnostics.append(fault("YAML-006", Location(self.file, 0, 0), said("the file holds no entries")))
            else:
                tree.diagnostics.append(self._no_names(root))
        if len(tree.diagnostics) > MOST_FAULTS:
            left_out = len(tree.diagnostics) - MOST_FAULTS
            tree.diagnostics[MOST_FAULTS:] = [
                fault(
                    "YAML-051",
                    Location(self.file, 0, 0),
                    said("%(n)s more faults of this file are not listed", n=left_out),
                )
            ]
        return tree

    def _no_names(self, root: Node) -> Diagnostic:
        where = Location(self.file, root.line, root.column)
        if isinstance(root.content, list):
            return fault("YAML-047", where, said("the file begins with a list that has no name"))
        text = root.content if isinstance(root.content, str) else ""
        if _GLUED.match(text):
            return fault("YAML-022", where, said("%(shown)s has no space after its colon", shown=shown(text)))
        return fault("YAML-047", where, said("the file holds only the text %(shown)s", shown=shown(text)))

    def _scalar(self, event: Any) -> None:
        value = event.value
        if event.anchor is not None or event.tag is not None:
            self._properties(event)
        if event.style:
            self.last_quoted = event
        parent = self.open[-1] if self.open else None
        if parent is not None and type(parent.content) is dict and not parent.awaits_value:
            self._name(parent, event)
            return
        if len(value) <= _SHORT:
            value = self.texts.setdefault(value, value)
        content = None if not event.style and value in ("", "~", "null") else value
        self._attach(content, event.start_mark)
        if len(value) > MOST_CHARACTERS:
            self._report(
                "YAML-049", event, said("this text is %(count)s characters long", count=said_number(f"{len(value):,}"))
            )
        if event.style == '"' and not is_printable(value):
            self._report("YAML-012", event, said("this text holds a control character, written as a backslash code"))
        elif not event.style:
            self._plain(event, parent)

    def _plain(self, event: Any, parent: _Open | None) -> None:
        """Refuse plain texts that would be read as something else than what was typed."""
        start, end, value = event.start_mark, event.end_mark, event.value
        if self.text.startswith("#", end.index + 1) and self.text[end.index + 2 : end.index + 3].isdigit():
            self._report(
                "YAML-033",
                event,
                said("the text is cut off before %(shown)s", shown=self._line_rest(end.index + 1)),
                mark=end,
            )
        if value.startswith("-") and start.line < end.line and re.fullmatch(r"-\S+(?: -\S+)* ?", value):
            self._report("YAML-032", event, said("%(shown)s is read as one text", shown=self._shown(value)))
        if parent and not parent.in_brackets and start.line + 1 > parent.name_line > 0 and _GLUED.match(value):
            self._report("YAML-022", event, said("%(shown)s has no space after its colon", shown=self._shown(value)))

    def _collection(self, event: Any) -> None:
        if event.anchor is not None or event.tag is not None:
            self._properties(event)
        parent = self.open[-1] if self.open else None
        content: dict[str, Node] | list[Node] = {} if isinstance(event, MappingStartEvent) else []
        if parent is not None and type(parent.content) is dict and not parent.awaits_value:
            parent.name, parent.keeps, parent.awaits_value = None, False, True
            if not parent.is_refused:
                self._report("YAML-045", event, said("a list or a group stands where a name belongs"))
            self.open.append(_Open(content, bool(event.flow_style), is_refused=True))
            return
        self._attach(content, event.start_mark)
        is_refused = parent is not None and parent.is_refused
        self.open.append(_Open(content, bool(event.flow_style), is_refused=is_refused))

    def _attach(self, content: Content, mark: Any) -> None:
        line, column = self._place(mark)
        if not self.open:
            self.root = Node(content, line, column, line, column)
            return
        parent = self.open[-1]
        if isinstance(parent.content, list):
            parent.content.append(Node(content, line, column, line, column))
            return
        parent.awaits_value = False
        if parent.keeps and parent.name is not None:
            parent.content[parent.name] = Node(content, line, column, parent.name_line, parent.name_column)

    def _place(self, mark: Any) -> tuple[int, int]:
        """Return line and column: numbers that many places have are kept once."""
        if mark.line + 1 != self.line:
            self.line = mark.line + 1
        column = mark.column + 1
        return self.line, _COLUMNS[column] if column < len(_COLUMNS) else column

    def _name(self, parent: _Open, event: Any) -> None:
        """Take a text as the name of the value that follows it."""
        names = parent.content
        mark, name = event.start_mark, self.texts.setdefault(event.value, event.value)
        parent.awaits_value, parent.keeps = True, True
        parent.name, (parent.name_line, parent.name_column) = name, self._place(mark)
        first = names.get(name) if isinstance(names, dict) else None
        if first is not None:
            parent.keeps = False
            self._report(
                "YAML-040",
                event,
                said("%(shown)s stands here and on line %(line)s", shown=self._shown(name), line=first.key_line),
            )
        elif not event.style and name == "<<":
            parent.keeps = False
            self._report("YAML-043", event, said("`<<` stands where a name belongs"))
        elif not name.strip() or (not event.style and name in ("~", "null")):
            parent.keeps = False
            self._report("YAML-045", event, said("no name stands before this colon"))
        elif len(name) > LONGEST_NAME or mark.line != event.end_mark.line or self._asked(mark):
            self._report(
                "YAML-045",
                event,
                said("%(shown)s is written as a name with `?` or over several lines", shown=self._shown(name)),
            )
        elif event.style == '"' and not is_printable(name):  # elsewhere such characters were replaced before parsing
            parent.keeps, parent.name = False, None
            self._report(
                "YAML-012", event, said("the name %(shown)s holds a control character", shown=self._shown(ascii(name)))
            )
        elif parent.in_brackets and not event.style and _GLUED.match(name):
            self._report("YAML-022", event, said("%(shown)s has no space after its colon", shown=self._shown(name)))

    def _asked(self, mark: Any) -> bool:
        if not self.has_question_mark:
            return False
        before = self.text[max(0, mark.index - mark.column) : mark.index].rstrip()
        return before.endswith("?") and (len(before) == 1 or before[-2] in " {,[")

    def _properties(self, event: Any) -> None:
        if event.anchor is not None:
            self._report("YAML-042", event, said("%(shown)s is an anchor", shown=self._shown(f"&{event.anchor}")))
        tag = getattr(event, "tag", None)
        if tag is not None:
            written = tag.replace("tag:yaml.org,2002:", "!!")
            self._report("YAML-044", event, said("%(shown)s is a tag", shown=self._shown(written)))

    def _report(self, code: str, event: Any, what: str, mark: Any = None, attach: bool = False) -> None:
        at = mark or event.start_mark
        if attach:
            parent = self.open[-1] if self.open else None
            if parent is not None and isinstance(parent.content, dict) and not parent.awaits_value:
                parent.name, parent.keeps, parent.awaits_value = None, False, True
            else:
                self._attach(None, at)
        parts = self._parts()
        if parts[:1] == ["people"]:  # a name inside the entry may tell of health, so the place ends with the person
            parts = parts[:2]
        elif "medical" in parts:
            parts = parts[: parts.index("medical") + 2]
        place = Location(self.file, at.line + 1, at.column + 1, dotted(parts))
        self.tree.diagnostics.append(fault(code, place, what))

    def _parts(self) -> list[str | int]:
        parts: list[str | int] = []
        for part in self.open:
            if isinstance(part.content, list):
                if part.content:
                    parts.append(len(part.content) - 1)
            elif part.name is not None:
                parts.append(part.name)
        return parts

    def _shown(self, text: str) -> str:
        return shown(text, is_private(part for part in self._parts() if isinstance(part, str)))

    def _source(self, event: Any) -> str:
        return self._shown(self.text[event.start_mark.index : event.end_mark.index])

    def _line_rest(self, index: int) -> str:
        return self._shown(self.text[index : index + 80].splitlines()[0])
