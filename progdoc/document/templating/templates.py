"""The Jinja environment: strict, sandboxed, confined to its folder, fed with plain data only.

A template has no arithmetic and no law. What a template may call stands in `assemble`: `answer(code, …)`, say,
prints its body where the requirement is met, an open point where it is a gap, and nothing where it does not
apply. A comment is written `<# … #>`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from enum import StrEnum
from functools import cache, cached_property, partial
from importlib.resources.abc import Traversable
from types import CodeType
from typing import Any

from jinja2 import BytecodeCache, FunctionLoader, StrictUndefined
from jinja2 import __version__ as jinja2_version
from jinja2.bccache import Bucket
from jinja2.exceptions import TemplateError, TemplateNotFound, TemplateSyntaxError
from jinja2.nodes import Call, CallBlock, Const, Dict, Name, TemplateData

from progdoc.core.errors import ProgdocError
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.resources import templates_root
from progdoc.core.said import Said, said_in
from progdoc.document.templating.compiled_before import code_before, line_of
from progdoc.document.templating.own_templates import OwnEnvironment
from progdoc.document.templating.said_templates import SpokenEnvironment, passages_of
from progdoc.document.tree.tokens import choice_words
from progdoc.model.yaml.yaml_tree import Node
from progdoc.model.yaml.yaml_values import plain_of, read_shipped, texts_of, whole_of

__all__ = ["OwnTemplateError", "TemplateSet", "form_plans", "no_whole", "own_templates", "shipped_templates"]

_CODE = re.compile(r"\b[A-Z]{3}-(?:\d{3})?")  # a code, or the beginning that codes share


class OwnTemplateError(ProgdocError):
    """What is wrong with a firm's own template, for the firm to mend. Line 0: the whole of it."""

    def __init__(self, name: str, line: int, why: str) -> None:
        self.name, self.line, self.why = name, line, why
        super().__init__(f"template {name}, line {line}: {why}")


class _Compiled(BytecodeCache):
    """What was compiled of our templates, for every set they belong to; a firm's own are compiled for theirs alone."""

    def __init__(self, own: Iterable[str], language: Language = ENGLISH) -> None:
        self._not_ours = {self.get_cache_key(name) for name in own}
        self._language = language

    def load_bytecode(self, bucket: Bucket) -> None:
        if bucket.key not in self._not_ours:
            key = self.key(bucket)
            bucket.code = _compiled().get(key) or code_before(key, self._language.code)
            self.dump_bytecode(bucket)

    def dump_bytecode(self, bucket: Bucket) -> None:
        if bucket.key not in self._not_ours and bucket.code is not None:
            _compiled()[self.key(bucket)] = bucket.code

    def key(self, bucket: Bucket) -> str:
        """Return what the Python of a template of ours hangs on; in another language the catalogue, too."""
        said_by = f":{self._language.edition}" if self._language.edition else ""
        return f"{jinja2_version}:{bucket.key}:{bucket.checksum}{said_by}"


@cache
def _compiled() -> dict[str, CodeType]:
    return {}


class TemplateSet:
    """A folder of section templates and the `program.yaml` that puts them in order.

    `own`: a firm's templates by the same names ("sections/training.md.j2"), laid over ours. In another language than
    English these stay as they were written, and ours are said by its catalogue.
    """

    def __init__(self, root: Traversable, own: Mapping[str, str] | None = None, language: Language = ENGLISH) -> None:
        self._root = root
        self._own = own or {}
        self._language = language
        options: dict[str, Any] = {
            "loader": FunctionLoader(self._source),
            "undefined": StrictUndefined,
            "autoescape": False,
            "trim_blocks": True,
            "lstrip_blocks": True,
            "keep_trailing_newline": True,
            "optimized": False,  # each template is rendered a few times at most: not worth the compiler's effort
            "comment_start_string": "<#",  # `{#` begins the id of a heading
            "comment_end_string": "#>",
            "bytecode_cache": _Compiled(self._own, language),
        }
        say = language.say if language.original else None
        printable = partial(_printable, language)
        self._counting = OwnEnvironment(frozenset(self._own), printable, say, **options) if own else None
        self._environment = self._counting or SpokenEnvironment(say, finalize=printable, **options)
        self.sections, self.annex = read_shipped(
            root / "program.yaml", lambda top: (texts_of(top["sections"]), texts_of(top["annex"]))
        )

    def in_language(self, language: Language) -> TemplateSet:
        """Return the same templates as a language says them."""
        return self if language == self._language else TemplateSet(self._root, self._own, language)

    @property
    def own(self) -> Iterable[str]:
        """The names of the firm's own templates."""
        return self._own

    def own_words(self, name: str) -> Iterator[str]:
        """Yield what one of the firm's own templates prints whatever is described, without its calls."""
        return (part.data for part in self._environment.parse(self._own[name]).find_all(TemplateData))

    def as_shipped(self) -> TemplateSet:
        """Return ours of the same names, read as if they were the firm's: what these would have answered."""
        ours = TemplateSet(self._root)
        return TemplateSet(self._root, {name: ours._source(name) or "" for name in self._own})

    def warns(self, name: str) -> bool:
        """Return whether a template of the firm's has words that warn its reader."""
        calls = self._environment.parse(self._own[name]).find_all(CallBlock)
        warnings = (block for block in calls if isinstance(block.call.node, Name) and block.call.node.name == "warn")
        return any(_has_words(block) for block in warnings)

    def names_code(self, name: str, code: str) -> bool:
        """Return whether our template of a name speaks of a code, or of all codes under its letters."""
        named = set(_CODE.findall(TemplateSet(self._root)._source(name) or ""))
        return code in named or code[:4] in named

    def names(self) -> tuple[str, ...]:
        """Return the names of all templates that ship with progdoc."""
        folders = (folder for folder in self._root.iterdir() if folder.is_dir())
        return tuple(sorted(f"{folder.name}/{file.name}" for folder in folders for file in folder.iterdir()))

    def said(self) -> Iterator[tuple[str, int, str]]:
        """Yield each sentence that a template of ours says in the language of its paper, with the name and line."""
        for name in self.names():
            tree = self._environment.parse(self._source(name) or "")
            yield from ((name, line, passage) for passage, line in passages_of(tree))
            for call in self._environment.parse(self._source(name) or "").find_all(Call):
                if isinstance(call.node, Name) and call.node.name == "_":
                    choices = [pair.value for group in call.args[0].find_all(Dict) for pair in group.items]
                    for text in choices or call.args[:1]:
                        if isinstance(text, Const):
                            yield name, text.lineno, text.value

    def compiled(self) -> Iterator[str]:
        """Yield the line of each template for the file of those that are compiled before."""
        for name in self.names():
            text = self._source(name) or ""
            kept = _Compiled((), self._language)
            bucket = kept.get_bucket(self._environment, name, None, text)
            yield line_of(kept.key(bucket), self._environment.compile(text, name, raw=True))

    def _source(self, name: str) -> str | None:
        if name in self._own:
            return self._own[name]
        parts = name.split("/")
        if any(part in ("", ".", "..") or "\\" in part or ":" in part for part in parts):
            return None
        file = self._root
        for part in parts:
            file = file / part
        return file.read_text(encoding="utf-8") if file.is_file() else None

    def answered_by(self, codes: Iterable[str]) -> dict[str, tuple[str, ...]]:
        """Return for each code the titles of the sections whose templates answer it, whatever is described."""
        return {
            code: tuple(title for title, named in self._answering if code in named or code[:4] in named)
            for code in codes
        }

    @cached_property
    def _answering(self) -> tuple[tuple[str, frozenset[str]], ...]:
        """The title of each section, and the codes and beginnings of codes that stand in its template: read once."""
        found = []
        for name in (*self.sections, *self.annex):
            text = self._source(f"sections/{name}.md.j2") or ""
            title = next((line[2:].partition(" {#")[0] for line in text.splitlines() if line.startswith("# ")), name)
            found.append((title, frozenset(_CODE.findall(text))))
        return tuple(found)

    def is_own(self, name: str) -> bool:
        """Return whether a template ("sections/medical") is the firm's own."""
        return f"{name}.md.j2" in self._own

    def faults(self) -> Iterator[OwnTemplateError]:
        """Yield what can be seen to be wrong with a firm's templates before anything is rendered."""
        for name in sorted(self._own):
            try:
                self._environment.compile(self._own[name], name)
            except TemplateSyntaxError as fault:
                yield OwnTemplateError(name, fault.lineno, _told(fault))
            except RecursionError:
                yield OwnTemplateError(name, 0, "its parts stand too deep within one another")

    def render(self, name: str, context: dict[str, Any]) -> str:
        """Return the Markdown that a template of this folder makes: "sections/medical"."""
        if self.is_own(name):
            return self._rendered_own(f"{name}.md.j2", context)
        try:
            return self._environment.get_template(f"{name}.md.j2").render(context)
        except TemplateError as fault:
            line = getattr(fault, "lineno", None) or _line_of(fault)
            place = f"{name}.md.j2" + (f", line {line}" if line else "")
            raise ProgdocError(f"template {place}: {fault.message}") from fault

    def _rendered_own(self, name: str, context: dict[str, Any]) -> str:
        if self._counting is None:
            raise ValueError("there are no templates but ours")
        self._counting.begin()
        try:
            text = self._counting.get_template(name).render(self._counting.counted(context))
            return self._counting.hold(text)
        except TemplateNotFound as fault:
            raise OwnTemplateError(name, _line_of(fault) or 0, f"there is no template {fault.name}") from fault
        except TemplateSyntaxError as fault:
            raise OwnTemplateError(fault.name or name, fault.lineno, _told(fault)) from fault
        except TemplateError as fault:
            raise OwnTemplateError(name, _line_of(fault) or 0, _told(fault)) from fault
        except RecursionError as fault:
            raise OwnTemplateError(name, 0, "it calls itself without end") from fault
        except (TypeError, ValueError, LookupError, AttributeError, ProgdocError) as fault:
            raise OwnTemplateError(name, _line_of(fault) or 0, f"this can't be worked out ({fault})") from fault


def own_templates(own: Mapping[str, str]) -> TemplateSet:
    """Return the templates of the program with a firm's own laid over them; ours alone where it has none."""
    return TemplateSet(templates_root() / "program", own) if own else shipped_templates()


def no_whole(fault: ProgdocError) -> OwnTemplateError:
    """Return the fault of templates of which each can be read, and that refer to what none of them holds."""
    return OwnTemplateError("", 0, f"together with ours, your templates make no whole: {fault}")


def _told(fault: TemplateError) -> str:
    return (fault.message or "it can't be read").rstrip(".")


@cache
def shipped_templates() -> TemplateSet:
    """Return the templates of the program, read once: its pages, task pages and versions are made from the same."""
    return TemplateSet(templates_root() / "program")


@cache
def form_plans(folder: str = "forms") -> tuple[dict[str, Any], ...]:
    """Return what the forms ask, in the order of their names; `templates/forms/README.md` says how one is written.

    `folder`: forms, or handouts, which are written likewise and hold more to read than to fill in.
    """
    files = (file for file in (templates_root() / folder).iterdir() if file.name.endswith(".yaml"))
    return tuple(read_shipped(file, _plan) for file in sorted(files, key=lambda file: file.name))


def _plan(top: dict[str, Node]) -> dict[str, Any]:
    kinds = {"share": whole_of, "lines": whole_of, "rows": _rows}
    return {key: plain_of(node, kinds, key) for key, node in top.items()}


def _rows(node: Node) -> Any:
    """Rows are given one by one, or as the name of a list, or as a number of empty ones."""
    is_number = isinstance(node.content, str) and node.content.isdecimal()
    return whole_of(node) if is_number else plain_of(node, {})


def _printable(language: Language, value: Any) -> Any:
    """Print a choice in words, and refuse to print what nobody said; Jinja would print the word None."""
    if value is None:
        raise TemplateError("prints a value that is not there: put it into the answer that asks for it")
    if isinstance(value, StrEnum):
        return language.say(choice_words(value))
    return said_in(language, value) if isinstance(value, Said) else value


def _line_of(fault: BaseException) -> int | None:
    """Return the template's line, which Jinja leaves in the traceback of a run-time fault."""
    line, trace = None, fault.__traceback__
    while trace is not None:
        if trace.tb_frame.f_code.co_filename.endswith("<template>") or "__jinja_template__" in trace.tb_frame.f_globals:
            line = trace.tb_lineno
        trace = trace.tb_next
    return line


def _has_words(block: CallBlock) -> bool:
    texts = (part.data for part in block.find_all(TemplateData))
    said = (part.value for part in block.find_all(Const) if isinstance(part.value, str))
    return any(text.strip() for text in (*texts, *said))
