"""Where the processor time of one report goes: `python tests/bench/phases.py JOB OUT` prints seconds by phase, as JSON."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from time import process_time
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2] / "inspect"))

spent: dict[str, float] = {}


def timed(what: str, owner: Any, name: str) -> None:
    """Count what a function takes under `what`."""
    function = getattr(owner, name)

    def counted(*args: Any, **names: Any) -> Any:
        begun = process_time()
        try:
            return function(*args, **names)
        finally:
            spent[what] = spent.get(what, 0.0) + process_time() - begun

    setattr(owner, name, counted)


def loaded(what: str, load: Callable[[], Any]) -> Any:
    begun = process_time()
    module = load()
    spent[what] = process_time() - begun
    return module


def program() -> Any:
    import lugbook.cli
    import lugbook.pipeline.reporting

    return lugbook


def engine() -> Any:
    import weasyprint.document

    return weasyprint


def main() -> None:
    spent["starting Python"] = process_time()
    lugbook = loaded("loading the program", program)
    weasyprint = loaded("loading the layout engine", engine)
    from lugbook.pipeline import checking, reporting

    timed("reading and checking the job", checking, "check_job")
    timed("judging and composing", reporting, "decided")
    timed("the HTML of screen and print", reporting, "screen_page")
    timed("the HTML of screen and print", reporting, "print_page")
    timed("parsing the print page", weasyprint.HTML, "__init__")
    timed("laying out the PDF", weasyprint.HTML, "render")
    timed("writing the PDF", weasyprint.document.Document, "write_pdf")
    if lugbook.cli.main(["-q", "report", sys.argv[1], "-o", sys.argv[2]]):
        raise SystemExit("no report was made")
    spent["the rest"] = process_time() - sum(spent.values())
    print(json.dumps(spent))


if __name__ == "__main__":
    main()
