"""A detached signature of a revision, by an Ed25519 key (RFC 8032) in the forms of OpenSSH (its PROTOCOL.sshsig).

Signed is the manifest, which lists every file: so one signature stands for all of it, and for the revisions before it
whose digests it holds. Whoever has no progdoc proves it with `ssh-keygen -Y verify`. A key is read when it is needed
and kept nowhere; one behind a passphrase is none of ours to open: `ssh-keygen -Y sign` makes the very same file.
"""

from __future__ import annotations

import hashlib
from base64 import b64decode, b64encode
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from progdoc.app.manifest import MANIFEST
from progdoc.core.errors import ProgdocError
from progdoc.core.late_dataclass import dataclass

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

__all__ = ["NAMESPACE", "SIGNATURE", "AllowedKey", "NotSignedError", "Signer", "allowed_keys", "signed_by", "signer_of"]

SIGNATURE = f"{MANIFEST}.sig"  # as `ssh-keygen -Y sign` names it
NAMESPACE = "progdoc-revision"  # what is signed for this stands for nothing else, and nothing else for this
_KIND = b"ssh-ed25519"
_MAGIC, _VERSION = b"SSHSIG", 1
_HASHES = {b"sha256": hashlib.sha256, b"sha512": hashlib.sha512}
_BEGIN, _END = b"-----BEGIN SSH SIGNATURE-----\n", b"\n-----END SSH SIGNATURE-----"
_LINE = 70  # characters, as ssh-keygen breaks them: the same key and revision give the same bytes
_LENGTH = 4  # bytes before a string, which say how long it is
_OTHER_KINDS = ("ssh-", "ecdsa-", "sk-")  # how the names of all kinds of keys begin


class NotSignedError(ProgdocError):
    """A signature that does not hold, or a key that can't sign; the text says why."""


@dataclass(frozen=True, slots=True)
class Signer:
    """Somebody's key, ready to sign, and the fingerprint by which people tell keys apart."""

    sign: Callable[[bytes], bytes]
    fingerprint: str


@dataclass(frozen=True, slots=True)
class AllowedKey:
    """Whose key it is, and under which condition of ours to leave to others to weigh, "" for none."""

    who: str
    condition: str = ""


def signer_of(key_file: bytes) -> Signer:
    """Return a signer for an OpenSSH private key without a passphrase.

    Raises
    ------
    NotSignedError
        If it is no such key.
    ImportError
        If the library is not installed.
    """
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.serialization import load_ssh_private_key

    try:
        key = load_ssh_private_key(key_file, password=None)
    except TypeError:
        raise NotSignedError("it is behind a passphrase") from None
    except (ValueError, UnsupportedAlgorithm):
        raise NotSignedError("it is no private key in the form of OpenSSH") from None
    if not isinstance(key, Ed25519PrivateKey):
        raise NotSignedError("it is no Ed25519 key")
    public = _string(_KIND) + _string(key.public_key().public_bytes_raw())
    held = key_file.partition(b"KEY-----")[2].partition(b"-----END")[0]
    if public not in b64decode(held):  # a byte of it changed, and it would sign as somebody nobody knows
        raise NotSignedError("it is damaged: the public key in it is another one's")
    return Signer(lambda message: _signature(key, public, message), _fingerprint(public))


def _signature(key: Ed25519PrivateKey, public: bytes, message: bytes) -> bytes:
    name, algorithm = NAMESPACE.encode(), b"sha512"
    signature = _string(_KIND) + _string(key.sign(_to_be_signed(name, b"", algorithm, message)))
    fields = (public, name, b"", algorithm, signature)
    blob = _MAGIC + _VERSION.to_bytes(_LENGTH) + b"".join(map(_string, fields))
    coded = b64encode(blob)
    lines = (coded[start : start + _LINE] for start in range(0, len(coded), _LINE))
    return _BEGIN + b"\n".join(lines) + _END + b"\n"


def allowed_keys(file: bytes) -> dict[bytes, AllowedKey]:
    """Return who may sign by which key: lines as in OpenSSH's file of allowed signers, or a public key alone.

    A key for other purposes alone is left out; one under a condition that is not weighed here is kept with it.

    Raises
    ------
    NotSignedError
        If no line holds an Ed25519 key, or one can't be understood.
    """
    found: dict[bytes, AllowedKey] = {}
    for number, line in enumerate(file.decode(errors="replace").splitlines(), 1):
        fields = line.split()
        if not fields or fields[0].startswith("#"):
            continue
        place = next((i for i, field in enumerate(fields[:3]) if field.startswith(_OTHER_KINDS)), None)
        if place is None or len(fields) < place + 2:
            raise NotSignedError(f"line {number} names no key")
        if fields[place].encode() != _KIND:
            continue
        try:
            public = b64decode(fields[place + 1], validate=True)
        except ValueError:
            raise NotSignedError(f"the key in line {number} is damaged") from None
        condition = fields[1] if place == 2 else ""
        purposes = condition.removeprefix("namespaces=").strip('"').split(",") if "namespaces=" in condition else []
        if condition == f'namespaces="{",".join(purposes)}"':
            if NAMESPACE not in purposes:
                continue
            condition = ""
        found[public] = AllowedKey(fields[0] if place else " ".join(fields[2:]), condition)
    if not found:
        raise NotSignedError("it names no Ed25519 key that may sign this")
    return found


def signed_by(signature: bytes, message: bytes, allowed: Mapping[bytes, AllowedKey]) -> str:
    """Return by whom a message was signed, with the fingerprint of the key.

    Raises
    ------
    NotSignedError
        If the signature does not hold, or is by none of the keys.
    ImportError
        If the library is not installed.
    """
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    public, name, reserved, algorithm, signed = _fields_of(signature)
    if name != NAMESPACE.encode():
        raise NotSignedError(f"it was made for “{name.decode(errors='replace')}”, not for {NAMESPACE}")
    if algorithm not in _HASHES:
        raise NotSignedError("it is made over a digest of an unknown kind")
    kind = _strings(public)[0]
    if kind != _KIND:
        raise NotSignedError(f"it is by a key of the kind {kind.decode(errors='replace')}, not by an Ed25519 key")
    (_, key), (its_kind, value) = _strings(public, 2), _strings(signed, 2)
    if its_kind != kind:
        raise NotSignedError("it is damaged")
    try:
        Ed25519PublicKey.from_public_bytes(key).verify(value, _to_be_signed(name, reserved, algorithm, message))
    except (ValueError, InvalidSignature):
        raise NotSignedError("it does not belong to this manifest, or one of the two was altered") from None
    who = allowed.get(public)
    if who is None:
        raise NotSignedError(f"it is by another key than those: {_fingerprint(public)}")
    if who.condition:
        raise NotSignedError(f"it is by a key that may sign under a condition, `{who.condition}`, not weighed here")
    return f"{who.who} ({_fingerprint(public)})" if who.who else _fingerprint(public)


# ---- the form of the bytes ----------------------------------------------------------------------------


def _fields_of(signature: bytes) -> tuple[bytes, ...]:
    """Return public key, namespace, what is reserved, digest and signature."""
    armoured = signature.replace(b"\r\n", b"\n").rstrip()
    if not (armoured.startswith(_BEGIN) and armoured.endswith(_END)):
        raise NotSignedError("it is not in the form that OpenSSH writes")
    try:
        blob = b64decode(b"".join(armoured[len(_BEGIN) : -len(_END)].split()), validate=True)
    except ValueError:
        raise NotSignedError("it is damaged") from None
    head = _MAGIC + _VERSION.to_bytes(_LENGTH)
    if not blob.startswith(head):
        raise NotSignedError("it is of an unknown version")
    return _strings(blob[len(head) :], 5)


def _strings(data: bytes, count: int | None = None) -> tuple[bytes, ...]:
    """Return the strings, each behind its length, so many or at least one; nothing may be left over."""
    found: list[bytes] = []
    while data:
        end = _LENGTH + int.from_bytes(data[:_LENGTH])
        if end > len(data):
            raise NotSignedError("it is damaged")
        found.append(data[_LENGTH:end])
        data = data[end:]
    if not found or len(found) != (count or len(found)):
        raise NotSignedError("it is damaged")
    return tuple(found)


def _string(data: bytes) -> bytes:
    return len(data).to_bytes(_LENGTH) + data


def _to_be_signed(name: bytes, reserved: bytes, algorithm: bytes, message: bytes) -> bytes:
    digest = _HASHES[algorithm](message).digest()
    return _MAGIC + b"".join(map(_string, (name, reserved, algorithm, digest)))


def _fingerprint(public: bytes) -> str:
    return "SHA256:" + b64encode(hashlib.sha256(public).digest()).decode().rstrip("=")
