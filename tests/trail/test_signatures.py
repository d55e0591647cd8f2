"""Signatures: against RFC 8032, and to and fro with OpenSSH's own program."""

from __future__ import annotations

import os
import shutil
import stat
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from trail_jobs import lugbook, make_job, run

from lugbook.trail.keys import read_key
from lugbook.trail.sshsig import ENTRY_NAMESPACE, REPORT_NAMESPACE, SignatureError, check, public_of, sign

# SOURCE: RFC 8032, 7.1, tests 1 to 3; compared with other projects' copies, the RFC itself not at hand.
RFC_8032 = [
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
    ),
    (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
    ),
]
needs_ssh = pytest.mark.skipif(
    shutil.which("ssh-keygen") is None, reason="needs ssh-keygen (Debian: openssh-client)"
)


@pytest.mark.parametrize(("secret", "public", "message", "signature"), RFC_8032)
def test_vectors_of_rfc_8032(secret: str, public: str, message: str, signature: str) -> None:
    key = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret))
    assert public_of(key).key.endswith(bytes.fromhex(public))
    assert key.sign(bytes.fromhex(message)).hex() == signature


@needs_ssh
@pytest.mark.parametrize("size", [0, 1, 63, 64, 70_001])
def test_the_same_bytes_as_ssh_keygen(tmp_path: Path, size: int) -> None:
    key, message = tmp_path / "id", tmp_path / "message"
    assert lugbook("key", key, "--no-passphrase").code == 0
    message.write_bytes(os.urandom(size))
    made = run("ssh-keygen", "-q", "-Y", "sign", "-f", key, "-n", REPORT_NAMESPACE, message)
    assert made.returncode == 0, made.stderr
    ours = sign(read_key(key, lambda: "").key, message.read_bytes(), REPORT_NAMESPACE)
    assert ours == (tmp_path / "message.sig").read_bytes()


@needs_ssh
@pytest.mark.parametrize("passphrase", ["", "a long passphrase"])
def test_keys_of_ssh_keygen_are_read_and_ours_by_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, passphrase: str
) -> None:
    theirs, ours = tmp_path / "theirs", tmp_path / "ours"
    run("ssh-keygen", "-q", "-t", "ed25519", "-N", passphrase, "-C", "someone", "-f", theirs)
    listed = run("ssh-keygen", "-l", "-f", theirs).stdout.decode()
    assert read_key(theirs, lambda: passphrase).fingerprint in listed
    monkeypatch.setenv("LUGBOOK_PASSPHRASE", passphrase)
    assert lugbook("key", ours).code == 0
    shown = run("ssh-keygen", "-y", "-P", passphrase, "-f", ours)
    assert shown.returncode == 0, shown.stderr
    assert shown.stdout.split()[1] == (tmp_path / "ours.pub").read_bytes().split()[1]
    if passphrase:
        assert run("ssh-keygen", "-y", "-P", "another", "-f", ours).returncode != 0


def test_a_key_is_new_private_and_outside_of_jobs(tmp_path: Path) -> None:
    key = tmp_path / "id"
    assert lugbook("key", key, "--no-passphrase").code == 0
    assert stat.S_IMODE(key.stat().st_mode) == 0o600
    before = key.read_bytes()
    again = lugbook("key", key, "--no-passphrase")
    assert (again.code, key.read_bytes()) == (1, before)
    assert "exists already" in again.err
    (tmp_path / "id.pub").unlink()
    assert lugbook("key", key, "--no-passphrase").code == 1
    job = make_job(tmp_path / "trial")
    for inside in (job / "id", job / "photos" / "id"):
        refused = lugbook("key", inside, "--no-passphrase")
        assert refused.code == 1
        assert "outside of every job" in refused.err
        assert not inside.exists()


def test_a_private_key_never_enters_a_job(tmp_path: Path) -> None:
    key = tmp_path / "id"
    lugbook("key", key, "--no-passphrase")
    job = make_job(tmp_path / "trial")
    shutil.copy(key, job / "id")
    refused = lugbook("issue", job, "--key", job / "id")
    assert (refused.code, "lies inside the job" in refused.err) == (1, True)
    (job / "id").unlink()
    (job / "link").symlink_to(key)
    assert lugbook("issue", job, "--key", job / "link").code == 0  # the key itself lies outside
    (job / "link").unlink()
    ran = lugbook(
        "receipt", job, "--role", "buyer", "--channel", "mail", "--date", "2026-06-04", "--evidence", key
    )
    assert (ran.code, "private key" in ran.err) == (1, True)
    for path in job.rglob("*"):
        assert not path.is_file() or b"PRIVATE KEY" not in path.read_bytes()


def test_other_keys_and_wrong_passphrases_are_refused(
    tmp_path: Path, fresh: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LUGBOOK_PASSPHRASE", "right")
    key = tmp_path / "id"
    assert lugbook("key", key).code == 0
    monkeypatch.setenv("LUGBOOK_PASSPHRASE", "wrong")
    assert "passphrase is wrong" in lugbook("issue", fresh, "--key", key).err
    (tmp_path / "text").write_text("no key", encoding="utf-8")
    assert "no private key" in lugbook("issue", fresh, "--key", tmp_path / "text").err
    assert "cannot be read" in lugbook("issue", fresh, "--key", tmp_path / "none").err
    if shutil.which("ssh-keygen"):
        run("ssh-keygen", "-q", "-t", "ecdsa", "-N", "", "-f", tmp_path / "ec")
        assert "another kind" in lugbook("issue", fresh, "--key", tmp_path / "ec").err
    assert not (fresh / "issued").exists()


def test_every_changed_byte_of_a_signature_is_seen() -> None:
    key = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(RFC_8032[0][0]))
    armoured = sign(key, b"message", ENTRY_NAMESPACE)
    assert check(armoured, b"message", ENTRY_NAMESPACE) == public_of(key)
    for at in range(len(armoured)):
        for flip in (1, 0x20, 0x80):
            changed = armoured[:at] + bytes([armoured[at] ^ flip]) + armoured[at + 1 :]
            with pytest.raises(SignatureError):
                check(changed, b"message", ENTRY_NAMESPACE)
    for other in (armoured[:-1], armoured + b"\n", b"", armoured[:40], armoured.replace(b"\n", b"\r\n")):
        with pytest.raises(SignatureError):
            check(other, b"message", ENTRY_NAMESPACE)
    with pytest.raises(SignatureError, match="another purpose"):
        check(armoured, b"message", REPORT_NAMESPACE)
    with pytest.raises(SignatureError, match="does not fit"):
        check(armoured, b"massage", ENTRY_NAMESPACE)
