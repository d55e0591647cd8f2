"""docs/first-report.md tells the truth: a newcomer who does what it says sees what it shows."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from small_jobs import DEMO

from lugbook.cli import main

PAGE = Path(__file__).parents[1] / "docs" / "first-report.md"
SHOWN = re.findall(r"(?ms)^```\n\$ lugbook (.*?)\n(.*?)^```$", PAGE.read_text(encoding="utf-8"))
WRITTEN = re.findall(r"(?ms)^```yaml\n(.*?)^```$", PAGE.read_text(encoding="utf-8"))


def filled_in(skeleton: str, block: str) -> str:
    """The skeleton with a block in the place of the lines that it fills in."""
    first = block.splitlines()[0]
    if "- item:" in first:
        before, found, after = skeleton.partition(f"{first}\n    result:\n    extent:\n")
    else:
        wanted = r"\n".join(
            re.escape(line) if line.endswith(":") else f"{re.escape(line.split(':')[0])}:[^\n]*" for line in block.splitlines()
        )  # fmt: skip
        match = re.search(rf"(?m)^{wanted}\n", skeleton)
        assert match, block
        before, found, after = skeleton[: match.start()], match[0], skeleton[match.end() :]
    assert found, block
    return before + block + after


def test_every_command_of_the_page_answers_what_the_page_shows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert [command.split()[0] for command, _ in SHOWN] == ["start", "check", "check", "report"]
    assert len(WRITTEN) == 5
    for n, (command, answer) in enumerate(SHOWN):
        code = main(command.split())
        printed = capsys.readouterr()
        assert code == (1 if n == 1 else 0), printed.err
        assert answer in printed.err + printed.out, command
        if n == 0:
            findings = tmp_path / "plover" / "findings.yaml"
            text = findings.read_text(encoding="utf-8")
            for block in WRITTEN:
                text = filled_in(text, block)
            findings.write_text(text, encoding="utf-8")
            shutil.copy(DEMO / "photos" / "no-fuse.jpg", tmp_path / "plover" / "photos")
    for name in SHOWN[-1][1].split():
        assert (tmp_path / name).stat().st_size > 100
