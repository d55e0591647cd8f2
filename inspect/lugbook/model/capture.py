"""The capture page, every word and rule of it settled."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class CaptureRules:
    """Rules and figures that the page shares with the program, as the stages that own them hold them."""

    matrix: dict[str, tuple[str, ...]]
    """Risk level by probability, one for each severity."""
    severities: tuple[str, ...]
    """In the order of the matrix's columns."""
    needed: tuple[tuple[str, ...], ...]
    """What a finished report must name, as paths below `report`."""
    torque: dict[str, tuple[str, str]]
    """Usual torque [N m] by stud, lowest and highest as written in the basis."""
    shore: dict[str, Any]
    """Limits of the tests of the mains side, SI, each with its clause."""
    bases: tuple[tuple[str, str], ...]
    """Id and title of each basis that ships."""


@dataclass(frozen=True, slots=True)
class CaptureView:
    """What the page is made from."""

    title: str
    language: str
    data: dict[str, Any]
    """All that its script needs."""
