"""The Jinja environment: strict, sandboxed, confined to its folder, fed with plain data only.

A template has no arithmetic and no law. What a template may call stands in `assemble`: `answer(code, …)`, say,
prints its body where the requirement is met, an open point where it is a gap, and nothing where it does not
apply. A comment is written `<# … #>`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from enum import StrEnum
from functools import cache
from importlib.resources.abc import Traversable
from typing import Any

from jinja2 import FunctionLoader, StrictUndefined
from jinja2.exceptions import TemplateError
from jinja2.sandbox import ImmutableSandboxedEnvironment

from progdoc.core.errors import ProgdocError
from progdoc.core.resources import templates_root
from progdoc.document.tree.tokens import choice_words
from progdoc.model.yaml.yaml_tree import Node
from progdoc.model.yaml.yaml_values import plain_of, read_shipped, texts_of, whole_of

__all__ = ["TemplateSet", "form_plans", "shipped_templates"]

_CODE = re.compile(r"\b[A-Z]{3}-(?:\d{3})?")  # a code, or the beginning that codes share


class TemplateSet:
    """A folder of section templates and the `program.yaml` that puts them in order."""

    def __init__(self, root: Traversable) -> None:
        self._root = root
        self._environment = ImmutableSandboxedEnvironment(
            loader=FunctionLoader(self._source),
            undefined=StrictUndefined,
            finalize=_printable,
            autoescape=False,
            trim_blocks=True,
            lstrip_blocks=True,
            keep_trailing_newline=True,
            optimized=False,  # each template is rendered a few times at most: not worth the compiler's effort
            comment_start_string="<#",  # `{#` begins the id of a heading
            comment_end_string="#>",
        )
        self.sections, self.annex = read_shipped(
            root / "program.yaml", lambda top: (texts_of(top["sections"]), texts_of(top["annex"]))
        )

    def _source(self, name: str) -> str | None:
        parts = name.split("/")
        if any(part in ("", ".", "..") or "\\" in part or ":" in part for part in parts):
            return None
        file = self._root
        for part in parts:
            file = file / part
        return file.read_text(encoding="utf-8") if file.is_file() else None

    def answered_by(self, codes: Iterable[str]) -> dict[str, tuple[str, ...]]:
        """Return for each code the titles of the sections whose templates answer it, whatever is described."""
        found: dict[str, list[str]] = {code: [] for code in codes}
        for name in (*self.sections, *self.annex):
            text = self._source(f"sections/{name}.md.j2") or ""
            title = next((line[2:].partition(" {#")[0] for line in text.splitlines() if line.startswith("# ")), name)
            named = set(_CODE.findall(text))
            for code, titles in found.items():
                if code in named or code[:4] in named:
                    titles.append(title)
        return {code: tuple(titles) for code, titles in found.items()}

    def render(self, name: str, context: dict[str, Any]) -> str:
        """Return the Markdown that a template of this folder makes: "sections/medical"."""
        try:
            return self._environment.get_template(f"{name}.md.j2").render(context)
        except TemplateError as fault:
            line = getattr(fault, "lineno", None) or _line_of(fault)
            place = f"{name}.md.j2" + (f", line {line}" if line else "")
            raise ProgdocError(f"template {place}: {fault.message}") from fault


@cache
def shipped_templates() -> TemplateSet:
    """Return the templates of the program, read once: its pages, task pages and versions are made from the same."""
    return TemplateSet(templates_root() / "program")


@cache
def form_plans() -> tuple[dict[str, Any], ...]:
    """Return what the forms ask, in the order of their names; `templates/forms/README.md` says how one is written."""
    files = (file for file in (templates_root() / "forms").iterdir() if file.name.endswith(".yaml"))
    return tuple(read_shipped(file, _plan) for file in sorted(files, key=lambda file: file.name))


def _plan(top: dict[str, Node]) -> dict[str, Any]:
    kinds = {"share": whole_of, "lines": whole_of, "rows": _rows}
    return {key: plain_of(node, kinds, key) for key, node in top.items()}


def _rows(node: Node) -> Any:
    """Rows are given one by one, or as the name of a list, or as a number of empty ones."""
    is_number = isinstance(node.content, str) and node.content.isdecimal()
    return whole_of(node) if is_number else plain_of(node, {})


def _printable(value: Any) -> Any:
    """Print a choice in words, and refuse to print what nobody said; Jinja would print the word None."""
    if value is None:
        raise TemplateError("prints a value that is not there: put it into the answer that asks for it")
    return choice_words(value) if isinstance(value, StrEnum) else value


def _line_of(fault: BaseException) -> int | None:
    """Return the template's line, which Jinja leaves in the traceback of a run-time fault."""
    line, trace = None, fault.__traceback__
    while trace is not None:
        if trace.tb_frame.f_code.co_filename.endswith("<template>") or "__jinja_template__" in trace.tb_frame.f_globals:
            line = trace.tb_lineno
        trace = trace.tb_next
    return line
