"""The firm's own sections at their places, and the words that it defines.

A section goes where it was sent; one whose place is not printed in this program stands at the end of it, so that
nothing said is lost. Of which places there are the rules tell (`catalogue/tables/own_places.yaml`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from progdoc.core.picture import Picture
from progdoc.core.said import said
from progdoc.document.blocks.firm_blocks import bounds_of_own_words
from progdoc.document.tree.nodes import Block, Cell, Column, Figure, Row, Section, Table, Text
from progdoc.document.tree.own_text import own_text_blocks
from progdoc.model.description.own_texts import OwnFigure, OwnSection
from progdoc.model.description.program import Program

__all__ = [
    "OWN_TEXT_CALLS",
    "OwnPlace",
    "at_least_in_its_section",
    "definition_blocks",
    "own_sections",
    "placed",
    "without_a_place",
]

# A short name of a section that is called otherwise; in use since own sections could stand in fourteen places only.
_SHORT = {"filters": "filter-changes"}

# What the templates of a firm may still call from the time when own sections stood there: nothing is printed by them.
OWN_TEXT_CALLS = tuple(
    f"own.{place}"
    for place in (
        *("policy", "responsibilities", "selection", "medical", "fit-testing", "use", "emergencies", "cleaning"),
        *("storage", "inspection", "filters", "training", "evaluation", "records"),
    )
)


class OwnPlace(NamedTuple):
    """A section of the firm's, and where it is to stand."""

    way: str  # after, before or inside
    target: str
    section: Section


def own_sections(program: Program, pictures: Mapping[str, Picture]) -> list[OwnPlace]:
    """Return the firm's own sections in the order in which they were written."""
    return [_own(own, f"own_sections[{i}]", pictures) for i, own in enumerate(program.own_sections)]


def _own(own: OwnSection, path: str, pictures: Mapping[str, Picture]) -> OwnPlace:
    base = f"own.{own.id}"
    figures = {one.attachment: _figure(one, f"{base}.{one.attachment}", pictures) for one in own.figures}
    blocks = own_text_blocks(own.text, base, f"{path}.text", figures)
    way = next((way for way in ("after", "before", "inside") if getattr(own, way)), "")
    target = getattr(own, way) if way else ""
    target = _SHORT.get(target, target)
    if way == "after" and "." not in target:
        way = "inside"  # behind the text of a whole section it is a part of that
    return OwnPlace(way, target, Section(base, own.title, (*blocks, bounds_of_own_words(base))))


def _figure(one: OwnFigure, identity: str, pictures: Mapping[str, Picture]) -> Figure:
    picture = pictures.get(one.attachment, Picture("", b""))
    return Figure(identity, one.caption, one.alternative, "", picture.png, file=picture.file)


def placed(blocks: Sequence[Section], own: list[OwnPlace]) -> list[Section]:
    """Return sections with the firm's own among them; what found its place is taken out of the list."""
    found = tuple(block for block in _placed(blocks, own) if isinstance(block, Section))
    return list(found)


def _placed(blocks: Iterable[Block], own: list[OwnPlace]) -> Iterator[Block]:
    for block in blocks:
        if not isinstance(block, Section):
            yield block
            continue
        here: dict[str, list[OwnPlace]] = {"before": [], "inside": [], "after": []}
        for one in [one for one in own if one.target == block.id and one.way]:
            here[one.way].append(one)
            own.remove(one)
        yield from (_beside(one.section, block) for one in here["before"])
        inner = tuple(_placed(block.blocks, own)) if own else block.blocks
        yield replace(block, blocks=(*inner, *(one.section for one in here["inside"])))
        yield from (_beside(one.section, block) for one in here["after"])


def _beside(section: Section, other: Section) -> Section:
    return replace(section, is_annex=other.is_annex)


def at_least_in_its_section(sections: Sequence[Section], own: list[OwnPlace]) -> list[Section]:
    """Return sections with what was to stand at a part that is not printed: it stands at the end of the whole."""
    wider = [
        OwnPlace("inside", "selection" if head == "task" else head, one.section) for one in own if (head := _head(one))
    ]
    own[:] = [*wider, *(one for one in own if not _head(one))]
    return placed(sections, own)


def _head(one: OwnPlace) -> str:
    head, dot, _ = one.target.partition(".")
    return head if dot else ""


def without_a_place(own: Iterable[OwnPlace]) -> list[Section]:
    """Return the sections that are left, as one at the end of the program; nothing where none is."""
    left = tuple(one.section for one in own)
    return [Section("own-texts", said("Further texts of the firm"), left)] if left else []


def definition_blocks(program: Program) -> tuple[Block, ...]:
    """Return the table of words that the firm uses in a sense of its own."""
    rows = tuple(
        Row(
            f"definitions.row{i + 1}",
            (
                Cell((Text(one.term, f"definitions[{i}].term"),)),
                Cell((Text(one.means, f"definitions[{i}].means"),)),
            ),
        )
        for i, one in enumerate(program.definitions)
    )
    columns = (Column(said("Word"), 3), Column(said("What it means in this program"), 8))
    return (Table("definitions", said("Words of the firm's own"), columns, rows),) if rows else ()
