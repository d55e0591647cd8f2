"""The command line: parse, dispatch, and turn every failure into one sentence and an exit code.

Exit codes: 0 fine, 1 problems in the input or with the output, 2 usage, 3 unexpected, 130 interrupted.
"""

from __future__ import annotations

import _thread
import argparse
import contextlib
import gc
import importlib
import io
import os
import signal
import sys
import time
from collections.abc import Iterator, Sequence

from lugbook import __version__

# New objects between two looks for cyclic garbage; Python looks after 700. A run makes many objects and few cycles:
# a check takes an eighth less time with this, and no more memory.
BETWEEN_LOOKS = 10_000
# command -> (module, help, examples)
COMMANDS = {
    "start": (
        "start",
        "make a new job folder with a commented findings file",
        "lugbook start plover\nlugbook start plover --checklist pre-purchase",
    ),
    "check": (
        "check",
        "print every fault of a job at once",
        "lugbook check plover\nlugbook check plover --fix\nlugbook check plover --strict --format json",
    ),
    "report": (
        "report",
        "write the report as HTML, PDF and JSON, and its defects as CSV",
        "lugbook report plover\nlugbook report plover -o /tmp/reports --html-only",
    ),
    "watch": (
        "watch",
        "show the report in a browser, and make it anew whenever a file of the job is saved",
        "lugbook watch plover\nlugbook watch plover --port 8000",
    ),
    "parts": (
        "parts",
        "write what to buy for the accepted proposals, as a page to tick and as CSV",
        "lugbook parts plover\nlugbook parts plover -o /tmp/van",
    ),
    "suggest": (
        "suggest",
        "print a remedy for what the analyses found, to be checked and pasted into the findings",
        "lugbook suggest plover\nlugbook suggest plover >> plover/findings.yaml",
    ),
    "pictures": (
        "pictures",
        "write a contact sheet of the pictures that nothing uses",
        "lugbook pictures plover",
    ),
    "lists": (
        "lists",
        "print the checklists that ship, or the items of one",
        "lugbook lists\nlugbook lists pre-purchase",
    ),
    "size": (
        "size",
        "say which cable, fuse and lugs a load needs, and by which limits",
        "lugbook size --current 50A --length '2.4 m' --one-way --insulation 105degC --place engine-space"
        " --system 12V --max-fuse none --battery-short-circuit 2.8kA --from-stud M8 --to-stud M10"
        "\nlugbook size --power 60W --length '8 m' --one-way --insulation 90degC --place duct --system 12V"
        " --critical --max-fuse 10A --battery-cca 800A --cca-standard EN --basis good-practice"
        " --basis us-33cfr183 --json",
    ),
    "diagnose": (
        "diagnose",
        "weigh the causes of a charging fault by the readings, and say what to measure next",
        "lugbook diagnose plover\nlugbook diagnose plover --json",
    ),
    "issue": (
        "issue",
        "freeze the finished report and enter it in the job's trail",
        "lugbook issue plover\nlugbook issue plover --reason 'Reading 4 was put right' --key ~/keys/inspector",
    ),
    "verify": (
        "verify",
        "say what differs from what was issued and recorded",
        "lugbook verify plover\nlugbook verify plover --head SUM --signers signers\nlugbook verify report.pdf",
    ),
    "notice": (
        "notice",
        "record that somebody was told of an immediate danger, and make the page for it",
        "lugbook notice plover --start\nlugbook notice plover",
    ),
    "decide": (
        "decide",
        "record what somebody decided about a defect",
        "lugbook decide plover d3 declined --by buyer --authority 'buyer, before purchase' --channel mail"
        " --date 2026-06-04 --evidence reply.eml",
    ),
    "deliver": (
        "deliver",
        "record that a report or a notice was sent or handed over",
        "lugbook deliver plover --role buyer --name 'Orla Penhallick' --channel mail --date 2026-06-03",
    ),
    "receipt": (
        "deliver",
        "record that somebody says that they have it",
        "lugbook receipt plover --role buyer --channel mail --date 2026-06-03 --evidence reply.eml",
    ),
    "import-token": (
        "import_token",
        "keep a time stamp that an authority elsewhere made over the head of the trail",
        "lugbook import-token plover head.tsr --certificate authority.pem",
    ),
    "erase": (
        "erase",
        "take a person's name and contacts out of a job, and record that",
        "lugbook erase plover --person client --reason 'asked for by letter' --asked-by buyer"
        "\nlugbook erase plover --person p3 --reason 'asked for by letter' --issued",
    ),
    "redact": (
        "redact",
        "make a copy of an issued report for third parties, without names, contacts, identifiers and places",
        "lugbook redact plover -o out/for-the-yard\nlugbook redact plover --revision 1 --withhold 'Blue Heron Marina'",
    ),
    "history": (
        "history",
        "say what is open, overdue and declined over all jobs, by boat and by kind of defect",
        "lugbook history ~/jobs\nlugbook history ~/jobs --by defect --on 2026-10-01"
        "\nlugbook history ~/jobs --format csv > open.csv",
    ),
    "owner-note": (
        "owner_note",
        "print a note to the owner in plain text, for an email or an invoice",
        "lugbook owner-note plover\nlugbook owner-note plover -o out/owner-note.txt",
    ),
    "compare": (
        "compare",
        "say what is fixed, still open, worse, new or no longer applicable from one job to another",
        "lugbook compare plover plover-return\nlugbook compare plover/issued/R-1-r1 plover/issued/R-1-r2 --json"
        "\nlugbook compare plover plover-return -o out/changes",
    ),
    "capture": (
        "capture",
        "write the page that takes down a visit aboard, in a phone's browser, without a signal",
        "lugbook capture\nlugbook capture pre-purchase -o out/capture",
    ),
    "revisit": (
        "revisit",
        "begin a return visit: a new job that carries what is still open, with its ids, history and pictures",
        "lugbook revisit plover plover-return",
    ),
    "unpack": (
        "unpack",
        "make a job of what the capture page exported, or put a later export into it",
        "lugbook unpack visit.zip plover\nlugbook unpack visit-2.zip plover --theirs",
    ),
    "pack": (
        "pack",
        "pack a job, or a return visit to it, for the capture page",
        "lugbook pack plover -o plover.zip\nlugbook pack plover --return plover-return -o plover-return.zip",
    ),
    "words": (
        "words",
        "list the texts that a language file of your own still lacks",
        "lugbook words\nlugbook words fr --start > words/fr.yaml\nlugbook words fr",
    ),
    "key": (
        "key",
        "make a key to sign with",
        "lugbook key ~/keys/inspector --identity inspector@example.org",
    ),
}
QUIET = "print problems and nothing else"
EPILOG = """a first report:
  lugbook start plover          makes plover/findings.yaml and plover/photos/
  lugbook check plover          says what is still wrong or open
  lugbook report plover         writes out/plover/report.html, .pdf and .json
  lugbook issue plover          freezes it as an issue that anyone can check

Reports are opinions on what could be seen. Local regulations and licensed examiners take precedence."""


def _parser(wanted: str | None) -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="lugbook",
        description="Inspection reports for small-craft electrics, from a findings file and photos.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"lugbook {__version__}")
    parser.add_argument("-q", "--quiet", action="store_true", help=QUIET)
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name, (module, words, examples) in COMMANDS.items():
        sub = commands.add_parser(
            name,
            help=words,
            description=words[0].upper() + words[1:] + ".",
            epilog="examples:\n  " + examples.replace("\n", "\n  "),
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        sub.add_argument("-q", "--quiet", action="store_true", default=argparse.SUPPRESS, help=QUIET)
        if name == wanted:  # only the command that runs is imported
            importlib.import_module(f"lugbook.commands.{module}").add_arguments(sub)
    return parser


def _print_anything() -> None:
    """Names of files may hold what the terminal's coding cannot show: print it escaped rather than fail."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _say(text: str) -> None:
    """Print a line about what went wrong; names in it may hold what would steer the terminal."""
    from lugbook.commands.common import printable

    print(f"lugbook: {printable(text)}", file=sys.stderr)


def _refuse_unknown(words: Sequence[str]) -> None:
    """Name the nearest command instead of listing all of them."""
    first = next((word for word in words if not word.startswith("-")), None)
    if first is None or first in COMMANDS:
        return
    from difflib import get_close_matches

    from lugbook.errors import UsageError

    near = get_close_matches(first, COMMANDS, n=1)
    hint = f"did you mean 'lugbook {near[0]}'?" if near else f"there are: {', '.join(COMMANDS)}"
    raise UsageError(f"there is no command '{first[:60]}'; {hint}")


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command. Together with `_run` the one place that catches everything."""
    words = list(sys.argv[1:] if argv is None else argv)
    gc.set_threshold(BETWEEN_LOOKS)
    try:
        with _heard_interrupts() as heard:
            return _run(words, heard)
    except KeyboardInterrupt:  # at any moment, also while the program's own modules are read
        print("\nlugbook: interrupted; nothing was left half-written", file=sys.stderr)
        return 130


@contextlib.contextmanager
def _heard_interrupts() -> Iterator[list[int]]:
    """Ctrl-C leaves a trace, and comes once more if it fell into a destructor, where the interpreter drops it."""
    heard: list[int] = []
    before, dropped = signal.getsignal(signal.SIGINT), sys.unraisablehook

    def hear(number: int, _frame: object) -> None:
        heard.append(number)
        raise KeyboardInterrupt

    def unraisable(what: sys.UnraisableHookArgs) -> None:
        if what.exc_type is KeyboardInterrupt:
            _thread.start_new_thread(_interrupt_again, ())
        else:
            dropped(what)

    here = before is signal.default_int_handler
    if here:
        with contextlib.suppress(ValueError):  # in another thread than the first, which alone hears signals
            signal.signal(signal.SIGINT, hear)
    sys.unraisablehook = unraisable
    try:
        yield heard
    finally:
        sys.unraisablehook = dropped
        if here:
            with contextlib.suppress(ValueError):
                signal.signal(signal.SIGINT, before)


def _interrupt_again() -> None:
    time.sleep(0.01)
    _thread.interrupt_main()


def _run(words: list[str], heard: list[int]) -> int:
    wanted = next((word for word in words if word in COMMANDS), None)
    from lugbook.errors import LugbookError

    _print_anything()
    try:
        _refuse_unknown(words)
        arguments = _parser(wanted).parse_args(words)
        module = importlib.import_module(f"lugbook.commands.{COMMANDS[arguments.command][0]}")
        code = int(module.run(arguments))
        sys.stdout.flush()  # here, where a closed pipe is expected, and not at exit
        return code
    except SystemExit as exit_:  # argparse: 0 for help and version, 2 for usage
        return exit_.code if isinstance(exit_.code, int) else 2
    except LugbookError as error:
        _not_of_an_interrupt(heard)
        _say(str(error))
        return error.exit_code
    except BrokenPipeError:  # 'lugbook lists | head': the reader had enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as error:
        _not_of_an_interrupt(heard)
        _say(f"unexpected: {type(error).__name__}: {error}")
        _say("this is a fault of the program; please report it with the line above")
        return 3


def _not_of_an_interrupt(heard: list[int]) -> None:
    """Some libraries make an error of their own of Ctrl-C: it is an interruption all the same."""
    if heard:
        raise KeyboardInterrupt


if __name__ == "__main__":
    sys.exit(main())
