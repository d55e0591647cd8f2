"""The README tells the truth: its example prints what it says."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

from lugbook.cli import COMMANDS

README = Path(__file__).parents[1] / "README.md"


def test_the_example_prints_what_the_readme_says(tmp_path: Path) -> None:
    text = README.read_text(encoding="utf-8")
    blocks = dict(re.findall(r"```(yaml|text)\n(.*?)```", text, re.DOTALL))
    job = tmp_path / "plover"
    (job / "photos").mkdir(parents=True)
    (job / "findings.yaml").write_text(blocks["yaml"], encoding="utf-8")
    command = [sys.executable, "-m", "lugbook", "check", "plover"]
    shown = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert shown.stderr + shown.stdout == blocks["text"]
    assert shown.returncode == 1


def test_the_readme_is_about_a_hundred_lines_and_its_links_lead_somewhere() -> None:
    text = README.read_text(encoding="utf-8")
    assert 70 <= len(text.splitlines()) <= 120
    for target in re.findall(r"\]\(([^)#]+)", text):
        assert (README.parent / target).exists(), target


def test_the_readme_leads_to_every_page_of_the_docs() -> None:
    text = README.read_text(encoding="utf-8")
    pages = sorted(page.name for page in (README.parent / "docs").glob("*.md"))
    assert [name for name in pages if f"](docs/{name}" not in text] == []


def test_the_readme_names_no_command_that_does_not_exist() -> None:
    named = set(re.findall(r"`?lugbook\s+([a-z-]+)[ `]", README.read_text(encoding="utf-8")))
    assert {"start", "check", "report", "watch", "issue", "verify", "parts", "size", "diagnose"} <= named
    assert named <= {*COMMANDS, "is", "turns"}
