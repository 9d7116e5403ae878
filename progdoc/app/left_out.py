"""What was worked out and a firm's own templates no longer print: dangers, open points, tables, the masks of a task.

A firm may say it in its own words; what was worked out has no other words, so it is held by its place in the tree.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from progdoc.document.blocks.selection_blocks import masks_that_fail
from progdoc.document.papers.task_page import task_pages
from progdoc.document.papers.training_kit import training_pages
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import TemplateSet
from progdoc.document.tree.nodes import Answer, Document, Listing, Notice, OpenPoint, Section, Table
from progdoc.model.description.words import label_of
from progdoc.rules.judged.result import Judged

__all__ = ["left_out"]

_OF_MARKDOWN = re.compile(r"\.(?:table|note)(?:\.\d+)?")  # how the ids end of what a template wrote itself
_EXPLAINED = "explained"  # the words of the trade, for whoever wants them
_KIT, _TASK = "pages/training_kit.md.j2", "pages/task.md.j2"
_INNER = ("blocks", "items", "rows", "cells", "children")


def left_out(judged: Judged, templates: TemplateSet) -> Iterator[tuple[str, str]]:
    """Yield the title of a paper and what it lacks, in words; for each kind of paper the first of them."""
    ours, theirs = _papers(judged, templates.as_shipped()), _papers(judged, templates)
    for name, paper in ours.items():
        shown = _worked_out(theirs[name])
        missing = [words for key, words in _worked_out(paper).items() if key not in shown]
        before, after = _text(paper), _text(theirs[name])
        missing += [f"“{one}”" for one in dict.fromkeys(_gear(judged, name)) if one in before and one not in after]
        missing += [f"{_text(one)[:60].strip()} … as the first there" for one in _not_first(paper, theirs[name])]
        missing += [f"that “{one}” does not protect, and names it" for one in _failing(judged, name, before, after)]
        if missing:
            more = f", and {len(missing) - 1} more" if len(missing) > 1 else ""
            yield paper.title, f"{missing[0]}{more}"


def _papers(judged: Judged, templates: TemplateSet) -> dict[str, Document]:
    """Return the papers that the firm's templates have a part in."""
    found: dict[str, Document] = {}
    if any(not name.startswith("pages/") for name in templates.own):
        both = written_program(judged, templates)
        found |= {"program": both.program, "annex": both.annex}
    if any(name != _KIT for name in templates.own):
        found |= task_pages(judged, templates)[0]
    if any(name != _TASK for name in templates.own):
        found |= {f"kit {name}": one for name, one in training_pages(judged, templates)[0].items()}
    return found


def _worked_out(node: Any) -> dict[str, str]:
    """Return the parts of a paper that were worked out, by what they are, in words."""
    found: dict[str, str] = {}
    for one in _nodes(node):
        match one:
            case OpenPoint():
                found[one.href] = f"the open point {one.code}"
            case Notice() if not _OF_MARKDOWN.search(one.id):
                found[one.id] = f"“{_text(one)[:80].strip()}”"
            case Listing() if ".list" not in one.id:
                found[one.id] = f"“{_text(one)[:80].strip()}”"
            case Answer() if one.id.startswith("local-rules."):
                found[one.id] = f"the local rule {', '.join(one.codes)}"
            case Table() if not _OF_MARKDOWN.search(one.id) and one.id != _EXPLAINED:
                found[one.id] = f"the table “{one.caption or one.columns[0].title or one.id}”"
    return found


def _nodes(node: Any) -> Iterator[Any]:
    yield node
    for name in _INNER:
        inner = getattr(node, name, ())
        for one in inner if isinstance(inner, tuple) else ():
            yield from _nodes(one)


def _text(node: Any) -> str:
    return "".join(str(getattr(one, "text", "")) for one in _nodes(node))


def _gear(judged: Judged, name: str) -> Iterator[str]:
    """Yield the masks of the task of a page, and their filters, by the names that a page prints."""
    for use in (use for task in judged.description.tasks if task.id == name for use in task.masks):
        yield label_of(judged.index.masks[use.mask][1])
        yield from (label_of(judged.index.filters[part][1]) for part in use.filters)


def _not_first(ours: Document, theirs: Document) -> Iterator[Notice]:
    """Yield the dangers that open a part of ours and that something stands before in theirs: they are read first."""
    opening = {one.id for one in _opening(theirs)}
    yield from (one for one in _opening(ours) if one.id not in opening)


def _opening(paper: Document) -> Iterator[Notice]:
    for section in (one for one in _nodes(paper) if isinstance(one, Section)):
        first = section.blocks[0] if section.blocks else None
        if isinstance(first, Notice) and first.kind == "danger":
            yield first


def _failing(judged: Judged, name: str, before: str, after: str) -> Iterator[str]:
    """Yield the masks that do not protect in the task of a page, and that it names more often than ours."""
    for task, mask in masks_that_fail(judged):
        label = label_of(judged.index.masks[mask][1])
        if task == name and after.count(label) > before.count(label):
            yield label
