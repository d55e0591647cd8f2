"""The cache: found only if whole, bounded, safe for several processes; and reports that are up to date."""

# ruff: noqa: ARG005 - one way of calling all of the small functions in a table

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path

import pytest
from PIL import Image
from small_jobs import checklist, item
from test_photos import scenery

from lugbook import unchanged
from lugbook.cache import SUM, Cache, key_of, usual_cache
from lugbook.cli import main
from lugbook.model.findings import Mark
from lugbook.picture_work import Done, Task, Wish, do, work_through

KEY = key_of("a", 1)


@pytest.fixture
def store(tmp_path: Path) -> Cache:
    return Cache(tmp_path / "cache")


def entry(store: Cache, key: str = KEY) -> Path:
    assert store.folder is not None
    return store.folder / key[:2] / key


def test_what_was_put_is_found(store: Cache) -> None:
    assert store.get(KEY) is None
    store.put(KEY, b"some bytes")
    assert store.get(KEY) == b"some bytes"
    assert store.get(key_of("a", 2)) is None
    assert [path.name for path in entry(store).parent.iterdir()] == [KEY]


@pytest.mark.parametrize("spoil", [
    lambda stored: stored[:-1], lambda stored: stored[:SUM], lambda stored: b"", lambda stored: stored + b"x",
    lambda stored: stored[:-1] + b"S", lambda stored: bytes([stored[0] ^ 1]) + stored[1:],
])  # fmt: skip
def test_a_spoilt_entry_is_not_found_and_is_made_anew(store: Cache, spoil: Callable[[bytes], bytes]) -> None:
    store.put(KEY, b"some bytes")
    entry(store).write_bytes(spoil(entry(store).read_bytes()))
    assert store.get(KEY) is None
    assert not entry(store).exists()
    store.put(KEY, b"some bytes")
    assert store.get(KEY) == b"some bytes"


def test_an_entry_under_anothers_name_is_not_found(store: Cache) -> None:
    other = key_of("b")
    store.put(KEY, b"some bytes")
    entry(store, other).parent.mkdir(exist_ok=True)
    shutil.copy(entry(store), entry(store, other))
    assert store.get(other) is None


def test_the_least_recently_used_goes_first(store: Cache) -> None:
    small = Cache(store.folder, limit=3 * (SUM + 100))
    keys = [key_of(n) for n in range(5)]
    for n, key in enumerate(keys):
        small.put(key, bytes(100))
        os.utime(entry(small, key), (1000 + n, 1000 + n))
    assert small.get(keys[0]) is not None  # used just now
    left = entry(small, keys[4]).with_name("new-left")
    left.write_bytes(b"half")
    os.utime(left, (1, 1))
    small.trim()
    assert [small.get(key) is not None for key in keys] == [True, False, False, True, True]
    assert not left.exists()


def test_nowhere_to_keep_anything_is_no_fault(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    for store in (Cache(None), Cache(tmp_path / "file" / "cache"), Cache(tmp_path / "not there")):
        store.trim()
        assert store.get(KEY) is None
    for store in (Cache(None), Cache(tmp_path / "file" / "cache")):
        store.put(KEY, b"x")
        assert store.get(KEY) is None


def test_where_it_stands(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    # SOURCE: XDG base directory specification 0.8 (recalled): $XDG_CACHE_HOME, else $HOME/.cache; relative: ignored
    monkeypatch.setenv("HOME", str(tmp_path))
    for named, base, folder in (
        ("/there", "/x", Path("/there")), ("off", "/x", None), ("", "/x", Path("/x/lugbook")),
        ("", "x", tmp_path / ".cache/lugbook"), ("", "", tmp_path / ".cache/lugbook"),
    ):  # fmt: skip
        monkeypatch.setenv("LUGBOOK_CACHE", named)
        monkeypatch.setenv("XDG_CACHE_HOME", base)
        assert usual_cache().folder == folder


# --- pictures


def tasks(folder: Path, store: Cache, count: int = 6) -> list[Task]:
    made = []
    mark = Mark.model_validate({"mark": "ring", "at": [0.4, 0.5], "size": 0.2})
    for n in range(count):
        path = folder / f"{n}.jpg"
        if not path.exists():
            scenery((640, 480), seed=n).save(path, quality=90)
        wishes = (Wish(200), Wish(100, aspect=4 / 3), Wish(200, (mark,)))
        made.append(Task(path, wishes, store, look=True))
    return made


def test_one_worker_or_many_with_or_without_a_cache_make_the_same(tmp_path: Path, store: Cache) -> None:
    alone = [do(task) for task in tasks(tmp_path, Cache(None))]
    assert all(one.fault is None and one.facts is not None and len(one.made) == 3 for one in alone)
    assert len({made.data for one in alone for made in one.made}) == 18
    assert [do(task) for task in tasks(tmp_path, store)] == alone, "filling the cache"
    assert [do(task) for task in tasks(tmp_path, store)] == alone, "from the cache"
    code = (
        "import sys; sys.path[:0] = sys.argv[3:]; from pathlib import Path; from test_cache import *\n"
        "from lugbook import picture_work; picture_work._cores = lambda: int(sys.argv[2])\n"
        "done = list(work_through(tasks(Path(sys.argv[1]), Cache(None))))\n"
        "print(key_of([[m.data.hex() for m in d.made] + [str(d.facts)] for d in done]))"
    )
    expected = key_of([[made.data.hex() for made in one.made] + [str(one.facts)] for one in alone])
    here = Path(__file__).parent
    for workers in ("1", "3"):
        command = [
            sys.executable,
            "-c",
            code,
            str(tmp_path),
            workers,
            str(here),
            str(here.parent / "inspect"),
        ]
        ran = subprocess.run(command, capture_output=True, text=True, check=True)
        assert ran.stdout.strip() == expected, workers


def test_any_executor_will_do(tmp_path: Path) -> None:
    order = tasks(tmp_path, Cache(None))
    with ThreadPoolExecutor(1) as executor:
        assert list(work_through(order, executor)) == [do(task) for task in order]


def test_a_changed_picture_is_made_anew_and_a_broken_one_is_a_fault_each_time(
    tmp_path: Path, store: Cache
) -> None:
    (task,) = tasks(tmp_path, store, 1)
    before = do(task)
    Image.new("RGB", (640, 480), "#884422").save(task.path)
    after = do(task)
    assert after.made[0].data != before.made[0].data
    whole = task.path.read_bytes()
    task.path.write_bytes(whole[: len(whole) // 2])
    for _ in range(2):
        broken = do(task)
        assert (broken.made, broken.fault and broken.fault.code) == ((), "P305")
    task.path.unlink()
    gone: Done = do(task)
    assert gone.fault is not None
    assert gone.fault.code == "P301"


def test_spoilt_pictures_in_the_cache_are_made_anew(tmp_path: Path, store: Cache) -> None:
    (task,) = tasks(tmp_path, store, 1)
    whole = do(task)
    assert store.folder is not None
    for path in store.folder.glob("??/*"):
        path.write_bytes(path.read_bytes()[:-7])
    assert do(task) == whole
    assert do(task) == whole


# --- reports that are up to date


def report(job: Path, out: Path, *more: str) -> tuple[int, str, str]:
    shown, told = StringIO(), StringIO()
    with redirect_stdout(shown), redirect_stderr(told):
        code = main(["report", str(job), "-o", str(out), "--html-only", *more])
    return code, shown.getvalue(), told.getvalue()


@pytest.fixture
def job(job_folder: Callable[[str, str], Path], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    monkeypatch.setenv("LUGBOOK_CACHE", str(tmp_path / "cache"))
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    folder = job_folder(
        "extra:\n  - {id: d1, title: A loose lamp, place: Cabin, seen: It hangs., severity: marginal, probability: remote,"
        " why: It falls., remedy: Screw it on., photos: [{file: one.jpg, caption: It, alt: A lamp}]}\n",
        checklist(item("battery-fuse")),
    )
    Image.new("RGB", (48, 36), "#884422").save(folder / "photos" / "one.jpg")
    return folder


def test_an_unchanged_job_is_not_made_again(job: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    code, shown, told = report(job, out)
    assert (code, "(unchanged)" in shown) == (0, False)
    files = {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in out.rglob("*") if path.is_file()}
    again = report(job, out)
    assert again == (0, "".join(f"{line} (unchanged)\n" for line in shown.splitlines()), told)
    assert {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in files} == files
    assert "(unchanged)" not in report(job, out, "--no-cache")[1]
    assert {path: path.read_bytes() for path in files} == {path: data for path, (data, _) in files.items()}


CHANGES: dict[str, Callable[[Path, Path], object]] = {
    "findings": lambda job, out: _edit(job / "findings.yaml", "It hangs.", "It dangles."),
    "list": lambda job, out: _edit(job / "own.yaml", "Look at it.", "Look well."),
    "picture": lambda job, out: Image.new("RGB", (48, 36), "#448822").save(job / "photos" / "one.jpg"),
    "a picture more": lambda job, out: Image.new("RGB", (48, 36)).save(job / "photos" / "two.jpg"),
    "letterhead": lambda job, out: (job.parent / "business.yaml").write_text(
        "format: lugbook-business-1\nname: A firm\n", encoding="utf-8"
    ),
    "output gone": lambda job, out: (out / "trial" / "report.json").unlink(),
    "output spoilt": lambda job, out: (out / "trial" / "report.html").write_bytes(b"x"),
    "cache gone": lambda job, out: shutil.rmtree(job.parent / "cache"),
}


def _edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


@pytest.mark.parametrize("what", CHANGES)
def test_whatever_changed_it_is_made_again(job: Path, tmp_path: Path, what: str) -> None:
    out = tmp_path / "out"
    assert report(job, out)[0] == 0
    CHANGES[what](job, out)
    code, shown, told = report(job, out)
    assert (code, "(unchanged)" in shown) == (0, False), told
    fresh = tmp_path / "fresh"
    assert report(job, fresh, "--no-cache")[0] == 0
    for name in ("report.html", "report.json"):
        assert (out / "trial" / name).read_bytes() == (fresh / "trial" / name).read_bytes()
    assert "(unchanged)" in report(job, out)[1]


def test_other_options_or_another_program_make_it_again(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    assert report(job, out)[0] == 0
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "86400")
    assert "(unchanged)" not in report(job, out)[1]
    monkeypatch.delenv("SOURCE_DATE_EPOCH")
    assert "(unchanged)" in report(job, out)[1]
    monkeypatch.setattr(unchanged, "program", lambda: "another")
    assert "(unchanged)" not in report(job, out)[1]


def test_what_changes_while_the_report_is_made_leaves_no_stamp(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from lugbook.pipeline import reporting

    real = reporting.write_files

    def meddling(folder: Path, files: dict[str, bytes]) -> tuple[Path, ...]:
        _edit(job / "own.yaml", "Look at it.", "Look well.")
        return real(folder, files)

    monkeypatch.setattr(reporting, "write_files", meddling)
    assert report(job, tmp_path / "out")[0] == 0
    monkeypatch.setattr(reporting, "write_files", real)
    assert "(unchanged)" not in report(job, tmp_path / "out")[1]


def test_a_job_with_links_is_always_made(job: Path, tmp_path: Path) -> None:
    (tmp_path / "elsewhere.txt").write_text("a note", encoding="utf-8")
    (job / "note.txt").symlink_to(tmp_path / "elsewhere.txt")
    for _ in range(2):
        code, shown, _ = report(job, tmp_path / "out")
        assert (code, "(unchanged)" in shown) == (0, False)
