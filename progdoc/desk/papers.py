"""The papers at the desk: the program to read, the whole set to take away, and a revision to issue."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping, Sequence

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from progdoc.app.bound_papers import BINDER, binders_apart
from progdoc.app.build import FORMATS, build_files
from progdoc.app.check import Checked
from progdoc.app.disk.issued_folder import Issued
from progdoc.app.issue import faults_of_revision
from progdoc.app.manifest import whole
from progdoc.app.question_forms import question_at
from progdoc.core.diagnostics import Diagnostic, worst_first
from progdoc.core.paper_language import ENGLISH, language_of
from progdoc.desk.shown import HTML, SHOWN_ONLY, Shown, site_of

__all__ = ["COMPARED", "Papers"]

COMPARED = "/compared/paper"

_TYPES = {
    "html": HTML,
    "docx": "application/vnd.openxmlformats-officedocument.wordprocessingml.document",
    "pdf": "application/pdf",
    "md": "text/markdown; charset=utf-8",
    "csv": "text/csv; charset=utf-8",
    "json": "application/json",
    "ics": "text/calendar; charset=utf-8",
}
_SET = "set.zip"
_TO_READ = ("program.html", "annex.html", "gaps.html", "restricted/people.html", "restricted/gaps.html")
_BEGAN = (1980, 1, 1, 0, 0, 0)  # the earliest day a zip can tell: of one description the same bytes come, whenever


class Papers:
    """The pages about the papers."""

    def __init__(self, shown: Shown) -> None:
        self._shown = shown
        self._sitting = shown.sitting

    async def list(self, request: Request) -> Response:
        """Every paper of the set."""
        checked = await self._shown.understood()
        return checked if isinstance(checked, Response) else self._listed(checked)

    async def paper(self, request: Request) -> Response:
        """One paper, or all of them in one file."""
        name = request.path_params["name"]
        checked = await self._shown.understood()
        if isinstance(checked, Response):
            return checked
        ending = name.rpartition(".")[2]
        if name == _SET:
            site = site_of(request, checked)
            made = await run_in_threadpool(lambda: {n: whole(one) for n, one in build_files(checked, site=site)})
            stem = f"{_stem(checked)}-{site}" if site else _stem(checked)
            return Response(_zipped(made), media_type="application/zip", headers=_kept_as(f"{stem}.zip"))
        paper = await run_in_threadpool(_made, checked, name) if ending in _TYPES else None
        if paper is None:
            return self._shown.told("no-page", 404)
        headers = SHOWN_ONLY if ending == "html" else {} if ending == "pdf" else _kept_as(name.rpartition("/")[2])
        return Response(paper, media_type=_TYPES[ending], headers=headers)

    async def read(self, request: Request) -> Response:
        """A paper to read on the screen, with the way back above it."""
        checked = await self._shown.understood()
        if isinstance(checked, Response):
            return checked
        name = request.path_params["name"]
        of, code = _in_english(checked, name)
        task = _task_of(checked, of)
        if not task and of not in _TO_READ:
            return self._shown.told("no-page", 404)
        return self._shown.page("paper.html.j2", checked, paper=f"/papers/{name}", of=of, task=task, spoken_in=code)

    async def issue(self, request: Request) -> Response:
        """Freeze the description as it stands."""
        if await self._shown.typed(request) is None:
            return self._shown.told("sitting", 403)
        done = await run_in_threadpool(self._sitting.issue)
        checked = await self._shown.checked()
        if isinstance(done, list):
            return self._listed(checked, 422, worst_first(done))
        return self._listed(checked, done=done)

    async def attach(self, request: Request) -> Response:
        """Put a file beside the description."""
        typed, brought = await self._shown.sent(request)
        checked = await self._shown.understood()
        if isinstance(checked, Response):
            return checked
        if typed is None:
            return self._shown.told("sitting", 403)
        name, data = brought[0] if brought else ("", b"")
        title = " ".join(typed.get("title", ("",))[0].split())
        missing = [one for one, said in (("title", title), ("file", name)) if not said]
        if missing:
            return self._listed(checked, 422, missing=missing, titled=title)
        done = await run_in_threadpool(self._sitting.attach, title, name, data)
        checked = await self._shown.checked()
        return self._listed(checked, 422, done, titled=title) if isinstance(done, list) else self._listed(checked)

    async def compared(self, request: Request) -> Response:
        """What changed between two revisions, or since one, with the way back above it."""
        checked = await self._shown.understood()
        if isinstance(checked, Response):
            return checked
        if self._sides(request) is None:
            return self._shown.told("no-revision", 404)
        paper = f"{COMPARED}?{request.url.query}" if request.url.query else COMPARED
        of = "compared-named" if _is_named(request) else "compared"
        return self._shown.page("paper.html.j2", checked, paper=paper, of=of, task="", spoken_in="")

    async def comparison(self, request: Request) -> Response:
        """The paper itself."""
        sides = self._sides(request)
        if sides is None:
            return self._shown.told("no-revision", 404)
        made = await run_in_threadpool(self._sitting.compared, *sides)
        if isinstance(made, list):
            return self._shown.page("refused.html.j2", await self._shown.checked(), 409, faults=made)
        named = made.get("restricted/comparison.html") if _is_named(request) else None  # where nobody is left out: none
        return Response(named or made["comparison.html"], media_type=HTML, headers=SHOWN_ONLY)

    def _sides(self, request: Request) -> tuple[str, str | None] | None:
        """Return the two that are asked for: unless said otherwise, the last revision and what stands now."""
        issued = self._sitting.issued()
        old = request.query_params.get("old", issued[-1] if issued else "")
        new = request.query_params.get("new")
        return (old, new) if old in issued and new in (None, *issued) else None

    def _listed(
        self,
        checked: Checked,
        status: int = 200,
        faults: Sequence[Diagnostic] = (),
        done: Issued | None = None,
        missing: Sequence[str] = (),
        titled: str = "",
    ) -> Response:
        asked = [(fault, question_at(checked, fault.location.path)) for fault in faults]
        description = checked.judged.description if checked.judged else None
        refused = faults_of_revision(checked) if checked.judged else ()
        return self._shown.page(
            "papers.html.j2",
            checked,
            status,
            tasks=description.tasks if description else (),
            attachments=description.attachments if description else (),
            languages=[(code, language_of(code).called) for code in _more_languages(checked)],
            set=_SET,
            binders=[name.removesuffix(".pdf") for name in binders_apart(checked.judged)] if checked.judged else (),
            issued=self._sitting.issued(),
            faults=asked,
            refused=[(fault, question_at(checked, fault.location.path)) for fault in refused],
            done=done,
            missing=missing,
            titled=titled,
        )


def _made(checked: Checked, name: str) -> bytes | None:
    """Return one paper of the set; None where the set has no such one."""
    ending = name.rpartition(".")[2]
    is_binder = checked.judged is not None and name in (BINDER, *binders_apart(checked.judged))
    formats = (ending,) if ending in FORMATS and not is_binder else ()
    files = build_files(checked, formats, binder=is_binder)  # each is made when its turn comes: no more than needed
    return next((whole(content) for one, content in files if one == name), None)


def _in_english(checked: Checked, name: str) -> tuple[str, str]:
    """Return by which name a paper lies in the set in English, and the code of its language; "" where that is it.

    "tasks/es/scrape.html" is "tasks/scrape.html" in Spanish; `build` says where each lies.
    """
    steps = name.split("/")
    code = next((one for one in steps[:-1] if one in _more_languages(checked)), "")
    return "/".join(one for one in steps if one != code), code


def _more_languages(checked: Checked) -> tuple[str, ...]:
    """Return the codes of the languages in which there are papers beside English."""
    known = checked.judged.index.paper_languages if checked.judged else ()
    return tuple(code for code in known if code != ENGLISH.code)


def _task_of(checked: Checked, name: str) -> str:
    """Return what a task is called whose page is meant: "tasks/scrape.html"; "" for another paper."""
    tasks = checked.judged.description.tasks if checked.judged else ()
    return next((task.name or task.id for task in tasks if name == f"tasks/{task.id}.html"), "")


def _is_named(request: Request) -> bool:
    return request.query_params.get("names") == "yes"


def _stem(checked: Checked) -> str:
    revision = checked.report.revision or "draft"
    return "program-" + "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in revision)


def _kept_as(name: str) -> dict[str, str]:
    """Return what makes a browser save a paper; the names are our own, of letters, figures and hyphens."""
    return {"content-disposition": f'attachment; filename="{name}"'}


def _zipped(files: Mapping[str, bytes]) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in sorted(files.items()):
            packed.writestr(zipfile.ZipInfo(name, _BEGAN), data, zipfile.ZIP_DEFLATED)
    return held.getvalue()
