"""The user's own prices, from the file that the findings name."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

from babel.numbers import list_currencies

from lugbook.load.faults import build, nearest
from lugbook.load.files import path_inside, read_document
from lugbook.load.tree import Document
from lugbook.model.problem import Problem
from lugbook.model.rates import RatesFile
from lugbook.model.wiring import DeviceClass


def load_rates(name: str, folder: Path, findings: Document) -> tuple[RatesFile | None, list[Problem]]:
    """The prices and what is wrong with their file; what is wrong with its name stands in the findings."""
    path, refused = path_inside(folder, name)
    if path is None:
        findings.report(("rates",), "P302", refused, "copy the rates into the job's folder")
        return None, []
    if not path.exists():
        near = nearest(name, (one.name for one in folder.glob("*.yaml")))
        findings.report(("rates",), "P001", f"there is no file '{name}' in the job's folder", near)
        return None, []
    document = read_document(path, name)
    rates = build(RatesFile, document)
    if rates is not None:
        _check(rates, document)
    return rates, document.problems


def _check(rates: RatesFile, document: Document) -> None:
    known = sorted(list_currencies())
    if rates.currency not in known:
        document.report(
            ("currency",),
            "P105",
            f"'{rates.currency}' is no currency known here",
            nearest(rates.currency, known),
        )
    classes = get_args(DeviceClass)
    for key in ("fuse", "holder", "breaker"):
        for name in getattr(rates.prices, key):
            if not any(name == one or name.startswith(f"{one} ") for one in classes):
                hint = (
                    nearest(name, classes) or f"known: {', '.join(classes)}, alone or with a rating after it"
                )
                document.report(
                    ("prices", key, name),
                    "P105",
                    f"'{name}' is no class of fuse or breaker",
                    hint,
                    on_key=True,
                )
