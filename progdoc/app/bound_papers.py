"""The papers of a build once more, bound: one PDF, and a folder of its parts in their order; who is named, apart."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from itertools import islice

from progdoc.app.attachments import attached_files
from progdoc.app.manifest import sha256
from progdoc.document.blocks.translation_blocks import in_each, more_languages
from progdoc.document.papers.binder import Binder, attachment_sheet, contents_page, public_binder, restricted_binder
from progdoc.document.papers.mask_labels import Label, labels
from progdoc.document.papers.people_annex import annex_document
from progdoc.document.papers.person_card import each_card
from progdoc.document.tree.gap_links import linked_to
from progdoc.document.tree.in_a_folder import in_a_folder
from progdoc.document.tree.nodes import Document
from progdoc.model.load import Loaded
from progdoc.rules.judged.result import Judged
from progdoc.writers import WRITERS

__all__ = ["BINDER", "binders_apart", "bound", "bound_apart", "labels_to_print"]

Dress = Callable[[Document], Document]  # puts on a document the look of the firm
Groups = Mapping[str, Mapping[str, Document]]  # papers by their name, by the title of their tab

BINDER = "binder.pdf"
_CARDS_IN_A_VOLUME = 50  # a file is set in one piece: the memory for that does not grow with the firm
_LABELS_IN_A_FILE = 200
_MOST_IN_PRINT = 250  # people, in the annex that lists them all; where there are more it is read on the screen


def bound(
    judged: Judged, loaded: Loaded, program: Document, annex: Document, groups: Groups, dress: Dress
) -> Iterator[tuple[str, bytes]]:
    """Yield binder.pdf, and what lies in the folder beside it: the parts in their order, attached files as they are.

    Parameters
    ----------
    groups
        The papers other than program and annex, in their order.
    dress
        Puts on a document the look of the firm.
    """
    from progdoc.writers.pdf import pdf_bytes

    files = attached_files(loaded)
    sheets = dict(_sheets(judged, loaded, files, program))
    binder = public_binder(judged, program, annex, {**groups, in_each("Attachments", judged): sheets})
    yield BINDER, _printed(binder, dress, "")
    yield "binder/00-contents.html", WRITERS["html"](dress(contents_page(judged, binder, "../binder.pdf")))
    papers = [paper for tab in binder.tabs for paper in tab.papers]
    places = {paper.document.id: paper.file for paper in papers}
    names = {document.id: f"attachments/{name}" for name, document in sheets.items()}
    for paper in papers:
        is_attached = paper.document.id in names
        file = files[names[paper.document.id]] if is_attached else b""
        yield (
            f"binder/{paper.file}",
            file if is_attached else pdf_bytes(dress(linked_to(paper.document, "html", "../")), places),
        )


def bound_apart(
    judged: Judged, program: Document, dress: Dress, elsewhere: frozenset[str] = frozenset()
) -> Iterator[tuple[str, bytes]]:
    """Yield the binder that names workers: the annex of people and the card of everybody, so many in a volume.

    `elsewhere`: subjects that belong to other sites alone, and are left out.
    """
    cards = each_card(judged, elsewhere)
    count, names = _count(judged, elsewhere), binders_apart(judged, elsewhere)
    for number, name in enumerate(names, 1):
        people = _people(judged, elsewhere) if number == 1 and count <= _MOST_IN_PRINT else {}
        some = dict(islice(cards, _CARDS_IN_A_VOLUME))
        if people or some:
            volume = f"{number} / {len(names)}" if len(names) > 1 else ""
            yield name, _printed(restricted_binder(judged, people, some, volume, program), dress, "../")


def binders_apart(judged: Judged, elsewhere: frozenset[str] = frozenset()) -> tuple[str, ...]:
    """Return by which names the volumes of the binder that names workers are made."""
    volumes = max(1, -(-_count(judged, elsewhere) // _CARDS_IN_A_VOLUME))
    return tuple(f"restricted/binder{f'-{number}' if number > 1 else ''}.pdf" for number in range(1, volumes + 1))


def _count(judged: Judged, elsewhere: frozenset[str]) -> int:
    return sum(f"people.{person.id}" not in elsewhere for _, person in judged.index.present)


def _people(judged: Judged, elsewhere: frozenset[str]) -> dict[str, Document]:
    """Return the annex of people by its name in the binder, in each language that the firm names."""
    found = {"people": annex_document(judged, elsewhere=elsewhere)}
    for language in more_languages(judged):
        annex = annex_document(judged, language=language, elsewhere=elsewhere)
        found[f"{language.code}-people"] = in_a_folder(annex, language.code)
    return found


def labels_to_print(
    judged: Judged, program: Document, elsewhere: frozenset[str] = frozenset()
) -> Iterator[tuple[str, bytes]]:
    """Yield the cards and labels to cut out, so many in a file."""
    from progdoc.writers.labels_pdf import labels_pdf

    cards, others = in_each("Cards for the pocket", judged), in_each("Labels for boxes and shelves", judged)
    notice = in_each("Names workers: keep what is not handed out locked away.", judged)
    if program.draft:
        notice = f"{in_each('DRAFT', judged)}. {notice}"
    made = labels(judged, elsewhere)
    number = 0
    while some := list(islice(made, _LABELS_IN_A_FILE)):
        number += 1
        sheets: dict[str, list[Label]] = {cards: [], others: []}
        for one in some:
            sheets[cards if one.is_card else others].append(one)
        filled = [(title, found) for title, found in sheets.items() if found]
        file = labels_pdf(in_each("Cards and labels", judged), notice, filled, program)
        yield f"restricted/labels{f'-{number}' if number > 1 else ''}.pdf", file


def _sheets(
    judged: Judged, loaded: Loaded, files: Mapping[str, bytes], program: Document
) -> Iterator[tuple[str, Document]]:
    """Yield the sheet of each attached file by its name among them."""
    by_id = {name.removeprefix("attachments/").partition(".")[0]: name for name in files}
    for attachment in loaded.program.attachments if loaded.program else ():
        if attachment.id in by_id:
            name = by_id[attachment.id]
            picture = _picture(files[name])
            sheet = attachment_sheet(judged, attachment, name, sha256(files[name]), picture, program)
            yield name.removeprefix("attachments/"), sheet


def _picture(content: bytes) -> bytes:
    """Return an attached picture as it can be printed; nothing where the file is none."""
    from progdoc.writers.logo import LogoError
    from progdoc.writers.photo import photo_png

    try:
        return photo_png(content)
    except LogoError:
        return b""


def _printed(binder: Binder, dress: Dress, folder: str) -> bytes:
    from progdoc.writers.binder_pdf import binder_pdf

    def worn(document: Document) -> Document:
        return dress(linked_to(document, "html", folder))

    tabs = (
        replace(tab, papers=tuple(replace(paper, document=worn(paper.document)) for paper in tab.papers))
        for tab in binder.tabs
    )
    return binder_pdf(replace(binder, cover=dress(binder.cover), tabs=tuple(tabs)))
