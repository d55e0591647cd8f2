"""Basis files -> resolved bases: a shipped one as it is, or a job's own that overrides single limits."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from types import MappingProxyType

from lugbook.calc.conductor import AWG_NUMBER, awg_area
from lugbook.data import data_folder
from lugbook.load.faults import build, nearest
from lugbook.load.files import path_inside, read_document
from lugbook.load.tree import Document
from lugbook.model.basis import AmpacityTable, Applies, Basis, BasisFile, Override
from lugbook.model.problem import Path as KeyPath


def shipped_bases() -> tuple[str, ...]:
    """The ids of the bases that ship."""
    return tuple(sorted(path.stem for path in (data_folder("checklists") / "bases").glob("*.yaml")))


def basis_files(names: tuple[str, ...], job: Path) -> list[Path]:
    """The files of these bases; what a basis of the job is based on ships with the program."""
    own = data_folder("checklists") / "bases"
    return [job / name if name.endswith(".yaml") else own / f"{name}.yaml" for name in names]


def load_bases(names: tuple[str, ...], job: Path, findings: Document, where: KeyPath) -> tuple[Basis, ...]:
    """Resolve the bases named at `where`, in that order.

    Faults in the choice are on `findings`, faults in the files are added to it. A basis with faults is left out.
    """
    found: list[Basis] = []
    for i, name in enumerate(names):
        path = _find(name, job, findings, (*where, i))
        if path is None:
            continue
        document = read_document(path, name if name.endswith(".yaml") else f"bases/{path.name}")
        basis = read_basis(document)
        findings.problems += document.problems
        if basis is not None and any(basis.id == other.id for other in found):
            findings.report((*where, i), "P203", f"the basis '{basis.id}' stands twice", "keep one")
        elif basis is not None:
            found.append(basis)
    return tuple(found)


def _find(name: str, job: Path, findings: Document, where: KeyPath) -> Path | None:
    if name.endswith(".yaml"):
        path, refused = path_inside(job, name)
        if path is None:
            findings.report(where, "P302", refused, "copy the basis into the job's folder")
        return path
    if name in shipped_bases():
        return data_folder("checklists") / "bases" / f"{name}.yaml"
    hint = (
        nearest(name, shipped_bases())
        or f"shipped: {', '.join(shipped_bases())}; or a file of your own, such as own-basis.yaml"
    )
    findings.report(where, "P630", f"there is no basis '{name}'", hint)
    return None


def read_basis(document: Document) -> Basis | None:
    """The basis of a file; None if it has faults, which are on the document."""
    file = build(BasisFile, document)
    if file is None:
        return None
    before = len(document.problems)
    for n, table in enumerate(file.limits.ampacity):
        _check_table(table, ("limits", "ampacity", n), document)
    dates = file.in_force
    if dates is not None and dates.since is not None and dates.to is not None and dates.to < dates.since:
        document.report(
            ("in_force", "to"), "P634", f"in force to {dates.to}, but from {dates.since}", "correct the dates"
        )
    base = _base(file, document)
    if len(document.problems) > before:
        return None
    if base is None and file.based_on is not None:
        return None
    return _resolve(file, base, document)


def _base(file: BasisFile, document: Document) -> Basis | None:
    if file.based_on is None:
        return None
    if file.based_on not in shipped_bases():
        hint = nearest(file.based_on, shipped_bases()) or f"shipped: {', '.join(shipped_bases())}"
        document.report(("based_on",), "P630", f"there is no shipped basis '{file.based_on}'", hint)
        return None
    if file.based_on == file.id:
        document.report(
            ("id",),
            "P631",
            f"'{file.id}' is the name of the shipped basis itself",
            "give your own another id",
        )
        return None
    inner = read_document(
        data_folder("checklists") / "bases" / f"{file.based_on}.yaml", f"bases/{file.based_on}.yaml"
    )
    base = read_basis(inner)
    document.problems += inner.problems
    return base


def _resolve(file: BasisFile, base: Basis | None, document: Document) -> Basis | None:
    given = file.model_fields_set & {"kind", "in_force", "binds", "applies"}
    missing = {"kind", "binds"} - given
    if base is None and missing:
        document.report(
            (),
            "P631",
            f"this basis lacks {' and '.join(sorted(missing))}",
            "add them, or 'based_on' with a shipped basis",
        )
        return None
    own = {key for key in file.limits.model_fields_set if getattr(file.limits, key) not in (None, ())}
    limits = file.limits
    origin = dict.fromkeys(sorted(own), file.id)
    overridden: list[Override] = []
    if base is not None:
        limits = base.limits.model_copy(update={key: getattr(file.limits, key) for key in own})
        overridden = [
            Override(key, origin_of, file.id) for key, origin_of in base.origin.items() if key in own
        ]
        origin = {**base.origin, **origin}
    dates = file.in_force
    return Basis(
        id=file.id,
        title=file.title,
        edition=file.edition,
        kind=file.kind or (base.kind if base else "practice"),
        since=dates.since if dates else base.since if base else None,
        to=dates.to if dates else base.to if base else None,
        binds=file.binds or (base.binds if base else ""),
        applies=file.applies or (base.applies if base else Applies()),
        limits=limits,
        origin=MappingProxyType(dict(sorted(origin.items()))),
        overridden=tuple(sorted(overridden, key=lambda override: override.key)),
    )


def size_area(table: AmpacityTable, size: str) -> float:
    """The area of copper of a row [m2]."""
    return awg_area(gauge=size) if table.unit == "AWG" else float(size) / 1e6


def _check_table(table: AmpacityTable, path: KeyPath, document: Document) -> None:
    for size in table.rows:
        if table.unit == "AWG" and size not in AWG_NUMBER:
            document.report(
                (*path, "rows", size),
                "P606",
                f"'{size}' is not an American wire gauge from 24 to 4/0",
                on_key=True,
            )
            return
    if list(table.ratings) != sorted(set(table.ratings)):
        document.report(
            (*path, "ratings"), "P633", "the insulation ratings do not rise", "write them from low to high"
        )
    rows = sorted(table.rows.items(), key=lambda item: size_area(table, item[0]))
    for size, row in rows:
        if list(row) != sorted(row):
            document.report(
                (*path, "rows", size),
                "P633",
                f"the row '{size}' falls from one rating to the next",
                "look for a slip of the pen",
            )
    for (smaller, low), (larger, high) in pairwise(rows):
        if any(a >= b for a, b in zip(low, high, strict=True)):
            message = f"'{larger}' does not carry more than '{smaller}' in each column"
            document.report((*path, "rows", larger), "P633", message, "look for a slip of the pen")
