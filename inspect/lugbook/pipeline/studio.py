"""Where pictures are worked on, and to which sizes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING

from lugbook.cache import Cache, usual_cache
from lugbook.memory import Memory

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from lugbook.picture_work import Done, Task


# Long edges of prepared pictures in pixels: a picture is at most 105 mm wide in print, which makes 240 dpi; among many
# pictures it makes 160, so that the report can still be mailed.
LONG_EDGE, MANY_EDGE = 1000, 680
MANY = 25
COVER_EDGE = 1400
THUMB_EDGE = 260
THUMB_ASPECT = 4 / 3
CONTACT_EDGE = 420


@dataclass(frozen=True, slots=True)
class Studio:
    """Where pictures are worked on: by the workers of an executor (None: as many as there are cores), with a cache.

    `meanwhile` is done by this process while workers of its own are busy.
    """

    executor: Executor | None = None
    cache: Cache = field(default_factory=usual_cache)
    meanwhile: Callable[[], None] | None = None


def long_edge(pictures: int) -> int:
    """The long edge of each of so many different pictures, in pixels."""
    return LONG_EDGE if pictures <= MANY else MANY_EDGE


def worked(tasks: list[Task], studio: Studio, memory: Memory | None) -> Iterator[Done]:
    """What came of tasks with pictures; with a memory, only those of changed files are done."""
    from lugbook.picture_work import do, work_through

    if memory is None:
        yield from work_through(tasks, studio.executor, studio.meanwhile)
        return
    for task in tasks:
        yield memory.of(task.path, (task.wishes, task.look), partial(do, task))
