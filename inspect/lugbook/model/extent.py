"""How far an item was looked at: `whole`, `part seen`, `sample 4 of 12`, `tested`, `not tested`, or a pair of these."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

Look = Literal["whole", "part seen", "sample"]
SAMPLE = re.compile(r"sample ([0-9]{1,5}) of ([0-9]{1,5})")


class ExtentError(ValueError):
    """The text is no extent; the message says why."""


@dataclass(frozen=True, slots=True)
class Extent:
    """`look` is None when only the test was recorded; `tested` is None when nothing was said of a test."""

    look: Look | None
    seen: int = 0
    total: int = 0
    tested: bool | None = None


def parse_extent(text: str) -> Extent:
    """Read an extent. Raises ExtentError."""
    look: Look | None = None
    seen = total = 0
    tested: bool | None = None
    for part in (" ".join(piece.split()) for piece in text.split(",")):
        sample = SAMPLE.fullmatch(part)
        if part in ("tested", "not tested"):
            if tested is not None:
                raise ExtentError(f"'{text}' says twice whether it was tested")
            tested = part == "tested"
        elif part in ("whole", "part seen") or sample:
            if look is not None:
                raise ExtentError(f"'{text}' says twice how much was seen")
            look = "sample" if sample else "whole" if part == "whole" else "part seen"
            if sample:
                seen, total = int(sample[1]), int(sample[2])
                if not 0 < seen <= total:
                    raise ExtentError(f"'{part}': a sample counts from 1 to all of them")
        else:
            raise ExtentError(f"'{part}' is not an extent")
    return Extent(look, seen, total, tested)
