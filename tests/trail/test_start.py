"""A trail that begins with the job."""

from __future__ import annotations

from pathlib import Path

from trail_jobs import lugbook

from lugbook.cli import main
from lugbook.trail.store import read_trail


def test_start_begins_the_trail_if_it_is_told_by_whom(tmp_path: Path) -> None:
    assert main(["start", str(tmp_path / "named"), "--recorded-by", "M. Quist", "-q"]) == 0
    (entry,) = read_trail(tmp_path / "named").entries
    assert entry.kind == "start"
    assert main(["verify", str(tmp_path / "named")]) == 0


def test_the_skeleton_tells_how_an_installation_is_entered(tmp_path: Path) -> None:
    """With the '#' taken away it is one that checks without a problem of its own, and is computed."""
    job = tmp_path / "trial"
    assert lugbook("start", job).code == 0
    path = job / "findings.yaml"
    before, found, after = path.read_text(encoding="utf-8").partition("# installation:\n")
    block, _, rest = after.partition("\n\n")
    assert found
    entered = "installation:\n" + "\n".join(line.removeprefix("# ") for line in block.split("\n"))
    path.write_text(f"{before}{entered}\n\n{rest}", encoding="utf-8")
    checked = lugbook("check", job)
    assert checked.code == 0, checked.err
    assert {line.rpartition("[")[2][:4] for line in checked.err.splitlines()} <= {"P501", "P502"}
    assert "defects" not in checked.out
    path.write_text(path.read_text(encoding="utf-8").replace("at: 0.1 m", "at: 1.4 m"), encoding="utf-8")
    assert "computed at 'main', item fuse-near-battery" in lugbook("check", job).out
    assert "  said_first:           # one sentence before all else" in before


def test_start_leaves_it_to_the_first_entry_otherwise(tmp_path: Path) -> None:
    assert main(["start", str(tmp_path / "plain"), "-q"]) == 0
    assert not (tmp_path / "plain" / "trail.jsonl").exists()
