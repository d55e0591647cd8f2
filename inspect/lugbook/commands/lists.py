"""`lugbook lists`: what ships."""

from __future__ import annotations

import argparse

from lugbook.pipeline import read_lists, shipped_lists


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("checklist", nargs="?", help="print the items of this list")


def run(arguments: argparse.Namespace) -> int:
    if arguments.checklist is None:
        for name in shipped_lists():
            checklist = read_lists((name,))
            print(
                f"{name:20} {len(checklist.items):4} items  {checklist.titles[0]} ({checklist.editions[0]})"
            )
        return 0
    for group in read_lists((arguments.checklist,)).groups:
        print(f"\n{group.title}")
        for item in group.items:
            print(f"  {item.id:32} {item.question}")
    return 0
