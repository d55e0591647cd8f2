"""Pictures looked at and prepared by several workers, each at most once: what was made is kept in the cache.

The one interface to the workers is `concurrent.futures.Executor`, so that any other executor can be given instead.
"""

from __future__ import annotations

import hashlib
import json
import multiprocessing
import os
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path

from PIL import __version__ as pillow
from PIL import features

from lugbook.cache import Cache, key_of
from lugbook.data import data_file
from lugbook.model.findings import Mark
from lugbook.model.job import PictureFacts
from lugbook.photos import FONT, PictureFault, Prepared, examine, examined_with, prepare, read, time_taken
from lugbook.workers import begin_worker

FEW = 4
"""So few pictures are done before a second worker has begun."""
CODE = ("photos.py", "picture_bytes.py", "marks.py")


@dataclass(frozen=True, slots=True)
class Wish:
    """How a picture is wanted; see `photos.prepare`."""

    long_edge: int
    marks: tuple[Mark, ...] = ()
    aspect: float | None = None


@dataclass(frozen=True, slots=True)
class Task:
    """A picture file, how it is wanted, and where what is made is kept. With `look`, its facts are wanted, too."""

    path: Path
    wishes: tuple[Wish, ...]
    cache: Cache
    look: bool = False


@dataclass(frozen=True, slots=True)
class Done:
    """What came of a task: `made` in the order of the wishes, from a file with this SHA-256; or the fault."""

    facts: PictureFacts | None = None
    made: tuple[Prepared, ...] = ()
    fault: PictureFault | None = None
    sum: str | None = None


def work_through(
    tasks: Sequence[Task], executor: Executor | None = None, meanwhile: Callable[[], None] | None = None
) -> Iterator[Done]:
    """Do the tasks, several at a time; what came of them, in their order.

    `meanwhile` is what this process has to do anyway, and does while its workers are busy.
    """
    workers = min(len(tasks), _cores())
    if executor is not None:
        yield from executor.map(do, tasks)
    elif workers < 2 or len(tasks) < FEW or _stay_alone():
        yield from map(do, tasks)
    else:
        context = multiprocessing.get_context("fork") if sys.platform == "linux" else None
        pool = ProcessPoolExecutor(workers, context, initializer=begin_worker)
        try:
            done = pool.map(do, tasks)
            if meanwhile is not None:
                meanwhile()
            yield from done
        finally:
            pool.shutdown(cancel_futures=True)


def _stay_alone() -> bool:
    """A process with threads cannot fork safely, and one that is itself a worker among others leaves it at that."""
    return threading.active_count() > 1 or multiprocessing.parent_process() is not None


def _cores() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def do(task: Task) -> Done:
    """One task. A picture that cannot be used is no exception but a fault."""
    try:
        data = read(task.path)
        sum_ = hashlib.sha256(data).hexdigest()
        made = tuple(_made(task, data, sum_, wish) for wish in task.wishes)
        return Done(_facts(task, data, sum_, bool(made)) if task.look else None, made, sum=sum_)
    except PictureFault as fault:
        return Done(fault=fault)


def _made(task: Task, data: bytes, sum_: str, wish: Wish) -> Prepared:
    marks = [mark.model_dump(mode="json") for mark in wish.marks]
    key = key_of("prepared", maker(), sum_, wish.long_edge, wish.aspect, marks)
    if (kept := task.cache.get(key)) is not None:
        head, _, body = kept.partition(b"\n")
        return Prepared(body, *json.loads(head))
    made = prepare(task.path, data=data, long_edge=wish.long_edge, marks=wish.marks, aspect=wish.aspect)
    head = json.dumps([made.media_type, made.width, made.height]).encode()
    task.cache.put(key, head + b"\n" + made.data)
    return made


def _facts(task: Task, data: bytes, sum_: str, decoded: bool) -> PictureFacts:
    """The facts of a picture; the whole of it has to decode, as it already has if something was made of it."""
    key = key_of("facts", maker(), sum_)
    if (kept := task.cache.get(key)) is not None:
        width, height, moment = json.loads(kept)
        return PictureFacts(width, height, datetime.fromisoformat(moment) if moment else None)
    look = examined_with if decoded else examine
    found, moment = look(task.path, data), time_taken(data)
    task.cache.put(
        key, json.dumps([found.width, found.height, moment.isoformat() if moment else None]).encode()
    )
    return PictureFacts(found.width, found.height, moment)


@cache
def maker() -> str:
    """What makes the pictures: this program's code and font, and the libraries, by sum and version."""
    here = Path(__file__).parent
    files = [*(here / name for name in CODE), data_file("templates", FONT)]
    sums = [hashlib.sha256(path.read_bytes()).hexdigest() for path in files]
    parts = ("jpg", "zlib", "libtiff", "freetype2", "webp", "littlecms2")
    return key_of(sums, pillow, [str(features.version(part)) for part in parts], _heif())


def _heif() -> str:
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("pillow-heif")
    except PackageNotFoundError:
        return ""
