"""`lugbook lists`: what ships."""

from __future__ import annotations

import argparse

from lugbook.commands.common import shipped_only
from lugbook.pipeline.lists import read_lists, shipped_lists


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
    names = shipped_only([arguments.checklist], shipped_lists())
    for group in read_lists(names).groups:
        print(f"\n{group.title}")
        for item in group.items:
            print(f"  {item.id:32} {item.question}")
    return 0
