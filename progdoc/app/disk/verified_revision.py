"""Whether an issued revision is still what was issued, as far as what is at hand can prove it.

| what is asked | who is found out |
| --- | --- |
| files against the manifest | whoever altered, took away or added a file |
| the papers against each other | whoever rewrote the manifest too, and not all that tells the same |
| the chain | whoever rewrote a revision whole, while one that was issued later stands beside it |
| a digest that was written down | whoever rewrote anything of it |
| a signature | the same, but for the holder of the key |
| every file made again | whoever rewrote pages, and not the description that they follow from |
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import field
from pathlib import Path

from progdoc.app.agreement import (
    TELLING,
    contradictions,
    contradictions_of_description,
    made_again,
    why_not_made_again,
)
from progdoc.app.disk.description_files import check_path
from progdoc.app.disk.issued_folder import issue_sheet
from progdoc.app.disk.issued_rules import frozen_packs, packs_in
from progdoc.app.disk.manifest_files import digest, listed
from progdoc.app.disk.ordinary_files import content_of
from progdoc.app.disk.output_folder import State, verify_set
from progdoc.app.disk.refusals import cause_of
from progdoc.app.disk.signatures import NOT_ASKED, proved_signer
from progdoc.app.file_faults import FILE_FAULTS, file_fault
from progdoc.app.issue import DESCRIPTION, IssueSheet, Predecessor
from progdoc.app.manifest import MANIFEST, RESTRICTED, RESTRICTED_MANIFEST, SHEET, ManifestError, digest_of
from progdoc.app.ssh_signature import SIGNATURE
from progdoc.core.diagnostics import Audience, Diagnostic, Location, Severity, worst_first
from progdoc.core.late_dataclass import dataclass
from progdoc.model.yaml.yaml_file import readable

__all__ = ["Proof", "told_links", "verify"]

_RESTORE = "Restore the folder from a copy, or issue the next revision."


@dataclass(slots=True)
class Proof:
    """What could be proved of an issued revision, and what could not; `faults` are what is not as it was issued."""

    faults: list[Diagnostic] = field(default_factory=list)
    proved: list[str] = field(default_factory=list)
    not_checked: list[str] = field(default_factory=list)
    manifest_sha256: str = ""
    links: list[tuple[str, str]] = field(default_factory=list)  # of the chain: who holds whose digest


def verify(folder: Path, written_down: str = "", again: bool = False, allowed: Path | None = None) -> Proof:
    """Return what an issued revision is proved to be.

    Parameters
    ----------
    folder
        Of the revision, or of a copy of it that may lack `restricted/`.
    written_down
        The digest that `issue` printed, if it is at hand.
    again
        Whether to make every file anew from the description that is frozen with it, and compare.
    allowed
        The file of the keys of those who may have signed it.
    """
    proof = Proof()
    try:
        _prove(proof, folder, written_down, again, allowed)
        proof.proved += told_links(proof.links)
    except OSError as error:
        what, fix = f"{cause_of(error, folder)}.", "See that you may read it, and run the same command again."
        proof.faults.append(file_fault("ISSUE-014", _place(folder), what, fix))
    proof.faults = worst_first(proof.faults)
    return proof


def _prove(proof: Proof, folder: Path, written_down: str, again: bool, allowed: Path | None) -> None:
    told = _listed(folder)
    if told is not None and SHEET not in told:
        what, fix = f"{folder} holds no issued revision.", "Name the folder that `progdoc issue` made."
        proof.faults.append(file_fault("ISSUE-005", _place(folder), readable(what), fix))
        return
    proof.manifest_sha256 = digest(folder / MANIFEST)
    is_whole = _is_whole(folder, told)
    proof.faults += _faults_of_files(folder, told, is_whole)
    if not is_whole:
        proof.not_checked.append(
            f"{RESTRICTED} is not in this copy: neither the papers that name people nor the description were checked."
        )
    is_signed = _prove_signature(proof, folder, allowed)
    _prove_digest(proof, folder, written_down, is_signed)
    sheet = issue_sheet(folder)
    if sheet is None and not proof.faults:  # then the manifest was rewritten with it
        proof.faults.append(_altered("ISSUE-009", folder, SHEET, f"{SHEET} cannot be understood."))
    if sheet is None:
        return
    if not proof.faults:
        proof.proved.append("Every file is as its manifest says.")
    _prove_agreement(proof, folder, sheet)
    _prove_chain(proof, folder, sheet)
    if again:
        _prove_made_again(proof, folder, sheet)
    elif is_whole:
        proof.not_checked.append("Whether every page follows from the description: --again makes them anew.")


def _prove_agreement(proof: Proof, folder: Path, sheet: IssueSheet) -> None:
    """Hold the papers against each other; of what is known to be altered nothing more is said."""
    altered = {Path(fault.location.file) for fault in proof.faults}
    if folder / SHEET in altered:
        return
    at_hand = [name for name in TELLING if (folder / name).is_file() and folder / name not in altered]
    found = list(contradictions(sheet, {name: content_of(folder / name) for name in at_hand}))
    described = folder / DESCRIPTION
    is_described = described.is_dir() and not any(path.is_relative_to(described) for path in altered)
    if is_described:
        found += contradictions_of_description(sheet, check_path(described, sheet.issued_on, packs_in(folder)))
    proof.faults += [_altered("ISSUE-009", folder, name, what) for name, what in found]
    if not found and not altered:
        also = ", and so does the description" * is_described
        proof.proved.append(f"Its papers tell one number, one day and one set of rules{also}.")


# ---- files and digest ---------------------------------------------------------------------------------


def _listed(folder: Path) -> dict[str, str] | None:
    """Return what the manifests list: nothing where there is none, None where one can't be understood."""
    try:
        return listed(folder) or {}
    except ManifestError:
        return None


def _is_whole(folder: Path, told: dict[str, str] | None) -> bool:
    """Whether what names people is there, or ought to be; else it is a copy for those who are not to know them."""
    return (folder / RESTRICTED).is_dir() or not told or RESTRICTED_MANIFEST not in told


def _faults_of_files(folder: Path, told: dict[str, str] | None, is_whole: bool) -> Iterator[Diagnostic]:
    yield from _altered_files(folder, is_whole)
    if told is not None:
        yield from _foreign_files(folder, {*told, MANIFEST, SIGNATURE})
        yield from _left_out(folder, told, is_whole)


def _altered_files(folder: Path, is_whole: bool) -> Iterator[Diagnostic]:
    for difference in verify_set(folder):
        name = difference.name
        if difference.state is State.INTERRUPTED:
            what = f"{name}: a run that was interrupted has not put all its files in place."
            yield _altered("ISSUE-006", folder, name, what)
        elif difference.state is State.ALTERED:
            yield _altered("ISSUE-006", folder, name, f"{name} was altered after it had been issued.")
        elif is_whole or name != RESTRICTED_MANIFEST:
            yield _altered("ISSUE-007", folder, name, f"{name} is missing.")


def _foreign_files(folder: Path, known: set[str]) -> Iterator[Diagnostic]:
    for file in sorted(_files_below(folder)):
        name = file.relative_to(folder).as_posix()
        if name not in known:
            what = f"{name} does not belong to this revision."
            yield _altered("ISSUE-008", folder, name, what, "Move it elsewhere.")


def _left_out(folder: Path, told: dict[str, str], is_whole: bool) -> Iterator[Diagnostic]:
    """Find what every revision has and the manifests do not list: whoever took it away has rewritten them."""
    wanted = (SHEET, "gaps.json", RESTRICTED_MANIFEST, *(("restricted/gaps.json", DESCRIPTION) if is_whole else ()))
    for name in wanted if told else ():
        if not any(known == name or (name == DESCRIPTION and known.startswith(name)) for known in told):
            yield _altered("ISSUE-007", folder, name, f"{name} is not listed, and every revision has it.")


def _files_below(folder: Path) -> Iterator[Path]:
    """Yield whatever is no folder; a folder that can't be read is no reason to see nothing in it."""

    def refused(error: OSError) -> None:
        raise error

    for home, folders, files in os.walk(folder, onerror=refused):
        yield from (Path(home, name) for name in files)
        yield from (Path(home, name) for name in folders if Path(home, name).is_symlink())


def _prove_digest(proof: Proof, folder: Path, written_down: str, is_signed: bool) -> None:
    if not written_down:
        unseen = "what the holder of the key rewrote" if is_signed else "a revision that was rewritten whole"
        proof.not_checked.append(
            "The digest: give the one that was written down at issue after --sha256. Without it nobody can tell"
            f" {unseen}, manifest and all."
        )
    elif proof.manifest_sha256.startswith(written_down):
        given = "is the one" if len(written_down) == len(proof.manifest_sha256) else "begins with the digits"
        proof.proved.append(f"Its digest {given} that you gave: nothing of it was altered since that was taken.")
    else:
        what = f"The digest of this revision is {proof.manifest_sha256 or 'not to be had'}, not {written_down}."
        fix = (
            "See that it is the digest of this revision. If it is, somebody rewrote the folder: restore it from a copy."
        )
        proof.faults.append(_altered("ISSUE-010", folder, MANIFEST, what, fix))


def _prove_signature(proof: Proof, folder: Path, allowed: Path | None) -> bool:
    """Return whether it is signed by one who may."""
    if allowed is None:
        proof.not_checked += [NOT_ASKED] if (folder / SIGNATURE).is_file() else []
        return False
    signer = proved_signer(folder, allowed)
    if isinstance(signer, Diagnostic):
        proof.faults.append(signer)
        return False
    proof.proved.append(f"It is signed by {signer}: only who has that key can have altered anything since.")
    return True


# ---- the chain ----------------------------------------------------------------------------------------


def told_links(links: Iterable[tuple[str, str]]) -> Iterator[str]:
    """Yield who holds whose digest, each link once."""
    yield from (f"Revision {holder} holds the digest of revision {held}." for holder, held in dict.fromkeys(links))


def _prove_chain(proof: Proof, folder: Path, sheet: IssueSheet) -> None:
    beside = list(_revisions_beside(proof, folder))
    for _, later in beside:
        for entry in later.after:
            if entry.revision != sheet.revision:
                continue
            if entry.manifest_sha256 == proof.manifest_sha256:
                proof.links.append((later.revision, sheet.revision))
            else:
                what = (
                    f"Revision {later.revision}, issued after it, holds another digest of it: {entry.manifest_sha256}."
                )
                proof.faults.append(_altered("ISSUE-011", folder, MANIFEST, what))
    seen: set[str] = {sheet.revision}
    waiting = [(sheet.revision, entry) for entry in sheet.after]
    while waiting:
        holder, entry = waiting.pop(0)
        if entry.revision in seen:
            continue
        seen.add(entry.revision)
        found = [(earlier, its) for earlier, its in beside if its.revision == entry.revision]
        if not found:
            proof.not_checked.append(f"Revision {entry.revision}, issued before it, is not beside it to be read.")
        for earlier, its_sheet in found:
            proof.faults += _faults_of_earlier(earlier, entry, holder)
            waiting += [(entry.revision, before) for before in its_sheet.after]
        if found:
            proof.links.append((holder, entry.revision))


def _faults_of_earlier(earlier: Path, entry: Predecessor, holder: str) -> Iterator[Diagnostic]:
    found = digest(earlier / MANIFEST)
    if found != entry.manifest_sha256:
        what = f"Revision {entry.revision} has the digest {found}; revision {holder} holds {entry.manifest_sha256}."
        yield _altered("ISSUE-011", earlier, MANIFEST, what)
        return
    its_files = _listed(earlier)
    yield from _faults_of_files(earlier, its_files, _is_whole(earlier, its_files))


def _revisions_beside(proof: Proof, folder: Path) -> Iterator[tuple[Path, IssueSheet]]:
    """Yield the other revisions where this one lies; what may not be read there is no fault of this one."""
    try:
        entries = sorted(folder.resolve().parent.iterdir())
    except OSError as error:
        proof.not_checked.append(f"Revisions beside it: {cause_of(error, folder)}.")
        return
    for entry in entries:
        with suppress(OSError):
            sheet = issue_sheet(entry) if entry.is_dir() and not entry.samefile(folder) else None
            if sheet is not None:
                yield entry, sheet


# ---- made again ---------------------------------------------------------------------------------------


def _prove_made_again(proof: Proof, folder: Path, sheet: IssueSheet) -> None:
    fix = "Take the copy that holds all of it, and the progdoc it was made by."
    if not (folder / DESCRIPTION).is_dir():
        what = f"{DESCRIPTION} is not in this copy, so nothing can be made from it again."
        proof.faults.append(file_fault("ISSUE-013", _place(folder), what, fix))
        return
    packs = packs_in(folder)
    checked = check_path(folder / DESCRIPTION, sheet.issued_on, packs)
    why_not = why_not_made_again(sheet, checked)
    if why_not:
        proof.faults.append(file_fault("ISSUE-013", _place(folder), why_not, fix))
        return
    made = {name: digest_of(data) for name, data in made_again(sheet, checked, frozen_packs(packs))}
    told = {**(_listed(folder) or {}), MANIFEST: ""}
    different = [name for name in sorted(made.keys() | told.keys()) if made.get(name) != digest(folder / name)]
    for name in different:
        what = f"{name} is not what the description that it holds makes."
        proof.faults.append(_altered("ISSUE-012", folder, name, what))
    if not different:
        proof.proved.append("Made again from the description that it holds, every file is the same to the byte.")


def _place(path: Path) -> Location:
    return Location(readable(str(path)), 0, 0)


def _altered(code: str, folder: Path, name: str, what: str, fix: str = _RESTORE) -> Diagnostic:
    title, why = FILE_FAULTS[code]
    audience = Audience.RESTRICTED if name.startswith(RESTRICTED) else Audience.PUBLIC
    return Diagnostic(
        _place(folder / name), code, title, Severity.REQUIRED, readable(what), why, fix, audience=audience
    )
