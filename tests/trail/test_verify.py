"""Verify: every change is noticed and named, nothing is claimed that was not checked, and it never crashes."""

from __future__ import annotations

import json
import random
import shutil
from pathlib import Path

import pytest
from tampering import check_single_bytes, check_whole_files, noticed, some_whole_files, whole_files
from trail_jobs import Story, lugbook, make_key

from lugbook.trail.canonical import canonical, digest


def test_an_untouched_job_has_no_difference_and_nothing_is_written(story: Story) -> None:
    before = {path: path.stat().st_mtime_ns for path in story.job.rglob("*")}
    ran = lugbook("verify", story.job, "--signers", story.signers)
    assert (ran.code, ran.err) == (0, "")
    assert "nothing differs" in ran.out
    assert "does not show who made them" in ran.out
    assert {path: path.stat().st_mtime_ns for path in story.job.rglob("*")} == before


def test_single_bytes(copied: Story) -> None:
    """`make soak` changes 5,000."""
    assert check_single_bytes(copied, 80, seed=20261) == []


def test_whole_files(story: Story, tmp_path: Path) -> None:
    """Every file in one way or two; `make soak` does all to all."""
    some, every = some_whole_files(story.job), list(whole_files(story.job))
    assert {path for _, path in some} == {path for _, path in every}
    assert {how.partition(" ")[0] for how, _ in some} == {how.partition(" ")[0] for how, _ in every}
    assert check_whole_files(some, story, tmp_path) == []


def lines_of(job: Path) -> list[bytes]:
    return (job / "trail.jsonl").read_bytes().splitlines(keepends=True)


def test_lines_of_the_trail(copied: Story) -> None:
    trail, lines = copied.job / "trail.jsonl", lines_of(copied.job)
    chance = random.Random(3)
    changed: list[list[bytes]] = [lines[:n] + lines[n + 1 :] for n in range(len(lines))]
    changed += [lines[:n] for n in range(len(lines))]
    changed += [[*lines[:n], lines[n + 1], lines[n], *lines[n + 2 :]] for n in range(len(lines) - 1)]
    changed += [[*lines[: n + 1], lines[n], *lines[n + 1 :]] for n in range(len(lines))]
    changed += [chance.sample(lines, len(lines)) for _ in range(5)]
    changed += [lines[::-1], [*lines, b"\n"], [b"\n", *lines], [*lines[:-1], lines[-1].rstrip()]]
    for altered in changed:
        if altered == lines:
            continue
        trail.write_bytes(b"".join(altered))
        assert noticed(copied.job).code == 1
    trail.write_bytes(b"".join(lines))
    assert noticed(copied.job).code == 0


def test_a_chain_cut_short_with_its_head_needs_the_sum_from_elsewhere(copied: Story) -> None:
    """The last entry and its record can be taken away together; only a sum kept elsewhere shows that."""
    lines = lines_of(copied.job)
    head = digest(lines[-1].rstrip(b"\n"))
    (copied.job / "trail.jsonl").write_bytes(b"".join(lines[:-1]))
    (copied.job / "trail.head").write_text(
        f"{digest(lines[-2].rstrip(bytes([10])))}  {len(lines) - 1}\n", encoding="ascii"
    )
    assert noticed(copied.job).code == 0
    ran = noticed(copied.job, "--head", head)
    assert (ran.code, "cut short" in ran.err) == (1, True)


def test_an_older_head_is_still_found(story: Story) -> None:
    line = lines_of(story.job)[2].rstrip(b"\n")
    ran = noticed(story.job, "--head", digest(line))
    assert ran.code == 0
    assert "is entry 3; 6 came after it" in ran.out
    assert lugbook("verify", story.job, "--head", "12").code == 2


def test_a_signature_by_another_key(copied: Story, tmp_path: Path) -> None:
    _, signers = make_key(tmp_path)
    ran = noticed(copied.job, "--signers", signers)
    assert (ran.code, "unknown key" in ran.err) == (1, True)
    from lugbook.trail.keys import read_key

    other = read_key(tmp_path / "keys" / "id", lambda: "")
    line = lines_of(copied.job)[1].rstrip(b"\n")
    (copied.job / "signatures" / "0002.sig").write_bytes(other.sign_entry(line))
    ran = noticed(copied.job)
    assert (ran.code, "unknown key: signatures/0002.sig" in ran.err) == (1, True)


def test_names_that_were_erased_without_an_entry(copied: Story) -> None:
    people = copied.job / "people.json"
    data = json.loads(people.read_bytes())
    del data["people"]["p2"]
    people.write_bytes(canonical(data))
    ran = noticed(copied.job)
    assert (ran.code, "missing: people.json: p2" in ran.err) == (1, True)
    data["people"]["p1"]["name"] = "Somebody Else"
    people.write_bytes(canonical(data))
    assert "altered: people.json: p1" in noticed(copied.job).err


def test_an_erase_entry_lets_names_and_files_be_gone(copied: Story) -> None:
    from lugbook.trail.entries import EraseBody, FileSum
    from lugbook.trail.erased import copy_name
    from lugbook.trail.recording import Recording
    from lugbook.trail.store import locked

    gone = f"issued/{copied.first.name}/findings.yaml"
    with locked(copied.job):
        recording = Recording(copied.job, "Ina Spector")
        sum_ = FileSum(path=gone, sha256=digest((copied.job / gone).read_bytes()))
        recording.erase_person("p2")
        link = recording.add(
            EraseBody(people=("p2",), files=(sum_,), reason="asked for", asked_by="owner"), "2026-07-01"
        )
        recording.file(f"issued/{copied.first.name}/{copy_name(link.entry.entry)}", link.line)
        recording.commit(removals=[gone])
    assert not (copied.job / gone).exists()
    assert "Otto Owner" not in (copied.job / "people.json").read_text(encoding="utf-8")
    ran = noticed(copied.job)
    assert ran.code == 0, ran.err
    assert "the name of p2 was erased" in ran.out


def test_work_that_goes_on_is_a_note_but_a_picture_is_not(copied: Story) -> None:
    findings = copied.job / "findings.yaml"
    findings.write_bytes(findings.read_bytes() + b"# more\n")
    ran = noticed(copied.job)
    assert (ran.code, "findings.yaml has changed since it was recorded last" in ran.out) == (0, True)
    picture = copied.job / "photos" / "two.jpg"
    picture.write_bytes(picture.read_bytes() + b"x")
    assert "altered: photos/two.jpg: the original picture" in noticed(copied.job).err


def test_a_revision_by_itself(copied: Story) -> None:
    entry = digest((copied.first / "entry.json").read_bytes())
    assert noticed(copied.first, "--head", entry).code == 0
    assert noticed(copied.first, "--head", "0" * 64).code == 1
    (copied.first / "entry.json").write_bytes((copied.second / "entry.json").read_bytes())
    assert noticed(copied.first).code == 1
    (copied.first / "entry.json").write_bytes(b"{}")
    assert noticed(copied.first).code == 1


def test_a_pdf_alone_is_never_called_verified(story: Story, tmp_path: Path) -> None:
    pdf = tmp_path / "report.pdf"
    shutil.copy(story.first / "report.pdf", pdf)
    ran = lugbook("verify", pdf)
    assert ran.code == 0
    assert "attachments intact; pages not covered without the entry or report.pdf.sig" in ran.out
    assert "verified" not in ran.out + ran.err
    assert "nothing differs" not in ran.out
    covered = lugbook("verify", pdf, "--entry", story.first / "entry.json")
    assert (covered.code, "is what the entry covers" in covered.out) == (0, True)
    other = lugbook("verify", pdf, "--entry", story.second / "entry.json")
    assert (other.code, "it is not the file that the entry names" in other.err) == (1, True)


def test_a_pdf_with_its_signature_or_entry(story: Story, tmp_path: Path) -> None:
    pdf = tmp_path / "report.pdf"
    for name in ("report.pdf", "report.pdf.sig"):
        shutil.copy(story.first / name, tmp_path)
    ran = lugbook("verify", pdf, "--signers", story.signers)
    assert (ran.code, "is what the signature covers" in ran.out) == (0, True)
    pdf.write_bytes(pdf.read_bytes() + b"\n%")
    ran = lugbook("verify", pdf)
    assert (ran.code, "signature: report.pdf.sig" in ran.err) == (1, True)
    (tmp_path / "report.pdf.sig").unlink()
    for name in ("entry.json", "entry.json.sig"):
        shutil.copy(story.first / name, tmp_path)
    ran = lugbook("verify", pdf)
    assert (ran.code, "it is not the file that the entry names" in ran.err) == (1, True)


def test_attachments_that_were_changed(story: Story, tmp_path: Path) -> None:
    import pikepdf

    for name in ("findings.json", "manifest.json"):
        out = tmp_path / f"{name}.pdf"
        with pikepdf.open(story.first / "report.pdf") as pdf:
            data = bytearray(pdf.attachments[name].get_file().read_bytes())
            data[data.index(b"T 7/2026")] = ord("U")
            pdf.attachments[name] = pikepdf.AttachedFileSpec(pdf, bytes(data), filename=name)
            pdf.save(out)
        ran = lugbook("verify", out)
        assert ran.code == 1 or name == "manifest.json", ran.out
        assert "intact" not in ran.out or name == "manifest.json"
    with pikepdf.open(story.first / "report.pdf") as pdf:
        pdf.attachments["more.txt"] = pikepdf.AttachedFileSpec(pdf, b"x", filename="more.txt")
        del pdf.attachments["findings.json"]
        pdf.save(tmp_path / "out.pdf")
    ran = lugbook("verify", tmp_path / "out.pdf")
    assert ran.code == 1
    assert "extra: more.txt" in ran.err
    assert "missing: findings.json" in ran.err


def test_damaged_pdfs_never_crash_it(story: Story, tmp_path: Path) -> None:
    whole = (story.first / "report.pdf").read_bytes()
    chance, pdf = random.Random(8), tmp_path / "x.pdf"
    damaged = [b"", b"%PDF-", b"%PDF-1.7\n%%EOF", b"not a pdf", whole[: len(whole) // 2], whole[500:]]
    for _ in range(6):
        data = bytearray(whole)
        for _ in range(chance.choice((1, 20, 400))):
            data[chance.randrange(len(data))] = chance.randrange(256)
        damaged.append(bytes(data))
    for data in damaged:
        pdf.write_bytes(data)
        ran = lugbook("verify", pdf)
        assert ran.code in (0, 1), ran.err
        assert "unexpected" not in ran.err


@pytest.mark.parametrize("what", ["nothing", "empty", "file"])
def test_what_cannot_be_verified(tmp_path: Path, what: str) -> None:
    place = tmp_path / what
    if what == "empty":
        place.mkdir()
    if what == "file":
        place.write_text("text", encoding="utf-8")
    ran = lugbook("verify", place)
    assert ran.code == (1 if what == "file" else 2)
    assert "unexpected" not in ran.err


def test_odd_files_never_crash_it(copied: Story) -> None:
    import os

    for path in ("trail.jsonl", "people.json", "trail.head"):
        data = (copied.job / path).read_bytes()
        for odd in (
            b"\xff" * 100,
            b"[" * 50_000,
            b"null\n",
            b"{}\n",
            b'{"kind":[]}\n',
            b"\0",
            b"1" * 6000 + b"\n",
        ):
            (copied.job / path).write_bytes(odd)
            assert noticed(copied.job).code == 1
        (copied.job / path).write_bytes(data)
    pipe = copied.job / "issued" / "pipe"
    os.mkfifo(pipe)
    (copied.job / "issued" / "loop").symlink_to("loop")
    (copied.job / "evidence" / "up").symlink_to("..")
    ran = noticed(copied.job)
    assert {"extra: issued/pipe", "extra: issued/loop", "extra: evidence/up"} <= {
        line.split(": ", 1)[1].rsplit(": ", 1)[0] for line in ran.err.splitlines()
    }


def test_without_the_optional_part_it_says_what_it_did_not_check(
    story: Story, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    import sys

    monkeypatch.setitem(sys.modules, "cryptography.hazmat.primitives.asymmetric.ed25519", None)
    ran = noticed(story.job)
    assert (ran.code, "not checked: signatures/0002.sig" in ran.err) == (1, True)
    assert "lugbook[signing]" in ran.err
    made = lugbook("key", tmp_path / "id", "--no-passphrase")
    assert (made.code, "lugbook[signing]" in made.err) == (1, True)
    monkeypatch.setitem(sys.modules, "pypdf", None)
    ran = lugbook("verify", story.first / "report.pdf")
    assert (ran.code, "lugbook[signing]" in ran.err) == (1, True)


def test_whoever_names_signers_expects_signatures(fresh: Path, story: Story) -> None:
    """A trail that somebody made anew without a key must not pass under the name of the one who has it."""
    assert lugbook("issue", fresh).code == 0
    assert noticed(fresh).code == 0
    revision = fresh / "issued" / "T-7-2026-r1"
    for place in (fresh, revision, revision / "report.pdf"):
        ran = lugbook("verify", place, "--signers", story.signers)
        assert (ran.code, "is not signed, and you named signers" in ran.err) == (1, True)
    assert "not signed: entries 5, 7, 9" in lugbook("verify", story.job).out
