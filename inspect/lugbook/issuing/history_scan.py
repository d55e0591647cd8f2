"""Looking through folders for jobs. A job that cannot be read is listed and stops nothing."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from lugbook.errors import InputRefusedError, LugbookError
from lugbook.issuing.history_index import (
    INDEX,
    Entry,
    Stamp,
    read_index,
    stamp,
    unchanged,
    write_index,
)
from lugbook.model.decided import Decided
from lugbook.model.history import BadJob, DefectRecord, JobRecord, State
from lugbook.progress import Progress

if TYPE_CHECKING:
    from lugbook.model.assessed import Assessed, JudgedDefect

FINDINGS, TRAIL = "findings.yaml", "trail.jsonl"


@dataclass(frozen=True, slots=True)
class History:
    """Every job that was found. `read` counts those that had to be read anew; `warning` is about the index."""

    jobs: tuple[JobRecord, ...]
    bad: tuple[BadJob, ...]
    read: int
    warning: str | None


def read_history(folders: list[Path], index: Path | None, progress: Progress) -> History:
    """Look through the folders; `index` is the file to go by and to keep up, None for none."""
    old, written = read_index(index) if index else ({}, 0)
    places = sorted({place for folder in folders for place in find_jobs(folder)})
    entries: dict[str, Entry] = {}
    waiting: list[str] = []
    for place in places:
        kept = unchanged(place, old[place], written) if place in old else None
        if kept is None:
            waiting.append(place)
        else:
            entries[place] = kept
    for place in progress.each(waiting, len(waiting), "reading jobs"):
        entries[place] = _read(place)
    # Jobs outside of the folders named stay in the index as long as they are there.
    everything = {
        place: entry for place, entry in old.items() if place not in entries and _elsewhere(place, folders)
    }
    everything |= entries
    warning = write_index(index, everything) if index is not None and everything != old else None
    found = [entries[place] for place in places]
    bad = [BadJob(place, entries[place].problem or "") for place in places if entries[place].problem]
    return History(tuple(e.record for e in found if e.record is not None), tuple(bad), len(waiting), warning)


def _elsewhere(place: str, folders: list[Path]) -> bool:
    """Whether a job that was not found this time lies elsewhere, rather than being gone."""
    inside = any(Path(place).is_relative_to(folder.resolve()) for folder in folders)
    return not inside and Path(place).is_dir()


def index_place(folders: list[Path]) -> Path | None:
    """Where the index lies unless told otherwise: in the first folder, but never inside a job."""
    first = folders[0]
    return None if _is_job({path.name for path in first.iterdir()}) else first / INDEX


def _is_job(names: set[str]) -> bool:
    return FINDINGS in names or TRAIL in names


def find_jobs(folder: Path) -> Iterator[str]:
    """Folders with findings or a trail, at any depth; links are not followed, jobs are not looked into."""
    for here, folders, files in os.walk(folder.resolve()):
        if _is_job(set(files)):
            folders.clear()
            yield here
        else:
            folders[:] = [name for name in folders if not name.startswith(".")]


def _read(place: str) -> Entry:
    """One job, with the stamps of its files taken before it is read."""
    from lugbook.pipeline.judging import (
        judged_unseen,  # takes longer to import than a whole overview from the index
    )

    folder = Path(place)
    names = [FINDINGS, TRAIL]
    before = {name: stamp(folder / name) for name in names}
    try:
        assessed = judged_unseen(folder)
        report = assessed.job.findings.report
        own = [name for name in report.checklists if name.endswith(".yaml")]
        before |= {name: stamp(folder / name) for name in own}
        record, problem = _record(place, assessed)
        return Entry(before, record, problem)
    except InputRefusedError as error:
        first = next(problem for problem in error.problems if problem.severity == "error")
        line = f"{first.file}:{first.line}: " if first.line else f"{first.file}: "
        # What it depends on is not known, since it could not be read: every YAML file beside it may be mended.
        own = [path.name for path in sorted(folder.glob("*.yaml"))]
        return Entry(_with(before, folder, own), None, f"{line}{first.message} [{first.code}]")
    except LugbookError as error:
        return Entry(before, None, str(error))
    except Exception as error:  # one job must never stop the others
        return Entry(before, None, f"cannot be read: {type(error).__name__}: {error}")


def _with(before: dict[str, Stamp | None], folder: Path, names: list[str]) -> dict[str, Stamp | None]:
    return before | {name: stamp(folder / name) for name in names if name not in before}


def _record(place: str, assessed: Assessed) -> tuple[JobRecord, str | None]:
    from lugbook.pipeline.judging import past_decisions
    from lugbook.trail.canonical import TrailError
    from lugbook.trail.events import decisions

    job = assessed.job
    report, problem = job.findings.report, None
    decided = past_decisions(job)
    try:
        decided |= decisions(job.folder)
    except TrailError as error:
        problem = f"its decisions are not counted: {error}"
    day = report.visit.date or report.date
    everything = (*assessed.defects, *assessed.closed)
    defects = tuple(_defect(one, decided.get(one.id), day.isoformat() if day else None) for one in everything)
    items = {defect.item for defect in defects}
    questions = {item.id: item.question for item in job.checklist.items if item.id in items}
    craft = report.craft
    record = JobRecord(
        folder=place,
        report=report.number,
        boat=craft.name or job.name,
        identification=craft.identification or "",
        day=day.isoformat() if day else None,
        defects=defects,
        questions=questions,
    )
    return record, problem


def _defect(defect: JudgedDefect, decided: Decided | None, day: str | None) -> DefectRecord:
    state: State = "open"
    if defect.now == "fixed" or defect.now == "gone":
        state = defect.now
    elif defect.act_by is None:
        state = "fixed"
    carried = defect.carried
    first = carried.first_seen.isoformat() if carried and carried.first_seen else day
    return DefectRecord(
        id=defect.id,
        item=defect.item,
        title=defect.title,
        place=defect.place,
        level=defect.risk.level,
        act_by=defect.act_by,
        state=state,
        first_seen=first,
        carried_from=carried.report if carried else None,
        decision=decided.decision if decided else None,
        decided_by=decided.role if decided else None,
        decided_on=decided.day.isoformat() if decided else None,
    )
