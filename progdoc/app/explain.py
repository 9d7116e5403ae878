"""What a code or a paragraph of the law asks, why, what satisfies it, and what to type: on the terminal or as pages."""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import date
from itertools import groupby

from progdoc.app.file_faults import FILE_FAULTS
from progdoc.app.manifest import ManifestInfo, with_manifests
from progdoc.core.late_dataclass import dataclass
from progdoc.core.lines import Line
from progdoc.core.paragraphs import MAIN_STANDARD, is_under, steps_of
from progdoc.core.report_order import section_of
from progdoc.core.version import __version__
from progdoc.document.blocks.explanation import facts_of
from progdoc.document.papers.explanation_pages import explanation_pages
from progdoc.document.templating.templates import shipped_templates
from progdoc.model.people_table.people_columns import CSV_FAULTS
from progdoc.model.shape_faults import MODEL_FAULTS
from progdoc.model.yaml.yaml_faults import YAML_FAULTS
from progdoc.rules.reading.catalogue import Catalogue
from progdoc.rules.reading.pack_faults import PACK_FAULTS
from progdoc.rules.requirement import Requirement
from progdoc.writers import WRITERS

__all__ = ["Explained", "explain", "explanation_files", "explanation_lines", "nearest"]

_LONGEST = 200  # characters of what is asked for: no code and no paragraph has as many
_IN_FULL = 3  # duties that are told in full; of more, a line each


@dataclass(frozen=True, slots=True)
class Explained:
    """What was found under a code or a paragraph."""

    requirements: tuple[Requirement, ...] = ()
    elsewhere: tuple[tuple[str, str], ...] = ()  # paragraphs that no written program answers: (citation, reason)
    faults: tuple[tuple[str, str, str], ...] = ()  # faults of form: (code, name, why)
    answered_by: Mapping[str, tuple[str, ...]] | None = None  # by code: the sections that answer it
    note: str = ""

    def __bool__(self) -> bool:
        return bool(self.requirements or self.elsewhere or self.faults)


def _faults() -> dict[str, tuple[str, str]]:
    yaml = {code: (kind.name, kind.why) for code, kind in YAML_FAULTS.items()}
    return {**yaml, **CSV_FAULTS, **MODEL_FAULTS, **PACK_FAULTS, **FILE_FAULTS}


def explain(catalogue: Catalogue, wanted: str) -> Explained:
    """Return what is asked under a code ("FIT-002"), a name, or a paragraph ("(f)(2)", "f2", "App. B-2")."""
    if len(wanted) > _LONGEST:
        return Explained()
    code, faults = wanted.strip().upper(), _faults()
    if code in faults:
        return Explained(faults=((code, *faults[code]),))
    named = tuple(r for r in catalogue.requirements if code in (r.code, r.name.upper()))
    if named:
        return _with_sections(named)
    steps = steps_of(wanted)
    if steps == (MAIN_STANDARD,):
        return Explained()
    found = _under(catalogue, steps)
    if found or not steps[1:] or not steps[1].startswith("appendix"):
        return found
    # The parts of an appendix are answered as a whole: look for the nearest part above that is.
    for end in range(len(steps) - 1, 1, -1):
        if above := _under(catalogue, steps[:end], exactly=True):
            note = f"{wanted.strip()} is not answered by itself, but as part of this:"
            return Explained(above.requirements, above.elsewhere, answered_by=above.answered_by, note=note)
    return found


def _under(catalogue: Catalogue, steps: tuple[str, ...], exactly: bool = False) -> Explained:
    def fits(citation: str) -> bool:
        place = steps_of(citation)
        return place == steps if exactly else is_under(place, steps)

    elsewhere = tuple((str(n.citation), n.reason) for n in catalogue.not_for_the_program if fits(str(n.citation)))
    return _with_sections(tuple(r for r in catalogue.requirements if any(map(fits, r.citations))), elsewhere)


def _with_sections(requirements: tuple[Requirement, ...], elsewhere: tuple[tuple[str, str], ...] = ()) -> Explained:
    sections = shipped_templates().answered_by(r.code for r in requirements)
    return Explained(requirements, elsewhere, answered_by=sections)


def nearest(catalogue: Catalogue, wanted: str) -> list[str]:
    """Return codes, names and paragraphs that somebody who typed this may have meant."""
    if len(wanted) > _LONGEST:
        return []
    known = {r.code: r.code for r in catalogue.requirements} | {r.name: r.code for r in catalogue.requirements}
    known |= {code: code for code in _faults()}
    near = difflib.get_close_matches(wanted.upper(), known, 3, 0.6) + difflib.get_close_matches(
        wanted.lower(), known, 3
    )
    return list(dict.fromkeys([known[name] for name in near] or _nearest_paragraphs(catalogue, steps_of(wanted))))


def _nearest_paragraphs(catalogue: Catalogue, steps: tuple[str, ...]) -> list[str]:
    """Return the paragraph above one that does not exist, and its last neighbours."""
    places = {steps_of(c): c for r in catalogue.requirements for c in r.citations}
    for end in range(len(steps) - 1, 1, -1):
        beside = [place for place in places if place[:end] == steps[:end] and len(place) == end + 1]
        close = difflib.get_close_matches(steps[end], [place[-1] for place in beside], 2, 0)
        above = [places[steps[:end]]] if steps[:end] in places else []
        if above or beside:
            return [*above, *(places[place] for last in close for place in beside if place[-1] == last)][:3]
    return []


# ---- in words -------------------------------------------------------------------------------------------


def explanation_lines(found: Explained) -> Iterator[list[Line]]:
    """Return the explanation for a terminal."""
    if found.note:
        yield [Line(found.note, is_typed=True)]
    is_long = len(found.requirements) > _IN_FULL
    if is_long:
        yield from _overview(found.requirements)
    for requirement in () if is_long else found.requirements:
        yield list(_requirement_lines(requirement, found.answered_by or {}))
    for citation, reason in found.elsewhere:
        yield [Line(f"{citation}: not a matter of the written program", is_typed=True), _labelled("", reason)]
    for code, name, why in found.faults:
        yield [Line(f"{code}  {name}", is_typed=True), _labelled("Why", why)]


def _overview(requirements: tuple[Requirement, ...]) -> Iterator[list[Line]]:
    """Yield one line a code, by the sections that ask for it; the one with the most of them is what was meant."""
    size = Counter(map(_section, requirements))
    family = Counter(map(_family, requirements))
    ordered = sorted(requirements, key=lambda r: (-size[_section(r)], _section(r), -family[_family(r)], r.code))
    told = f"{len(requirements)} duties, each in a line. What satisfies one, why, and what to type:"
    yield [Line(told), Line(f"progdoc explain {ordered[0].code}", "  ", is_typed=True)]
    for section, found in groupby(ordered, _section):
        yield [Line(section, is_typed=True), *(Line(r.duty, f"  {r.code}  ", " " * 11) for r in found)]


def _family(requirement: Requirement) -> str:
    """Return what the code begins with: most duties of a paragraph have the same."""
    return requirement.code.partition("-")[0]


def _section(requirement: Requirement) -> str:
    return section_of(str(requirement.citation))


def _requirement_lines(requirement: Requirement, answered_by: Mapping[str, tuple[str, ...]]) -> Iterator[Line]:
    head = f"{requirement.code}  {requirement.name}  ({requirement.severity}, {requirement.scope})"
    yield Line(head, is_typed=True)
    for fact in facts_of(requirement, answered_by):
        yield _labelled(fact.label, "; ".join(line.rstrip(".") for line in fact.lines) + ".")
    for line in requirement.example.splitlines():
        yield Line(line, " " * 17, is_typed=True)


def _labelled(label: str, text: str) -> Line:
    return Line(text, f"  {label:<11}  ", " " * 15)


# ---- as pages -------------------------------------------------------------------------------------------


def explanation_files(catalogue: Catalogue, as_of: date) -> dict[str, bytes]:
    """Return every page of the catalogue by its file name, and the manifest that lists them."""
    sections = shipped_templates().answered_by(r.code for r in catalogue.requirements)
    pages = explanation_pages(catalogue.requirements, catalogue.not_for_the_program, sections, _faults(), as_of)
    files = {f"{name}.html": WRITERS["html"](page) for name, page in pages.items()}
    rules = f"{catalogue.pack} {catalogue.version}"
    return with_manifests(files, ManifestInfo(revision="", on=as_of, version=__version__, rules_version=rules))
