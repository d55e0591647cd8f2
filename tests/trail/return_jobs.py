"""A job and its return visit, for tests: what the electrician writes into the pre-filled file."""

from __future__ import annotations

from pathlib import Path

from trail_jobs import lugbook

UNSEEN = "Not looked at again yet."


def begin(job: Path, new: Path) -> str:
    """Begin a return visit. Returns the text of its findings."""
    ran = lugbook("revisit", job, new)
    assert ran.code == 0, ran.err
    return (new / "findings.yaml").read_text(encoding="utf-8")


def answered(text: str, defect: str, now: str, seen: str) -> str:
    """The text with an answer for one carried defect."""
    at = text.index(f"- id: {defect}\n")
    head, rest = text[:at], text[at:]
    rest = rest.replace("now:\n", f"now: {now}\n", 1).replace(UNSEEN, seen, 1)
    return head + rest


def result(text: str, item: str, word: str) -> str:
    """The text with the result of one item."""
    old = f"- item: {item}\n    result:\n    extent:\n"
    assert text.count(old) == 1
    return text.replace(old, f"- item: {item}\n    result: {word}\n    extent: whole\n")


def finished(text: str) -> str:
    """The head filled in, so that the report can be issued."""
    return (
        text.replace("  date:\n  purpose", "  date: 2026-09-15\n  purpose", 1)
        .replace("  permission:\n", "  permission: Otto Owner\n", 1)
        .replace("    date:\n    start:", "    date: 2026-09-14\n    start:", 1)
        .replace("    place:\n    afloat:", "    place: A yard\n    afloat:", 1)
        .replace("    energised:\n", "    energised: all off\n", 1)
        .replace("    name: Ina Spector\n    date:\n", "    name: Ina Spector\n    date: 2026-09-15\n", 1)
    )


def full_return(job: Path, new: Path) -> Path:
    """A return visit on which d1 is put right, d2 is worse, and d3 is new."""
    text = finished(begin(job, new))
    text = answered(text, "d1", "fixed", "A fuse is fitted beside the post.")
    text = answered(text, "d2", "worse", "It has fallen down.")
    text = result(text, "battery-fuse", "no departure seen")
    text = result(text, "battery-strap", "defect")
    text = text.replace(
        "- item: battery-strap\n    result: defect\n    extent: whole\n",
        "- item: battery-strap\n    result: defect\n    extent: whole\n    defects:\n"
        "      - {title: The strap is torn, place: Locker, seen: It is torn.}\n",
    )
    text = text.replace(
        "severity: marginal\n    probability: remote", "severity: critical\n    probability: remote"
    )
    taken = '  - {id: rest, quantity: voltage, value: 12.71 V, place: "battery,  post to post"}\n'
    text = text.replace("readings: []\n", "readings:\n", 1).replace("readings:\n", f"readings:\n{taken}", 1)
    (new / "findings.yaml").write_text(text, encoding="utf-8")
    fixed = lugbook("check", new, "--fix")
    assert fixed.code == 0, fixed.err
    return new
