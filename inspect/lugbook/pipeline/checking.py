"""A job's folder -> a checked job: loaded, its pictures looked into, every problem told."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from lugbook.errors import InputRefusedError
from lugbook.load.job import load_job
from lugbook.memory import Memory
from lugbook.model.job import Job, PictureFacts, photos_of
from lugbook.model.problem import Problem, has_errors
from lugbook.pipeline.studio import Studio, long_edge, worked
from lugbook.progress import Progress


@dataclass(frozen=True, slots=True)
class Checked:
    """A job with what is wrong with it; `job` is None if it must be refused. `facts` are those of its pictures."""

    job: Job | None
    problems: tuple[Problem, ...]
    facts: dict[str, PictureFacts]


def refused(folder: Path, problems: Iterable[Problem]) -> InputRefusedError:
    """The refusal of a job, its problems with the folder before the file."""
    return InputRefusedError(tuple(replace(p, file=(folder / p.file).as_posix()) for p in problems))


def loaded(folder: Path, language: str | None = None) -> Job:
    """A job without a look into its pictures. Raises InputRefusedError if it has errors."""
    job, problems = load_job(folder, language)
    if job is None:
        raise refused(folder, problems)
    return job


def check_job(
    folder: Path,
    progress: Progress,
    *,
    strict: bool = False,
    ready: bool = False,
    studio: Studio | None = None,
    memory: Memory | None = None,
    language: str | None = None,
) -> Checked:
    """Load a job and look into every picture that it uses. `language` takes the place of the findings' own.

    With `ready` each picture is also prepared for a report, while it is decoded anyway, and kept in the cache.
    """
    job, problems = load_job(folder, language)
    if job is None:
        return Checked(None, problems, {})
    facts, faults = _examine(job, progress, studio or Studio(), memory, ready=ready)
    problems = tuple(sorted((*problems, *faults), key=lambda problem: problem.place))
    return Checked(None if has_errors(problems, strict=strict) else job, problems, facts)


def _examine(
    job: Job, progress: Progress, studio: Studio, memory: Memory | None, *, ready: bool
) -> tuple[dict[str, PictureFacts], list[Problem]]:
    """The pictures' facts, and a problem for each that cannot be used."""
    files = [(f"photos/{name}", name, path) for name, path in job.pictures.items()]
    if job.business.logo is not None:
        files.append((job.business.logo.name, "", job.business.logo))
    facts: dict[str, PictureFacts] = {}
    faults: list[Problem] = []
    if not files:
        return facts, faults
    from lugbook.picture_work import Task, Wish

    shown: dict[str, tuple[Wish, ...]] = {}
    if ready and studio.cache.folder is not None:
        marks = {photo.file: photo.marks for _, photo in photos_of(job.findings)}
        shown = {file: (Wish(long_edge(len(marks)), drawn),) for file, drawn in marks.items()}
    tasks = [Task(path, shown.get(name, ()), studio.cache, look=True) for _, name, path in files]
    done = progress.each(worked(tasks, studio, memory), len(tasks), "looking into pictures")
    for (place, name, _), one in zip(files, done, strict=True):
        if one.facts is not None:
            facts[name] = one.facts
        if (fault := one.fault) is not None:
            faults.append(Problem(place, 0, 0, "", fault.code, "error", fault.message, fault.hint))
    return facts, faults
