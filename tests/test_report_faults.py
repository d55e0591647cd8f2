"""A report that cannot be made or written says so and leaves all as it was. No outside source."""

from __future__ import annotations

import errno
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from audit import watched
from exports import picture
from interruptions import interrupt
from small_jobs import HEAD, checklist, item

from lugbook.cache import Cache, key_of
from lugbook.cli import main
from lugbook.errors import OutputError
from lugbook.pipeline import composing, reporting
from lugbook.write import write_files

RESULTS = """results:
  - item: strap
    result: no departure seen
    extent: whole
    photos: [{file: one.jpg, caption: The strap, alt: A strap}]
"""
FILES = {"report.html", "report.json", "defects.csv"}


def make_job(root: Path) -> Path:
    """A small job with one picture."""
    job = root / "job"
    (job / "photos").mkdir(parents=True)
    (job / "own.yaml").write_text(checklist(item("strap")), encoding="utf-8")
    (job / "findings.yaml").write_text(HEAD + RESULTS, encoding="utf-8")
    (job / "photos" / "one.jpg").write_bytes(picture())
    return job


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return make_job(tmp_path)


def report(job: Path, out: str | Path) -> int:
    return main(["-q", "report", str(job), "-o", str(out), "--html-only"])


def content(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def said(capsys: pytest.CaptureFixture[str]) -> str:
    err = capsys.readouterr().err
    assert "Traceback" not in err
    assert "unexpected" not in err
    return err


# --- the disk ---------------------------------------------------------------------------------------------------------


def failing_at(real: Callable[..., Any], count: int, number: int) -> Callable[..., Any]:
    """The same call, which fails the n-th time."""
    left = [count]

    def call(*words: Any, **more: Any) -> Any:
        left[0] -= 1
        if left[0] == 0:
            raise OSError(number, os.strerror(number))
        return real(*words, **more)

    return call


OLD = {"a": b"old a", "b": b"old b"}
NEW = {"a": b"new a", "c": b"new c", "b": b"new b"}


@pytest.mark.parametrize("call", ["fsync", "replace", "mkdir"])
@pytest.mark.parametrize("count", [1, 2, 3])
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS, errno.EDQUOT])
def test_a_disk_that_fills_up_leaves_what_was_there(
    call: str, count: int, number: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_files(tmp_path, OLD)
    with monkeypatch.context() as patch:
        patch.setattr(os, call, failing_at(getattr(os, call), count, number))
        failed = False
        try:
            write_files(tmp_path, NEW)
        except OutputError as error:
            failed = True
            told = str(error)
    if failed:
        assert told == f"cannot write into {tmp_path}: {os.strerror(number)}"
    assert content(tmp_path) == (OLD if failed else NEW)
    assert failed or call == "mkdir"  # made once only, so the later counts come to nothing
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(OLD if failed else NEW)


def always_refuse(*_: Any, **__: Any) -> None:
    raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))


def test_a_disk_without_second_names_is_written_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_files(tmp_path, OLD)
    monkeypatch.setattr(os, "link", always_refuse)
    write_files(tmp_path, NEW)
    assert content(tmp_path) == NEW
    monkeypatch.setattr(os, "replace", failing_at(os.replace, 2, errno.ENOSPC))
    with pytest.raises(OutputError):
        write_files(tmp_path, {"a": b"3", "b": b"3"})
    assert content(tmp_path) == NEW


def test_no_room_for_the_report(job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The kernel itself refuses to let a file grow beyond a limit (RLIMIT_FSIZE)."""
    assert report(job, tmp_path / "out") == 0
    before = content(tmp_path / "out" / "job")
    assert set(before) == FILES
    (job / "findings.yaml").write_text((HEAD + RESULTS).replace("T-1", "T-2"), encoding="utf-8")
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, hard))
    try:
        code = report(job, tmp_path / "out")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert code == 1
    assert f"cannot write into {tmp_path / 'out' / 'job'}: File too large" in said(capsys)
    assert content(tmp_path / "out" / "job") == before
    assert [path.name for path in (tmp_path / "out" / "job").iterdir() if path.name.startswith(".")] == []


@pytest.mark.parametrize("options", ["size=24k", "ro"])
def test_a_small_and_a_read_only_disk(
    options: str, job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    disk = tmp_path / "disk"
    disk.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", options, "none", str(disk)]
    if shutil.which("mount") is None or subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("no right to mount a disk here")
    try:
        assert report(job, disk) == 1
        told = "No space left on device" if options != "ro" else "Read-only file system"
        assert f"cannot write into {disk / 'job'}: {told}" in said(capsys)
        assert [path for path in disk.rglob("*") if path.is_file() or path.name.startswith(".")] == []
    finally:
        subprocess.run(["umount", str(disk)], check=True)


def test_an_output_that_is_a_file(job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "out").write_bytes(b"mine")
    assert report(job, tmp_path / "out") == 1
    assert "cannot write into" in said(capsys)
    assert (tmp_path / "out").read_bytes() == b"mine"


def test_an_output_whose_name_a_folder_has(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "out" / "job" / "report.html").mkdir(parents=True)
    assert report(job, tmp_path / "out") == 1
    assert "cannot write into" in said(capsys)
    assert [path.name for path in (tmp_path / "out" / "job").iterdir()] == ["report.html"]


# --- pictures that change between check and report -------------------------------------------------------------------


def _pipe(path: Path) -> None:
    path.unlink()
    os.mkfifo(path)


CHANGES: dict[str, tuple[Callable[[Path], object], str]] = {
    "vanished": (lambda path: path.unlink(), "'one.jpg' is not there"),
    "a pipe": (_pipe, "'one.jpg' is a pipe"),
    "cut short": (lambda path: path.write_bytes(picture()[:300]), "'one.jpg' is broken: the file ends"),
    "a page": (lambda path: path.write_bytes(b"<!doctype html><p>"), "'one.jpg' is a web page"),
    "a folder": (lambda path: (path.unlink(), path.mkdir()), "'one.jpg' is a folder"),
    "a link to a device": (lambda path: (path.unlink(), path.symlink_to("/dev/zero")), "'one.jpg' is a device"),
}  # fmt: skip


@pytest.mark.parametrize("change", CHANGES)
def test_a_picture_that_changes_meanwhile(
    change: str,
    job: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    real, (do, told) = composing.composed, CHANGES[change]

    def composed(*words: Any, **more: Any) -> Any:
        do(job / "photos" / "one.jpg")
        return real(*words, **more)

    monkeypatch.setattr(composing, "composed", composed)
    assert report(job, tmp_path / "out") == 1
    err = said(capsys)
    assert told in err
    assert "changed while the report was made" in err
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(("module", "stage"), [(composing, "composed"), (reporting, "rendered")])
def test_a_picture_that_becomes_another(
    module: ModuleType,
    stage: str,
    job: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The report prints the sum of each picture, so the picture shown must be the one that was summed."""
    real = getattr(module, stage)

    def late(*words: Any, **more: Any) -> Any:
        (job / "photos" / "one.jpg").write_bytes(picture("#0000ff"))
        return real(*words, **more)

    monkeypatch.setattr(module, stage, late)
    assert report(job, tmp_path / "out") == 1
    assert "'one.jpg' changed while the report was made; make it again" in said(capsys)
    assert not (tmp_path / "out").exists()
    assert report(job, tmp_path / "out") == 0, "it is the picture of the job now"


# --- Ctrl-C -----------------------------------------------------------------------------------------------------------


@pytest.fixture
def listening() -> Iterator[None]:
    """Ctrl-C is heard, also where the tests run in the background of a shell, which ignores it."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


def strike_at(step: int, count: int) -> None:
    if count == step:
        signal.raise_signal(signal.SIGINT)


@pytest.mark.usefixtures("listening")
def test_ctrl_c_at_every_step_of_writing(tmp_path: Path) -> None:
    """It waits until the files are in place; then it interrupts."""
    for step in range(1, 100):
        shutil.rmtree(tmp_path)
        write_files(tmp_path, OLD)
        struck = False
        with watched(partial(strike_at, step)):
            try:
                write_files(tmp_path, NEW)
            except KeyboardInterrupt:
                struck = True
        assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == NEW
        if not struck:  # there are fewer steps than that
            break
    assert 8 < step < 99
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


@pytest.mark.usefixtures("listening")
def test_ctrl_c_at_seeded_moments(tmp_path: Path) -> None:
    """Each in a process of its own; 100 moments, with the PDF, are in tests/soak/interrupts.py."""
    ended = interrupt(tmp_path, moments=5, seed=11, pdf=False)
    assert ended.total() == 5
    assert set(ended) <= {"before", "after"}


def test_a_thread_may_write(tmp_path: Path) -> None:
    """Only the main thread can hold Ctrl-C back; others write all the same."""
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(1) as pool:
        pool.submit(write_files, tmp_path, NEW).result()
    assert content(tmp_path) == NEW
    assert sys.exc_info() == (None, None, None)


# --- the cache --------------------------------------------------------------------------------------------------------
# What is cut short, flipped or kept under another's name: tests/test_cache.py.

KEY = key_of("a picture")


def _made_again(store: Cache) -> None:
    assert store.get(KEY) is None
    store.put(KEY, b"true")
    assert store.get(KEY) in (b"true", None)


@pytest.mark.parametrize("what", ["a link", "a dead link", "a pipe", "a folder", "a device"])
def test_what_takes_the_place_of_an_entry_is_not_believed(what: str, tmp_path: Path) -> None:
    store, other = Cache(tmp_path / "cache"), tmp_path / "other"
    other.write_bytes(b"mine")
    store.put(KEY, b"true")
    place = tmp_path / "cache" / KEY[:2] / KEY
    place.unlink()
    if what == "a pipe":
        os.mkfifo(place)
    elif what == "a folder":
        (place / "x").mkdir(parents=True)
    else:
        place.symlink_to({"a link": other, "a dead link": "nowhere", "a device": Path("/dev/zero")}[what])
    _made_again(store)
    store.trim()
    assert other.read_bytes() == b"mine"
    assert store.get(KEY) == (None if what == "a folder" else b"true")


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS, errno.EACCES])
@pytest.mark.parametrize("call", ["open", "replace", "fdopen", "utime"])
def test_a_cache_that_cannot_be_written_keeps_nothing(
    call: str, number: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = Cache(tmp_path)
    with monkeypatch.context() as patch:
        patch.setattr(os, call, failing_at(getattr(os, call), 1, number))
        store.put(KEY, b"true")
        found = store.get(KEY)
    assert found == (b"true" if call == "utime" else None)
    assert [path for path in tmp_path.rglob("new-*") if call != "fdopen"] == []
    store.put(KEY, b"true")
    assert store.get(KEY) == b"true"


def test_entries_that_may_not_be_read_are_made_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The superuser may read everything, so the refusal is played."""
    store = Cache(tmp_path)
    store.put(KEY, b"true")
    with monkeypatch.context() as patch:
        patch.setattr(Path, "read_bytes", always_refuse)
        assert store.get(KEY) is None
    assert store.get(KEY) == b"true"


def _hammer(folder: Path, seed: int) -> int:
    """Keep, find and drop a few entries many times; how many were found."""
    chance, store, found = random.Random(seed), Cache(folder, limit=3000), 0
    for _ in range(400):
        number = chance.randrange(8)
        key, data = key_of(number), bytes([number]) * 900
        if chance.random() < 0.5:
            store.put(key, data)
        elif (kept := store.get(key)) is not None:
            assert kept == data
            found += 1
        if chance.random() < 0.02:
            store.trim()
    return found


def test_two_processes_share_a_cache(tmp_path: Path) -> None:
    with ProcessPoolExecutor(2, get_context("fork")) as pool:
        found = list(pool.map(_hammer, (tmp_path, tmp_path), (1, 2)))
    assert min(found) > 20
    assert list(tmp_path.rglob("new-*")) == []


def test_a_report_is_made_whatever_the_cache_is(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LUGBOOK_CACHE", "off")
    assert report(job, tmp_path / "plain") == 0
    (tmp_path / "file").write_bytes(b"mine")
    (tmp_path / "loop").symlink_to("loop")
    for number, folder in enumerate(
        (tmp_path / "file", tmp_path / "loop", Path("/proc/nothing"), tmp_path / ("x" * 300))
    ):
        monkeypatch.setenv("LUGBOOK_CACHE", str(folder))
        assert report(job, tmp_path / str(number)) == 0
        assert content(tmp_path / str(number) / "job") == content(tmp_path / "plain" / "job")
    assert (tmp_path / "file").read_bytes() == b"mine"


def test_a_cache_that_may_not_be_looked_into_is_left_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Path, "glob", always_refuse)
    monkeypatch.setattr(Path, "is_dir", always_refuse)
    Cache(tmp_path).trim()
    assert list(os.listdir(tmp_path)) == []  # noqa: PTH208 - Path is made to refuse
