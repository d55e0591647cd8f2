"""Erasing persons: the names are gone, the chain holds, and what was erased is said."""

from __future__ import annotations

import json
import random
import shutil
from pathlib import Path

import pytest
from faults import killed
from tampering import noticed
from trail_jobs import Story, files_of, lugbook, make_job, make_key, run

from lugbook.trail.canonical import canonical

ASKED = ("--reason", "asked for by letter", "--asked-by", "buyer")


def holding(folder: Path, text: str) -> set[str]:
    return {path for path, data in files_of(folder).items() if text.encode() in data}


def test_a_name_leaves_people_and_findings_and_the_chain_holds(copied: Story) -> None:
    ran = lugbook("erase", copied.job, "--person", "client", *ASKED, "--key", copied.key)
    assert ran.code == 0, ran.err
    for text in ("Ada Client", "ada@example.org"):
        kept = holding(copied.job, text)
        assert "people.json" not in kept
        assert "findings.yaml" not in kept
        assert kept  # the issued report still holds it, and the command says so
        assert all(path in ran.out for path in kept)
    checked = noticed(copied.job, "--signers", copied.signers)
    assert checked.code == 0, checked.err
    assert "was erased, as an entry records" in checked.out
    last = json.loads((copied.job / "trail.jsonl").read_bytes().splitlines()[-1])
    assert last["body"] == {
        "asked_by": "buyer",
        "files": [],
        "people": ["p3"],
        "reason": "asked for by letter",
    }
    assert lugbook("check", copied.job).code == 0
    assert noticed(copied.first).code == 0


def test_issued_files_go_too_and_the_revision_verifies_by_itself(copied: Story, tmp_path: Path) -> None:
    assert (
        lugbook("erase", copied.job, "--person", "client", *ASKED, "--issued", "--key", copied.key).code == 0
    )
    assert holding(copied.job, "Ada Client") == set()
    assert holding(copied.job, "ada@example.org") == set()
    assert not (copied.first / "report.pdf").exists()
    assert (copied.first / "photos" / "one.jpg").exists()
    assert noticed(copied.job, "--signers", copied.signers).code == 0
    alone = shutil.copytree(copied.first, tmp_path / "alone")
    checked = noticed(alone, "--signers", copied.signers)
    assert checked.code == 0, checked.err
    assert "erased, as the copy of an entry says: report.pdf" in checked.out
    assert run("sha256sum", "--ignore-missing", "-c", "SHA256SUMS", cwd=alone).returncode == 0


@pytest.mark.parametrize("how", ["copy gone", "copy altered", "signature gone", "more gone", "put back"])
def test_what_no_entry_says_is_noticed(copied: Story, how: str) -> None:
    kept = (copied.first / "findings.yaml").read_bytes()
    assert (
        lugbook("erase", copied.job, "--person", "client", *ASKED, "--issued", "--key", copied.key).code == 0
    )
    copy = next(copied.first.glob("erased-*.json"))
    if how == "copy gone":
        copy.unlink()
    elif how == "copy altered":
        copy.write_bytes(copy.read_bytes().replace(b"asked for by letter", b"asked for by myself"))
    elif how == "signature gone":
        Path(f"{copy}.sig").unlink()
    elif how == "more gone":
        (copied.first / "photos" / "one.jpg").unlink()
    else:
        (copied.first / "findings.yaml").write_bytes(kept)
    assert noticed(copied.job).code == 1
    if how != "put back":  # a revision by itself may hold what the job has lost
        assert noticed(copied.first).code == 1


@pytest.mark.parametrize("signed", [False, True])
def test_a_made_up_erasure_is_noticed(copied: Story, tmp_path: Path, signed: bool) -> None:
    """Whoever has a signed revision cannot hide a deletion behind an entry of their own."""
    other = make_job(tmp_path / "other" / "trial")
    key = ("--key", make_key(tmp_path)[0]) if signed else ()
    assert lugbook("issue", other).code == 0
    assert lugbook("erase", other, "--person", "client", *ASKED, "--issued", *key).code == 0
    made_up = next((other / "issued" / "T-7-2026-r1").glob("erased-*.json"))
    (copied.first / "findings.yaml").unlink()
    shutil.copy(made_up, copied.first / "erased-0099.json")
    assert noticed(copied.first).code == 1
    (copied.first / "erased-0099.json").unlink()
    later = canonical(
        {**json.loads(made_up.read_bytes()), "entry": 20}
    )  # late enough for the revision's own entry
    (copied.first / "erased-0020.json").write_bytes(later)
    assert noticed(copied.first).code == 1
    (copied.first / "erased-0020.json").unlink()
    for file in made_up.parent.glob("erased-*"):
        shutil.copy(file, copied.first)
    assert noticed(copied.first).code == 1
    assert noticed(copied.first, "--signers", copied.signers).code == 1


def test_the_inspector_can_be_erased_and_the_next_command_works(copied: Story) -> None:
    assert lugbook("erase", copied.job, "--person", "electrician", "--reason", "retired").code == 0
    assert "Ina Spector" not in (copied.job / "people.json").read_text(encoding="utf-8")
    assert noticed(copied.job).code == 0
    ran = lugbook(
        "deliver",
        copied.job,
        "--role",
        "owner",
        "--channel",
        "mail",
        "--date",
        "2026-07-01",
        "--recorded-by",
        "A Clerk",
    )
    assert ran.code == 0, ran.err
    assert noticed(copied.job).code == 0


def test_evidence_and_numbers(copied: Story) -> None:
    evidence = next((copied.job / "evidence").iterdir())
    path = evidence.relative_to(copied.job).as_posix()
    assert lugbook("erase", copied.job, "--person", "p3", *ASKED, "--file", path).code == 0
    assert not evidence.exists()
    checked = noticed(copied.job)
    assert (checked.code, f"erased, as an entry records: {path}" in checked.out) == (0, True)


def test_refusals_change_nothing(copied: Story, fresh: Path) -> None:
    before = files_of(copied.job)
    for words in (
        ("--person", "p9", *ASKED),
        ("--person", "everybody", *ASKED),
        ("--person", "insurer", *ASKED),
        ("--person", "client", "--reason", "Ada Client asked"),
        ("--person", "client", *ASKED, "--file", "own.yaml"),
        ("--person", "client"),
    ):
        assert lugbook("erase", copied.job, *words).code == 2, words
    assert files_of(copied.job) == before
    assert lugbook("erase", fresh, "--person", "client", *ASKED).code == 2


def test_parts_of_the_name_are_pointed_at(copied: Story) -> None:
    findings = copied.job / "findings.yaml"
    text = findings.read_text(encoding="utf-8").replace("purpose: trial", "purpose: trial for Mrs Client")
    findings.write_text(text, encoding="utf-8")
    ran = lugbook("erase", copied.job, "--person", "client", *ASKED)
    assert "look there for parts of the name: findings.yaml:7" in ran.out


def test_killed_at_any_point_it_is_as_before_or_as_after(story: Story, tmp_path: Path) -> None:
    """Twenty seeded points; at each the process dies, the job verifies, and the next command works."""
    count = shutil.copytree(story.job, tmp_path / "count")
    words = ("--person", "client", *ASKED, "--issued")
    total = killed(("erase", count, *words), count, 0, seed=5)
    assert total > 30
    outcomes = set()
    chance = random.Random(20260602)
    for point in sorted(chance.sample(range(1, total + 1), 20)):
        job = shutil.copytree(story.job, tmp_path / f"job-{point}")
        before = files_of(job)
        killed(("erase", job, *words), job, point, seed=5)
        added = (job / "trail.jsonl").read_bytes().count(b"\n") - before["trail.jsonl"].count(b"\n")
        assert added in (0, 1)
        if not added:
            now = {path: data for path, data in files_of(job).items() if not path.startswith(".")}
            assert now == {path: data for path, data in before.items() if not path.startswith(".")}
        assert noticed(job).code == 0
        ran = lugbook("deliver", job, "--role", "owner", "--channel", "mail", "--date", "2026-07-01")
        assert ran.code == 0, ran.err
        assert noticed(job).code == 0
        assert bool(holding(job, "Ada Client")) is not bool(added)
        outcomes.add(added)
        shutil.rmtree(job)
    assert outcomes == {0, 1}
