"""Seeded ways to spoil a text, a tree or a string of bytes."""

from __future__ import annotations

import copy
import random
from typing import Any

NASTY = (
    "", " ", "~", "null", "yes", "off", "0", "-0", "-1", "1e999", "9" * 400, "9" * 5000, "0x10", "010", "1:30", ".inf", "nan",
    "-5 A", "0 m", "1e-320 V", "99999999 A", "12 V", "12,5 V", "½ m", "٣ m", "10 mm2", "AWG 0000", "AWG 99", "1e5 mm2",
    "0.35 m", "-40 degC", "10000 degC", "50 Nm", "high", "defect", "whole", "sample 0 of 0", "sample 9 of 2", "d1",
    "d0", "d99999999999", "main", "main.pos", "..", ".", "/etc/passwd", "../../x.jpg", "C:\\x.jpg", "con", "file:///x",
    "http://127.0.0.1:9/x.png", "<script>alert(1)</script>", "{{ 7*7 }}", "{% for x in y %}", "=1+1", "@SUM(A1)",
    "[](javascript:x)", "![](http://127.0.0.1:9/y)", "a" * 3000, "a " * 1500, "é" * 300, "e\u0301", "\u202egnp.exe",
    "\x07", "\U0001f600", "# Heading", "- - - -", "| a |", "2026-02-30", "0000-00-00", "9999-12-31", "2026-06-02",
    "25:61", "10:00", "&a", "*a", "!!python/object:os.system", "%s%n", "\\", "'", '"', "`", "---", "...",
)  # fmt: skip
BITS = (
    "\n", "\t", ": ", "- ", "{", "}", "[", "]", "&a ", "*a", "!x ", "? ", "|\n", ">\n", "'", '"', "#", " #", "<<: ",
    "---\n", "%", "\ufeff", "\x00", "\u2028", "\x85", "@", "`", ",", "\r", "\r\n", "\\x", "~", "0",
)  # fmt: skip


def text(seed: str, rng: random.Random) -> str:
    """A text with a few places cut, doubled, moved or replaced."""
    for _ in range(rng.choice((1, 1, 2, 3, 8))):
        start = rng.randrange(len(seed) + 1)
        end = min(len(seed), start + rng.choice((0, 1, 1, 3, 20, 200)))
        turn = rng.randrange(6)
        if turn == 0:
            seed = seed[:start] + seed[end:]
        elif turn == 1:
            seed = seed[:start] + rng.choice(BITS) + seed[start:]
        elif turn == 2:
            seed = seed[:start] + rng.choice(NASTY) + seed[end:]
        elif turn == 3:
            seed = seed[:end] + seed[start:]
        elif turn == 4:
            lines = seed.split("\n")
            at = rng.randrange(len(lines))
            lines[at] = " " * rng.randrange(9) + lines[at].lstrip(" ")
            seed = "\n".join(lines)
        else:
            seed = seed[:start] + rng.choice(BITS) * rng.choice((2, 30, 300)) + seed[end:]
    return seed


def _places(tree: Any, above: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    places = [above] if above else []
    if isinstance(tree, dict):
        for key, value in tree.items():
            places += _places(value, (*above, key))
    elif isinstance(tree, list):
        for index, value in enumerate(tree):
            places += _places(value, (*above, index))
    return places


def _at(tree: Any, place: tuple[str | int, ...]) -> Any:
    for step in place:
        tree = tree[step]
    return tree


def tree(seed: Any, rng: random.Random) -> Any:
    """A tree with a few values replaced, borrowed from elsewhere, dropped, doubled or put under another key."""
    made = copy.deepcopy(seed)
    for _ in range(rng.choice((1, 1, 1, 2, 4))):
        places = _places(made)
        place = rng.choice(places)
        holder, key = _at(made, place[:-1]), place[-1]
        turn = rng.randrange(7)
        if turn < 2:
            holder[key] = rng.choice(NASTY)
        elif turn == 2:
            holder[key] = copy.deepcopy(_at(made, rng.choice(places)))
        elif turn == 3:
            del holder[key]
        elif turn == 4 and isinstance(holder, list):
            holder.append(copy.deepcopy(holder[key]))
        elif turn == 5 and isinstance(holder, dict):
            holder[rng.choice(NASTY) or "k"] = holder[key]
        else:
            holder[key] = rng.choice(([], {}, [[]], [holder[key]], {"id": holder[key]}, None))
    return made


def data(seed: bytes, rng: random.Random) -> bytes:
    """Bytes with a few flipped, cut, doubled or overwritten; also cut short, or with another file behind."""
    made = bytearray(seed)
    for _ in range(rng.choice((1, 2, 4, 16))):
        at = rng.randrange(len(made) + 1)
        turn = rng.randrange(6)
        if turn == 0 and at < len(made):
            made[at] ^= 1 << rng.randrange(8)
        elif turn == 1:
            made[at : at + rng.choice((1, 2, 4))] = rng.choice(
                (b"\0", b"\xff", b"\xff\xff\xff\xff", b"\x7f\xff\xff\xff")
            )
        elif turn == 2:
            del made[at : at + rng.choice((1, 3, 50))]
        elif turn == 3:
            made[at:at] = made[at : at + rng.choice((4, 64))]
        elif turn == 4 and rng.random() < 0.3:
            del made[at:]
        else:
            made[at:at] = rng.randbytes(rng.choice((1, 4, 40)))
    return bytes(made)
