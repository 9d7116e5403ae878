"""What a code or a paragraph of the law asks, why, what satisfies it, and what to type."""

from __future__ import annotations

import difflib
import textwrap
from collections.abc import Iterator
from dataclasses import dataclass

from progdoc.app.attachments import ATTACHMENT_FAULTS
from progdoc.app.output_folder import FAULTS as OUTPUT_FAULTS
from progdoc.model.load import MODEL_FAULTS
from progdoc.model.people_columns import CSV_FAULTS
from progdoc.model.yaml_faults import YAML_FAULTS
from progdoc.rules.catalogue import Catalogue
from progdoc.rules.requirement import Requirement

__all__ = ["Explained", "explain", "explanation_text", "nearest"]


@dataclass(frozen=True, slots=True)
class Explained:
    """What was found under a code or a paragraph."""

    requirements: tuple[Requirement, ...] = ()
    elsewhere: tuple[tuple[str, str], ...] = ()  # paragraphs that no written program answers: (citation, reason)
    faults: tuple[tuple[str, str, str], ...] = ()  # faults of form: (code, name, why)

    def __bool__(self) -> bool:
        return bool(self.requirements or self.elsewhere or self.faults)


def _faults() -> dict[str, tuple[str, str]]:
    yaml = {code: (kind.name, kind.why) for code, kind in YAML_FAULTS.items()}
    return {**yaml, **MODEL_FAULTS, **CSV_FAULTS, **OUTPUT_FAULTS, **ATTACHMENT_FAULTS}


def explain(catalogue: Catalogue, wanted: str) -> Explained:
    """Return what is asked under a code ("FIT-002") or a paragraph ("(f)(2)", "29 CFR 1910.134(f)(2)")."""
    text = wanted.strip()
    code = text.upper()
    faults = _faults()
    if code in faults:
        return Explained(faults=((code, *faults[code]),))
    exact = tuple(r for r in catalogue.requirements if r.code == code)
    if exact:
        return Explained(exact)
    requirements = tuple(r for r in catalogue.requirements if any(_is_under(c, text) for c in r.citations))
    elsewhere = tuple(
        (str(n.citation), n.reason) for n in catalogue.not_for_the_program if _is_under(str(n.citation), text)
    )
    return Explained(requirements, elsewhere)


def _is_under(citation: str, wanted: str) -> bool:
    """Whether a citation is the wanted paragraph or one below it; "(f)(2)" means 1910.134 itself."""
    full = f"29 CFR 1910.134{wanted}" if wanted.startswith("(") else wanted
    return citation == full or (citation.startswith(full) and citation[len(full) :][:1] in ("(", ","))


def nearest(catalogue: Catalogue, wanted: str) -> list[str]:
    """Return codes and names that somebody who typed this may have meant."""
    known = {r.code: r.code for r in catalogue.requirements} | {r.name: r.code for r in catalogue.requirements}
    known |= {code: code for code in _faults()}
    near = difflib.get_close_matches(wanted.upper(), known, 3, 0.6) + difflib.get_close_matches(
        wanted.lower(), known, 3
    )
    return list(dict.fromkeys(known[name] for name in near))


def explanation_text(found: Explained, width: int) -> str:
    """Return the explanation for a terminal."""
    blocks = [_requirement_text(requirement, width) for requirement in found.requirements]
    blocks += [
        "\n".join([f"{citation}: not a matter of the written program", *_wrapped("", reason, width)])
        for citation, reason in found.elsewhere
    ]
    blocks += ["\n".join([f"{code}  {name}", *_wrapped("why", why, width)]) for code, name, why in found.faults]
    return "\n\n".join(blocks) + "\n"


def _requirement_text(requirement: Requirement, width: int) -> str:
    lines = [f"{requirement.code}  {requirement.name}  ({requirement.severity}, {requirement.scope})"]
    lines += _wrapped("asks", requirement.duty, width)
    lines += _wrapped("law", "; ".join(requirement.citations), width)
    lines += _wrapped("since", requirement.in_force_from.isoformat(), width)
    lines += _wrapped("why", requirement.why, width)
    lines += _wrapped("reads", ", ".join(requirement.reads), width)
    lines += _wrapped("fix", requirement.fix, width)
    lines += [f"            {line}" for line in requirement.example.splitlines()]
    return "\n".join(lines)


def _wrapped(label: str, text: str, width: int) -> Iterator[str]:
    yield from (
        textwrap.wrap(
            text,
            width,
            initial_indent=f"  {label:<6}  ",
            subsequent_indent=" " * 10,
            break_long_words=False,
            break_on_hyphens=False,
        )
        if text
        else ()
    )
