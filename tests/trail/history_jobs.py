"""Many small jobs, made up by a seed, for the overview."""

from __future__ import annotations

import random
from pathlib import Path

# The items of the shipped list that made-up defects answer to.
ITEMS = (
    "battery-restraint",
    "fuse-near-battery",
    "conductor-chafe",
    "lug-hole",
    "lugs-per-stud",
    "one-per-screw",
)
OWN_ITEM = """      - {{id: {id}, question: "Is {id} as it should be?", look: Look., why: It may burn., remedy: Mend it., severity: {severity}, probability: {{usual: occasional, covered: remote, exposed: probable}}, harms: people, danger: {danger}, source: [{{document: common practice}}]}}
"""
OWN = """format: lugbook-checklist-1
id: own
title: A made-up list
edition: "1"
purpose: For tests.
walk:
  - id: first-stop
    title: First stop
    items:
"""
SEVERITIES = ("critical", "marginal", "catastrophic")


def own_list() -> str:
    """A list with the items above."""
    return OWN + "".join(
        OWN_ITEM.format(id=name, severity=SEVERITIES[n % 3], danger=("present", "latent")[n % 2])
        for n, name in enumerate(ITEMS)
    )


def shipped_items() -> tuple[str, ...]:
    """The items of the list that ships."""
    from lugbook.pipeline.lists import read_lists

    return tuple(item.id for item in read_lists(("small-craft-dc",)).items)


def made_up_job(
    folder: Path, number: int, seed: int, items: tuple[str, ...] = ITEMS, own: bool = True
) -> int:
    """Write a job with some defects. Returns how many."""
    chance = random.Random(seed * 1_000_003 + number)
    boat = number // 2  # two visits a boat
    lines = [
        "format: lugbook-findings-1",
        "last_defect: 99",
        "report:",
        f"  number: R-{number}",
        f"  checklists: [{'own.yaml' if own else 'small-craft-dc'}]",
        f"  craft: {{name: Boat {boat}, identification: XX-BOAT{boat:05}}}",
        f"  visit: {{date: 20{20 + number % 6}-{1 + number % 12:02}-{1 + number % 28:02}}}",
        "results:",
    ]
    count = 0
    for item in items:
        if chance.random() < (0.5 if own else 0.8):
            lines += [f"  - item: {item}", "    result: no departure seen", "    extent: whole"]
            continue
        count += 1
        lines += [
            f"  - item: {item}",
            "    result: defect",
            "    extent: whole",
            "    defects:",
            f"      - {{id: d{count}, title: Something about {item}, place: Locker {count}, seen: It was seen.}}",
        ]
    folder.mkdir(parents=True)
    (folder / "findings.yaml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    if own:
        (folder / "own.yaml").write_text(own_list(), encoding="utf-8")
    return count


def made_up_jobs(root: Path, count: int, seed: int, *, own: bool = True) -> int:
    """Write many, a folder a year. Returns how many defects they hold."""
    items = ITEMS if own else shipped_items()
    return sum(
        made_up_job(root / f"{2020 + n % 6}" / f"job-{n:05}", n, seed, items, own) for n in range(count)
    )
