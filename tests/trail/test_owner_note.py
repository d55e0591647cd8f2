"""The note to the owner."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_jobs import DEMO
from trail_jobs import DECIDE, Story, lugbook

from lugbook.compose.owner_note import bare

WIDTH = 78


def test_the_note_of_an_issued_job(copied: Story) -> None:
    ran = lugbook("owner-note", copied.job)
    assert ran.code == 0, ran.err
    lines = ran.out.splitlines()
    assert max(len(line) for line in lines) < WIDTH
    assert lines[0] == "Trial: electrical inspection of 2 June 2026"
    assert lines[1].startswith("Report T 7/2026, Revision 2.")
    assert "- A loose lamp (d2): declined by the buyer on 5 June 2026." in lines
    assert "take precedence" in ran.out
    assert lines[-1] == (copied.job / "trail.head").read_text(encoding="utf-8").split()[0]


def test_what_is_dangerous_comes_first_with_what_to_do() -> None:
    out = lugbook("owner-note", DEMO).out
    lines = out.splitlines()
    assert max(len(line) for line in lines) < WIDTH
    assert (
        out.index("DANGEROUS AS THE BOAT LIES NOW")
        < out.index("before the next trip:")
        < out.index("At the next refit:")
    )
    flat = " ".join(out.split())
    dangerous, rest = flat[flat.index("DANGEROUS") :].split("To be put right before the next trip:")
    assert dangerous.count("What to do:") == dangerous.count("Where:") > 0
    assert "What to do:" not in rest
    assert "This report has not been issued yet." in flat
    assert "**" not in out
    assert "Head of the trail" not in out


def test_what_was_decided_so_far_is_all_there(copied: Story) -> None:
    out = " ".join(lugbook("owner-note", copied.job).out.split())
    assert (
        "Accepted, and still to be done: - No fuse at the battery (d1): accepted by the owner on 5 June 2026."
        in out
    )
    assert "Declined or put off, and still as described: - A loose lamp (d2): declined by the buyer" in out
    assert "not answered yet" not in out  # the owner's answer came after the silence
    assert lugbook("decide", copied.job, "d1", "no-answer", "--by", "buyer", *DECIDE).code == 0
    out = " ".join(lugbook("owner-note", copied.job).out.split())
    assert (
        "Asked, and not answered yet: - No fuse at the battery (d1): no answer from the buyer by 5 June 2026."
        in out
    )
    assert "Accepted" not in out
    german = " ".join(lugbook("owner-note", copied.job, "--language", "de").out.split())
    assert (
        "Gefragt, und noch ohne Antwort: - No fuse at the battery (d1): ohne Antwort bis 5. Juni 2026, Käufer."
        in german
    )


def test_what_is_said_to_be_done_is_not_called_put_right(copied: Story) -> None:
    assert lugbook("decide", copied.job, "d1", "done", "--by", "owner", *DECIDE).code == 0
    out = " ".join(lugbook("owner-note", copied.job).out.split())
    assert (
        "Said to be done, and not seen by the inspector since: - No fuse at the battery (d1): done, as the owner said"
        in out
    )
    assert "Recorded by the inspector, not acknowledged." in out


def test_into_a_file(copied: Story, tmp_path: Path) -> None:
    assert lugbook("owner-note", copied.job, "-o", tmp_path / "note.txt").out == ""
    assert (tmp_path / "note.txt").read_text(encoding="utf-8") == lugbook("owner-note", copied.job).out


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("**Do not** start *now*.", "Do not start now."),
        ("`code` and [a page](https://example.org)", "code and a page (https://example.org)"),
        ("2 * 3 * 4 and a_b_c", "2 * 3 * 4 and a_b_c"),
        (r"a \*star\*", "a *star*"),
    ],
)
def test_markdown_as_plain_words(text: str, wanted: str) -> None:
    assert bare(text) == wanted
