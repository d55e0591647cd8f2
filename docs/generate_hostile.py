"""Fills the counts of hostile-input.md from fuzzing.json and campaigns.json, which the campaigns of tests/soak write."""

from __future__ import annotations

import json
from pathlib import Path

DOCS = Path(__file__).parent
TARGET = DOCS / "hostile-input.md"
COUNTS = DOCS / "fuzzing.json"
CAMPAIGNS = DOCS / "campaigns.json"
BEGIN, END = (
    "<!-- counts: written by make docs from fuzzing.json and campaigns.json -->",
    "<!-- end of the counts -->",
)
KINDS = {"text": "YAML text", "tree": "whole jobs", "picture": "pictures", "bundle": "archives"}


def counts() -> str:
    """The table of the last whole run, or that there was none."""
    if not COUNTS.exists():
        return "No whole run of `tests/soak/fuzz.py` is recorded yet.\n"
    told = json.loads(COUNTS.read_text(encoding="utf-8"))
    total = sum(sum(ended.values()) for ended in told["ended"].values())
    lines = [
        f"{total:,} inputs (numbers from {told['first']}) on {told['machine']}: {told['broke']} broke something. "
        f"The slowest took {told['slowest_s']} s, the largest process {told['largest_process_mb']} MB.",
        "",
        "| input | count | came to |",
        "|---|---|---|",
    ]
    for kind, ended in told["ended"].items():
        came = ", ".join(f"{count:,} {what}" for what, count in ended.items())
        lines.append(f"| {KINDS[kind]} | {sum(ended.values()):,} | {came} |")
    return "\n".join(lines) + "\n"


def campaigns() -> str:
    """What the other campaigns found: those that follow the branches of the code, and Ctrl-C."""
    if not CAMPAIGNS.exists():
        return ""
    told = json.loads(CAMPAIGNS.read_text(encoding="utf-8"))
    lines = ["", "| campaign | came to | slowest |", "|---|---|---|"]
    for name, one in told.items():
        if name.startswith("guided "):
            kind = name.removeprefix("guided ")
            came = ", ".join(f"{count:,} {what}" for what, count in one["ended"].items())
            total = sum(one["ended"].values())
            lines.append(
                f"| {KINDS[kind]}, following the branches | {total:,} inputs: {came}; none broke something | {one['slowest_s']} s |"
            )
    if "interrupts" in told:
        one = told["interrupts"]
        lines.append(
            f"| Ctrl-C at seeded moments of a report with its PDF | {one['moments']} moments: {one.get('before', 0)} left "
            f"the old report, {one.get('after', 0)} the new one, each whole | |"
        )
    machines = sorted({one["machine"] for one in told.values()})
    return "\n".join([*lines, "", f"Run on {' and on '.join(machines)}."]) + "\n"


def render() -> str:
    """The page with its counts."""
    page = TARGET.read_text(encoding="utf-8")
    before, _, rest = page.partition(BEGIN)
    _, _, after = rest.partition(END)
    return f"{before}{BEGIN}\n{counts()}{campaigns()}{END}{after}"


if __name__ == "__main__":
    TARGET.write_text(render(), encoding="utf-8")
