"""The report of one job, alone or among many: left as it is if nothing has changed, otherwise made anew."""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Literal

from lugbook.cache import Cache, usual_cache
from lugbook.model.problem import Problem
from lugbook.progress import Progress
from lugbook.unchanged import known, remember, snapshot


@dataclass(frozen=True, slots=True)
class Wanted:
    """A job to report into `out`. Paths are text, so that it travels to other processes and machines."""

    folder: str
    out: str
    pdf: bool
    paper: Literal["a4", "letter"]
    language: str | None = None
    cached: bool = True


@dataclass(frozen=True, slots=True)
class Reported:
    """What came of it."""

    state: Literal["written", "unchanged", "refused"]
    files: tuple[Path, ...]
    problems: tuple[Problem, ...]


def cache_of(*, cached: bool) -> Cache:
    """The cache to use; with `cached` False nothing is kept and nothing is found."""
    return usual_cache() if cached else Cache(None)


def report(wanted: Wanted, progress: Progress) -> Reported:
    """Make the report, unless it stands there already. Imports the pipeline only if there is something to make."""
    folder, out = Path(wanted.folder), Path(wanted.out)
    cache = cache_of(cached=wanted.cached)
    options = (wanted.pdf, wanted.paper, wanted.language, os.environ.get("SOURCE_DATE_EPOCH", ""))
    before = snapshot(folder, out, options) if cache.folder is not None else None
    if (same := known(cache, before)) is not None:
        return Reported("unchanged", same.files, same.problems)
    from lugbook.pipeline.checking import check_job
    from lugbook.pipeline.studio import Studio

    studio = Studio(cache=cache, meanwhile=partial(_load_the_rest, pdf=wanted.pdf))
    checked = check_job(folder, progress, ready=True, studio=studio, language=wanted.language)
    if checked.job is None:
        return Reported("refused", (), checked.problems)
    from lugbook.pipeline.reporting import make_report

    written = make_report(checked, out, progress, pdf=wanted.pdf, paper=wanted.paper, studio=studio)
    remember(cache, before, checked.job.business.logo, written, checked.problems)
    return Reported("written", written, checked.problems)


def _load_the_rest(*, pdf: bool) -> None:
    """Load what a report needs after the check."""
    import lugbook.pipeline.reporting

    if pdf:
        lugbook.pipeline.reporting.get_ready()
