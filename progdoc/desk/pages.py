"""The pages of the desk: what each address shows, and what its form does."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from urllib.parse import urlencode

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from progdoc.app.accepted_cautions import ACCEPTED
from progdoc.app.adopted_duties import Duties, adopted_by_question, duties_adopted
from progdoc.app.answering import NOT_NAMED_ONLY, NOT_SO, TAKEN_OUT
from progdoc.app.answers_given import questions_answered
from progdoc.app.check import Checked
from progdoc.app.due import due, in_no_task
from progdoc.app.form_rows import AS_FIRST, whose
from progdoc.app.named_questions import questions_named
from progdoc.app.question_forms import (
    MISSING,
    NEW,
    Entry,
    Input,
    Kinds,
    Only,
    Part,
    Sheet,
    Typed,
    question_at,
    question_of,
    sheet_of,
    title_at,
)
from progdoc.app.selection_lines import figures, gear_in_tests, selection_lines, short_limits
from progdoc.app.whole_lists import ALL, wanted_whole, with_all
from progdoc.core.diagnostics import Diagnostic, worst_first
from progdoc.core.lines import Line
from progdoc.core.questions import Question, missing_answers
from progdoc.desk.guard import ATTACH, Door, by_address, guarded
from progdoc.desk.open_pages import HERE, OpenPages
from progdoc.desk.papers import COMPARED, Papers
from progdoc.desk.session import Sitting
from progdoc.desk.shown import Shown, address_of, site_of
from progdoc.desk.spoken import in_its_language

__all__ = ["desk_application"]

_KIND = "kind:"  # before the place of a group, in an address: which kind it is to be
_SEEN, _ASIDE, _AGAIN, _CHOOSING = "seen", "aside", "again", "choosing"  # what a form says beside its places
_LEVEL = "level"  # the question at which it is told which evidence an agent needs
_FIT = "fit-test-of-person"  # the question at which it is told what a test is made in
_RECORDED = ("medical", "fit_tests", "training")  # what is recorded of somebody before they are named for a task
_MORE = "more"  # what an address says where one more entry is about to be written


def desk_application(sitting: Sitting, door: Door, open_pages: OpenPages | None = None) -> ASGIApp:
    """Return the desk of one sitting, behind its door; `open_pages` is kept up to date."""
    shown = Shown(sitting, door)
    open_pages = open_pages or OpenPages()
    desk, papers = _Desk(shown), Papers(shown)
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
        Route("/papers", papers.list),
        Route("/papers/{name:path}", papers.paper),
        Route("/issue", papers.issue, methods=["POST"]),
        Route(ATTACH, papers.attach, methods=["POST"]),
        Route("/read/{name:path}", papers.read),
        Route("/compared", papers.compared),
        Route(COMPARED, papers.comparison),
        Route("/look/{name}", shown.look),
        Route(HERE, open_pages.told_by(shown), methods=["POST"]),
    ]
    inside = Starlette(routes=routes, exception_handlers=shown.faults)
    return in_its_language(guarded(open_pages.noticed(inside), door, by_address(shown.told), shown.told))


class _Desk:
    """The pages of questions and answers."""

    def __init__(self, shown: Shown) -> None:
        self._shown = shown
        self._sitting = shown.sitting

    # ---- what is shown ----------------------------------------------------------------------------------

    async def home(self, request: Request) -> Response:
        """Where one stands: what is asked next, and all that is open."""
        checked = await self._shown.understood()
        if isinstance(checked, Response):
            return checked
        return self._shown.page(
            "home.html.j2",
            checked,
            following=self._sitting.next_question(checked),
            sections=_by_section(checked),
            is_aside=self._sitting.is_aside,
            news=self._sitting.take_news(),
        )

    async def next(self, request: Request) -> Response:
        """The question that comes next."""
        checked = await self._shown.checked()
        following = self._sitting.next_question(checked) if checked.judged else None
        # Once all that is left was looked at, going on in a circle would help nobody.
        is_left = following is not None and not self._sitting.is_aside(following)
        return RedirectResponse(address_of(following) if following and is_left else "/", 303)

    async def ask(self, request: Request) -> Response:
        """One question."""
        checked = await self._shown.understood()
        if isinstance(checked, Response):
            return checked
        question = _asked(checked, request)
        if question is None:
            return RedirectResponse("/?gone", 303)
        sheet = sheet_of(checked, question, _kinds(request))
        return self._form(checked, sheet, {}, [], kinds=_kinds(request), is_more=_MORE in request.query_params)

    async def try_out(self, request: Request) -> Response:
        """Tell what an answer would mean, before it is written."""
        typed = await self._shown.typed(request)
        checked = await self._shown.checked()
        question = _asked(checked, request) if checked.judged and typed is not None else None
        if question is None or typed is None:
            return self._shown.told("no-page", 409)
        sheet = sheet_of(checked, question, _kinds(request))
        typed = with_all(typed, sheet.inputs)
        seen = await run_in_threadpool(self._sitting.tried, checked, sheet, typed)
        if isinstance(seen, list):
            return self._shown.page("tried.html.j2", checked, faults=worst_first(seen), was=0)
        return self._shown.page(
            "tried.html.j2",
            seen.checked,
            faults=(),
            was=missing_answers(checked.questions),
            meaning=seen.meaning,
            figures=_figures(seen.checked, question),
        )

    async def answers(self, request: Request) -> Response:
        """Every answer that was given, to be read over."""
        checked = await self._shown.understood()
        if isinstance(checked, Response):
            return checked
        return self._shown.page("answers.html.j2", checked, answered=tuple(questions_answered(checked)))

    async def work(self, request: Request) -> Response:
        """Every task with what protects in it."""
        checked = await self._shown.understood()
        if isinstance(checked, Response):
            return checked
        site = site_of(request, checked)
        *told, (caution,) = selection_lines(checked, site=site)
        tasks = [_with_reasons(block) for block in told]
        return self._shown.page("work.html.j2", checked, tasks=tasks, caution=caution, site=site, page="/work")

    async def due(self, request: Request) -> Response:
        """What falls due, with the question that records it."""
        checked = await self._shown.understood()
        if isinstance(checked, Response):
            return checked
        site = site_of(request, checked)
        outlook = due(checked, site=site)
        asked = {
            item.path: question_at(checked, item.path) for item in (*outlook.overdue, *outlook.soon, *outlook.later)
        }
        others = in_no_task(checked.judged) if checked.judged else {}
        record = [
            (name, [question_at(checked, f"{place}.{what}") for what in _RECORDED]) for place, name in others.items()
        ]
        return self._shown.page(
            "due.html.j2", checked, outlook=outlook, asked=asked, unnamed=record, site=site, page="/due"
        )

    # ---- what is done -----------------------------------------------------------------------------------

    async def take(self, request: Request) -> Response:
        """Write an answer down, or leave it for later."""
        typed = await self._shown.typed(request)
        if typed is None:
            return self._shown.told("sitting", 403)
        checked = await self._shown.checked()
        question = _asked(checked, request) if checked.judged else None
        if question is None:
            return RedirectResponse("/?gone", 303)
        if _ASIDE in typed:
            self._sitting.lay_aside(question)
            return RedirectResponse("/next", 303)
        sheet = sheet_of(checked, question, _kinds(request))
        typed = with_all(typed, sheet.inputs)
        if _CHOOSING in typed:  # another kind has other fields; what was typed into the rest stays
            return self._form(checked, sheet, typed, [], 200, _kinds(request))
        if typed.get(_SEEN) != (sheet.mark,):
            return self._form(checked, sheet, typed, [], 409, _kinds(request))
        done = await run_in_threadpool(self._sitting.answer, checked, sheet, typed)
        if isinstance(done, list):
            return self._form(checked, sheet, typed, done, 422, _kinds(request))
        further = request.url.include_query_params(**{_MORE: "yes"})
        return RedirectResponse(str(further) if _AGAIN in typed else "/next", 303)

    async def undo(self, request: Request) -> Response:
        """Take the last answer back."""
        if await self._shown.typed(request) is None:
            return self._shown.told("sitting", 403)
        done = await run_in_threadpool(self._sitting.take_back)
        if isinstance(done, list):
            return self._shown.page("refused.html.j2", await self._shown.checked(), 409, faults=done)
        return RedirectResponse("/", 303)

    # ---- beneath ----------------------------------------------------------------------------------------

    def _form(
        self,
        checked: Checked,
        sheet: Sheet,
        typed: Typed,
        faults: list[Diagnostic],
        status: int = 200,
        kinds: Mapping[str, str] | None = None,
        is_more: bool = False,
    ) -> Response:
        question = sheet.question
        duties = duties_adopted(checked, question.adopts, question.adopted_at)
        titles, names = dict(_titles(sheet.parts)), dict(zip(question.subject, question.names, strict=False))
        ticked = sheet.proposed if question.findings or is_more else {}
        said = {**ticked, **sheet.stands, **typed}
        is_of_masks = any(field.path.endswith(".masks") or ".masks[" in field.path for field in question.fields)
        return self._shown.page(
            "ask.html.j2",
            checked,
            status,
            question=question,
            parts=() if sheet.rows else sheet.parts,
            rows=sheet.rows,
            common=[part for part in sheet.parts if not any(part in row.parts for row in sheet.rows)],
            blanks=sheet.blanks,
            typed=said,
            proposed={path for path in ticked if path not in sheet.stands and path not in typed},
            filled={path for path, values in said.items() if any(values)},
            things=sheet.things,
            faults=[(sheet.field_of(fault, typed), fault) for fault in worst_first(faults)],
            at={sheet.field_of(fault, typed): fault for fault in reversed(faults)},
            titles=titles,
            whose=lambda path: names.get(whose(path, sheet.rows, sheet.blanks), "") if len(names) > 1 else "",
            titled=lambda path: titles.get(path) or ("", 0, title_at(re.sub(r"^\d+:", "", path))),
            ticked=sorted({one for part in sheet.inputs for one in part.field.values}, key=len, reverse=True),
            mark=sheet.mark,
            meant=sheet.meant,
            stood={part.path: sheet.stands[part.path] for part in sheet.inputs if part.path in sheet.stands},
            is_stale=status == 409,
            is_unchanged=status == 422 and not faults,
            protects=_about_task(checked, question) if is_of_masks else [],
            elsewhere=questions_named(checked, sheet),
            before=_before_masks(checked, question) if is_of_masks else [],
            figures=() if is_of_masks else _figures(checked, question),
            short=_told_before(checked, question),
            duties=duties,
            adopted_before=_adopted_before(checked, question),
            # Of a thing, such as a mask, the place begins with a dot: it is the one that is asked about.
            adopted={f"{next(iter(sheet.places), '')}{one}" if one[0] == "." else one for one in duties.places},
            is_more=is_more,
            can_repeat=any(field.kind == "group" and field.is_list for field in question.fields),
            is_kinds=lambda part: isinstance(part, Kinds),
            is_entry=lambda part: isinstance(part, Entry),
            has_entry=lambda parts: any(isinstance(part, Entry) for part in parts),
            in_short=lambda part: isinstance(part, Input) and not part.things and not part.field.is_list,
            has_fault=lambda parts: any(
                _is_within(sheet.field_of(fault, typed), part) for fault in faults for part in parts
            ),
            is_only=lambda part: isinstance(part, Only),
            is_at_fault=lambda part: any(_is_within(sheet.field_of(fault, typed), part) for fault in faults),
            choose=lambda part, kind, is_for_all=False: (
                f"{address_of(question)}&{urlencode(_choosing(sheet, kinds, part, kind, is_for_all))}"
            ),
            unchosen=[one for one in sheet.inputs if isinstance(one, Kinds) and not one.chosen],
            as_first=AS_FIRST,
            alike=lambda row: row.kinds == sheet.rows[0].kinds and "" not in row.kinds.values(),
            new=NEW,
            all_of=ALL,
            whole=wanted_whole(checked, sheet.inputs),
            missing=MISSING,
            taken_out=TAKEN_OUT,
            acceptance=ACCEPTED,
            not_so=NOT_SO,
            not_named_only=NOT_NAMED_ONLY,
            page_of=_page_of(question),
            is_aside=self._sitting.is_aside(question),
            news=self._sitting.take_news() if status == 200 else None,
        )


def _adopted_before(checked: Checked, question: Question) -> list[tuple[str, str, Duties]]:
    """Return each paragraph that was adopted where a question asks, with what that states."""
    found = adopted_by_question(checked).get(question.id, ())
    return [(one.paragraph, one.path, duties_adopted(checked, one.paragraph, one.path)) for one in found]


def _asked(checked: Checked, request: Request) -> Question | None:
    """Return the question that an address names, as it is asked now."""
    return question_of(checked, request.path_params["question"], tuple(request.query_params.getlist("about")))


def _kinds(request: Request) -> Mapping[str, str]:
    given = request.query_params.multi_items()
    return {name.removeprefix(_KIND): kind for name, kind in given if name.startswith(_KIND)}


def _choosing(
    sheet: Sheet, chosen: Mapping[str, str] | None, part: Kinds, kind: str, is_for_all: bool = False
) -> dict[str, str]:
    """Return of which kind each group is to be, as an address says it; for all those like it that have none yet."""
    inner = [part.path.removeprefix(row.place) for row in sheet.rows if part.path.startswith(f"{row.place}.")]
    groups = {one.path: one.chosen for one in sheet.inputs if isinstance(one, Kinds)}
    alike = [f"{row.place}{path}" for row in sheet.rows for path in inner if groups.get(f"{row.place}{path}") == ""]
    asked = {**dict.fromkeys(alike if is_for_all else (), kind), part.path: kind}
    return {f"{_KIND}{path}": one for path, one in {**(chosen or {}), **asked}.items()}


def _titles(parts: Iterable[Part], of: str = "", number: int = 0) -> Iterator[tuple[str, tuple[str, int, str]]]:
    """Yield the places of a form with what each is called: the list of its entry, the number there, its title."""
    for part in parts:
        if isinstance(part, Entry):
            yield from _titles(part.inputs, part.field.title, part.number)
        elif isinstance(part, Only):
            yield from _titles(part.inputs, of, number)
        else:
            yield part.path, (of, number, part.field.title)


def _is_within(place: str, part: Part) -> bool:
    """Whether a place is one of a part of a form, or in it."""
    inner = [one.path for one in part.inputs] if isinstance(part, Only) else [part.path]
    return place.startswith(tuple(inner))


def _tasks_of(checked: Checked, question: Question) -> list[str]:
    """Return the ids of the tasks that a question is about, or whose air."""
    hazards = {f"hazards.{one.id}": one.task for one in checked.judged.description.hazards} if checked.judged else {}
    named = [hazards.get(part) or part.removeprefix("tasks.") for part in question.subject]
    return [one for one, part in zip(named, question.subject, strict=True) if part.startswith(("tasks.", "hazards."))]


_Told = list[tuple[Line, list[Line]]]  # lines, each with the reasons for what it says


def _about_task(checked: Checked, question: Question) -> list[_Told]:
    """Return which masks protect in the tasks that a question is about, and which kinds would."""
    return [_with_reasons(next(iter(selection_lines(checked, task)))) for task in _tasks_of(checked, question)]


def _with_reasons(lines: Iterable[Line]) -> _Told:
    found: _Told = []
    for line in lines:
        if line.kind == "why" and found:
            found[-1][1].append(line)
        else:
            found.append((line, []))
    return found


def _before_masks(checked: Checked, question: Question) -> list[Question]:
    """Return what is not said of the air of the tasks that a question of masks is about."""
    tasks = set(_tasks_of(checked, question))
    return [
        one
        for one in checked.questions
        if one.is_danger and one.id != question.id and tasks.intersection(_tasks_of(checked, one))
    ]


def _figures(checked: Checked, question: Question) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return what is worked out for each task that a question is about, by its name."""
    names = checked.report.names
    asked = dict.fromkeys(_tasks_of(checked, question))
    return tuple((names.get(f"tasks.{task}", task), figures(checked, task)) for task in asked)


def _told_before(checked: Checked, question: Question) -> tuple[str, ...]:
    """Return what is said before anybody looks for an answer: what would have to be found out, or tested, again."""
    told = {_LEVEL: short_limits, _FIT: gear_in_tests}.get(question.id)
    return told(checked, question.subject) if told else ()


def _page_of(question: Question) -> str:
    """Return where in the program the answer is printed."""
    task = next((part.replace("tasks.", "task.", 1) for part in question.subject if part.startswith("tasks.")), "")
    return f"/papers/program.html#{task or question.section.replace('_', '-')}"


def _by_section(checked: Checked) -> dict[str, list[Question]]:
    found: dict[str, list[Question]] = {}
    for question in checked.questions:
        found.setdefault(question.section, []).append(question)
    return found
