"""Time-stamp tokens, made here by openssl in the place of an authority."""

from __future__ import annotations

import hashlib
import json
import random
import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest
from trail_jobs import Story, lugbook, run

from lugbook.trail.token import TokenError, read_token

pytestmark = pytest.mark.skipif(shutil.which("openssl") is None, reason="needs openssl")
CONFIG = """
[tsa]
default_tsa = own
[own]
serial = {folder}/serial
crypto_device = builtin
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha256, sha512
accuracy = secs:1
ess_cert_id_alg = sha256
[stamps]
extendedKeyUsage = critical,timeStamping
[other]
extendedKeyUsage = serverAuth
"""


@dataclass(frozen=True)
class Authority:
    """An authority that stamps, with an RSA or an elliptic key."""

    folder: Path
    kind: str

    def path(self, name: str) -> Path:
        """One of its files."""
        return self.folder / f"{self.kind}-{name}"

    def stamp(self, sum_: str, method: str = "sha256") -> bytes:
        """Its answer over a sum."""
        query, answer = self.folder / "query", self.folder / "answer"
        asked = run(
            "openssl", "ts", "-query", "-digest", sum_, f"-{method}", "-no_nonce", "-cert", "-out", query
        )
        assert asked.returncode == 0, asked.stderr
        made = run("openssl", "ts", "-reply", "-config", self.folder / "config", "-queryfile", query, "-signer", self.path("cert"),
                   "-inkey", self.path("key"), "-out", answer)  # fmt: skip
        assert made.returncode == 0, made.stderr
        return answer.read_bytes()


@pytest.fixture(scope="module", params=["rsa", "ec"])
def authority(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Authority:
    folder, kind = tmp_path_factory.mktemp("authority"), request.param
    (folder / "serial").write_text("01", encoding="ascii")
    (folder / "config").write_text(CONFIG.format(folder=folder), encoding="ascii")
    made = Authority(folder, kind)
    form = ("rsa:2048",) if kind == "rsa" else ("ec", "-pkeyopt", "ec_paramgen_curve:P-256")
    for name, section, subject in (("cert", "stamps", "/CN=An authority"), ("other", "other", "/CN=Another")):
        key = made.path("key" if name == "cert" else "other-key")
        words = ("openssl", "req", "-x509", "-newkey", *form, "-nodes", "-keyout", key, "-out", made.path(name), "-days", "30", "-subj", subject,
                 "-addext", f"extendedKeyUsage={'critical,timeStamping' if section == 'stamps' else 'serverAuth'}")  # fmt: skip
        done = run(*words)
        assert done.returncode == 0, done.stderr
    return made


def head_of(job: Path) -> str:
    return hashlib.sha256((job / "trail.jsonl").read_bytes().splitlines()[-1]).hexdigest()


def test_a_token_over_the_head_is_kept_and_checked(
    copied: Story, authority: Authority, tmp_path: Path
) -> None:
    head = head_of(copied.job)
    token = tmp_path / "head.tsr"
    token.write_bytes(authority.stamp(head))
    ran = lugbook("import-token", copied.job, token, "--certificate", authority.path("cert"))
    assert ran.code == 0, ran.err
    assert "not checked" not in ran.out
    body = json.loads((copied.job / "trail.jsonl").read_bytes().splitlines()[-1])["body"]
    assert body["of"] == head
    assert (copied.job / body["file"]["path"]).read_bytes() == token.read_bytes()
    assert lugbook("verify", copied.job).code == 0
    kept = copied.job / body["file"]["path"]
    outside = run("openssl", "ts", "-verify", "-digest", head, "-in", kept, "-CAfile", authority.path("cert"))
    assert outside.returncode == 0, outside.stderr


def test_without_a_certificate_it_says_so(copied: Story, authority: Authority, tmp_path: Path) -> None:
    token = tmp_path / "head.tsr"
    token.write_bytes(authority.stamp(head_of(copied.job)))
    ran = lugbook("import-token", copied.job, token)
    assert (ran.code, "its signature was not checked" in ran.out) == (0, True)


def test_tokens_that_do_not_fit_are_not_kept(copied: Story, authority: Authority, tmp_path: Path) -> None:
    before = (copied.job / "trail.jsonl").read_bytes()
    head, token = head_of(copied.job), tmp_path / "t"
    for data, options, wanted in (
        (authority.stamp("ab" * 32), (), "no entry of this trail"),
        (authority.stamp("ab" * 64, "sha512"), (), "another kind of sum"),
        (authority.stamp(head), ("--certificate", authority.path("other")), "not for time stamps"),
        (b"no token", (), "not a time-stamp token"),
        (b"", (), "not a time-stamp token"),
    ):
        token.write_bytes(data)
        ran = lugbook("import-token", copied.job, token, *options)
        assert (ran.code, wanted in ran.err) == (1, True), ran.err
    assert (copied.job / "trail.jsonl").read_bytes() == before


def test_a_changed_token_is_refused_or_says_the_same(authority: Authority) -> None:
    """With the certificate, no changed byte may change what the token says."""
    data, certificate = authority.stamp("cd" * 32), authority.path("cert").read_bytes()
    good = read_token(data, certificate)
    chance = random.Random(4)
    for _ in range(300):
        at = chance.randrange(len(data))
        changed = data[:at] + bytes([data[at] ^ (1 << chance.randrange(8))]) + data[at + 1 :]
        try:
            assert read_token(changed, certificate) == good
        except TokenError:
            continue


def test_the_certificate_of_somebody_else(authority: Authority, tmp_path: Path) -> None:
    data = authority.stamp("cd" * 32)
    words = ("openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-keyout", tmp_path / "k", "-out", tmp_path / "c", "-subj", "/CN=x",
             "-addext", "extendedKeyUsage=critical,timeStamping")  # fmt: skip
    assert run(*words).returncode == 0
    with pytest.raises(TokenError, match="not by the key"):
        read_token(data, (tmp_path / "c").read_bytes())
    with pytest.raises(TokenError, match="cannot be read"):
        read_token(data, b"rubbish")
