"""Notices, deliveries, receipts and decisions: what they record and how they are worded."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest
from trail_jobs import DECIDE, FINDINGS, NOTICE, Story, lugbook, make_job, run

from lugbook.trail.canonical import canonical
from lugbook.trail.events import decisions


def entries(job: Path) -> list[dict[str, object]]:
    return [json.loads(line) for line in (job / "trail.jsonl").read_bytes().splitlines()]


def test_delivery_receipt_and_decision_are_separate_entries(story: Story) -> None:
    kinds = [entry["kind"] for entry in entries(story.job)]
    assert kinds == [
        "start",
        "notice",
        "issue",
        "delivery",
        "receipt",
        "decision",
        "decision",
        "issue",
        "decision",
    ]


def test_a_decision_names_what_was_shown(story: Story) -> None:
    decided = next(entry for entry in entries(story.job) if entry["kind"] == "decision")["body"]
    report = json.loads((story.first / "report.json").read_bytes())
    text = next(defect for defect in report["defects"] if defect["id"] == "d2")
    assert decided["revision"] == 1
    assert decided["text"] == hashlib.sha256(canonical(text)).hexdigest()
    assert decided["of"] == hashlib.sha256((story.first / "entry.json").read_bytes()).hexdigest()
    kept = story.job / decided["evidence"]["path"]
    assert kept.read_text(encoding="utf-8") == "I decline the lamp.\n"
    assert "reply" not in decided["evidence"]["path"]


def test_the_last_decision_counts(story: Story) -> None:
    found = decisions(story.job)
    assert {key: (d.decision, d.role) for key, d in found.items()} == {
        "d1": ("accepted", "owner"),
        "d2": ("declined", "buyer"),
    }
    assert found["d1"].evidence is None


def test_later_reports_print_decisions_in_words(story: Story) -> None:
    text = " ".join(run("pdftotext", "-layout", story.second / "report.pdf", "-").stdout.decode().split())
    assert "No answer from the owner by 5 June 2026" in text
    assert "The buyer declined the work on 5 June 2026" in text
    assert "Recorded by the inspector, not acknowledged." in text
    assert "It accepts no risk for others aboard." in text
    report = json.loads((story.second / "report.json").read_bytes())
    silent = next(defect for defect in report["defects"] if defect["id"] == "d1")
    assert not any("declined" in line for line in silent["decided"])


def test_a_decided_defect_that_is_gone_is_still_named(copied: Story) -> None:
    text = FINDINGS[: FINDINGS.index("extra:")]
    (copied.job / "findings.yaml").write_text(text, encoding="utf-8")
    assert lugbook("issue", copied.job, "--reason", "The lamp was left out.").code == 0
    html = (copied.job / "issued" / "T-7-2026-r3" / "report.html").read_text(encoding="utf-8")
    assert "Decided earlier, about things that are not in this report any more" in html
    assert "A loose lamp (d2): The buyer declined the work" in html


def test_what_decide_prints(copied: Story, tmp_path: Path) -> None:
    ran = lugbook("decide", copied.job, "d1", "declined", "--by", "buyer", *DECIDE)
    assert ran.code == 0
    assert "recorded by the inspector, not acknowledged" in ran.out
    assert "accepts no risk for others aboard" in ran.out
    silent = lugbook("decide", copied.job, "d1", "no-answer", "--by", "buyer", *DECIDE)
    assert "no answer" in silent.out
    assert "declined" not in silent.out
    mail = tmp_path / "m.eml"
    mail.write_text("yes", encoding="utf-8")
    shown = lugbook("decide", copied.job, "d1", "accepted", "--by", "owner", *DECIDE, "--evidence", mail)
    assert "not acknowledged" not in shown.out
    assert "evidence/" in shown.out
    assert lugbook("verify", copied.job).code == 0


def test_decisions_that_make_no_sense_are_refused(copied: Story, fresh: Path, tmp_path: Path) -> None:
    before = (copied.job / "trail.jsonl").read_bytes()
    unknown = lugbook("decide", copied.job, "d3", "declined", "--by", "owner", *DECIDE)
    assert (unknown.code, "did you mean 'd2'?" in unknown.err or "did you mean 'd1'?" in unknown.err) == (
        2,
        True,
    )
    assert (
        lugbook("decide", copied.job, "d1", "declined", "--by", "owner", *DECIDE, "--revision", "9").code == 2
    )
    assert (
        lugbook(
            "decide", copied.job, "d1", "declined", "--by", "owner", *DECIDE, "--evidence", tmp_path / "no"
        ).code
        == 2
    )
    assert lugbook("decide", copied.job, "d1", "refused", "--by", "owner", *DECIDE).code == 2
    bad = ("--authority", "owner", "--channel", "mail", "--date", "5.6.2026")
    assert lugbook("decide", copied.job, "d1", "declined", "--by", "owner", *bad).code == 2
    assert (copied.job / "trail.jsonl").read_bytes() == before
    early = lugbook("decide", fresh, "d1", "declined", "--by", "owner", *DECIDE, "--recorded-by", "Ina")
    assert (early.code, "no report was issued yet" in early.err) == (2, True)
    assert not (fresh / "trail.jsonl").exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("decide", "d1", "accepted", "--by", "owner", "--authority", "owner"), "revision 2, which is of 2026-06-03"),
        (("decide", "d1", "accepted", "--by", "owner", "--authority", "owner", "--revision", "1"), "before revision 1"),
        (("deliver", "--role", "owner"), "before revision 2"),
        (("receipt", "--role", "owner"), "before revision 2"),
        (("deliver", "--role", "owner", "--notice", "1"), "before entry 2 (notice), which is of 2026-06-02"),
    ],
)  # fmt: skip
def test_what_happened_lies_behind_and_after_what_it_is_about(
    copied: Story, words: tuple[str, ...], said: str
) -> None:
    before = (copied.job / "trail.jsonl").read_bytes()
    command, *rest = words
    for day, wanted in (
        ("2026-06-01", said),
        ("2027-01-02", "lies ahead: by this computer's clock it is 2027-01-01"),
    ):
        ran = lugbook(command, copied.job, *rest, "--channel", "mail", "--date", day)
        assert (ran.code, wanted in ran.err) == (2, True), ran.err
    assert (copied.job / "trail.jsonl").read_bytes() == before
    # East of Greenwich it is tomorrow already, for up to 14 hours; the report's own day is early enough.
    first_day = {"--notice": "2026-06-02"}.get(words[-2], "2026-06-03")
    for day in (first_day, "2027-01-01"):
        assert lugbook(command, copied.job, *rest, "--channel", "mail", "--date", day).code == 0


def test_a_notice_that_lies_ahead_is_refused(fresh: Path) -> None:
    ahead = tuple(("2027-02-02" if word == "2026-06-02" else word) for word in NOTICE)
    ran = lugbook("notice", fresh, *ahead)
    assert (ran.code, "2027-02-02 lies ahead" in ran.err) == (2, True)
    assert not (fresh / "trail.jsonl").exists()


def test_an_unknown_defect_of_a_report_with_computed_ones(copied: Story) -> None:
    path = copied.second / "report.json"
    report = json.loads(path.read_bytes())
    report["defects"].append({**report["defects"][0], "id": "c-fuse-near-battery-main"})
    path.write_text(json.dumps(report), encoding="utf-8")
    ran = lugbook("decide", copied.job, "x", "accepted", "--by", "owner", *DECIDE)
    assert (ran.code, "it has d1, d2, c-fuse-near-battery-main" in ran.err) == (2, True)


def test_a_notice_does_not_wait_for_a_report(tmp_path: Path) -> None:
    job = make_job(tmp_path / "trial")
    (job / "findings.yaml").write_text("format: lugbook-findings-1\nreport: [", encoding="utf-8")
    refused = lugbook("notice", job, *NOTICE)
    assert (refused.code, "--recorded-by" in refused.err) == (2, True)
    given = lugbook("notice", job, *NOTICE, "--recorded-by", "Ina Spector")
    assert given.code == 0, given.err
    assert [entry["kind"] for entry in entries(job)] == ["start", "notice"]
    again = lugbook("notice", job, *NOTICE, "--recorded-by", "Ina Spector")
    assert (again.code, "recorded already, as notice 1" in again.err) == (2, True)
    assert lugbook("verify", job).code == 0


def test_a_notice_is_one_page_and_says_it_all(story: Story) -> None:
    pdf = story.job / "notices" / "notice-1" / "notice.pdf"
    assert b"Pages:           1" in run("pdfinfo", pdf).stdout
    text = " ".join(run("pdftotext", "-layout", pdf, "-").stdout.decode().split())
    for wanted in ("The shore inlet is burnt and live.", "Otto Owner (the owner)", "2 June 2026, 14:10", "by word of mouth",
                   "Made safe by Ina Spector, with leave from the owner.", "take precedence"):  # fmt: skip
        assert wanted in text


def test_a_notice_from_its_file(tmp_path: Path) -> None:
    job = make_job(tmp_path / "trial")
    missing = lugbook("notice", job)
    assert (missing.code, "--start" in missing.err) == (2, True)
    assert lugbook("notice", job, "--start").code == 0
    empty = lugbook("notice", job)
    assert (empty.code, "P107" in empty.err) == (1, True)
    path = job / "notice.yaml"
    path.write_text(
        "format: lugbook-notice-1\nhazard: Gas in the bilge.\nplace: Bilge\ntold: {role: skipper, name: Sam}\nhow: by telephone\n"
        "date: 2026-06-02\ntime: 09:30\nsafety: refused\nmade_safe_by: Sam\n",
        encoding="utf-8",
    )
    wrong = lugbook("notice", job)
    assert (wrong.code, "refused_by" in wrong.err) == (1, True)
    path.write_text(
        path.read_text(encoding="utf-8").replace("made_safe_by: Sam", "refused_by: skipper"), encoding="utf-8"
    )
    given = lugbook("notice", job)
    assert given.code == 0, given.err
    assert entries(job)[-1]["body"]["refused_by"] == "skipper"
    html = (job / "notices" / "notice-1" / "notice.html").read_text(encoding="utf-8")
    assert "The skipper refused to have it made safe." in html


@pytest.mark.parametrize(
    ("safety", "extra", "wanted"),
    [
        ("made safe", (), "made_safe_by"),
        ("refused", (), "refused_by"),
        ("not made safe", (), "measure"),
        ("fine", (), "P105"),
    ],
)
def test_a_notice_says_what_was_done(fresh: Path, safety: str, extra: tuple[str, ...], wanted: str) -> None:
    words = [*NOTICE[:14], "--safety", safety, *extra]
    ran = lugbook("notice", fresh, *words)
    assert (ran.code, wanted in ran.err) == (1, True)
    assert not (fresh / "trail.jsonl").exists()


def test_deliver_says_when_nothing_shows_it(copied: Story) -> None:
    ran = lugbook(
        "deliver",
        copied.job,
        "--role",
        "owner",
        "--channel",
        "by hand",
        "--date",
        "2026-06-09",
        "--notice",
        "1",
    )
    assert "not acknowledged" in ran.out
    last, notice = entries(copied.job)[-1], (copied.job / "trail.jsonl").read_bytes().splitlines()[1]
    assert last["body"]["of"] == hashlib.sha256(notice).hexdigest()
    assert (
        lugbook(
            "deliver",
            copied.job,
            "--role",
            "owner",
            "--channel",
            "x",
            "--date",
            "2026-06-09",
            "--notice",
            "4",
        ).code
        == 2
    )


def test_nothing_is_added_to_a_broken_trail(copied: Story) -> None:
    trail = copied.job / "trail.jsonl"
    trail.write_bytes(trail.read_bytes().replace(b"A loose lamp", b"A lease lamp", 1))
    before = trail.read_bytes()
    ran = lugbook("decide", copied.job, "d1", "declined", "--by", "owner", *DECIDE)
    assert (ran.code, "lugbook verify" in ran.err) == (1, True)
    assert trail.read_bytes() == before
