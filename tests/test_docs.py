"""The generated pages are fresh, and the examples in the hand-written ones work."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
from test_cases import CASES

from lugbook.cli import COMMANDS
from lugbook.model.codes import CODES
from lugbook.model.vocabulary import MarkKind
from lugbook.pipeline.checking import check_job
from lugbook.progress import Progress

DOCS = Path(__file__).parents[1] / "docs"
GUIDE = (DOCS / "findings.md").read_text(encoding="utf-8")
PICTURE = (CASES / "P301-missing-picture" / "ok" / "photos" / "strap.png").read_bytes()
EXAMPLES = re.findall(r"(?ms)^```yaml\n(.*?)^```$", GUIDE)
REPORT = "report:\n  number: R1\n  checklists: [small-craft-dc]\n"


def whole(example: str) -> str:
    """A file made of a part of one: what every file must have is put before it."""
    if example.startswith("format:"):
        return example
    head = "" if example.startswith("report:") else REPORT
    return "format: lugbook-findings-1\nlast_defect: 9\n" + head + example.replace("report:\n", REPORT, 1)


def test_generated_pages_are_fresh() -> None:
    ran = subprocess.run(
        [sys.executable, str(DOCS / "generate.py"), "--check"],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert (ran.returncode, ran.stdout) == (0, ""), ran.stderr


@pytest.mark.parametrize("example", EXAMPLES, ids=range(len(EXAMPLES)))
def test_examples_of_the_guide_have_no_errors(example: str, tmp_path: Path) -> None:
    (tmp_path / "photos").mkdir()
    for name in re.findall(r"file: (\S+\.\w+)", example):
        (tmp_path / "photos" / name).write_bytes(PICTURE)
    (tmp_path / "findings.yaml").write_text(whole(example), encoding="utf-8")
    checked = check_job(tmp_path, Progress(quiet=True), strict=True)
    assert [problem for problem in checked.problems if problem.severity != "note"] == []
    assert checked.job is not None


def test_the_guide_shows_every_part_and_every_mark() -> None:
    assert len(EXAMPLES) >= 8
    shown = "".join(EXAMPLES)
    for key in ("instruments:", "readings:", "results:", "extra:", "photos:", "marks:", "risk:", "fitted:"):
        assert key in shown
    for kind in MarkKind.__args__:  # type: ignore[attr-defined]
        assert f"| `{kind}` |" in GUIDE


def test_every_code_and_command_has_its_heading() -> None:
    problems = (DOCS / "problems.md").read_text(encoding="utf-8")
    commands = (DOCS / "commands.md").read_text(encoding="utf-8")
    assert [code for code in CODES if f"\n### {code}\n" not in problems] == []
    assert [name for name in COMMANDS if f"\n## lugbook {name}\n" not in commands] == []


def test_links_between_pages_lead_somewhere() -> None:
    for page in sorted(DOCS.glob("*.md")):
        text = re.sub(r"(?ms)^```.*?^```$", "", page.read_text(encoding="utf-8"))
        for target in re.findall(r"\]\(([^)#:\s]+)(?:#[^)]*)?\)", text):
            assert (page.parent / target).exists(), f"{page.name}: {target}"
