"""Whether all revisions that were issued into a folder are still what was issued, and hold each other's digests.

Each is proved as `verified_revision` proves one; what several of them say of the same file is told once.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from progdoc.app.disk.issued_folder import issue_sheet
from progdoc.app.disk.manifest_files import digest
from progdoc.app.disk.verified_revision import Proof, told_links, verify
from progdoc.app.issue import IssueSheet
from progdoc.app.manifest import MANIFEST, SHEET
from progdoc.app.ssh_signature import SIGNATURE
from progdoc.core.diagnostics import Diagnostic, worst_first
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import long_date

__all__ = ["ProvedChain", "verify_all"]


@dataclass(frozen=True, slots=True)
class ProvedChain:
    """What could be proved of the revisions in a folder, in the order of their issue."""

    revisions: tuple[str, ...]  # a line each: number, day and digest
    faults: tuple[Diagnostic, ...]
    proved: tuple[str, ...]
    not_checked: tuple[str, ...]


def verify_all(
    folder: Path, written_down: str = "", again: bool = False, allowed: Path | None = None
) -> ProvedChain | None:
    """Return what the revisions below a folder are proved to be; None where it is a revision itself, or holds none.

    Parameters
    ----------
    written_down
        The digest that `issue` printed, if it is at hand: of the last revision it proves all before it.
    again
        Whether to make every file anew from the description that is frozen with it, and compare.
    allowed
        The file of the keys of those who may have signed: the last revision must be, and then all before it are proved.
    """
    found = [] if _is_a_set(folder) or not folder.is_dir() else [one for one in folder.iterdir() if _is_a_set(one)]
    sheets = {one: issue_sheet(one) for one in found}
    if not any(sheets.values()):
        return None
    found.sort(key=lambda one: (str(sheet.issued_on) if (sheet := sheets[one]) else "", one.name))
    proved = _digest_is_of(found, sheets, written_down) if written_down else ()
    last = _last_of(found, sheets)
    proofs = {
        one: verify(
            one,
            written_down if one in proved else "",
            again,
            allowed if one in last or (one / SIGNATURE).is_file() else None,
        )
        for one in found
    }
    links = tuple(told_links(link for proof in proofs.values() for link in proof.links))
    own = {one.name: [told for told in proof.proved if told not in links] for one, proof in proofs.items()}
    faults = {(fault.code, fault.location, fault.what): fault for one in found for fault in proofs[one].faults}
    return ProvedChain(
        tuple(_line(one, sheets[one], proofs[one]) for one in found),
        tuple(worst_first(list(faults.values()))),
        (*_told(own), *links),
        _told({one.name: proof.not_checked for one, proof in proofs.items()}),
    )


def _is_a_set(folder: Path) -> bool:
    return folder.is_dir() and any((folder / name).is_file() for name in (MANIFEST, SHEET))


def _digest_is_of(found: list[Path], sheets: dict[Path, IssueSheet | None], written_down: str) -> list[Path]:
    """Return the revision that has the digest; where none has it, the last ones, to be told that they have not."""
    named = [one for one in found if digest(one / MANIFEST) == written_down]
    return named or _last_of(found, sheets)


def _last_of(found: list[Path], sheets: dict[Path, IssueSheet | None]) -> list[Path]:
    """Return the revisions whose digest no other one holds."""
    held = {entry.revision for sheet in sheets.values() if sheet for entry in sheet.after}
    return [one for one in found if (sheet := sheets[one]) and sheet.revision not in held] or found[-1:]


def _line(folder: Path, sheet: IssueSheet | None, proof: Proof) -> str:
    day = f", issued {long_date(sheet.issued_on)}" if sheet else ""
    return f"{folder.name}{day}: {proof.manifest_sha256 or 'no manifest'}"


def _told(by_revision: Mapping[str, list[str]]) -> tuple[str, ...]:
    """Return every sentence once; where it is not true of all, with the revisions it is true of."""
    found: dict[str, list[str]] = {}
    for name, sentences in by_revision.items():
        for sentence in dict.fromkeys(sentences):
            found.setdefault(sentence, []).append(name)
    return tuple(
        sentence if len(names) == len(by_revision) else f"{', '.join(names)}: {sentence}"
        for sentence, names in found.items()
    )
