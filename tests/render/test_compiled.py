"""Compiled templates are kept, and whatever happens to what is kept, the pages are the same."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from jinja2 import Environment

from lugbook.render import compiled, page
from lugbook.words.catalogue import load_words

SMALL = "watch.html.j2"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder that compiled templates are kept in."""
    monkeypatch.setattr(page, "beside_modules", lambda: tmp_path / "kept")
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    return tmp_path / "kept"


def fresh() -> Environment:
    """What a new process has."""
    return page.environment.__wrapped__()


def shown(environment: Environment) -> str:
    return environment.get_template(SMALL).render(title="A", w=load_words(), css="c", script="s")


def compilations(environment: Environment, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names of the templates that this environment compiles, from now on."""
    names: list[str] = []
    real = environment.compile

    def noted(source: str, name: str | None = None, *more: object, **others: object) -> object:
        names.append(str(name))
        return real(source, name, *more, **others)  # type: ignore[call-overload]

    monkeypatch.setattr(environment, "compile", noted)
    return names


def test_a_template_is_compiled_once(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first, second = fresh(), fresh()
    names, again = compilations(first, monkeypatch), compilations(second, monkeypatch)
    assert shown(first) == shown(second)
    assert (names, again) == ([SMALL], [])
    (kept,) = folder.iterdir()
    assert kept.suffix == ".pyc", "what ends otherwise counts as a part of the program"


def _shorter(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-1])


def _flipped(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)


def _nothing(path: Path) -> None:
    path.write_bytes(b"")


def _folder(path: Path) -> None:
    path.unlink()
    path.mkdir()


def _pipe(path: Path) -> None:
    path.unlink()
    os.mkfifo(path)


def _of_another_source(path: Path) -> None:
    """Whole, but compiled from another text."""
    bucket_of = fresh()
    assert isinstance(bucket_of.bytecode_cache, compiled.Compiled)
    template = Path(str(bucket_of.get_template(SMALL).filename))
    bucket = bucket_of.bytecode_cache.get_bucket(bucket_of, SMALL, str(template), "other")
    bucket.code = compile("raise AssertionError('a stale template was run')", SMALL, "exec")
    bucket_of.bytecode_cache.dump_bytecode(bucket)
    assert bucket.key == path.name


@pytest.mark.parametrize("harm", [_shorter, _flipped, _nothing, _folder, _pipe, _of_another_source])
def test_what_is_spoilt_is_made_anew(
    harm: Callable[[Path], None], folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = shown(fresh())
    (kept,) = folder.iterdir()
    harm(kept)
    environment = fresh()
    names = compilations(environment, monkeypatch)
    assert shown(environment) == before
    assert names == [SMALL]
    assert not [path for path in folder.iterdir() if path.name.startswith("new-")]


def test_a_folder_that_cannot_be_made(folder: Path) -> None:
    before = shown(fresh())
    for path in folder.iterdir():
        path.unlink()
    folder.rmdir()
    folder.write_text("a file stands in its place", encoding="utf-8")
    assert shown(fresh()) == before
    assert folder.read_text(encoding="utf-8") == "a file stands in its place"


def test_a_disk_that_cannot_be_written(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError("read-only")

    monkeypatch.setattr(compiled.tempfile, "mkstemp", refuse)
    shown(fresh())
    assert list(folder.iterdir()) == []


def test_nothing_is_kept_where_python_keeps_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    shown(fresh())
    assert not folder.exists()


def test_other_options_other_code(folder: Path) -> None:
    shown(fresh())
    other = fresh()
    other.trim_blocks = False
    other.bytecode_cache = compiled.Compiled(folder, other)
    shown(other)
    assert len(list(folder.iterdir())) == 2


def test_no_answer_of_our_filters_is_compiled_in() -> None:
    """Jinja works out filters of constants when it compiles; ours depend on code that no key knows."""
    source = page.environment().compile("{{ 'a@example.org' | mailto }}{{ '*b*' | md }}", raw=True)
    assert "href" not in source
    assert "<em>" not in source


def test_kept_where_python_keeps_modules(tmp_path: Path) -> None:
    code = "from lugbook.render.page import environment\nenvironment().get_template('watch.html.j2')"
    environment = {**os.environ, "PYTHONPYCACHEPREFIX": str(tmp_path), "PYTHONDONTWRITEBYTECODE": ""}
    subprocess.run([sys.executable, "-c", code], env=environment, check=True)
    (kept,) = tmp_path.rglob("template-*.pyc")
    (beside,) = tmp_path.rglob("lugbook/render/page.*.pyc")
    assert kept.parent == beside.parent
