"""`lugbook words`: what a language file lacks."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

from lugbook.commands.common import print_problems
from lugbook.errors import InputRefusedError
from lugbook.pipeline.language import language_gaps, language_skeleton, languages


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "language", nargs="?", help="such as fr, for words/fr.yaml; left out: which ones ship"
    )
    parser.add_argument(
        "--folder", default=".", help="the folder that holds 'words', such as a job's (default: here)"
    )
    parser.add_argument(
        "--start", action="store_true", help="print a language file to begin with: every text, in English"
    )


def run(arguments: argparse.Namespace) -> int:
    if arguments.language is None:
        print("\n".join(languages()))
        return 0
    if arguments.start:
        print(language_skeleton(arguments.language), end="")
        return 0
    try:
        gaps = language_gaps(arguments.language, Path(arguments.folder))
    except InputRefusedError as error:
        print_problems(error.problems, Path(arguments.folder))
        raise
    for title, lines in (
        ("keys without words", gaps.keys),
        ("sentences without words", gaps.sentences),
        ("checklist items without words", gaps.items),
        ("sentences that nothing says any more", gaps.stale),
    ):
        if lines:
            print(f"{title}:")
            for line in lines:
                print(f"  {json.dumps(line, ensure_ascii=False)}")
    missing = len(gaps.keys) + len(gaps.sentences) + len(gaps.items)
    if not arguments.quiet:
        print(f"{missing} missing, {len(gaps.stale)} stale", file=sys.stderr)
    return 1 if missing else 0
