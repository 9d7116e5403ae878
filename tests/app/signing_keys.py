"""Keys to sign with in tests: those of RFC 8032, whose secrets everybody may know."""

from __future__ import annotations

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat, PublicFormat

__all__ = ["HERS", "HIS", "RFC_8032", "private_file", "public_line"]

# 7.1, TEST 1 and TEST 2: secret key, public key, message, signature
RFC_8032 = (
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bb"
        "e24655141438e7a100b",
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302"
        "aeeb00d291612bb0c00",
    ),
)
HERS, HIS = (bytes.fromhex(vector[0]) for vector in RFC_8032)


def private_file(secret: bytes) -> bytes:
    """Return a private key as `ssh-keygen` keeps it."""
    return Ed25519PrivateKey.from_private_bytes(secret).private_bytes(
        Encoding.PEM, PrivateFormat.OpenSSH, NoEncryption()
    )


def public_line(secret: bytes) -> bytes:
    """Return the public key as it stands in a file of its own, without a comment."""
    return (
        Ed25519PrivateKey.from_private_bytes(secret).public_key().public_bytes(Encoding.OpenSSH, PublicFormat.OpenSSH)
    )
