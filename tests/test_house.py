"""The shape of the house: names, imports between parts, who may touch files."""

from __future__ import annotations

import ast
import inspect
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / "inspect"
PACKAGE = SOURCE / "lugbook"
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "Makefile", "pyproject.toml", ".ci", ".gitignore",
    "inspect", "checklists", "templates", "photos_demo", "tests", "docs",
}  # fmt: skip

# part -> the parts that it may import besides itself. `model` and `calc` know nothing of the rest; no stage
# imports another; the pipeline alone imports the stages; commands import the pipeline; cli imports commands.
ALLOWED: dict[str, set[str]] = {
    "model": set(),
    "calc": set(),
    "errors": {"model"},
    "data": set(),
    "words": {"model"},
    "progress": set(),
    "picture_bytes": set(),
    "marks": {"model"},
    "photos": {"data", "marks", "model", "picture_bytes"},
    "cache": set(),
    "workers": set(),
    "picture_work": {"cache", "data", "model", "photos", "workers"},
    "unchanged": {"cache", "data", "model"},
    "load": {"model", "data", "calc", "words"},
    "assess": {"model", "calc"},
    "compose": {"model", "words", "__init__"},
    "render": {"model", "words", "data"},
    "write": {"errors"},
    "memory": set(),
    "serve": set(),
    "pipeline": {"assess", "cache", "compose", "data", "errors", "load", "memory", "model", "photos", "picture_work", "progress", "render", "trail", "words", "write"},
    "trail": {"errors", "model"},
    "issuing": {
        "__init__", "compose", "data", "errors", "model", "pipeline", "progress", "render", "trail", "words", "write",
    },
    "commands": {"cache", "memory", "serve", "pipeline", "model", "errors", "progress", "issuing", "trail", "unchanged", "workers"},
    "cli": {"commands", "errors", "__init__"},
    "__main__": {"cli"},
    "__init__": set(),
}  # fmt: skip
MAY_TOUCH_FILES = {
    "load", "photos", "picture_bytes", "marks", "write", "commands", "trail", "issuing", "data", "words", "render", "cli",
    "progress", "pipeline", "cache", "picture_work", "unchanged",
}  # fmt: skip
MAY_PRINT = {"commands", "cli", "progress"}


def modules() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def part_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported_parts(path: Path) -> set[str]:
    """The parts of the package that a module imports, late imports included."""
    found: set[str] = set()
    package = ("lugbook", *path.relative_to(PACKAGE).parts[:-1])
    for node in ast.walk(ast.parse(path.read_text())):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = ".".join(package[: len(package) - node.level + 1]) if node.level else ""
            module = ".".join(part for part in (base, node.module or "") if part)
            names = [f"{module}.{alias.name}" for alias in node.names] if module == "lugbook" else [module]
        for name in names:
            steps = name.split(".")
            if steps[0] == "lugbook":
                known = len(steps) > 1 and (
                    (PACKAGE / steps[1]).is_dir() or (PACKAGE / f"{steps[1]}.py").is_file()
                )
                found.add(steps[1] if known else "__init__")
    return found


def test_source_root_is_no_package_and_inspect_is_pythons_own() -> None:
    assert not (SOURCE / "__init__.py").exists()
    command = ["python3", "-c", "import inspect; print(inspect.__file__); inspect.signature(print)"]
    shown = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout
    assert Path(shown.strip()).resolve() == Path(inspect.__file__).resolve()
    assert not Path(shown.strip()).is_relative_to(ROOT / "inspect")


def test_top_level_names() -> None:
    tracked = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split("\n")
    assert {name.split("/")[0] for name in tracked if name} <= TOP_LEVEL


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_between_parts(path: Path) -> None:
    part = part_of(path)
    assert imported_parts(path) <= ALLOWED[part] | {part}, f"{part} may import {sorted(ALLOWED[part])}"


def test_an_import_against_the_rule_is_seen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "load").mkdir()
    (tmp_path / "assess").mkdir()
    bad = tmp_path / "load" / "bad.py"
    bad.write_text("def f():\n    from lugbook.assess import judge\n    import lugbook.render.page\n")
    monkeypatch.setattr(f"{__name__}.PACKAGE", tmp_path)
    (tmp_path / "render").mkdir()
    assert imported_parts(bad) == {"assess", "render"}


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_who_touches_files_clock_and_printing(path: Path) -> None:
    part, tree = part_of(path), ast.parse(path.read_text())
    calls = [node.func for node in ast.walk(tree) if isinstance(node, ast.Call)]
    named = {call.id for call in calls if isinstance(call, ast.Name)}
    attributes = {call.attr for call in calls if isinstance(call, ast.Attribute)}
    if part not in MAY_PRINT:
        assert "print" not in named
    if part not in MAY_TOUCH_FILES:
        assert "open" not in named
        assert not attributes & {"read_text", "read_bytes", "write_text", "write_bytes", "mkdir", "unlink"}
    if path.relative_to(PACKAGE).as_posix() != "trail/clock.py":
        assert not attributes & {"now", "utcnow", "today"}, "trail/clock.py alone reads the clock"
