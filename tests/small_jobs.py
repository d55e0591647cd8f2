"""Small jobs for tests, made from a few lines, and where the demo is."""

from __future__ import annotations

import signal
from dataclasses import dataclass
from pathlib import Path

from lugbook.model.view import ReportView
from lugbook.pipeline.checking import Checked

ROOT = Path(__file__).parents[1]
DEMO = ROOT / "photos_demo" / "wandering-plover"
RETURN = ROOT / "photos_demo" / "wandering-plover-return"

HEAD = """format: lugbook-findings-1
last_defect: 99
report:
  number: T-1
  checklists: [own.yaml]
  craft: {name: Trial}
"""
LIST = """format: lugbook-checklist-1
id: own
title: A trial list
edition: "1"
purpose: For tests.
walk:
  - id: first-stop
    title: First stop
    items:
      - &ITEM
"""


def item(name: str, **changes: str) -> str:
    """An item of a trial list; values are YAML text."""
    fields = {
        "question": f"Is the {name} in order?",
        "look": "Look at it.",
        "why": "It may burn.",
        "remedy": "Mend it.",
        "severity": "critical",
        "probability": "{usual: occasional, covered: remote, exposed: probable}",
        "harms": "people",
        "danger": "latent",
        "source": "[{document: common practice}]",
        **changes,
    }
    return f"      - id: {name}\n" + "".join(f"        {key}: {value}\n" for key, value in fields.items())


def checklist(*items: str) -> str:
    """A trial list with these items."""
    head = LIST.replace("      - &ITEM\n", "")
    return head + "".join(items)


@dataclass(frozen=True)
class DemoReport:
    """The demo, checked and rendered once for all tests."""

    checked: Checked
    folder: Path
    view: ReportView


def hear_ctrl_c() -> None:
    """For a child process, before it begins: a shell's background ignores Ctrl-C, and children inherit that."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)
