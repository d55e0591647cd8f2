"""Issuing: what is refused, what is frozen, what it says, and what others make of it without this program."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
from pathlib import Path

import pytest
from trail_jobs import FINDINGS, Story, files_of, lugbook, run

from lugbook.trail.canonical import canonical
from lugbook.trail.check_pdf import attachments


def entries(job: Path) -> list[dict[str, object]]:
    return [json.loads(line) for line in (job / "trail.jsonl").read_bytes().splitlines()]


def test_faults_and_open_questions_are_refused(fresh: Path) -> None:
    before = files_of(fresh)
    for old, new, word in (
        ("result: no departure seen\n    extent: whole", "result:", "no answer yet"),
        ("date: 2026-06-03\n  purpose", "purpose", "a finished report also needs: date"),
        ("file: one.jpg", "file: none.jpg", "there is no picture 'none.jpg'"),
    ):
        (fresh / "findings.yaml").write_text(FINDINGS.replace(old, new), encoding="utf-8")
        refused = lugbook("issue", fresh)
        assert (refused.code, "nothing was issued" in refused.err) == (1, True)
        assert word in refused.err
    (fresh / "findings.yaml").write_text(FINDINGS, encoding="utf-8")
    left = files_of(fresh)
    left.pop(".lugbook.lock")
    assert left == before


def test_a_draft_is_marked_on_every_page(fresh: Path) -> None:
    text = FINDINGS.replace("result: no departure seen\n    extent: whole", "result:")
    (fresh / "findings.yaml").write_text(text, encoding="utf-8")
    assert lugbook("issue", fresh, "--draft").code == 0
    folder = fresh / "issued" / "T-7-2026-r1"
    pages = run("pdftotext", "-layout", folder / "report.pdf", "-").stdout.decode().split("\f")[:-1]
    assert len(pages) > 2
    assert all("Draft" in page for page in pages)
    assert "This is a draft." in (folder / "report.html").read_text(encoding="utf-8")
    assert json.loads((folder / "manifest.json").read_bytes())["draft"] is True
    assert lugbook("verify", fresh).code == 0


def test_a_draft_of_a_finished_job_is_marked_too(fresh: Path) -> None:
    assert lugbook("issue", fresh, "--draft").code == 0
    report = json.loads((fresh / "issued" / "T-7-2026-r1" / "report.json").read_bytes())
    assert report["draft"] is True


def test_a_further_issue_needs_a_reason_and_says_what_it_replaces(story: Story, copied: Story) -> None:
    refused = lugbook("issue", copied.job)
    assert (refused.code, "--reason" in refused.err) == (2, True)
    issued = [entry["body"] for entry in entries(story.job) if entry["kind"] == "issue"]
    first = next(
        line for line in (story.job / "trail.jsonl").read_bytes().splitlines() if b'"kind":"issue"' in line
    )
    assert issued[0]["supersedes"] is None
    assert issued[1]["supersedes"] == {"revision": 1, "entry": hashlib.sha256(first).hexdigest()}
    assert issued[1]["reason"] == "The owner was heard."
    html = (story.second / "report.html").read_text(encoding="utf-8")
    assert "Revision 2" in html
    assert "It takes the place of revision 1. Reason: The owner was heard." in html


def test_a_further_issue_says_that_an_earlier_one_is_damaged(copied: Story) -> None:
    whole = lugbook("issue", copied.job, "--reason", "Nothing is wrong yet.")
    assert (whole.code, "warning" in whole.err) == (0, False)
    with (copied.first / "report.pdf").open("ab") as file:
        file.write(b"%")
    (copied.second / "findings.yaml").unlink()
    again = lugbook("--quiet", "issue", copied.job, "--reason", "A word was wrong.")
    assert again.code == 0
    assert "warning: altered: issued/T-7-2026-r1/report.pdf: its sum is" in again.err
    assert "warning: missing: issued/T-7-2026-r2/findings.yaml" in again.err
    assert f"'lugbook verify {copied.job}' lists it" in again.err
    assert (copied.job / "issued" / "T-7-2026-r4" / "report.pdf").is_file()
    verified = lugbook("verify", copied.job)
    assert verified.code == 1
    assert "issued/T-7-2026-r4" not in verified.out


def test_a_reason_for_the_first_issue_is_refused(fresh: Path) -> None:
    assert lugbook("issue", fresh, "--reason", "why").code == 2


def test_the_manifest_covers_the_originals_and_no_page(story: Story) -> None:
    manifest = json.loads((story.first / "manifest.json").read_bytes())
    sums = {file["path"]: file["sha256"] for file in manifest["files"]}
    assert set(sums) == {
        "findings.yaml",
        "findings.json",
        "own.yaml",
        "photos/one.jpg",
        "photos/two.jpg",
        "report.json",
    }
    for path, sum_ in sums.items():
        assert hashlib.sha256((story.first / path).read_bytes()).hexdigest() == sum_
    assert (story.first / "photos/one.jpg").read_bytes() == (story.job / "photos/one.jpg").read_bytes()
    lines = (story.job / "trail.jsonl").read_bytes().splitlines()
    at = next(n for n, entry in enumerate(entries(story.job)) if entry["kind"] == "issue")
    assert manifest["previous"] == hashlib.sha256(lines[at - 1]).hexdigest()
    assert not re.search(r"html|pdf", " ".join(sums))


def test_the_manifests_sum_is_printed_in_both_pages(story: Story) -> None:
    sum_ = hashlib.sha256((story.first / "manifest.json").read_bytes()).hexdigest()
    assert sum_ in (story.first / "report.html").read_text(encoding="utf-8")
    text = run("pdftotext", story.first / "report.pdf", "-").stdout.decode()
    assert sum_ in text.replace("\n", "")
    assert sum_ not in (story.first / "report.json").read_text(encoding="utf-8")


def test_findings_json_has_no_comments_private_fields_or_rates(story: Story) -> None:
    raw = (story.first / "findings.json").read_bytes()
    data = json.loads(raw)
    assert canonical(data) == raw
    assert b"comment" not in raw
    assert b"private" not in raw
    assert "rates" not in data
    assert data["readings"][0]["value"] == "12.62 V"
    assert data["results"][0]["extent"] == "sample 2 of 3, tested"
    assert data["report"]["visit"]["date"] == "2026-06-02"


def test_rates_stay_out() -> None:
    from lugbook.trail.plain import plain

    assert plain({"rates": {"hour": 1}, "a": [{"private": "x", "b": 2}]}) == {"a": [{"b": 2}]}


def test_names_stay_out_of_the_chain(story: Story) -> None:
    trail = (story.job / "trail.jsonl").read_text(encoding="utf-8")
    people = (story.job / "people.json").read_text(encoding="utf-8")
    for name in ("Ada Client", "Otto Owner", "Ina Spector"):
        assert name in people
        assert name not in trail
    salts = re.findall(r'"salt":"([0-9a-f]{64})"', people)
    assert len(set(salts)) == len(salts) >= 3


def test_sha256sum_accepts_what_was_issued(story: Story) -> None:
    for folder in (story.first, story.second):
        checked = run("sha256sum", "--strict", "-c", "SHA256SUMS", cwd=folder)
        assert checked.returncode == 0, checked.stdout
        named = set(re.findall(r"^(.+): OK$", checked.stdout.decode(), re.MULTILINE))
        assert named == set(files_of(folder)) - {"SHA256SUMS"}


def test_ssh_keygen_accepts_entry_and_pdf(story: Story) -> None:
    for name, namespace in (("entry.json", "lugbook-entry"), ("report.pdf", "lugbook-report")):
        words = (
            "ssh-keygen",
            "-Y",
            "verify",
            "-f",
            story.signers,
            "-I",
            "ina@example.org",
            "-n",
            namespace,
            "-s",
            story.first / f"{name}.sig",
        )
        good = run(*words, data=(story.first / name).read_bytes())
        assert good.returncode == 0, good.stderr
        assert run(*words, data=(story.first / name).read_bytes() + b" ").returncode != 0
    notice = story.job / "notices" / "notice-1" / "notice.pdf"
    words = (
        "ssh-keygen",
        "-Y",
        "verify",
        "-f",
        story.signers,
        "-I",
        "ina@example.org",
        "-n",
        "lugbook-report",
        "-s",
        f"{notice}.sig",
    )
    assert run(*words, data=notice.read_bytes()).returncode == 0


def test_the_chain_can_be_followed_with_sed_and_sha256sum(story: Story) -> None:
    """What docs/verify-by-hand.md tells to do."""
    for number in (2, 3):
        before = (
            run("sh", "-c", f"sed -n {number - 1}p trail.jsonl | tr -d '\\n' | sha256sum", cwd=story.job)
            .stdout.split()[0]
            .decode()
        )
        line = run("sed", "-n", f"{number}p", "trail.jsonl", cwd=story.job).stdout.decode()
        assert f'"previous":"{before}"' in line
    entry = hashlib.sha256((story.second / "entry.json").read_bytes()).hexdigest()
    assert f'"previous":"{entry}"' in (story.job / "trail.jsonl").read_text(encoding="utf-8")


def test_pdfdetach_extracts_the_attachments_byte_for_byte(story: Story, tmp_path: Path) -> None:
    out = run("pdfdetach", "-saveall", "-o", tmp_path, story.first / "report.pdf")
    assert out.returncode == 0, out.stderr
    found = files_of(tmp_path)
    assert set(found) == {"manifest.json", "findings.json"}
    for name, data in found.items():
        assert data == (story.first / name).read_bytes()
    assert attachments((story.first / "report.pdf").read_bytes()) == found


def test_a_revision_stands_alone(story: Story, tmp_path: Path) -> None:
    """It can be checked, and its report made anew, with nothing else at hand."""
    alone = shutil.copytree(story.first, tmp_path / "alone")
    checked = lugbook("verify", alone, "--signers", story.signers)
    assert (checked.code, "nothing differs" in checked.out) == (0, True)
    assert "ina@example.org" in checked.out
    again = lugbook("report", alone, "-o", tmp_path / "out", "--html-only")
    assert again.code == 0, again.err


def test_recorded_at_is_apart_from_the_date_and_can_be_set(
    fresh: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780000000")
    assert lugbook("issue", fresh, "--recorded-by", "A Clerk").code == 0
    last = entries(fresh)[-1]
    assert (last["date"], last["recorded_at"]) == ("2026-06-03", "2026-05-28T20:26:40Z")
    assert "A Clerk" in (fresh / "people.json").read_text(encoding="utf-8")


def test_the_same_job_gives_the_same_pages(
    fresh: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780000000")
    monkeypatch.setattr("lugbook.trail.recording.new_salt", lambda: "ab" * 32)
    other = shutil.copytree(fresh, tmp_path / "other" / "trial")
    assert lugbook("issue", fresh).code == lugbook("issue", other).code == 0
    assert files_of(fresh) == files_of(other)


def test_a_picture_changed_while_the_report_is_made_is_noticed(
    fresh: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from lugbook.issuing import report

    real = report.rendered

    def meddling(*args: object, **options: object) -> dict[str, bytes]:
        pages = real(*args, **options)  # type: ignore[arg-type]
        picture = fresh / "photos" / "one.jpg"
        picture.write_bytes(picture.read_bytes() + b"x")
        return pages

    monkeypatch.setattr(report, "rendered", meddling)
    ran = lugbook("issue", fresh)
    assert (ran.code, "was changed while the report was made" in ran.err) == (1, True)
    assert not (fresh / "issued").exists()
    assert not (fresh / "trail.jsonl").exists()


def test_a_revision_is_never_issued_again(copied: Story) -> None:
    before = files_of(copied.job)
    ran = lugbook("issue", copied.first, "--reason", "why")
    assert (ran.code, "is an issued revision" in ran.err) == (1, True)
    assert files_of(copied.job) == before


def test_a_trail_can_begin_by_itself(fresh: Path) -> None:
    from lugbook.issuing.report import begin_trail

    head = begin_trail(fresh, recorded_by="Ina Spector", clock_offset="camera 40 s fast")
    assert begin_trail(fresh, recorded_by="Ina Spector") == head
    body = entries(fresh)[0]["body"]
    assert isinstance(body, dict)
    assert [file["path"] for file in body["captured"]] == [
        "findings.yaml",
        "photos/one.jpg",
        "photos/two.jpg",
    ]
    assert body["clock_offset"] == "camera 40 s fast"
    assert lugbook("verify", fresh).code == 0


def test_the_commands_of_the_guide_work(story: Story, tmp_path: Path) -> None:
    """Each block of docs/verify-by-hand.md that needs no authority, run as it stands but for the names."""
    guide = (Path(__file__).parents[2] / "docs" / "verify-by-hand.md").read_text(encoding="utf-8")
    job = shutil.copytree(story.job, tmp_path / "trial")
    revision = job / "issued" / story.first.name
    for place in (job, revision):
        shutil.copy(story.signers, place / "signers")
    blocks = re.findall(r"```sh\n(.*?)```", guide, re.DOTALL)
    names = {"R-2026-014-r1": story.first.name, "inspector@example.org": "ina@example.org", "sed -n 5p": "sed -n 4p",
             "sed -n 4p": "sed -n 3p", "0005": "0004"}  # fmt: skip
    pattern = re.compile("|".join(map(re.escape, names)))
    own = [pattern.sub(lambda found: names[found[0]], block) for block in blocks]
    ran = [
        run("sh", "-e", "-c", block, cwd=place)
        for block, place in zip(own[:6], (job, revision, revision, revision, job, job), strict=True)
    ]
    for block, done in zip(own, ran, strict=False):
        assert done.returncode == 0, (block, done.stderr)
    said = [done.stdout.decode() for done in ran]
    assert "FAILED" not in said[0]
    assert "OK" in said[0]
    assert said[1].split()[0] in said[4]
    assert said[2].split()[0] in (revision / "entry.json").read_text(encoding="utf-8")
    assert said[3].count('Good "lugbook-') == 2
    first, second = said[4].splitlines()
    assert first.split()[0] == second.split('"')[3]
    assert 'Good "lugbook-entry" signature for ina@example.org' in said[5]
