"""What a phone in the same network may see and do, once the desk was started so: the crew's task pages, three records.

It has a door of its own with a code for a key, and its application knows no other address: what belongs to the desk is
not there to be reached.
"""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Callable, Mapping, Sequence
from dataclasses import field

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ASGIApp, Scope

from progdoc.app.build import task_page
from progdoc.app.check import Checked
from progdoc.app.question_forms import choice_text, choices_at
from progdoc.app.record import Recorded
from progdoc.app.record_events import Event
from progdoc.core.late_dataclass import dataclass
from progdoc.core.paper_language import language_of
from progdoc.desk.guard import Door, Enter, guarded, let_in
from progdoc.desk.session import Sitting
from progdoc.desk.shown import HTML, SHOWN_ONLY, Shown
from progdoc.desk.spoken import in_its_language, spoken

__all__ = ["Code", "phone_application"]

_LETTERS = "23456789abcdefghjkmnpqrstuvwxyz"  # none that is read as another
_LENGTH = 8
_MOST_TRIES = 5  # wrong codes; then nobody comes in until the desk is started again

# What a phone may record, and what is told of each: the names of its fields, as `record` takes them.
_EVENTS: Mapping[str, tuple[str, ...]] = {
    "inspection": ("unit", "result", "by", "findings"),
    "face-change": ("who",),
    "filter-change": ("filter", "tasks", "by", "because"),
}
_NEEDED: Mapping[str, tuple[str, ...]] = {
    "inspection": ("unit", "result"),
    "face-change": ("who",),
    "filter-change": ("filter",),
}
_SAID = {
    "face-change": {"what": "fit-unacceptable"}
}  # why a mask leaks may be a matter of health, and is not asked here


def _drawn() -> str:
    return "".join(secrets.choice(_LETTERS) for _ in range(_LENGTH))


@dataclass(slots=True)
class Code:
    """The code that lets one phone in; then another is drawn, and shown where the desk was started."""

    shown: Callable[[str], None]
    valid: str = field(default_factory=_drawn)
    wrong: int = 0

    def takes(self, given: str) -> bool:
        """Whether this is the code; it is used up by that."""
        if self.wrong >= _MOST_TRIES:
            return False
        fits = hmac.compare_digest(given.strip().lower().encode(), self.valid.encode())
        if fits:
            self.valid, self.wrong = _drawn(), 0
            self.shown(self.valid)
        else:
            self.wrong += 1
        return fits

    @property
    def is_shut(self) -> bool:
        return self.wrong >= _MOST_TRIES


def phone_application(sitting: Sitting, door: Door, code: Code) -> ASGIApp:
    """Return what a phone reaches, behind its door."""
    shown = Shown(sitting, door)
    phone = _Phone(shown)
    routes = [
        Route("/", phone.home),
        Route("/tasks/{task}", phone.task),
        Route("/tasks/{task}/page", phone.paper),
        Route("/record/{kind}", phone.form),
        Route("/record/{kind}", phone.take, methods=["POST"]),
        Route("/look/{name}", shown.look),
    ]
    inside = Starlette(routes=routes, exception_handlers=shown.faults)
    return in_its_language(guarded(inside, door, _by_code(shown, door, code), shown.told))


def _by_code(shown: Shown, door: Door, code: Code) -> Enter:
    """Return what lets in whoever types the code."""

    async def asked(request: Request) -> Response:
        verb = request.method
        if verb == "GET":
            return shown.told("shut" if code.is_shut else "code", 200)
        async with request.form(max_files=0, max_fields=2) as form:
            given = form.get("code", "")
        if isinstance(given, str) and code.takes(given):
            return let_in(door)
        return shown.told("shut" if code.is_shut else "code-wrong", 403)

    outside = Starlette(
        routes=[Route("/enter", asked, methods=["GET", "POST"]), Route("/look/{name}", shown.look)],
        exception_handlers=shown.faults,
    )

    def entered(scope: Scope, door: Door) -> ASGIApp | None:
        return outside if scope["path"] == "/enter" or scope["path"].startswith("/look/") else None

    return entered


class _Phone:
    """The pages of the phone."""

    def __init__(self, shown: Shown) -> None:
        self._shown = shown

    async def home(self, request: Request) -> Response:
        """The tasks, and what can be recorded."""
        checked = await self._shown.understood()
        if isinstance(checked, Response):
            return self._shown.told("broken", 200)
        return self._home(checked, None)

    async def task(self, request: Request) -> Response:
        """The page of a task, with the way back above it; in every language that we have, whatever is printed."""
        checked = await self._shown.checked()
        tasks = {task.id: task.name or task.id for task in checked.judged.description.tasks} if checked.judged else {}
        name = request.path_params["task"]
        if name not in tasks:
            return self._shown.told("no-page", 404)
        return self._shown.page("phone_task.html.j2", checked, paper=f"/tasks/{name}/page", task=tasks[name])

    async def paper(self, request: Request) -> Response:
        """The page itself, as it hangs where the crew puts its masks on."""
        checked = await self._shown.checked()
        name, language = request.path_params["task"], language_of(spoken().language.code)
        made = await run_in_threadpool(task_page, checked, name, language) if checked.judged else None
        if made is None:
            return self._shown.told("no-page", 404)
        return Response(made, media_type=HTML, headers=SHOWN_ONLY)

    async def form(self, request: Request) -> Response:
        """What is to be told of an event."""
        return await self._form(request, {}, [])

    async def take(self, request: Request) -> Response:
        """Record an event of today."""
        typed = await self._shown.typed(request)
        kind = request.path_params["kind"]
        if typed is None or kind not in _EVENTS:
            return self._shown.told("sitting" if kind in _EVENTS else "no-page", 403 if kind in _EVENTS else 404)
        checked = await self._shown.checked()
        if checked.judged is None:
            return self._shown.told("broken", 409)
        offered = _offered(checked)
        given = {
            name: [one for one in typed.get(name, ()) if one in offered.get(name, (one,))] for name in _EVENTS[kind]
        }
        said = {name: ", ".join(values) for name, values in given.items()}
        missing = [name for name in _NEEDED[kind] if not said[name]]
        if missing:
            return await self._form(request, said, [], missing)
        told = {name: value for name, value in said.items() if value.strip()} | _SAID.get(kind, {})
        event = Event(kind, self._shown.sitting.day(), told)
        done = await run_in_threadpool(self._shown.sitting.record, event)
        if isinstance(done, list):
            return await self._form(request, said, [fault.what for fault in done])
        return self._home(done.checked, done)

    def _home(self, checked: Checked, done: Recorded | None) -> Response:
        tasks = checked.judged.description.tasks if checked.judged else ()
        offered = _offered(checked)
        kinds = [kind for kind in _EVENTS if _is_possible(kind, offered)]
        return self._shown.page("phone.html.j2", checked, tasks=tasks, done=done, kinds=kinds)

    async def _form(
        self, request: Request, said: Mapping[str, str], faults: Sequence[str], missing: Sequence[str] = ()
    ) -> Response:
        checked = await self._shown.checked()
        kind = request.path_params["kind"]
        if kind not in _EVENTS:
            return self._shown.told("no-page", 404)
        if checked.judged is None:
            return self._shown.told("broken", 200)
        offered = _offered(checked)
        return self._shown.page(
            "phone_record.html.j2",
            checked,
            422 if faults or missing else 200,
            kind=kind,
            said=said or {name: next(iter(one)) for name, one in offered.items() if len(one) == 1},
            faults=faults,
            missing=missing,
            offered=offered,
            is_possible=_is_possible(kind, offered),
        )


def _is_possible(kind: str, offered: Mapping[str, Mapping[str, str]]) -> bool:
    """Whether there is anything at all of which such an event could be told."""
    return all(offered[name] for name in _NEEDED[kind])


def _offered(checked: Checked) -> Mapping[str, Mapping[str, str]]:
    """Return what may be chosen in each field, by what it is called."""
    assert checked.judged is not None
    program = checked.judged.description
    return {
        "unit": {unit.id: f"{mask.name or mask.id}: {unit.id}" for mask in program.masks for unit in mask.units},
        "result": {one: choice_text(one) for one in choices_at("masks[].units[].inspections[].result")},
        "who": {one.id: one.name or one.id for one in program.people if one.left is None},
        "filter": {one.id: one.name or one.id for one in program.filters},
        "tasks": {one.id: one.name or one.id for one in program.tasks},
    }
