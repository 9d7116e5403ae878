"""Program, verdicts and worked figures to the trees of the written program and of the annex beside it.

Templates say what the documents say; `section_renderer` renders them against the verdicts. Here their sections are put
in order, the annex filled, and everything numbered. The program is for the people who work by it, the annex for those
who look it over: each leads into the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from progdoc.core.errors import ProgdocError
from progdoc.core.late_dataclass import dataclass
from progdoc.core.paper_language import ENGLISH, Language, marked
from progdoc.core.picture import Picture
from progdoc.document.blocks.annex_blocks import annex_blocks
from progdoc.document.blocks.answers import answered_in, is_draft
from progdoc.document.blocks.attachment_blocks import attachment_blocks
from progdoc.document.blocks.firm_blocks import cover_blocks
from progdoc.document.blocks.legal_index import legal_index
from progdoc.document.blocks.own_section_blocks import at_least_in_its_section, own_sections, placed, without_a_place
from progdoc.document.blocks.selection_blocks import danger_alerts
from progdoc.document.blocks.translation_blocks import read_first
from progdoc.document.blocks.unused_blocks import unused_block
from progdoc.document.templating.section_renderer import SectionRenderer
from progdoc.document.templating.templates import OwnTemplateError, TemplateSet, no_whole
from progdoc.document.tree.cross_references import resolved_together
from progdoc.document.tree.nodes import Block, Document, RevisionEntry, Section, Table
from progdoc.rules.judged.result import Judged

__all__ = ["TITLE", "WrittenProgram", "is_draft", "written_program"]

TITLE = marked("Respiratory Protection Program")  # where the firm has none of its own


@dataclass(frozen=True, slots=True)
class WrittenProgram:
    """The two documents, and for each code the sections of the program that answer it.

    `faults` are those of a firm's own templates; while there are any, nothing here is for print.
    """

    program: Document
    annex: Document
    answers: Mapping[str, tuple[str, ...]]
    faults: tuple[OwnTemplateError, ...] = ()


def written_program(
    judged: Judged,
    templates: TemplateSet,
    checksums: Mapping[str, str] | None = None,
    pictures: Mapping[str, Picture] | None = None,
    language: Language = ENGLISH,
    in_english: WrittenProgram | None = None,
) -> WrittenProgram:
    """Return the written program and its annex.

    `checksums`: the SHA-256 of each attached file by its name in the package, where they are known.
    `pictures`: those of the attachments that the firm's own texts show, by id; where there is none, its words stand.
    `in_english`: the same in English, where it is at hand; what nobody uses is found in it alone.
    """
    if language.original and in_english is None:
        in_english = written_program(judged, templates, checksums, pictures)
    renderer = SectionRenderer(judged, templates, language)
    renderer.add({"attachments": attachment_blocks(judged.description, checksums or {})})
    own = own_sections(judged.description, pictures or {})
    sections: list[Section] = []
    for name in templates.sections:
        if name == "legal_index":
            sections = placed(sections, own)  # what is numbered next tells their numbers
            numbers = dict(_numbers(sections))
            renderer.add({"legal-index": legal_index(judged, answered_in(sections), sections, numbers)})
        sections += renderer.sections(f"sections/{name}")
    sections = placed(sections, own)
    answers = answered_in(sections)
    renderer.add(annex_blocks(judged, answers, dict(_numbers(sections))))
    annex: list[Section] = []
    for name in templates.annex:
        if name == "unused":  # the matrix names what was said, and says nothing with it
            printed = [s for s in (*sections, *annex) if s.id != "matrix"]
            renderer.add({"unused": _unused(in_english) if in_english else unused_block(judged, printed)})
        annex += [replace(s, is_annex=True) for s in renderer.sections(f"sections/{name}")]
    annex = placed(annex, own)
    sections = at_least_in_its_section(sections, own)
    sections += without_a_place(own)
    own_title = judged.printed(judged.description.program.title, "program.title") or TITLE
    title = language.say(TITLE) if own_title == TITLE else own_title
    first = read_first(judged, language)
    program = _document(judged, "program", title, [*first, *cover_blocks(judged), *sections], language)
    program = replace(program, contents_after="at-a-glance")
    of_program = language.say("Annex to the %(program)s", program=title)
    annex_first = read_first(judged, language, base="annex.translation")
    beside = _document(judged, "annex", of_program, [*annex_first, *annex], language)
    beside = replace(beside, history=())
    faults = list(renderer.faults)
    try:
        program, beside = resolved_together(program, beside)
    except ProgdocError as fault:
        if not templates.own:
            raise
        faults.append(no_whole(fault))
    return WrittenProgram(program, beside, answers, tuple(faults))


def _unused(written: WrittenProgram) -> tuple[Block, ...]:
    """Return what a program in English says that nobody uses: its words can be said again."""
    found = (block for block in written.annex.blocks if isinstance(block, Section) and block.id == "unused")
    return tuple(block for section in found for block in section.blocks if isinstance(block, Table))


def _document(judged: Judged, name: str, title: str, blocks: Iterable[Block], language: Language) -> Document:
    program = judged.description
    info = program.program
    officer = (judged.printed(getattr(program.officer, name), f"officer.{name}") for name in ("name", "phone"))
    return Document(
        id=name,
        title=title,
        organisation=judged.printed(program.organisation.name, "organisation.name"),
        revision=judged.printed(info.revision, "program.revision"),
        as_of=judged.as_of,
        draft=is_draft(judged),
        blocks=tuple(blocks),
        effective=language.date(info.effective) if info.effective else "",
        officer=", ".join(filter(None, officer)),
        open_texts=judged.open_texts,
        history=tuple(
            RevisionEntry(
                judged.printed(one.revision, f"program.history[{i}].revision"),
                language.date(one.date),
                judged.printed(one.by, f"program.history[{i}].by"),
                judged.printed(one.summary, f"program.history[{i}].summary"),
            )
            for i, one in enumerate(info.history)
        ),
        has_cover=True,
        paper=info.paper.value,
        shows_citations=info.citations,
        language=language.tag,
        keywords=(language.say("respiratory protection program"), "29 CFR 1910.134"),
        alerts=danger_alerts(judged),
    )


def _numbers(sections: Iterable[Block], above: str = "") -> Iterator[tuple[str, str]]:
    """Yield the number that each section will get, by its id, for references that print it alone."""
    for i, section in enumerate(block for block in sections if isinstance(block, Section)):
        number = f"{above}{i + 1}"
        yield section.id, number
        yield from _numbers(section.blocks, f"{number}.")
