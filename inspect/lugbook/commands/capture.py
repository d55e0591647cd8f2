"""`lugbook capture`: the page that takes down a visit aboard, without a signal."""

from __future__ import annotations

import argparse
from pathlib import Path

from lugbook.commands.common import add_language, print_problems, printable, shipped_only
from lugbook.errors import InputRefusedError
from lugbook.issuing.capture import make_capture
from lugbook.pipeline.lists import shipped_lists

DEFAULT = "small-craft-dc"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "checklist", nargs="*", metavar="CHECKLIST", help=f"shipped lists to walk (default: {DEFAULT})"
    )
    parser.add_argument(
        "-o",
        "--out",
        metavar="FOLDER",
        default="out/capture",
        help="where to write it (default: out/capture)",
    )
    add_language(parser, "en")


def run(arguments: argparse.Namespace) -> int:
    names = shipped_only(arguments.checklist or [DEFAULT], shipped_lists())
    try:
        written = make_capture(names, arguments.language or "en", Path(arguments.out))
    except InputRefusedError as error:
        print_problems(error.problems, Path())
        raise
    if not arguments.quiet:
        for path in written:
            print(f"{printable(path)}  {path.stat().st_size / 1000:.0f} kB")
        print("put both files on any https host and open the page there once with a signal, or copy")
        print(
            "index.html to the phone and open it from its storage; the page says if that browser keeps nothing"
        )
    return 0
