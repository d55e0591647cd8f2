"""Runs many fuzzed inputs, each within its time and memory, and keeps those that break something."""

from __future__ import annotations

import random
import resource
import signal
import time
import traceback
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import bundles
import mutate
import seeds
from targets import targets

SECONDS = 5  # of processor time, so that a busy machine is not taken for a slow program
HANG = 60  # seconds of doing nothing
MEGABYTES = 512


class TooSlowError(Exception):
    """An input that takes longer than anybody waits."""


@dataclass
class Outcome:
    """What came of a run: how many inputs of each kind ended how, and the inputs that broke something."""

    ended: Counter[str] = field(default_factory=Counter)
    broke: list[tuple[str, int, str, bytes]] = field(default_factory=list)
    slowest: float = 0.0
    memory: float = 0.0


def made(kind: str, number: int) -> Any:
    """The input of this number. The same number always gives the same input."""
    rng = random.Random(f"{kind} {number}")
    if kind == "text":
        return mutate.text(rng.choice(seeds.texts()), rng)
    if kind == "tree":
        whole = seeds.trees()
        # the whole demo is slow, and rarely needed
        seed = whole[-1] if rng.random() < 0.002 else rng.choice(whole[:-1])
        return _text(mutate.tree(seed, rng))
    if kind == "bundle":
        return bundles.bundle(rng)
    return mutate.data(rng.choice(seeds.pictures()), rng)


def _text(tree: Any) -> str:
    """A spoilt tree as text; what cannot be written (a lone half of a pair) is replaced."""
    return seeds.dump(tree).encode("utf-8", "replace").decode()


def _late(*_: object) -> None:
    raise TooSlowError


def run(kind: str, numbers: range, folder: Path) -> Outcome:
    """Give the inputs of these numbers to the target of their kind."""
    outcome, take = Outcome(), targets(folder)[kind]
    before = [(alarm, signal.signal(alarm, _late)) for alarm in (signal.SIGPROF, signal.SIGALRM)]
    try:
        for number in numbers:
            _one(kind, number, take, outcome)
    finally:
        for alarm, handler in before:
            signal.signal(alarm, handler)
    outcome.memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return outcome


def _one(kind: str, number: int, take: Callable[..., str], outcome: Outcome) -> None:
    given = made(kind, number)
    start = time.process_time()
    try:
        signal.setitimer(signal.ITIMER_PROF, SECONDS)
        signal.setitimer(signal.ITIMER_REAL, HANG)
        try:
            ended = take(given)
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
            signal.setitimer(signal.ITIMER_REAL, 0)
        outcome.ended[ended] += 1
    except Exception:
        trace = traceback.format_exc()
        raw = given if isinstance(given, bytes) else given.encode("utf-8", "surrogatepass")
        outcome.broke.append((kind, number, trace, raw))
    outcome.slowest = max(outcome.slowest, time.process_time() - start)
