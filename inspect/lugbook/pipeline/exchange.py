"""An export of the capture page, and findings put together from two sides."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from lugbook.errors import InputRefusedError, OutputError
from lugbook.load.export import read_export
from lugbook.load.export_names import folded
from lugbook.load.ids import with_ids
from lugbook.load.job import FINDINGS
from lugbook.load.merge import merge
from lugbook.load.merge_ids import colliding, pictures_named, renamed
from lugbook.load.tree import parse
from lugbook.model.export import Choose, Export, Merged
from lugbook.model.problem import Problem
from lugbook.progress import Progress


def opened_export(archive: Path, into: Path, progress: Progress) -> Export:
    """An export of the capture page, checked and laid out in the empty folder `into`. Raises InputRefusedError."""
    progress.step("checking the export")
    try:
        export, problems = read_export(archive, into)
    finally:
        progress.done()
    faults = list(problems)
    if export is not None:
        from lugbook.photos import PictureFault, kind_of

        for path in export.photos:
            try:
                kind_of(into / path)
            except PictureFault as fault:
                # Any other fault of a picture is left to 'check': the phone has nothing better to give.
                if fault.code == "P304":
                    faults.append(Problem(path, 0, 0, "", fault.code, "error", fault.message, fault.hint))
    if export is None or faults:
        inside = [
            replace(p, file=f"{archive.as_posix()}/{p.file}" if p.file else archive.as_posix())
            for p in faults
        ]
        raise InputRefusedError(tuple(inside))
    return export


def merged_findings(base: str, ours: str, theirs: str, choose: Choose) -> Merged:
    """Two versions of the findings put together, the defects of ours with ids. Raises InputRefusedError."""
    document = parse(ours, FINDINGS)
    if document.root is None or document.errors:
        raise InputRefusedError(tuple(document.problems))
    try:
        merged = merge(base, with_ids(document)[0], theirs, choose)
        return replace(merged, text=with_ids(parse(merged.text, FINDINGS))[0])
    except ValueError as error:
        raise OutputError(str(error)) from error


def other_ids(base: str, ours: str, theirs: str) -> dict[str, str]:
    """Ids that both sides gave to different defects -> those that theirs get."""
    return colliding(base, ours, theirs)


def with_other_names(text: str, defects: Mapping[str, str], photos: Mapping[str, str]) -> str:
    """Findings with other ids of defects and names of pictures."""
    return renamed(text, defects, photos)


def pictures_of(text: str) -> frozenset[str]:
    """The names of the pictures that findings speak of."""
    return pictures_named(text)


def folded_name(name: str) -> str:
    """What a name comes down to on a disk that knows neither capitals nor how accents are coded."""
    return folded(name)
