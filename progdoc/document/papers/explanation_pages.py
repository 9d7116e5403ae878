"""The catalogue as pages for the browser: an index by paragraph, a page a group of paragraphs, the faults of form."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date

from progdoc.core.citations import Citation
from progdoc.core.paragraphs import MAIN_STANDARD, sort_key, steps_of
from progdoc.document.blocks.explanation import facts_of
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    Block,
    Cell,
    Column,
    Document,
    Formula,
    Inline,
    Link,
    Listing,
    ListItem,
    Paragraph,
    Row,
    Section,
    Strong,
    Table,
    Text,
)
from progdoc.rules.requirement import NotForTheProgram, Requirement

__all__ = ["explanation_pages", "page_of"]

Faults = Mapping[str, tuple[str, str]]  # by code: name, and why it is a fault

_INTRO = (
    "What progdoc asks, taken from the catalogue of requirements it judges by. It is a finding aid in our own words, "
    "not the law: the text of the law stands in the electronic Code of Federal Regulations. Nothing here certifies "
    "anything; the law, the maker's instructions and the authority having jurisdiction come first."
)


def explanation_pages(
    requirements: Iterable[Requirement],
    elsewhere: Iterable[NotForTheProgram],
    answered_by: Mapping[str, tuple[str, ...]],
    faults: Faults,
    as_of: date,
) -> dict[str, Document]:
    """Return the pages by file name without an ending; "index" leads to all of them."""
    asked = tuple(requirements)
    groups: dict[str, list[Requirement]] = {}
    for requirement in asked:
        groups.setdefault(page_of(requirement.citation), []).append(requirement)
    pages = {
        name: _page(name, _title(found[0].citation), tuple(_explained(r, answered_by) for r in _numbered(found)), as_of)
        for name, found in groups.items()
    }
    pages["faults"] = _page("faults", "When a description or a pack of rules can't be used", _faults(faults), as_of)
    pages["index"] = _page("index", "What the rules ask", _index(asked, elsewhere, faults), as_of)
    return dict(sorted(pages.items()))


def page_of(citation: Citation) -> str:
    """Return the page that explains a paragraph: one for each lettered paragraph and each appendix."""
    standard, *steps = steps_of(str(citation))
    if MAIN_STANDARD in citation.source.short and standard == MAIN_STANDARD and steps:
        return steps[0].replace(" ", "-") if steps[0].startswith("appendix") else f"paragraph-{steps[0]}"
    return re.sub(r"[^a-z0-9]+", "-", citation.source.short.lower()).strip("-")


def _title(citation: Citation) -> str:
    name = page_of(citation)
    if name.startswith("paragraph-"):
        return f"{citation.source.short}({name.removeprefix('paragraph-')})"
    if name.startswith("appendix-"):
        return f"{citation.source.short}, Appendix {name.removeprefix('appendix-').upper()}"
    return citation.source.short


def _page(name: str, title: str, blocks: tuple[Block, ...], as_of: date) -> Document:
    intro: tuple[Block, ...] = (Paragraph("about", (Text(_INTRO),)),)
    if name != "index":
        intro = (Paragraph("up", (Link("index.html", (Text("All paragraphs and codes"),)),)),)
    return resolved(
        Document(
            id=f"explain.{name}",
            title=title,
            organisation="",
            revision="",
            as_of=as_of,
            draft=False,
            blocks=(*intro, *blocks),
            keywords=("respiratory protection", "29 CFR 1910.134"),
        )
    )


# ---- one requirement ------------------------------------------------------------------------------------


def _numbered(found: Iterable[Requirement]) -> Iterable[tuple[Requirement, str]]:
    """Yield each requirement with its anchor; a code that changed with time has one for each word of it."""
    seen: dict[str, int] = {}
    for requirement in found:
        code = requirement.code
        seen[code] = seen.get(code, 0) + 1
        yield requirement, code if seen[code] == 1 else f"{code}.{seen[code]}"


def _explained(numbered: tuple[Requirement, str], answered_by: Mapping[str, tuple[str, ...]]) -> Section:
    requirement, anchor = numbered
    rows = tuple(
        Row(f"{anchor}.{fact.label.lower().replace(' ', '-')}", (Cell((Text(fact.label),)), Cell(_lines(fact.lines))))
        for fact in facts_of(requirement, answered_by)
    )
    blocks: list[Block] = [Table(f"{anchor}.facts", "", (Column("", 2), Column("", 10)), rows, has_header=False)]
    if requirement.example:
        blocks.append(Paragraph(f"{anchor}.type", (Strong((Text("To type, for example:"),)),)))
        blocks.append(Formula(f"{anchor}.example", requirement.example))
    return Section(anchor, f"{requirement.code} {requirement.name.replace('-', ' ')}", tuple(blocks))


def _lines(lines: tuple[str, ...]) -> tuple[Inline, ...]:
    return (Text(" · ".join(lines)),)


# ---- the index ------------------------------------------------------------------------------------------


def _index(
    requirements: Iterable[Requirement], elsewhere: Iterable[NotForTheProgram], faults: Faults
) -> tuple[Block, ...]:
    asked: dict[str, dict[str, Requirement]] = {}
    for requirement in requirements:
        for citation in requirement.citations:
            asked.setdefault(citation, {})[requirement.code] = requirement
    reasons = {str(entry.citation): entry.reason for entry in elsewhere}
    places = sorted({*asked, *reasons}, key=_order)
    rows = tuple(
        Row(f"at.{i + 1}", (Cell((Text(place),)), Cell(tuple(_codes(asked.get(place, {}), reasons.get(place, ""))))))
        for i, place in enumerate(places)
    )
    columns = (Column("Paragraph", 4), Column("What is asked", 10))
    fault_items = tuple(_fault_item(code, name) for code, (name, _) in sorted(faults.items()))
    return (
        Section("by-paragraph", "By paragraph", (Table("paragraphs", "", columns, rows),)),
        Section("by-fault", "Faults of form", (Listing("fault-list", False, fault_items),)),
    )


def _order(place: str) -> tuple[object, ...]:
    steps = steps_of(place)
    is_main = "1910.134" in place
    return (not is_main, "" if is_main else place, sort_key(steps), place)


def _codes(found: Mapping[str, Requirement], reason: str) -> Iterable[Inline]:
    """Yield a line for each code, and why a paragraph is answered by no written program."""
    first = True
    for code, requirement in sorted(found.items()):
        if not first:
            yield Text("; ")
        first = False
        yield Link(f"{page_of(requirement.citation)}.html#{code}", (Text(code),))
        yield Text(f" {requirement.duty.rstrip('.')}")
    if reason:
        yield Text(f"{'; ' if found else ''}Not a matter of the written program. {reason}")


def _fault_item(code: str, name: str) -> ListItem:
    words = (Link(f"faults.html#{code}", (Text(code),)), Text(f" {name.replace('-', ' ')}"))
    return ListItem(f"fault.{code}", (Paragraph(f"fault.{code}.p", words),))


def _faults(faults: Faults) -> tuple[Block, ...]:
    return tuple(
        Section(code, f"{code} {name.replace('-', ' ')}", (Paragraph(f"{code}.why", (Text(why),)),))
        for code, (name, why) in sorted(faults.items())
    )
