"""What every page of the desk is made of: the sitting, its templates, the form that came in. All words are in these."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from datetime import date
from typing import Any
from urllib.parse import urlencode

from jinja2 import Environment, FunctionLoader, StrictUndefined
from jinja2.ext import extract_from_ast
from markupsafe import Markup, escape
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from progdoc.app.check import Checked
from progdoc.app.question_forms import Typed, choice_text, in_quotes, named_text, title_called, told_plainly
from progdoc.core.barred import barred_words
from progdoc.core.paper_language import EDGE, language_of
from progdoc.core.questions import Question, missing_answers
from progdoc.core.report_summary import summary_line
from progdoc.core.resources import templates_root
from progdoc.core.said import capital, changed, first_line, said_in
from progdoc.desk.guard import Door, form_token, is_of_form
from progdoc.desk.session import Sitting
from progdoc.desk.spoken import spoken

__all__ = ["HTML", "SHOWN_ONLY", "Shown", "address_of", "fixed_words", "site_of"]

HTML = "text/html; charset=utf-8"

# A paper may wear the firm's own look; it is shown, and runs and fetches nothing.
SHOWN_ONLY = {"content-security-policy": "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src data:"}

_TYPES = {"css": "text/css", "js": "text/javascript"}
_ENGLISH = Markup(' lang="en"')  # of a part of a page
_MOST_FIELDS = 2_000
_SAYING = ("_", "_many", "_in")
_KEY = re.compile(r"“([a-z]+(?:[_.][a-z]+)*)(?:: ?([^“”]*))?”")  # what is typed into a file: “hair_in_seal: no”
_TITLED_TWICE = re.compile(r"“([^“”]+)” \(([^()]+)\)")  # a place, which a form calls by its title, and its title
_CODE = re.compile(r"[A-Z]{3}-\d{3}(?:: |  )")


class Shown:
    """The pages of one door, and what is asked of a request before one is shown."""

    def __init__(self, sitting: Sitting, door: Door) -> None:
        self.sitting = sitting
        self._door = door
        self._root = templates_root() / "desk"
        self._pages = Environment(
            loader=FunctionLoader(lambda name: (self._root / name).read_text(encoding="utf-8")),
            undefined=StrictUndefined,
            autoescape=True,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self._pages.filters |= {
            "words": choice_text,
            "with_words": lambda value: (value, choice_text(value)),
            "day": _dated,
            "plain": _plain,
            "named": named_text,
            "told": _told,
            "titled": _titled,
            "briefly": _briefly,
            "spoken": _spoken,
            "capital": capital,
            "to_do": first_line,
        }
        self._pages.globals |= {"_": _said, "_many": _counted, "_in": _said_in}

    async def checked(self) -> Checked:
        """Return the description as it stands, judged."""
        return await run_in_threadpool(self.sitting.checked)

    async def understood(self) -> Checked | Response:
        """Return the description, or the page that tells why it can't be read."""
        checked = await self.checked()
        return checked if checked.judged is not None else self.broken(checked)

    async def typed(self, request: Request) -> Typed | None:
        """Return what a form sent; None where it is no form of this sitting."""
        return (await self.sent(request, 0))[0]

    async def sent(self, request: Request, files: int = 1) -> tuple[Typed | None, list[tuple[str, bytes]]]:
        """Return what a form sent, and the files with the names that they had."""
        brought: list[tuple[str, bytes]] = []
        try:
            async with request.form(max_files=files, max_fields=_MOST_FIELDS) as form:
                sent = [(name, value) for name, value in form.multi_items() if isinstance(value, str)]
                for _, value in form.multi_items():
                    if not isinstance(value, str):
                        brought.append((value.filename or "", await value.read()))
        except (HTTPException, UnicodeError, ValueError):  # of too many parts, or in no letters
            return None, []
        typed: dict[str, tuple[str, ...]] = {}
        for name, value in sent:
            typed[name] = (*typed.get(name, ()), value)
        token = typed.pop("token", ("",))
        return typed if is_of_form(self._door, token[0]) else None, brought

    def page(self, name: str, checked: Checked, status: int = 200, **words: Any) -> Response:
        """Return a page about the description."""
        program = checked.loaded.program
        told: dict[str, Any] = {
            "token": form_token(self._door),
            "address": address_of,
            "left": missing_answers(checked.questions),
            "danger": [barred_words(one, checked.report.names) for one in checked.report.barred],
            "summary": summary_line(checked.report),
            "last": self.sitting.done[-1].told if self.sitting.done else "",
            "sites": program.organisation.sites if program and len(program.organisation.sites) > 1 else (),
            "firm": (program.organisation.name or "") if program else "",
            "name": checked.loaded.description.name,
            "news": None,
            "here": spoken().address.partition("?")[0],
        }
        return HTMLResponse(self._pages.get_template(name).render(told | _speech() | words), status)

    def broken(self, checked: Checked) -> Response:
        """Return the page that tells why the description can't be read."""
        return self.page("broken.html.j2", checked, faults=checked.report.findings)

    def told(self, reason: str, status: int, **words: object) -> Response:
        """Return why a request is not answered, in the words of its template."""
        words = {"reason": reason, **_speech(), **words}
        return HTMLResponse(self._pages.get_template("told.html.j2").render(words), status)

    async def look(self, request: Request) -> Response:
        """Return a file of the desk's own look."""
        name = request.path_params["name"]
        kind = _TYPES.get(name.rpartition(".")[2])
        if kind is None or name not in {entry.name for entry in self._root.iterdir()}:
            return self.told("no-page", 404)
        return Response((self._root / name).read_bytes(), media_type=kind)

    async def failed(self, request: Request, fault: Exception) -> Response:
        """Return what is told of a fault of our own."""
        return self.told("failed", 500, fault=type(fault).__name__)

    async def missed(self, request: Request, fault: Exception) -> Response:
        """Return what is told of an address that leads nowhere."""
        return self.told("no-page", fault.status_code if isinstance(fault, HTTPException) else 404)

    @property
    def faults(self) -> Mapping[Any, Any]:
        """What answers faults, as Starlette takes it."""
        return {Exception: self.failed, HTTPException: self.missed}


def site_of(request: Request, checked: Checked) -> str | None:
    """Return the site that an address asks for; none where it names no site of the description."""
    asked = request.query_params.get("site")
    program = checked.loaded.program
    known = {site.id for site in program.organisation.sites} if program else set()
    return asked if asked in known else None


def address_of(question: Question) -> str:
    """Return where a question is asked."""
    about = urlencode([("about", one) for one in question.subject])
    return f"/ask/{question.id}?{about}"


# ---- words for a reader ---------------------------------------------------------------------------------


def fixed_words() -> Iterator[tuple[tuple[str, ...], str, int]]:
    """Yield each sentence of the templates, with its form for more than one; its template, its line."""
    pages = Environment(autoescape=True)
    for entry in sorted((templates_root() / "desk").iterdir(), key=lambda entry: entry.name):
        if entry.name.endswith(".j2"):
            page = pages.parse(entry.read_text(encoding="utf-8"))
            for line, _, said in extract_from_ast(page, _SAYING, babel_style=False):
                told = (said,) if isinstance(said, str) else said or ()
                yield tuple(one for one in told if one), entry.name, line


def _speech() -> dict[str, Any]:
    """Return what each page says of its language; `en` marks what is English in a page of another one."""
    now = spoken()
    return {
        "language": now.language.code,
        "others": now.others,
        "en": _ENGLISH if now.language.original else "",
    }


def _said(message: str, **values: object) -> Markup:
    return _filled(spoken().language.say(message), values)


def _counted(one: str, more: str, number: int, **values: object) -> Markup:
    holders = {name: f"%({name})s" for name in (*values, "n")}
    return _filled(spoken().language.plural(one, more, number, **holders), {"n": number, **values})


def _said_in(code: str, message: str) -> Markup:
    return _filled(language_of(code).on("desk").say(message), {})


def _filled(sentence: str, values: Mapping[str, object]) -> Markup:
    """Return a sentence of ours for a page, with what is filled in made harmless; an apostrophe does no harm."""
    safe = Markup(str(escape(sentence)).replace("&#39;", "'"))
    return safe % values if values else safe


def _told(words: str) -> Markup:
    """Return words in the language of the page; the firm's own, and what has no words in it, are marked there."""
    return _marked(said_in(spoken().language, words))


def _marked(words: str) -> Markup:
    parts = enumerate(words.split(EDGE))
    return Markup("").join(
        Markup("<span{}>{}</span>").format(_ENGLISH, one) if n % 2 else escape(one) for n, one in parts
    )


def _spoken(words: str) -> str:
    """Return words in the language of the page for an attribute, which has no parts to be marked."""
    return said_in(spoken().language, words).replace(EDGE, "")


def _dated(day: date) -> str:
    return spoken().language.date(day)


def _plain(told: str, choices: Collection[str] = ()) -> Markup:
    """Return a finding without its code and the place where it is typed.

    Of `choices`, which a form lets tick, it is said what stands beside the tick: in another language than English a
    finding names them as they are typed.
    """
    words = said_in(spoken().language, changed(told_plainly(changed(told, _without_code)), _asked))
    words = _TITLED_TWICE.sub(_once, _with_titles(words))
    if choices and spoken().language.original:
        typed = re.compile(rf"“(?:[^“”:]|:(?! ))*: [^“”]*”|(?<![\w-])({'|'.join(map(re.escape, choices))})(?![\w-])")
        parts = words.split(EDGE)
        parts[::2] = [typed.sub(_beside_its_tick, part) for part in parts[::2]]
        words = EDGE.join(parts)
    return _marked(words)


def _once(found: re.Match[str]) -> str:
    return f"“{found[2]}”" if found[1].casefold() == found[2].casefold() else found[0]


def _titled(words: str) -> Markup:
    """Return what a field says of itself; other fields that it names by their titles."""
    return _marked(_with_titles(said_in(spoken().language, in_quotes(words))))


def _with_titles(words: str) -> str:
    own = words.split(EDGE)
    own[::2] = [_KEY.sub(_by_its_title, part) for part in own[::2]]
    return EDGE.join(own)


def _by_its_title(found: re.Match[str]) -> str:
    """Return what is to be typed into a file, “hair_in_seal: no”, as a form asks it: by its title, in words."""
    title, said = title_called(found[1]), found[2]
    if not title or (said is None and found[1].isalpha()):
        return found[0]
    return f"“{_spoken(title)}: {_spoken(choice_text(said))}”" if said else f"“{_spoken(title)}”"


def _beside_its_tick(found: re.Match[str]) -> str:
    return _spoken(choice_text(found[1])) if found[1] else found[0]


def _without_code(told: str) -> str:
    return _CODE.sub("", told, count=1)


def _asked(told: str) -> str:
    return told.replace("?.", "?")


def _briefly(description: str, choices: tuple[str, ...]) -> Markup:
    """Return what a field says; nothing where it says no more than its choices, which a form shows anyway."""
    rest = description
    for choice in sorted(choices, key=len, reverse=True):
        rest = rest.replace(choice, " ")
    is_listing = choices and set(re.findall(r"\w+", rest)) <= {"or", "and"}
    return Markup("") if is_listing else _titled(description)
