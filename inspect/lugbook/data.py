"""The files that ship with the program: checklists, templates, fonts, words."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

DataKind = Literal["checklists", "templates"]


def data_folder(kind: DataKind) -> Path:
    """The folder of shipped data: inside the installed package, or at the root of a checkout."""
    packaged = Path(__file__).parent / "data" / kind
    return packaged if packaged.is_dir() else Path(__file__).parents[2] / kind


def data_file(kind: DataKind, name: str) -> Path:
    """One shipped file."""
    return data_folder(kind) / name
