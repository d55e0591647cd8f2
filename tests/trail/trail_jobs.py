"""A small finished job, and what is done with it, for the tests of the trail."""

from __future__ import annotations

import os
import subprocess
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

from PIL import Image

from lugbook.cli import main

FINDINGS = """# A comment that must not leave the house.
format: lugbook-findings-1
last_defect: 2
report:
  number: T 7/2026
  date: 2026-06-03
  purpose: trial
  checklists: [own.yaml]
  scope: What the trial needs.
  client: {name: Ada Client, contact: ada@example.org}
  owner: {name: Otto Owner}
  permission: Otto Owner
  reliance: the client
  electrician: {name: Ina Spector, competence: trained, interest: none}
  craft: {name: Trial, identification: XX-TRI00001A000}
  visit: {date: 2026-06-02, place: A yard, energised: all off}
  basis: [good practice]
  signature: {name: Ina Spector, date: 2026-06-03}
readings:
  - {id: rest, quantity: voltage, value: 12.62 V, place: "Battery, post to post"}
results:
  - item: battery-fuse
    result: defect
    extent: sample 2 of 3, tested
    readings: [rest]
    defects:
      - id: d1
        title: No fuse at the battery
        place: Locker
        seen: The cable leaves the post without a fuse.
        photos:
          - {file: one.jpg, caption: The post, alt: A post, marks: [{mark: ring, at: [0.4, 0.5], size: 0.2}]}
          - {file: two.jpg, caption: The cable, alt: A cable, private: yes}
  - item: battery-strap
    result: no departure seen
    extent: whole
extra:
  - {id: d2, title: A loose lamp, place: Cabin, seen: It hangs., severity: marginal, probability: remote, why: It falls., remedy: Screw it on.}
"""
OWN = """format: lugbook-checklist-1
id: own
title: A trial list
edition: "1"
purpose: For tests.
walk:
  - id: first-stop
    title: First stop
    items:
      - {id: battery-fuse, question: Is there a fuse?, look: Look., why: It may burn., remedy: Fit one., severity: critical, probability: {usual: occasional, covered: remote, exposed: probable}, harms: people, danger: present, source: [{document: common practice}]}
      - {id: battery-strap, question: Is it held?, look: Look., why: It may fall., remedy: Strap it., severity: marginal, probability: {usual: occasional, covered: remote, exposed: probable}, harms: people, danger: latent, source: [{document: common practice}]}
"""
NOTICE = ("--hazard", "The shore inlet is burnt and live.", "--place", "Cockpit", "--told", "owner", "--told-name",
          "Otto Owner", "--how", "by word of mouth", "--date", "2026-06-02", "--time", "14:10", "--safety", "made safe",
          "--measure", "The lead was unplugged at the post.", "--made-safe-by", "Ina Spector", "--consent-of", "owner")  # fmt: skip
DECIDE = ("--authority", "owner of the boat", "--channel", "mail", "--date", "2026-06-05")


@dataclass(frozen=True)
class Ran:
    """A command that was run in this process."""

    code: int
    out: str
    err: str


@dataclass(frozen=True)
class Story:
    """The job, the signing key and the list of signers."""

    job: Path
    key: Path
    signers: Path

    @property
    def first(self) -> Path:
        """The first revision."""
        return self.job / "issued" / "T-7-2026-r1"

    @property
    def second(self) -> Path:
        """The second revision."""
        return self.job / "issued" / "T-7-2026-r2"


def lugbook(*words: str | Path) -> Ran:
    """Run a command."""
    out, err = StringIO(), StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = main([str(word) for word in words])
    return Ran(code, out.getvalue(), err.getvalue())


def make_job(folder: Path) -> Path:
    """Write the job, with two pictures."""
    (folder / "photos").mkdir(parents=True)
    (folder / "findings.yaml").write_text(FINDINGS, encoding="utf-8")
    (folder / "own.yaml").write_text(OWN, encoding="utf-8")
    for name, colour in (("one.jpg", "#884422"), ("two.jpg", "#226644")):
        Image.new("RGB", (48, 36), colour).save(folder / "photos" / name)
    return folder


def make_key(folder: Path) -> tuple[Path, Path]:
    """A key without a passphrase, and the file of signers that names it."""
    key = folder / "keys" / "id"
    key.parent.mkdir(exist_ok=True)
    ran = lugbook("key", key, "--no-passphrase", "--identity", "ina@example.org")
    assert ran.code == 0, ran.err
    signers = key.with_name("signers")
    signers.write_text(ran.out, encoding="utf-8")
    return key, signers


def full_story(folder: Path, key: Path) -> Path:
    """A job with every kind of entry that this program makes by itself, signed."""
    job = make_job(folder)
    mail = folder.parent / "reply.eml"
    mail.write_text("I decline the lamp.\n", encoding="utf-8")
    steps: tuple[tuple[str | Path, ...], ...] = (
        ("notice", job, *NOTICE, "--key", key),
        ("issue", job, "--key", key),
        (
            "deliver",
            job,
            "--role",
            "buyer",
            "--name",
            "Ada Client",
            "--channel",
            "mail",
            "--date",
            "2026-06-04",
            "--key",
            key,
        ),
        (
            "receipt",
            job,
            "--role",
            "buyer",
            "--name",
            "Ada Client",
            "--channel",
            "mail",
            "--date",
            "2026-06-04",
            "--evidence",
            mail,
        ),
        ("decide", job, "d2", "declined", "--by", "buyer", *DECIDE, "--evidence", mail, "--key", key),
        ("decide", job, "d1", "no-answer", "--by", "owner", *DECIDE),
        ("issue", job, "--reason", "The owner was heard.", "--key", key),
        ("decide", job, "d1", "accepted", "--by", "owner", "--name", "Otto Owner", *DECIDE),
    )
    for step in steps:
        ran = lugbook(*step)
        assert ran.code == 0, (step, ran.err)
    return job


def run(
    *command: str | Path, cwd: Path | None = None, data: bytes | None = None
) -> subprocess.CompletedProcess[bytes]:
    """Run a foreign program."""
    words = [str(word) for word in command]
    return subprocess.run(
        words, cwd=cwd, input=data, capture_output=True, check=False, env={**os.environ, "LC_ALL": "C"}
    )


def files_of(folder: Path) -> dict[str, bytes]:
    """Every file of a folder by its path."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }
