"""A trail that begins with the job."""

from __future__ import annotations

from pathlib import Path

from lugbook.cli import main
from lugbook.trail.store import read_trail


def test_start_begins_the_trail_if_it_is_told_by_whom(tmp_path: Path) -> None:
    assert main(["start", str(tmp_path / "named"), "--recorded-by", "M. Quist", "-q"]) == 0
    (entry,) = read_trail(tmp_path / "named").entries
    assert entry.kind == "start"
    assert main(["verify", str(tmp_path / "named")]) == 0


def test_start_leaves_it_to_the_first_entry_otherwise(tmp_path: Path) -> None:
    assert main(["start", str(tmp_path / "plain"), "-q"]) == 0
    assert not (tmp_path / "plain" / "trail.jsonl").exists()
