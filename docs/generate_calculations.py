"""Writes docs/calculations.md from the docstrings of lugbook.calc. Run it after any change there."""

import importlib
import inspect
import re
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

TARGET = Path(__file__).parent / "calculations.md"
# In the order in which a circuit is thought through.
MODULES = (
    "conductor", "ampacity", "voltage_drop", "loads", "parallel", "fault", "heating", "termination", "battery", "bank",
    "charging", "uncertainty",
)  # fmt: skip

HEAD = """# Calculations

Generated from the docstrings by `docs/generate_calculations.py`; do not edit. Every formula that lugbook computes is
here, with its symbols, the limits within which it holds, and where it comes from. Values outside the limits are
refused, never clipped; so are NaN and infinity. Units are SI inside (areas in m2, lengths in m); the findings file and
the report use the trade's units and convert once, at the edge.

How a source is known: *read* means that the text itself was read; *second-hand* (or 'as reproduced in') that a public
copy of its figures was; *recalled* that it was written from memory and should be checked against the document; *common
practice, no source* is just that. The limits that a verdict uses are not here: they are in the bases, each with its
clause.
"""


def sections(docstring: str) -> dict[str, str]:
    """Split a docstring at its underlined headings; the summary is under an empty name."""
    parts = re.split(r"^(\w+)\n-+\n", docstring, flags=re.MULTILINE)
    named = zip(parts[1::2], parts[2::2], strict=True)
    return {"": parts[0].strip()} | {name: text.strip("\n") for name, text in named}


def plain(text: str) -> str:
    """Text of a docstring as Markdown prose."""
    return re.sub(r"([*_<|])", r"\\\1", " ".join(text.split()))


def entries(text: str) -> list[tuple[str, str]]:
    """The entries of a Parameters, Returns or Raises section: heading line and explanation."""
    found: list[tuple[str, str]] = []
    for line in text.splitlines():
        if line and not line.startswith(" "):
            found.append((line.strip(), ""))
        elif line.strip():
            heading, explanation = found[-1]
            found[-1] = (heading, f"{explanation} {line.strip()}")
    return found


def references(text: str) -> list[str]:
    """The numbered references, each on one line."""
    return [plain(part) for part in re.split(r"^\d+\. ", text, flags=re.MULTILINE) if part.strip()]


def function_page(name: str, function: Callable[..., Any]) -> str:
    """One function as Markdown."""
    parts = sections(inspect.getdoc(function) or "")
    symbols = [
        f"- `{heading.partition(' : ')[0]}`: {plain(text)}" for heading, text in entries(parts["Parameters"])
    ]
    result = " ".join(plain(text) for _, text in entries(parts["Returns"]))
    limits = [f"- {text.strip()}" for _, text in entries(parts["Raises"])]
    sources = [f"{number}. {text}" for number, text in enumerate(references(parts["References"]), start=1)]
    example = "\n".join(line for line in parts["Example"].splitlines() if line.strip())
    blocks = [
        f"### {name}",
        plain(parts[""]),
        f"**Formula and validity.** {plain(parts['Notes'])}",
        "**Symbols.**\n\n" + "\n".join(symbols),
        f"**Result.** {result}",
        "**Refused.**\n\n" + "\n".join(limits),
        "**Sources.**\n\n" + "\n".join(sources),
        f"```python\n{example}\n```",
    ]
    return "\n\n".join(blocks)


def module_page(module: ModuleType) -> str:
    """One module as Markdown: its functions in the order of the source."""
    name = module.__name__.rpartition(".")[2]
    functions = [
        function_page(f"{name}.{key}", value)
        for key, value in vars(module).items()
        if inspect.isfunction(value) and value.__module__ == module.__name__ and not key.startswith("_")
    ]
    summary, _, rest = (inspect.getdoc(module) or "").partition("\n")
    return "\n\n".join([f"## {name}", plain(summary), *([plain(rest)] if rest.strip() else []), *functions])


def render() -> str:
    """The whole page."""
    pages = [module_page(importlib.import_module(f"lugbook.calc.{name}")) for name in MODULES]
    return "\n".join([HEAD, "\n\n".join(pages), ""])


def main() -> None:
    """Write the page."""
    TARGET.write_text(render(), encoding="utf-8")


if __name__ == "__main__":
    main()
