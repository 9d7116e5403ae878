"""The documents of a judged description, as a set of files ready to be put in place: the use case behind `build`."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import overload

from progdoc.app.attachments import attached_files, pictures
from progdoc.app.bound_papers import bound, bound_apart, labels_to_print
from progdoc.app.check import Checked, with_look
from progdoc.app.due import calendar_of
from progdoc.app.manifest import Content, ManifestInfo, Parts, and_manifests, sha256, whole
from progdoc.app.of_site import elsewhere_than, is_done_at, judged_at
from progdoc.core.diagnostics import Diagnostic
from progdoc.core.look import Look
from progdoc.core.paper_language import ENGLISH, Language, marked
from progdoc.core.public_report import public_part
from progdoc.core.report import Report
from progdoc.core.version import __version__
from progdoc.document.blocks.annex_blocks import matrix_rows
from progdoc.document.blocks.translation_blocks import in_each, more_languages, read_first
from progdoc.document.papers.forms import crew_forms, form_documents
from progdoc.document.papers.gap_report import gap_document, gap_documents
from progdoc.document.papers.handouts import handout_documents
from progdoc.document.papers.people_annex import annex_documents
from progdoc.document.papers.person_card import each_card
from progdoc.document.papers.task_page import task_documents
from progdoc.document.papers.training_kit import training_documents
from progdoc.document.papers.written_program import WrittenProgram, written_program
from progdoc.document.templating.templates import own_templates
from progdoc.document.tree.gap_links import linked_to
from progdoc.document.tree.in_a_folder import in_a_folder
from progdoc.document.tree.nodes import Document
from progdoc.model.description.program import Program
from progdoc.rules.judged.result import Judged
from progdoc.writers import WRITERS, WRITERS_BESIDE_MANY
from progdoc.writers.assignment_csv import assignment_csv_parts
from progdoc.writers.csv_table import csv_bytes
from progdoc.writers.diagnostics_json import report_json, report_json_parts

__all__ = ["FORMATS", "build", "build_files", "built", "built_files", "manifest_info", "task_page"]

FORMATS = ("md", "html", "docx", "pdf")
_MANY = 2_000  # people: to start a process for each PDF costs next to nothing beside the papers about them


@overload
def build(
    checked: Checked, formats: Iterable[str] = FORMATS, *, binder: bool = False, pdf_forms: bool = False
) -> dict[str, bytes]: ...


@overload
def build(
    checked: Checked,
    formats: Iterable[str] = FORMATS,
    *,
    look: Mapping[str, bytes],
    binder: bool = False,
    pdf_forms: bool = False,
) -> dict[str, bytes] | list[Diagnostic]: ...


def build(
    checked: Checked,
    formats: Iterable[str] = FORMATS,
    *,
    look: Mapping[str, bytes] | None = None,
    binder: bool = False,
    pdf_forms: bool = False,
) -> dict[str, bytes] | list[Diagnostic]:
    """Return every file of the set by name, manifests included: what `progdoc build` writes into a folder.

    With a look that can't be worn, every fault of it instead.

    Parameters
    ----------
    checked
        What `check` returned; it must have been understood.
    formats
        Of the program: md, html, docx, pdf.
    look
        The firm's own look, in place of the one that the description names: the files of its folder by name.
    binder
        Whether everything comes bound, too: `binder.pdf`, its parts in `binder/`, and who is named apart.
    pdf_forms
        Whether the forms come as PDF, too, to be filled in on the screen.
    """
    if look is not None:
        checked = with_look(checked, look)
        if checked.judged is None:
            return list(checked.report.findings)
    return {name: whole(content) for name, content in build_files(checked, formats, binder, pdf_forms=pdf_forms)}


def build_files(
    checked: Checked,
    formats: Iterable[str] = FORMATS,
    binder: bool = False,
    site: str | None = None,
    *,
    apart: bool = False,
    pdf_forms: bool = False,
) -> Iterator[tuple[str, Content]]:
    """Yield every file of the set, each made when it is asked for, the manifests last; the rest: see `built`."""
    files = built(checked, formats, binder, site, apart=apart, pdf_forms=pdf_forms)
    return and_manifests(files, manifest_info(checked))


def manifest_info(checked: Checked) -> ManifestInfo:
    """Return what the manifest says a set was made from."""
    report = checked.report
    rules = f"{report.rules_pack} {report.rules_version}"
    return ManifestInfo(report.revision, report.on, __version__, rules, checked.worn.checksums)


def built_files(checked: Checked, formats: Iterable[str] = FORMATS) -> dict[str, bytes]:
    """Return the set without its manifests, as `built` makes it."""
    return {name: whole(content) for name, content in built(checked, formats)}


def built(
    checked: Checked,
    formats: Iterable[str] = FORMATS,
    binder: bool = False,
    site: str | None = None,
    *,
    apart: bool = False,
    pdf_forms: bool = False,
) -> Iterator[tuple[str, Content]]:
    """Yield the set without its manifests: the program, its gaps, the matrix, task pages, what is restricted.

    There is a card for each person: files are made when they are asked for, so that whoever puts one away before he
    asks for the next holds a single one. With a site, of the pages for the crew and of the papers about people only
    those of what is done there; the program is one for the whole firm. `apart`: of many people each PDF is set in a
    process of its own, which takes its memory with it; whoever asks for it runs in a Python that can be started again.
    `pdf_forms`: the forms come as PDF, too.
    """
    judged, formats = checked.judged, tuple(formats)
    if judged is None:
        raise ValueError("a description with faults of form has no documents")
    program = judged.description
    attached = attached_files(checked.loaded)
    templates = own_templates(checked.worn.look.templates)
    written, report = _written(checked)
    document, answers = written.program, written.answers
    public = public_part(report)
    fillable = ("docx", "html", "pdf") if pdf_forms else ("docx", "html")
    writers = WRITERS_BESIDE_MANY if apart and len(program.people) > _MANY else WRITERS

    def of_site(pages: Mapping[str, Document]) -> dict[str, Document]:
        return {task: page for task, page in pages.items() if is_done_at(judged, task, site)}

    def dressed(paper: Document) -> Document:
        return _dressed(paper, program, checked.worn.look)

    def printed(name: str, paper: Document) -> bytes:
        return writers[name](dressed(paper))

    def whole_program(*kinds: str) -> Iterator[tuple[str, bytes]]:
        for name in kinds:
            for paper in (written.program, written.annex):
                yield f"{paper.id}.{name}", printed(name, linked_to(paper, "md" if name == "md" else "html"))

    yield from whole_program(*(name for name in formats if name != "pdf"))
    organisation = program.organisation.name or ""
    size = program.program.paper.value
    elsewhere = elsewhere_than(judged, site)
    at_site = judged_at(judged, site)
    gaps = gap_document(public, organisation, document.draft, size)
    yield "gaps.html", printed("html", gaps)
    yield "gaps.md", printed("md", gaps)
    yield "gaps.json", report_json(public)
    yield "matrix.csv", csv_bytes(_matrix(judged, answers))
    pages = task_documents(judged, templates)
    for task, page in of_site(pages).items():
        for name in dict.fromkeys(("html", *formats)):
            if name != "md":
                yield f"tasks/{task}.{name}", printed(name, page)
    for language in more_languages(judged):
        pages = task_documents(judged, templates, language)
        for task, page in of_site(pages).items():
            for name in dict.fromkeys(("html", *formats)):
                if name != "md":
                    yield f"tasks/{language.code}/{task}.{name}", printed(name, page)
        for name, form in form_documents(judged, language).items():
            for ending in fillable:
                yield f"forms/{name}.{ending}", printed(ending, form)
    for name, form in form_documents(judged).items():
        for ending in fillable:
            yield f"forms/{name}.{ending}", printed(ending, form)
    languages = (ENGLISH, *more_languages(judged))
    for language in languages:
        for name, sheet in crew_forms(judged, language, elsewhere):
            for ending in fillable:
                yield f"restricted/forms/{name}.{ending}", printed(ending, sheet.document)
    handouts = {name: paper for language in languages for name, paper in handout_documents(judged, language).items()}
    training = {
        name: kit for language in languages for name, kit in training_documents(judged, templates, language).items()
    }
    to_read = {"handouts": handouts, "training": training}
    for folder, papers in to_read.items():
        for name, paper in papers.items():
            for ending in dict.fromkeys(("docx", "html", *formats)):
                if ending != "md":
                    yield f"{folder}/{name}.{ending}", printed(ending, paper)
    # The typesetter looks through what it keeps of long papers each time it sets another: they come last.
    yield from whole_program(*(name for name in formats if name == "pdf"))
    for name, part in gap_documents(report, organisation, document.draft, size):
        yield f"restricted/{name}.html", printed("html", part)
    yield "restricted/gaps.json", Parts(report_json_parts(report))
    yield "restricted/calendar.ics", Parts(calendar_of(at_site))
    for name, part in annex_documents(at_site, elsewhere=elsewhere):
        yield f"restricted/{name}.html", printed("html", part)
    for language in more_languages(judged):
        yield from _in_language(checked, language, formats, dressed, written)
        yield f"restricted/{language.code}/calendar.ics", Parts(calendar_of(at_site, language=language))
        for name, part in annex_documents(at_site, language, elsewhere):
            yield f"restricted/{language.code}/{name}.html", printed("html", part)
    yield "restricted/assignments.csv", Parts(assignment_csv_parts(at_site))
    for person, card in each_card(judged, elsewhere):
        yield f"restricted/cards/{person}.html", printed("html", card)
    yield from attached.items()
    if binder:
        groups: dict[str, dict[str, Document]] = {}
        for one in more_languages(judged):
            groups[_tab(marked("The program and its annex"), one)] = _to_bind(checked, one, written)
        for one in languages:
            groups[_tab(marked("Task pages"), one)] = of_site(task_documents(judged, templates, one))
        for one in languages:
            groups[_tab(marked("Forms"), one)] = _in_one_folder(form_documents(judged, one))
        groups[in_each("Handouts", judged)] = _in_one_folder(handouts)
        groups[in_each("Training", judged)] = _in_one_folder(training)
        yield from bound(judged, checked.loaded, written.program, written.annex, groups, dressed)
        yield from bound_apart(at_site, written.program, dressed, elsewhere)
        yield from labels_to_print(judged, dressed(written.program), elsewhere)


def _in_language(
    checked: Checked,
    language: Language,
    formats: Iterable[str],
    dressed: Callable[[Document], Document],
    in_english: WrittenProgram,
) -> Iterator[tuple[str, bytes]]:
    """Yield what is for who runs the program, once more in a language: program, annex, gap reports."""
    judged = checked.judged
    if judged is None:
        return
    folder, program = language.code, judged.description
    written, report = _written(checked, language, in_english)
    for name in formats:
        for paper in (written.program, written.annex):
            linked = linked_to(paper, "md" if name == "md" else "html")
            yield f"{folder}/{paper.id}.{name}", WRITERS[name](dressed(linked))
    firm, size, draft = program.organisation.name or "", program.program.paper.value, written.program.draft
    first = read_first(judged, language)
    duties = {one.code: one.duty for one in judged.requirements}
    gaps = dressed(gap_document(public_part(report), firm, draft, size, language, first, duties))
    yield f"{folder}/gaps.html", WRITERS["html"](gaps)
    yield f"{folder}/gaps.md", WRITERS["md"](gaps)
    for name, part in gap_documents(report, firm, draft, size, language, first, duties):
        yield f"restricted/{folder}/{name}.html", WRITERS["html"](dressed(part))


def _tab(title: str, language: Language) -> str:
    """Return the title of a tab in the language of its papers, whose code it names where that is not English."""
    return f"{language.say(title)} ({language.code})" if language.original else title


def _in_one_folder(papers: Mapping[str, Document]) -> dict[str, Document]:
    """Return papers by names that lie in one folder: "es-kit" of "es/kit"."""
    return {name.replace("/", "-"): paper for name, paper in papers.items()}


def _to_bind(checked: Checked, language: Language, in_english: WrittenProgram) -> dict[str, Document]:
    """Return program and annex in a language, by the names that they have in the binder."""
    written, _ = _written(checked, language, in_english)
    return {
        f"{language.code}-{paper.id}": in_a_folder(paper, language.code) for paper in (written.program, written.annex)
    }


def _written(
    checked: Checked, language: Language = ENGLISH, in_english: WrittenProgram | None = None
) -> tuple[WrittenProgram, Report]:
    """Return the program in a language, and the report of what it answers and leaves open."""
    judged = checked.judged
    if judged is None:
        raise ValueError("a description with faults of form has no documents")
    checksums = {name: sha256(content) for name, content in attached_files(checked.loaded).items()}
    templates = own_templates(checked.worn.look.templates)
    written = written_program(judged, templates, checksums, pictures(checked.loaded), language, in_english)
    return written, judged.report(__version__, written.answers)


def task_page(checked: Checked, task: str, language: Language = ENGLISH) -> bytes | None:
    """Return the page of a task as HTML in a language; None where there is no such task."""
    if checked.judged is None:
        raise ValueError("a description with faults of form has no documents")
    page = task_documents(checked.judged, own_templates(checked.worn.look.templates), language).get(task)
    program = checked.judged.description
    return WRITERS["html"](_dressed(page, program, checked.worn.look)) if page else None


def _dressed(document: Document, program: Program, look: Look) -> Document:
    """Return a document in the firm's own look; its paper is that of the description, where that names one."""
    is_named = "paper" in program.program.model_fields_set
    return replace(document, look=look, paper=document.paper if is_named or not look.paper else look.paper)


def _matrix(judged: Judged, answers: Mapping[str, tuple[str, ...]]) -> Iterable[tuple[str, ...]]:
    yield ("code", "paragraph", "duty", "status", "answered in", "evidence")
    for requirement, status, places, evidence in matrix_rows(judged, answers):
        yield (
            requirement.code,
            "; ".join(requirement.citations),
            requirement.duty,
            status.value,
            "; ".join(places),
            evidence,
        )
