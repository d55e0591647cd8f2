"""Writes the generated pages of docs/ anew; with --check it only says which are out of date.

Generated: schema/*.json, problems.md, commands.md, the key tables of findings.md, calculations.md and readability.md.
"""

from __future__ import annotations

import argparse
import importlib.util
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from lugbook import cli
from lugbook.model.basis import BasisFile
from lugbook.model.business import BusinessFile
from lugbook.model.checklist import ChecklistFile, Group
from lugbook.model.codes import CODES, Code
from lugbook.model.findings import Findings
from lugbook.model.quantity import EXAMPLES
from lugbook.model.rates import RatesFile
from lugbook.model.scalars import CLOCK, DAY, DEFECT_ID, EXTENT_PATTERN, IDENT, quantity_pattern
from lugbook.model.schema import output_schema, schema, schema_json
from lugbook.model.view import ReportView

DOCS = Path(__file__).parent
CASES = DOCS.parent / "tests" / "cases"
BEGIN, END = "<!-- generated: do not edit below -->", "<!-- end of the generated part -->"
Schema = dict[str, Any]


def pages() -> dict[Path, bytes]:
    """Every generated file with its content."""
    inputs: dict[str, type[BaseModel]] = {
        "findings": Findings,
        "checklist": ChecklistFile,
        "group": Group,
        "basis": BasisFile,
        "business": BusinessFile,
        "rates": RatesFile,
    }
    made = {DOCS / "schema" / f"{name}.schema.json": schema_json(model) for name, model in inputs.items()}
    made[DOCS / "schema" / "report.schema.json"] = output_schema(ReportView)
    made[DOCS / "problems.md"] = problems_page().encode()
    made[DOCS / "commands.md"] = commands_page().encode()
    made[DOCS / "findings.md"] = findings_page((DOCS / "findings.md").read_text(encoding="utf-8")).encode()
    made.update(neighbour("calculations"))
    made.update(neighbour("readability"))
    made.update(neighbour("hostile"))
    return made


def neighbour(name: str) -> dict[Path, bytes]:
    """The page of a generator that stands beside this one, `generate_NAME.py` with TARGET and render()."""
    path = DOCS / f"generate_{name}.py"
    spec = importlib.util.spec_from_file_location(path.stem, path)
    if not path.exists() or spec is None or spec.loader is None:
        return {}
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return {module.TARGET: module.render().encode()}


# --- problems.md ---------------------------------------------------------------------------------------------------

PROBLEMS_HEAD = """# Every problem code

Generated from the table of codes and from the acceptance cases; do not edit.

`lugbook check` prints each problem as `file:line:column: severity: place: message [code]`, and below it a hint.
Errors stop a report; warnings do so with `--strict`; notes never do. Each code has a job that shows it and a job that
does not under `tests/cases/`. The examples below come from there.
"""
KINDS = {"error": "Errors", "warning": "Warnings", "note": "Notes"}


def problems_page() -> str:
    """docs/problems.md."""
    parts = [PROBLEMS_HEAD]
    for severity, title in KINDS.items():
        codes = [code for code in CODES.values() if code.severity == severity]
        rows = "\n".join(f"| [{c.code}](#{c.code.lower()}) | {c.meaning} | {c.remedy} |" for c in codes)
        parts.append(f"## {title}\n\n| code | meaning | remedy |\n|---|---|---|\n{rows}\n")
    parts.append("## Examples\n")
    parts += [_example(code) for code in CODES.values()]
    return "\n".join(parts)


def _example(code: Code) -> str:
    text = f"### {code.code}\n\n{code.meaning} {code.remedy}\n"
    for case in sorted(CASES.glob(f"{code.code}-*")):
        lines = (case / "bad" / "expected.txt").read_text(encoding="utf-8").splitlines()
        at = next(n for n, line in enumerate(lines) if f"[{code.code}]" in line)
        shown = [lines[at], *(line for line in lines[at + 1 : at + 2] if line.startswith("    "))]
        source = _source(case / "bad", lines[at])
        text += f"\n{source}```\n" + "\n".join(shown) + "\n```\n"
    return text


def _source(job: Path, line: str) -> str:
    """The line of the input that a problem names, as a block; nothing if it names none."""
    file, _, rest = line.removeprefix("job/").partition(":")
    number = rest.partition(":")[0]
    if not number.isdigit() or not (job / file).is_file():
        return ""
    lines = (job / file).read_bytes().decode("utf-8", "backslashreplace").splitlines()
    shown = "".join(
        c if c.isprintable() else c.encode("unicode_escape").decode() for c in lines[int(number) - 1]
    )
    if len(shown) > 120:
        shown = shown[:110] + " ..."
    return f"Line {number} of `{file}`:\n\n```yaml\n{shown}\n```\n\n"


# --- commands.md ---------------------------------------------------------------------------------------------------

COMMANDS_HEAD = """# Commands

Generated from the program's own help; do not edit. `lugbook --help` and `lugbook COMMAND --help` print the same.

Exit codes: 0 fine, 1 problems in the input or with the output, 2 wrong use, 3 a fault of the program, 130 interrupted.
Nothing is written when a job has errors, and an interrupted command leaves nothing half-written. Progress goes to
stderr and is shown only on a terminal; `NO_COLOR` in the environment turns colours off.
"""


def commands_page() -> str:
    """docs/commands.md."""
    return "\n".join([COMMANDS_HEAD, *(_command(name) for name in cli.COMMANDS)])


def _command(name: str) -> str:
    _, words, examples = cli.COMMANDS[name]
    parser = _subparser(name)
    actions = [action for action in parser._actions if action.dest != "help"]
    named = [action for action in actions if not action.option_strings]
    usage = " ".join(f"[{_metavar(a)}]" if a.nargs in ("?", "*") else _metavar(a) for a in named)
    rows = "\n".join(f"| {_spelling(action)} | {_help(action)} |" for action in actions)
    return (
        f"## lugbook {name}\n\n{words[0].upper() + words[1:]}.\n\n```\nlugbook {name} [options] {usage}".rstrip()
        + f"\n```\n\n| argument | meaning |\n|---|---|\n{rows}\n\nExamples:\n\n```\n{examples}\n```\n"
    )


def _subparser(name: str) -> argparse.ArgumentParser:
    parser = cli._parser(name)
    group = next(action for action in parser._actions if isinstance(action, argparse._SubParsersAction))
    found: argparse.ArgumentParser = group.choices[name]
    return found


def _metavar(action: argparse.Action) -> str:
    if action.choices is not None:
        return "|".join(str(choice) for choice in action.choices)
    return str(action.metavar or action.dest.upper())


def _spelling(action: argparse.Action) -> str:
    if not action.option_strings:
        return f"`{_metavar(action)}`"
    value = "" if action.nargs == 0 else f" {_metavar(action)}"
    return ", ".join(f"`{option}{value}`" for option in action.option_strings).replace("|", "\\|")


def _help(action: argparse.Action) -> str:
    return (action.help or "").replace("%%", "%").replace("|", "\\|")


# --- the key tables of findings.md ---------------------------------------------------------------------------------

WORDS = {
    IDENT.pattern: "an id",
    DEFECT_ID.pattern: "`d1`, `d2` ...",
    DAY.pattern: "date `2026-06-02`",
    CLOCK.pattern: "time `09:30`",
    EXTENT_PATTERN: "extent",
    **{quantity_pattern(kind): f"{kind}, such as {EXAMPLES[kind]}" for kind in EXAMPLES},
}


def findings_page(text: str) -> str:
    """docs/findings.md with its tables made anew."""
    before, _, rest = text.partition(BEGIN)
    _, found, after = rest.partition(END)
    if not found:
        raise ValueError("docs/findings.md lacks the marks of its generated part")
    return f"{before}{BEGIN}\n\n{key_tables()}\n{END}{after}"


def key_tables() -> str:
    """A table for each group of keys, with the ways to it as the heading."""
    made = schema(Findings)
    places: dict[str, list[str]] = {"": ["the file"]}
    waiting = [""]
    for name in waiting:  # grows while it is walked: each group is met before those inside it
        for key, value in _part(made, name).get("properties", {}).items():
            for inner, suffix in _references(value):
                if inner.endswith("Change"):  # the same keys as in the installation
                    continue
                first = inner not in places
                prefix = "" if not name else f"{places[name][0]}."
                places.setdefault(inner, []).append(f"{prefix}{key}{suffix}")
                if first:
                    waiting.append(inner)
    return "\n".join(_table(_part(made, name), places[name]) for name in waiting)


def _part(made: Schema, name: str) -> Schema:
    part: Schema = made if not name else made["$defs"][name]
    return part


def _references(value: Schema, suffix: str = "") -> Iterator[tuple[str, str]]:
    """The groups of keys that a value may hold, each with [] if it is a list of them."""
    if "$ref" in value:
        yield value["$ref"].rpartition("/")[2], suffix
    for inner in value.get("anyOf", ()):
        yield from _references(inner, suffix)
    if isinstance(value.get("items"), dict):
        yield from _references(value["items"], "[]")


def _table(part: Schema, places: list[str]) -> str:
    heading = ", ".join(f"`{place}`" if place != "the file" else place for place in places)
    needed = set(part.get("required", ()))
    rows = []
    for key, value in part["properties"].items():
        about = value.get("description", "").replace("\n", " ").replace("|", "\\|")
        rows.append(f"| `{key}`{' *' if key in needed else ''} | {_kind(value)} | {about} |")
    about = part.get("description", "").replace("\n", " ")
    return f"### {heading}\n\n{about}\n\n| key | value | meaning |\n|---|---|---|\n" + "\n".join(rows) + "\n"


def _kind(value: Schema) -> str:
    """What may stand there, in a few words."""
    options = [option for option in value.get("anyOf", ()) if option != {"type": "null"}]
    if options:
        return " or ".join(dict.fromkeys(_kind(option) for option in options))
    if "$ref" in value:
        return "keys, see below"
    if "const" in value:
        return f"`{value['const']}`"
    if "enum" in value:
        return "yes or no" if True in value["enum"] else ", ".join(f"`{word}`" for word in value["enum"])
    if value.get("type") == "array":
        return f"list: {_kind(value['items'])}" if "items" in value else "`[0.5, 0.5]`"
    if value.get("type") == "object":
        names = value.get("propertyNames", {}).get("enum", ())
        return (
            f"{', '.join(f'`{name}`' for name in names)}: {_kind(value['additionalProperties'])}"
            if names
            else "keys"
        )
    return _scalar(value)


def _scalar(value: Schema) -> str:
    pattern = value.get("pattern", "").removeprefix("^").removesuffix("$")
    for form, words in WORDS.items():
        if pattern in (form, f"({form})", form.removeprefix("^").removesuffix("$")):
            return words
    if value.get("type") == "integer":
        return "whole number"
    if value.get("type") == "number":
        return "number from 0 to 1"
    if value.get("maxLength", 1_000) <= 200:
        return f"one line, at most {value['maxLength']} characters"
    return "text" if isinstance(value.get("type"), list) else "number with unit"


def main(arguments: list[str]) -> int:
    """Write what changed, or with --check name it."""
    only_check = arguments == ["--check"]
    stale = [path for path, data in pages().items() if not path.exists() or path.read_bytes() != data]
    for path in stale:
        print(
            f"{path.relative_to(DOCS.parent)}: {'out of date, run docs/generate.py' if only_check else 'written'}"
        )
    if not only_check:
        for path, data in pages().items():
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(data)
    return int(only_check and bool(stale))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
