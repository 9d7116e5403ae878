"""A parser's complaint to the fault a contractor made, at the place where he made it.

A parser stops where it can no longer go on, which is often a line or more after the mistake. The text
around that place tells the cases apart; the parser's own words are only a hint and never shown.
Text among the people is not repeated in a message.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

import yaml

from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said, said_join
from progdoc.model.yaml.yaml_faults import fault

__all__ = ["Opened", "is_private", "shown", "syntax_fault"]

_GLUED = re.compile(r"^[ ]*(?:- +)*[A-Za-z][\w-]*:(?=[^\s/])")
_NAMED = re.compile(r"^(?P<indent> *(?:- +)*)(?P<name>[\w-]+)\s*:(?:\s|$)")
_LINE_END = re.compile(r"\r\n|\r|\n")
_PRIVATE = {"people", "medical"}
_SIGNS = "%@`,]}|>*&!"


@dataclass(frozen=True, slots=True)
class Opened:
    """The last quoted text that was read whole: it may have swallowed more than it should."""

    quote: str
    line: int
    column: int
    end_line: int
    end_column: int


@dataclass(frozen=True, slots=True)
class _Complaint:
    """Where the parser stopped and what it said, beside the lines of the file. Lines and columns count from 1."""

    file: str
    lines: list[str]
    problem: str
    context: str
    line: int
    column: int
    context_line: int
    context_column: int
    quoted: Opened | None

    def text(self, line: int) -> str:
        return self.lines[line - 1] if 0 < line <= len(self.lines) else ""

    @property
    def sign(self) -> str:
        return self.text(self.line)[self.column - 1 : self.column]

    def opening(self) -> tuple[int, int]:
        """Return where the bracket stands that the parser speaks of; it may name the end of the file instead."""
        line, column = self.context_line, self.context_column
        if self.text(line)[column - 1 : column] in ("[", "{"):
            return line, column
        for number in range(min(line, len(self.lines)), 0, -1):
            found = max(self.text(number).rfind("["), self.text(number).rfind("{"))
            if found >= 0:
                return number, found + 1
        return min(line, len(self.lines)), 1

    def at(self, line: int, column: int) -> Location:
        return Location(self.file, line, column, ".".join(self.names(line)))

    def names(self, line: int) -> list[str]:
        """Return the names of the blocks that a line stands in, outermost first."""
        indent = _indent(self.text(line))
        found: list[str] = []
        for number in range(line - 1, max(0, line - 2000), -1):
            match = _NAMED.match(self.text(number))
            if match and len(match["indent"]) < indent:
                indent = len(match["indent"])
                found.insert(0, match["name"])
        return found

    def said(self, line: int, text: str) -> str:
        return shown(text, self.is_private(line))

    def is_private(self, line: int) -> bool:
        """Whether a line may tell of somebody's health, or name a worker."""
        return is_private([*self.names(line), *re.findall(r"[\w-]+", self.text(line)[:40])])


def is_private(names: Iterable[str]) -> bool:
    """Whether what stands below these names is never repeated."""
    return not _PRIVATE.isdisjoint(name.lower() for name in names)


def shown(text: str, private: bool = False) -> str:
    """Return a text as a message may quote it: short, on one line, and not at all if it may tell of health."""
    if private:
        return said("the text here (not repeated, it may tell of somebody's health)")
    flat = "".join(character if character.isprintable() else "\ufffd" for character in " ".join(text.split()))
    return f"`{flat if len(flat) <= 40 else flat[:37] + '…'}`"


def _in_quotes(value: str) -> str:
    return said('Put the whole value between double quotes: "%(value)s"', value=value)


def syntax_fault(error: yaml.YAMLError, text: str, file: str, quoted: Opened | None) -> Diagnostic:
    """Return the finding for the place where a file stops being YAML."""
    mark = getattr(error, "problem_mark", None)
    if mark is None:
        return fault("YAML-020", Location(file, 0, 0), said("the file cannot be read as YAML"))
    context = getattr(error, "context_mark", None) or mark
    complaint = _Complaint(
        file, _LINE_END.split(text), getattr(error, "problem", None) or "", getattr(error, "context", None) or "",
        mark.line + 1, mark.column + 1, context.line + 1, context.column + 1, quoted,
    )  # fmt: skip
    for judge in (
        _tab,
        _depth,
        _quote,
        _directive,
        _sign,
        _escape,
        _colon,
        _dash,
        _bracket,
        _stray,
        _indentation,
    ):
        found = judge(complaint)
        if found:
            return found
    return fault("YAML-020", complaint.at(complaint.line, complaint.column), _stopped(complaint))


def _stopped(at: _Complaint) -> str:
    rest = at.text(at.line)[at.column - 1 :].strip()
    if not rest:
        return said("reading stops at the end of this line")
    return said("reading stops before %(shown)s", shown=at.said(at.line, rest))


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip(" "))


def _tab(at: _Complaint) -> Diagnostic | None:
    for number in (at.line, at.line - 1):
        line = at.text(number)
        start = line[: len(line) - len(line.lstrip(" \t"))]
        if "\t" in start and ("quoted" not in at.context):
            return fault("YAML-025", at.at(number, start.index("\t") + 1), said("this line is indented with a tab"))
    if at.sign == "\t":
        return fault("YAML-025", at.at(at.line, at.column), said("a tab stands before the value"))
    return None


def _depth(at: _Complaint) -> Diagnostic | None:
    if "nesting depth" not in at.problem:
        return None
    return fault(
        "YAML-048", at.at(at.line, at.column), said("brackets or dashes are nested hundreds of levels deep here")
    )


def _quote(at: _Complaint) -> Diagnostic | None:
    if "quoted scalar" in at.context and ("end of stream" in at.problem or "document indicator" in at.problem):
        return fault(
            "YAML-023", at.at(at.context_line, at.context_column), said("the quote opened here is never closed")
        )
    quoted = at.quoted
    if not quoted or quoted.end_line != at.line or at.text(at.line)[quoted.end_column - 1 : at.column - 1].strip():
        return None
    if quoted.line < quoted.end_line:
        what = said("the quote opened here is closed only on line %(line)s", line=quoted.end_line)
        return fault("YAML-023", at.at(quoted.line, quoted.column), what)
    if at.sign in ("]", "}"):
        return None
    rest = at.text(at.line)[at.column - 1 :]
    return fault(
        "YAML-028", at.at(at.line, at.column), said("%(shown)s follows a closing quote", shown=at.said(at.line, rest))
    )


def _directive(at: _Complaint) -> Diagnostic | None:
    if not at.text(at.line).startswith("%"):
        return None
    what = said("the line begins with %(shown)s", shown=at.said(at.line, at.text(at.line)))
    return fault("YAML-026", at.at(at.line, 1), what, said("Delete the line; a description needs no `%` line."))


def _sign(at: _Complaint) -> Diagnostic | None:
    """A character that cannot begin a plain text."""
    line, column, sign = at.line, at.column, at.sign
    if "block scalar" in at.context or "anchor" in at.context or "alias" in at.context or " tag" in at.context:
        line, column = at.context_line, at.context_column
        sign = at.text(line)[column - 1 : column]
    elif "tag handle" in at.problem:
        sign = "!"
    elif "cannot start any token" not in at.problem and "node content" not in at.problem:
        return None
    if not sign or sign not in _SIGNS:
        return None
    value = at.text(line)[column - 1 :]
    if sign == "!":
        return fault(
            "YAML-044",
            at.at(line, column),
            said("%(shown)s begins with %(sign)s", shown=at.said(line, value), sign="`!`"),
        )
    what = said("%(shown)s begins with %(sign)s", shown=at.said(line, value), sign=f"`{sign}`")
    fix = _in_quotes(value.strip()) if len(value) < 60 else ""
    if sign in ",]}":
        what = said("%(sign)s stands where a value belongs", sign=f"`{sign}`")
        fix = said("Take out the comma or bracket that is too many, or put the value between double quotes.")
    elif '"' in value or "\\" in value or at.is_private(line):
        fix = ""
    return fault("YAML-026", at.at(line, column), what, fix)


def _escape(at: _Complaint) -> Diagnostic | None:
    if not re.search("escape|hexdecimal|hexadecimal", at.problem):
        return None
    column = at.text(at.line).rfind("\\", 0, at.column + 1) + 1
    what = said("%(shown)s stands between double quotes", shown=f"`{at.text(at.line)[column - 1 : column + 1]}`")
    return fault("YAML-029", at.at(at.line, column or at.column), what)


def _colon(at: _Complaint) -> Diagnostic | None:
    if "mapping values are not allowed" not in at.problem:
        return None
    before = at.text(at.line)[: at.column - 1]
    if at.column > 1000:
        return fault(
            "YAML-045", at.at(at.line, 1), said("the name before the colon is over a thousand characters long")
        )
    first = re.search(r":\s", before)
    if first:
        value = at.text(at.line)[first.end() :].strip()
        fix = _in_quotes(value)
        private = len(value) > 60 or '"' in value or "\\" in value or at.is_private(at.line)
        what = said("a second colon in %(shown)s", shown=at.said(at.line, value))
        return fault("YAML-027", at.at(at.line, at.column), what, "" if private else fix)
    above = next((n for n in range(at.line - 1, 0, -1) if at.text(n).strip()), 0)
    glued = _GLUED.match(at.text(above))
    if glued:
        what = said("%(shown)s has no space after its colon", shown=at.said(above, at.text(above)))
        return fault("YAML-022", at.at(above, glued.end()), what)
    if _NAMED.match(at.text(above)):
        return _misaligned(at)
    return fault("YAML-030", at.at(above or at.line, _indent(at.text(above)) + 1), _no_colon(at, above))


def _dash(at: _Complaint) -> Diagnostic | None:
    if "sequence entries are not allowed" not in at.problem:
        return None
    if at.text(at.line)[: at.column - 1].strip():
        return fault("YAML-031", at.at(at.line, at.column), said("a dash stands right after a name and its colon"))
    return _misaligned(at)


def _bracket(at: _Complaint) -> Diagnostic | None:
    if "flow" in at.context:
        line, column = at.opening()
        what = said(
            "the bracket %(sign)s opened here is not closed, or a comma is missing on line %(line)s"
            if line < at.line <= len(at.lines)
            else "the bracket %(sign)s opened here is not closed, or a comma is missing on this line",
            sign=f"`{at.text(line)[column - 1 : column]}`",
            line=at.line,
        )
        return fault("YAML-024", at.at(line, column), what)
    if at.sign in ("]", "}"):
        return fault(
            "YAML-024",
            at.at(at.line, at.column),
            said("%(sign)s closes a bracket that was never opened", sign=f"`{at.sign}`"),
        )
    return None


def _no_colon(at: _Complaint, line: int) -> str:
    return said("%(shown)s has no colon followed by a space", shown=at.said(line, at.text(line)))


def _stray(at: _Complaint) -> Diagnostic | None:
    if "':'" in at.problem and "simple key" in at.context:
        line, column = at.context_line, at.context_column
        glued = _GLUED.match(at.text(line))
        if glued:
            what = said("%(shown)s has no space after its colon", shown=at.said(line, at.text(line)))
            return fault("YAML-022", at.at(line, glued.end()), what)
        return fault("YAML-030", at.at(line, column), _no_colon(at, line))
    if at.sign == ":" and "block" in at.context:
        return fault("YAML-045", at.at(at.line, at.column), said("no name stands before this colon"))
    return None


def _indentation(at: _Complaint) -> Diagnostic | None:
    at_start = not at.text(at.line)[: at.column - 1].strip(" -")
    if at_start and re.search("expected key|block end|'-' indicator|document start", at.problem):
        return _misaligned(at)
    return None


def _misaligned(at: _Complaint) -> Diagnostic:
    """Say in which columns the line could start: those of the lines above that it may belong to."""
    own = _indent(at.text(at.line))
    starts: list[int] = []
    smallest = 1 << 30
    for number in range(at.line - 1, max(0, at.line - 500), -1):
        line = at.text(number)
        start = _indent(line)
        if line.strip() and not line.lstrip().startswith("#") and start < smallest:
            smallest = start
            starts += [start, start + 2] if line.lstrip().startswith("- ") else [start]
    fits = sorted({start + 1 for start in starts} - {own + 1})
    near = sorted(sorted(fits, key=lambda column: abs(column - own - 1))[:2])
    columns = said_join([str(column) for column in near], said(" or "))
    fix = (
        said("Start the line in column %(columns)s, in line with the entries it belongs to.", columns=columns)
        if near
        else ""
    )
    if "'-' indicator" in at.problem:
        fix = said("Begin the line with `- ` like the entries above it, or line it up with the name it belongs to.")
    return fault(
        "YAML-021",
        at.at(at.line, own + 1),
        said("this line starts in column %(column)s, which fits no line above", column=own + 1),
        fix,
    )
