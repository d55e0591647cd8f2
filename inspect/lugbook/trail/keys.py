"""Signing keys: OpenSSH's own files, made and read with the optional library `cryptography`."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from lugbook.trail.canonical import TrailError
from lugbook.trail.chain import TRAIL
from lugbook.trail.sshsig import ENTRY_NAMESPACE, REPORT_NAMESPACE, Signed, library, public_of, sign

if TYPE_CHECKING:
    from collections.abc import Callable

    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

MAX_BYTES = 20_000
FINDINGS = "findings.yaml"


@dataclass(frozen=True, slots=True)
class Signer:
    """A key, ready to sign."""

    key: Ed25519PrivateKey

    @property
    def fingerprint(self) -> str:
        """How the key is called."""
        return public_of(self.key).fingerprint

    def sign_entry(self, line: bytes) -> bytes:
        """Sign an entry of the trail."""
        return sign(self.key, line, ENTRY_NAMESPACE)

    def sign_report(self, pdf: bytes) -> bytes:
        """Sign a PDF."""
        return sign(self.key, pdf, REPORT_NAMESPACE)


def job_around(path: Path) -> Path | None:
    """The job that a file would lie in, links followed."""
    for folder in path.resolve().parents:
        if (folder / FINDINGS).exists() or (folder / TRAIL).exists():
            return folder
    return None


def refuse_inside_job(path: Path) -> None:
    """Raise TrailError if the path lies in a job: a job is copied and handed on, a private key never is."""
    job = job_around(path)
    if job is not None:
        raise TrailError(
            f"the key '{path}' lies inside the job '{job}'; keep private keys outside of every job"
        )


def read_key(path: Path, ask: Callable[[], str]) -> Signer:
    """A private key from its file; `ask` gives the passphrase if there is one. Raises TrailError."""
    library()
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.serialization import load_ssh_private_key

    refuse_inside_job(path)
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES)
    except OSError as error:
        raise TrailError(f"the key '{path}' cannot be read: {error.strerror}") from error
    try:
        try:
            key = load_ssh_private_key(data, None)
        except TypeError:  # it wants a passphrase
            key = load_ssh_private_key(data, ask().encode())
    except (ValueError, TypeError, UnsupportedAlgorithm) as error:
        raise TrailError(
            f"'{path}' is no private key of OpenSSH's form, or the passphrase is wrong"
        ) from error
    if not isinstance(key, Ed25519PrivateKey):
        raise TrailError(
            f"'{path}' is a key of another kind; 'lugbook key' or 'ssh-keygen -t ed25519' makes one that fits"
        )
    return Signer(key)


def make_key(path: Path, passphrase: str, comment: str) -> Signed:
    """Write a new key pair, `path` and `path`.pub. Nothing that exists is overwritten. Raises TrailError."""
    library()
    from cryptography.hazmat.primitives import serialization
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    refuse_inside_job(path)
    public_path = path.with_name(path.name + ".pub")
    if public_path.exists():
        raise TrailError(f"'{public_path}' exists already; nothing was changed")
    key = Ed25519PrivateKey.generate()
    locked: serialization.KeySerializationEncryption = serialization.NoEncryption()
    if passphrase:
        locked = serialization.BestAvailableEncryption(passphrase.encode())
    private = key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.OpenSSH, locked)
    public = public_of(key)
    _write_new(path, private, 0o600)
    _write_new(public_path, f"{public.text} {comment}\n".encode(), 0o644)
    return public


def allowed_signer(public: Signed, identity: str) -> str:
    """The line for the file that `ssh-keygen -Y verify` takes as `-f`."""
    return f'{identity} namespaces="{ENTRY_NAMESPACE},{REPORT_NAMESPACE}" {public.text}'


def read_signers(text: str) -> dict[str, str]:
    """Key -> identity, from lines as `allowed_signer` makes them; other options and kinds of key are passed over."""
    found: dict[str, str] = {}
    for line in text.splitlines():
        words = line.split()
        if len(words) >= 3 and not line.startswith("#") and "cert-authority" not in words[1]:
            for at in range(1, len(words) - 1):
                if words[at] == "ssh-ed25519":
                    found[f"{words[at]} {words[at + 1]}"] = words[0]
                    break
    return found


def _write_new(path: Path, data: bytes, mode: int) -> None:
    try:
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
    except FileExistsError as error:
        raise TrailError(f"'{path}' exists already; nothing was changed") from error
    except OSError as error:
        raise TrailError(f"'{path}' cannot be written: {error.strerror}") from error
