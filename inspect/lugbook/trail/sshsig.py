"""Signatures in the form of `ssh-keygen -Y sign` (OpenSSH, PROTOCOL.sshsig), made and checked with Ed25519.

Needs the library `cryptography`, an optional part of the program: it is imported where it is used.
"""

from __future__ import annotations

import base64
import hashlib
import struct
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lugbook.trail.canonical import TrailError

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

# What a signature is for: one made for a report is worth nothing under an entry.
ENTRY_NAMESPACE = "lugbook-entry"
REPORT_NAMESPACE = "lugbook-report"

MAGIC = b"SSHSIG"
HASH = b"sha512"
KEY_TYPE = b"ssh-ed25519"
BEGIN, END = "-----BEGIN SSH SIGNATURE-----", "-----END SSH SIGNATURE-----"
WIDTH = 70  # as ssh-keygen breaks its lines
NEEDS_EXTRA = "signatures need an optional part of the program: install 'lugbook[signing]'"


class SignatureError(Exception):
    """The signature is not good; the message says why."""


@dataclass(frozen=True, slots=True)
class Signed:
    """Whose signature it is: the public key as it stands in key files."""

    key: bytes
    """The key's own form (RFC 8709): `ssh-ed25519` and 32 bytes, each with its length."""

    @property
    def text(self) -> str:
        """`ssh-ed25519 AAAA...`."""
        return f"{KEY_TYPE.decode()} {base64.b64encode(self.key).decode()}"

    @property
    def fingerprint(self) -> str:
        """`SHA256:...`, as ssh-keygen prints it."""
        return "SHA256:" + base64.b64encode(hashlib.sha256(self.key).digest()).decode().rstrip("=")


def public_of(key: Ed25519PrivateKey) -> Signed:
    """The public half of a key."""
    return Signed(_string(KEY_TYPE) + _string(key.public_key().public_bytes_raw()))


def sign(key: Ed25519PrivateKey, message: bytes, namespace: str) -> bytes:
    """An armoured signature of `message`; the same every time, as Ed25519 is (RFC 8032)."""
    name = namespace.encode()
    signature = _string(KEY_TYPE) + _string(key.sign(_to_sign(message, name)))
    public = public_of(key).key
    blob = MAGIC + struct.pack(">I", 1) + b"".join(map(_string, (public, name, b"", HASH, signature)))
    return _armour(blob)


def check(armoured: bytes, message: bytes, namespace: str) -> Signed:
    """Whose good signature of `message` this is. Raises SignatureError if it is none, TrailError without the library."""
    ed25519 = library()
    blob = _unarmour(armoured)
    if not blob.startswith(MAGIC + struct.pack(">I", 1)):
        raise SignatureError("this is not a signature of the known form")
    public, name, reserved, hash_name, signature = _strings(blob[len(MAGIC) + 4 :], 5)
    if name != namespace.encode():
        raise SignatureError(f"it was made for another purpose, not for '{namespace}'")
    if reserved or hash_name != HASH:
        raise SignatureError("it uses a hash that is not known here")
    kind, raw = _strings(signature, 2)
    key_kind, key = _strings(public, 2)
    if kind != KEY_TYPE or key_kind != KEY_TYPE or len(key) != 32:
        raise SignatureError("it is not an Ed25519 signature")
    from cryptography.exceptions import InvalidSignature

    try:
        ed25519.from_public_bytes(key).verify(raw, _to_sign(message, name))
    except (InvalidSignature, ValueError) as error:
        raise SignatureError("it does not fit what it stands under") from error
    return Signed(public)


def library() -> type[Ed25519PublicKey]:
    """The library's public key. Raises TrailError if the library is not there."""
    try:
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
    except ImportError as error:
        raise TrailError(NEEDS_EXTRA) from error
    return Ed25519PublicKey


def _to_sign(message: bytes, namespace: bytes) -> bytes:
    return MAGIC + b"".join(map(_string, (namespace, b"", HASH, hashlib.sha512(message).digest())))


def _string(data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + data


def _strings(data: bytes, count: int) -> list[bytes]:
    """`count` strings, each after its length, and nothing behind them."""
    found = []
    for _ in range(count):
        length = int.from_bytes(data[:4], "big")
        if len(data) < 4 + length:
            raise SignatureError("it was cut off")
        found.append(data[4 : 4 + length])
        data = data[4 + length :]
    if data:
        raise SignatureError("something stands behind it")
    return found


def _armour(blob: bytes) -> bytes:
    text = base64.b64encode(blob).decode()
    lines = [text[at : at + WIDTH] for at in range(0, len(text), WIDTH)]
    return "\n".join([BEGIN, *lines, END, ""]).encode()


def _unarmour(armoured: bytes) -> bytes:
    """The signature itself. Its armour has one form: a byte changed anywhere in the file is seen."""
    lines = armoured.decode("ascii", "replace").split("\n")
    try:
        blob = base64.b64decode("".join(lines[1:-2]), validate=True)
    except ValueError as error:
        raise SignatureError("this is not a signature file") from error
    if _armour(blob) != armoured:
        raise SignatureError("the file is not in the form that signatures are written in")
    return blob
