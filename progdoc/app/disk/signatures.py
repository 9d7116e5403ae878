"""Keys and signatures on the disk: read when they are needed, told with what to do where they won't do."""

from __future__ import annotations

from pathlib import Path

from progdoc.app.disk.ordinary_files import content_of
from progdoc.app.disk.placement import holding, put_file
from progdoc.app.disk.refusals import REFUSALS, cause_of, refusal
from progdoc.app.file_faults import FILE_FAULTS, file_fault
from progdoc.app.manifest import MANIFEST
from progdoc.app.ssh_signature import NAMESPACE, SIGNATURE, NotSignedError, Signer, allowed_keys, signed_by, signer_of
from progdoc.core.diagnostics import Diagnostic, Location, Severity
from progdoc.model.yaml.yaml_file import readable

__all__ = ["NOT_ASKED", "add_signature", "proved_signer", "signer_at"]

NOT_ASKED = "Its signature: give the file of the keys that may sign after --signed-by."


def signer_at(key: Path) -> Signer | Diagnostic:
    """Return a signer for the private key in a file, or why there is none."""
    itself = f"ssh-keygen -Y sign -n {NAMESPACE} -f {key} issued/revision-NUMBER/{MANIFEST}"
    fix = (
        "Name an Ed25519 key without a passphrase (`ssh-keygen -t ed25519` makes one). With any other, issue without"
        f" --sign-with, and sign by `{itself}`."
    )
    try:
        return signer_of(content_of(key))
    except OSError as error:
        return _fault("ISSUE-016", key, f"{cause_of(error, key)}.", "Name the file of your private key.")
    except NotSignedError as error:
        return _fault("ISSUE-016", key, f"{key} can't be signed with: {error}.", fix)
    except ImportError:
        return _library(key)


def add_signature(folder: Path, signer: Signer) -> Diagnostic | None:
    """Sign a revision that was issued before; return why not."""
    file = folder / SIGNATURE
    try:
        with holding(folder.parent) as place:
            signature = signer.sign(content_of(folder / MANIFEST))
            if not file.exists():
                put_file(place, file, signature)
            elif content_of(file) != signature:
                what, fix = f"{folder} was signed before, by another key.", "Keep it as it was issued."
                return _fault("ISSUE-018", file, what, fix)
    except REFUSALS as error:
        return refusal(folder, error)
    return None


def proved_signer(folder: Path, allowed: Path) -> str | Diagnostic:
    """Return by whom a revision was signed, as one of the keys that may; or why that can't be said."""
    try:
        keys = allowed_keys(content_of(allowed))
    except OSError as error:
        fix = "Name the file of the keys that may sign."
        return _fault("ISSUE-021", allowed, f"{cause_of(error, allowed)}.", fix)
    except NotSignedError as error:
        fix = "Write a line for each key, as `officer@firm.example ssh-ed25519 AAAA…`, or name the public key's file."
        return _fault("ISSUE-021", allowed, f"{allowed} can't be used: {error}.", fix)
    file = folder / SIGNATURE
    if not file.is_file():
        what, fix = (
            f"{folder.name} is not signed.",
            "Name the folder in which a later one lies that is signed, or ask for it signed.",
        )
        return _fault("ISSUE-019", file, what, fix, Severity.REQUIRED)
    try:
        return readable(signed_by(content_of(file), content_of(folder / MANIFEST), keys))
    except NotSignedError as error:
        what = f"The signature does not hold: {error}."
        fix = (
            "See that the file of keys is the right one. If it is, do not use this folder: ask for it anew. By hand:"
            f" `ssh-keygen -Y verify -f {allowed} -I WHO -n {NAMESPACE} -s {file} < {folder / MANIFEST}`."
        )
        return _fault("ISSUE-020", file, what, fix, Severity.REQUIRED)
    except ImportError:
        return _library(allowed)


def _library(place: Path) -> Diagnostic:
    what = "Signatures need the library `cryptography`, which is not installed."
    return _fault("ISSUE-017", place, what, "Type `pip install cryptography`, and run the same command again.")


def _fault(code: str, file: Path, what: str, fix: str, severity: Severity = Severity.INVALID) -> Diagnostic:
    place = Location(readable(str(file)), 0, 0)
    if severity is Severity.INVALID:
        return file_fault(code, place, readable(what), readable(fix))
    name, why = FILE_FAULTS[code]
    return Diagnostic(place, code, name, severity, readable(what), why, readable(fix))
