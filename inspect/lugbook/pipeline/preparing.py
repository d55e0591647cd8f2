"""The pictures of a view -> scaled copies without their metadata."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from lugbook.compose.report import LOGO, SIGNATURE
from lugbook.errors import OutputError
from lugbook.load.pictures import PHOTOS
from lugbook.memory import Memory
from lugbook.model.findings import Box
from lugbook.model.job import Job
from lugbook.model.view import PictureView, ReportView
from lugbook.pipeline.studio import COVER_EDGE, LONG_EDGE, THUMB_ASPECT, THUMB_EDGE, Studio, long_edge, worked
from lugbook.progress import Progress
from lugbook.render.pdf import Resource

if TYPE_CHECKING:
    from lugbook.photos import Prepared


def prepared(
    wanted: Iterable[tuple[str, Path, PictureView]], count: int, progress: Progress
) -> dict[str, Resource]:
    """Pictures by their keys, scaled for the page, marks drawn, without their metadata."""
    if not count:
        return {}
    from lugbook.photos import PictureFault, prepare

    made = {}
    for key, path, picture in progress.each(wanted, count, "preparing pictures"):
        try:
            one = prepare(path, long_edge=LONG_EDGE, marks=picture.marks)
        except PictureFault as fault:
            raise OutputError(f"{fault.message}; it changed meanwhile") from fault
        made[key] = Resource(one.data, one.media_type)
    return made


def pictures(
    job: Job, view: ReportView, progress: Progress, studio: Studio, memory: Memory | None = None
) -> Iterator[tuple[str, Resource]]:
    """Every picture of the view, scaled to its printed size, marks drawn, without its metadata."""
    wanted = list(wanted_pictures(job, view))
    if not wanted:
        return
    from lugbook.picture_work import Task, Wish

    tasks: list[Task] = []
    for _, path, picture, edge in wanted:
        small = edge == THUMB_EDGE  # too small for marks; cut to one shape so that the list is even
        marks = picture.marks if picture is not None and not small else ()
        tasks.append(Task(path, (Wish(edge, marks, THUMB_ASPECT if small else None),), studio.cache))
    done = progress.each(worked(tasks, studio, memory), len(tasks), "preparing pictures")
    listed = dict(job.digests)
    sums = {path: listed.get(f"{PHOTOS}/{name}") for name, path in job.pictures.items()}
    for (key, path, *_), one in zip(wanted, done, strict=True):
        if one.fault is not None:  # it was there when the job was checked
            raise OutputError(f"{one.fault.message}; it changed while the report was made") from one.fault
        printed = sums.get(path)  # the report prints the sum of what it shows; a redacted copy prints none
        if one.sum is not None and printed is not None and one.sum != printed:
            raise OutputError(f"'{path.name}' changed while the report was made; make it again")
        (made,) = one.made
        yield key, Resource(made.data, made.media_type)


def wanted_pictures(job: Job, view: ReportView) -> Iterator[tuple[str, Path, PictureView | None, int]]:
    cover = view.first.picture
    thumbs = {urgent.thumb for urgent in view.first.urgent}
    edge = long_edge(len({picture.file for picture in view.pictures}))
    for picture in view.pictures:
        path = job.pictures[picture.file]
        yield picture.key, path, picture, COVER_EDGE if picture is cover else edge
        if picture.thumb in thumbs:
            yield picture.thumb, path, picture, THUMB_EDGE
    if job.business.logo is not None:
        yield LOGO, job.business.logo, None, LONG_EDGE
    if job.findings.report.signature.image is not None:
        yield SIGNATURE, job.pictures[job.findings.report.signature.image], None, LONG_EDGE


def covered_copy(path: Path, boxes: tuple[Box, ...]) -> Prepared:
    """A picture without its metadata and with solid blocks over the boxes, for copies for third parties."""
    from lugbook.photos import PictureFault, prepare

    try:
        return prepare(path, long_edge=COVER_EDGE, quality=90, cover=boxes)
    except PictureFault as fault:
        raise OutputError(f"{fault.message}; it changed meanwhile") from fault
