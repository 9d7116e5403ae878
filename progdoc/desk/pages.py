"""The pages of the desk: what each address shows, and what its form does."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import urlencode

from jinja2 import Environment, FunctionLoader, StrictUndefined
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from progdoc.app.answering import (
    NEW,
    Input,
    Kinds,
    Sheet,
    Typed,
    duties_adopted,
    question_at,
    question_of,
    questions_answered,
    sheet_of,
)
from progdoc.app.build import build
from progdoc.app.check import Checked
from progdoc.app.disk.issued_folder import Issued
from progdoc.app.due import due
from progdoc.app.select import selection_lines
from progdoc.core.barred import barred_words
from progdoc.core.diagnostics import Diagnostic, worst_first
from progdoc.core.lines import Line
from progdoc.core.numbers import long_date
from progdoc.core.questions import Question, missing_answers
from progdoc.core.report import summary_line
from progdoc.core.resources import templates_root
from progdoc.desk.guard import Door, form_token, guarded, is_of_form
from progdoc.desk.session import Sitting

__all__ = ["desk_application"]

_MOST_FIELDS = 400
_KIND = "kind:"  # before the place of a group, in an address: which kind it is to be
_SEEN, _ASIDE, _AGAIN = "seen", "aside", "again"  # what a form says beside its places
_TYPES = {"css": "text/css", "js": "text/javascript"}
_PAPERS = {
    "program.html": "text/html; charset=utf-8",
    "program.docx": "application/vnd.openxmlformats-officedocument.wordprocessingml.document",
    "program.pdf": "application/pdf",
    "gaps.html": "text/html; charset=utf-8",
}

_OTHER_SITTING = "This form is not of this sitting. Open the desk again.\n"

# A paper may wear the firm's own look; it is shown, and runs and fetches nothing.
_SHOWN_ONLY = {"content-security-policy": "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src data:"}


def desk_application(sitting: Sitting, door: Door) -> ASGIApp:
    """Return the desk of one sitting, behind its door."""
    desk = _Desk(sitting, door)
    routes = [
        Route("/", desk.home),
        Route("/next", desk.next),
        Route("/ask/{question}", desk.ask),
        Route("/ask/{question}", desk.take, methods=["POST"]),
        Route("/try/{question}", desk.try_out, methods=["POST"]),
        Route("/undo", desk.undo, methods=["POST"]),
        Route("/answers", desk.answers),
        Route("/work", desk.work),
        Route("/due", desk.due),
        Route("/papers", desk.papers),
        Route("/papers/{name}", desk.paper),
        Route("/issue", desk.issue, methods=["POST"]),
        Route("/compared", desk.compared),
        Route("/look/{name}", desk.look),
    ]
    return guarded(Starlette(routes=routes, exception_handlers={Exception: _failed}), door)


async def _failed(request: Request, fault: Exception) -> Response:
    return PlainTextResponse(
        f"A fault of progdoc itself, {type(fault).__name__}. What you wrote before stands; go back, and tell us.\n",
        500,
    )


class _Desk:
    """What every page needs at hand: the sitting, its door, the templates."""

    def __init__(self, sitting: Sitting, door: Door) -> None:
        self._sitting = sitting
        self._door = door
        root = templates_root() / "desk"
        self._pages = Environment(
            loader=FunctionLoader(lambda name: (root / name).read_text(encoding="utf-8")),
            undefined=StrictUndefined,
            autoescape=True,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self._pages.filters |= {"words": _in_words, "day": long_date}

    # ---- what is shown ----------------------------------------------------------------------------------

    async def home(self, request: Request) -> Response:
        checked = await self._checked()
        if checked.judged is None:
            return self._broken(checked)
        following = self._sitting.next_question(checked)
        return self._page(
            "home.html.j2", checked, following=following, sections=_by_section(checked), aside=self._sitting.put_aside
        )

    async def next(self, request: Request) -> Response:
        checked = await self._checked()
        following = self._sitting.next_question(checked) if checked.judged else None
        return RedirectResponse(_address(following) if following else "/", 303)

    async def ask(self, request: Request) -> Response:
        checked = await self._checked()
        if checked.judged is None:
            return self._broken(checked)
        question = _asked(checked, request)
        if question is None:
            return RedirectResponse("/?gone", 303)
        return self._form(checked, sheet_of(checked, question, _kinds(request)), {}, [])

    async def try_out(self, request: Request) -> Response:
        """Tell what an answer would mean, before it is written."""
        typed = await self._typed(request)
        checked = await self._checked()
        question = _asked(checked, request) if checked.judged and typed is not None else None
        if question is None or typed is None:
            return PlainTextResponse("", 409)
        sheet = sheet_of(checked, question, _kinds(request))
        seen = await run_in_threadpool(self._sitting.tried, checked, sheet, typed)
        if isinstance(seen, list):
            return self._page("tried.html.j2", checked, faults=worst_first(seen), was=0)
        return self._page("tried.html.j2", seen, faults=(), was=missing_answers(checked.questions))

    async def answers(self, request: Request) -> Response:
        checked = await self._checked()
        if checked.judged is None:
            return self._broken(checked)
        return self._page("answers.html.j2", checked, answered=tuple(questions_answered(checked)))

    async def work(self, request: Request) -> Response:
        checked = await self._checked()
        if checked.judged is None:
            return self._broken(checked)
        return self._page("work.html.j2", checked, tasks=tuple(map(list, selection_lines(checked))))

    async def due(self, request: Request) -> Response:
        checked = await self._checked()
        if checked.judged is None:
            return self._broken(checked)
        outlook = due(checked)
        asked = {
            item.path: question_at(checked, item.path) for item in (*outlook.overdue, *outlook.soon, *outlook.later)
        }
        return self._page("due.html.j2", checked, outlook=outlook, asked=asked)

    async def papers(self, request: Request) -> Response:
        checked = await self._checked()
        if checked.judged is None:
            return self._broken(checked)
        return self._page(
            "papers.html.j2", checked, papers=_PAPERS, issued=self._sitting.issued(), faults=(), done=None
        )

    async def issue(self, request: Request) -> Response:
        if await self._typed(request) is None:
            return PlainTextResponse(_OTHER_SITTING, 403)
        done = await run_in_threadpool(self._sitting.issue)
        checked = await self._checked()
        if isinstance(done, list):
            return self._papers(checked, 422, worst_first(done))
        return self._papers(checked, done=done)

    async def compared(self, request: Request) -> Response:
        last = self._sitting.issued()
        if last is None:
            return PlainTextResponse("No revision was issued here yet.\n", 404)
        made = await run_in_threadpool(self._sitting.compared, last)
        if isinstance(made, list):
            return self._page("refused.html.j2", await self._checked(), 409, faults=made)
        return Response(made["comparison.html"], media_type=_PAPERS["program.html"], headers=_SHOWN_ONLY)

    async def paper(self, request: Request) -> Response:
        name = request.path_params["name"]
        checked = await self._checked()
        if checked.judged is None or name not in _PAPERS:
            return PlainTextResponse("No such paper.\n", 404)
        made = await run_in_threadpool(build, checked, (name.rpartition(".")[2],))
        return Response(made[name], media_type=_PAPERS[name], headers=_SHOWN_ONLY if name.endswith("html") else {})

    async def look(self, request: Request) -> Response:
        name = request.path_params["name"]
        kind = _TYPES.get(name.rpartition(".")[2])
        known = {entry.name for entry in (templates_root() / "desk").iterdir()}
        if kind is None or name not in known:
            return PlainTextResponse("No such file.\n", 404)
        return Response((templates_root() / "desk" / name).read_bytes(), media_type=kind)

    # ---- what is done -----------------------------------------------------------------------------------

    async def take(self, request: Request) -> Response:
        typed = await self._typed(request)
        if typed is None:
            return PlainTextResponse(_OTHER_SITTING, 403)
        checked = await self._checked()
        question = _asked(checked, request) if checked.judged else None
        if question is None:
            return RedirectResponse("/?gone", 303)
        if _ASIDE in typed:
            self._sitting.put_aside.add((question.id, question.subject))
            return RedirectResponse("/next", 303)
        sheet = sheet_of(checked, question, _kinds(request))
        if typed.get(_SEEN) != (sheet.mark,):
            return self._form(checked, sheet, typed, [], 409)
        done = await run_in_threadpool(self._sitting.answer, checked, sheet, typed)
        if isinstance(done, list):
            return self._form(checked, sheet, typed, done, 422)
        return RedirectResponse(str(request.url) if _AGAIN in typed else "/next", 303)

    async def undo(self, request: Request) -> Response:
        if await self._typed(request) is None:
            return PlainTextResponse(_OTHER_SITTING, 403)
        done = await run_in_threadpool(self._sitting.take_back)
        if isinstance(done, list):
            checked = await self._checked()
            return self._page("refused.html.j2", checked, 409, faults=done)
        return RedirectResponse("/", 303)

    # ---- beneath ----------------------------------------------------------------------------------------

    async def _checked(self) -> Checked:
        return await run_in_threadpool(self._sitting.checked)

    async def _typed(self, request: Request) -> Typed | None:
        """Return what a form sent; None where it is no form of this sitting."""
        async with request.form(max_files=0, max_fields=_MOST_FIELDS) as form:
            sent = [(name, value) for name, value in form.multi_items() if isinstance(value, str)]
        typed: dict[str, tuple[str, ...]] = {}
        for name, value in sent:
            typed[name] = (*typed.get(name, ()), value)
        token = typed.pop("token", ("",))
        return typed if is_of_form(self._door, token[0]) else None

    def _form(
        self, checked: Checked, sheet: Sheet, typed: Typed, faults: list[Diagnostic], status: int = 200
    ) -> Response:
        question = sheet.question
        duties = duties_adopted(checked, question.adopts) if question.adopts else ()
        at = {fault.location.path: fault for fault in reversed(faults)}
        return self._page(
            "ask.html.j2",
            checked,
            status,
            question=question,
            parts=sheet.inputs,
            typed={**sheet.stands, **typed},
            things=sheet.things,
            faults=worst_first(faults),
            at=at,
            mark=sheet.mark,
            meant=sheet.meant,
            stood={part.path: sheet.stands[part.path] for part in sheet.inputs if part.path in sheet.stands},
            is_stale=status == 409,
            protects=_about_task(checked, question),
            duties=duties,
            can_repeat=any(field.kind == "group" and field.is_list for field in question.fields),
            is_kinds=lambda part: isinstance(part, Kinds),
            is_input=lambda part: isinstance(part, Input),
            choose=lambda part, kind: f"{_address(question)}&{urlencode({_KIND + part.path: kind})}",
            new=NEW,
        )

    def _papers(
        self, checked: Checked, status: int = 200, faults: Sequence[Diagnostic] = (), done: Issued | None = None
    ) -> Response:
        asked = [(fault, question_at(checked, fault.location.path)) for fault in faults]
        told = {"papers": _PAPERS, "issued": self._sitting.issued(), "faults": asked, "done": done}
        return self._page("papers.html.j2", checked, status, **told)

    def _broken(self, checked: Checked) -> Response:
        return self._page("broken.html.j2", checked, faults=checked.report.findings)

    def _page(self, name: str, checked: Checked, status: int = 200, **words: Any) -> Response:
        told = {
            "token": form_token(self._door),
            "address": _address,
            "left": missing_answers(checked.questions),
            "danger": [barred_words(one, checked.report.names) for one in checked.report.barred],
            "summary": summary_line(checked.report),
            "last": self._sitting.done[-1].told if self._sitting.done else "",
            "firm": checked.judged.description.organisation.name or "" if checked.judged else "",
            "name": checked.loaded.description.name,
        }
        return HTMLResponse(self._pages.get_template(name).render(told | words), status)


def _address(question: Question) -> str:
    about = urlencode([("about", one) for one in question.subject])
    return f"/ask/{question.id}?{about}"


def _asked(checked: Checked, request: Request) -> Question | None:
    """Return the question that an address names, as it is asked now."""
    return question_of(checked, request.path_params["question"], tuple(request.query_params.getlist("about")))


def _kinds(request: Request) -> Mapping[str, str]:
    given = request.query_params.multi_items()
    return {name.removeprefix(_KIND): kind for name, kind in given if name.startswith(_KIND)}


def _about_task(checked: Checked, question: Question) -> list[list[Line]]:
    """Return which masks protect in the tasks that a question is about, and which kinds would."""
    tasks = [part.partition(".")[2] for part in question.subject if part.startswith("tasks.")]
    return [list(block) for task in tasks for block in selection_lines(checked, task)]


def _by_section(checked: Checked) -> dict[str, list[Question]]:
    found: dict[str, list[Question]] = {}
    for question in checked.questions:
        found.setdefault(question.section, []).append(question)
    return found


def _in_words(choice: str) -> str:
    return choice.replace("-", " ")
