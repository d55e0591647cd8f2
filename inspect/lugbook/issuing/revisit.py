"""Beginning a return visit: a new job that carries on what the earlier one left open."""

from __future__ import annotations

import re
import shutil
from dataclasses import dataclass
from pathlib import Path

from lugbook.compose.revisit import compose_revisit
from lugbook.errors import OutputError, UsageError
from lugbook.issuing.report import begin_trail
from lugbook.model.assessed import Assessed, JudgedDefect
from lugbook.model.decided import Decided
from lugbook.model.findings import Findings
from lugbook.model.schema import SCHEMA, schema_json
from lugbook.pipeline.judging import judged, past_decisions
from lugbook.progress import Progress
from lugbook.trail.entries import Carried
from lugbook.trail.events import decisions_in, issues, notices_in
from lugbook.trail.plain import plain
from lugbook.trail.store import read_trail
from lugbook.write import write_files

FINDINGS, PHOTOS = "findings.yaml", "photos"


@dataclass(frozen=True, slots=True)
class Revisit:
    """What came of it. `said_done` are carried too: somebody's word is no sight."""

    folder: Path
    report: str
    revision: int | None
    carried: tuple[JudgedDefect, ...]
    said_done: tuple[str, ...]
    left: tuple[str, ...]


def revisit(old: Path, new: Path, progress: Progress) -> Revisit:
    """Make the new job. Works from the last issued revision, or from the findings if none was issued."""
    if new.exists() and any(new.iterdir() if new.is_dir() else [new]):
        raise UsageError(f"'{new}' exists already and is not empty; name a new folder")
    chain = read_trail(old)
    last = issues(chain)[-1][1] if issues(chain) else None
    kept_whole = last is not None and (old / last.folder / FINDINGS).is_file()  # else it was erased
    assessed = judged(old / last.folder if last and kept_whole else old, progress)
    job = assessed.job
    decided = {**past_decisions(job), **decisions_in(chain)}
    # What was computed and not seen is computed again, from the installation that goes along.
    seen = [defect for defect in assessed.defects if defect.seen is not None]
    kept = tuple(defect for defect in seen if not _is_done(decided.get(defect.id)))
    left = tuple(defect.id for defect in seen if defect not in kept)
    pictures, copies = _pictures(assessed, kept)
    text = compose_revisit(
        assessed,
        new.resolve().name,
        last.revision if last else None,
        decided,
        kept,
        _highest(job.findings, old),
        pictures,
        plain,
        [f"{day}, {notice.hazard} {notice.place}: {notice.safety}" for day, notice in notices_in(chain)],
    )
    files = {FINDINGS: text.encode(), SCHEMA: schema_json(Findings)}
    lists = [name for name in job.findings.report.checklists if name.endswith(".yaml")]
    if job.findings.installation is not None:
        lists += [name for name in job.findings.installation.bases if name.endswith(".yaml")]
    _write(new, files, {**copies, **{name: job.folder / name for name in lists}})
    if chain.head is not None:
        who = job.findings.report.electrician.name
        begin_trail(
            new,
            recorded_by=who or "not recorded",
            carries=Carried(number=job.findings.report.number, head=chain.head),
        )
    done = tuple(d.id for d in kept if d.id in decided and decided[d.id].decision == "done")
    return Revisit(new, job.findings.report.number, last.revision if last else None, kept, done, left)


def _is_done(decided: Decided | None) -> bool:
    """Seen to be done by the inspector. What others say was done is looked at."""
    return decided is not None and decided.decision == "done" and decided.role == "inspector"


def _highest(findings: Findings, old: Path) -> int:
    """The highest defect number ever given, also by findings that went on since the issue."""
    defects = [defect for result in findings.results for defect in result.defects]
    numbers = [int(defect.id[1:]) for defect in (*defects, *findings.extra) if defect.id]
    numbers.append(findings.last_defect)
    try:
        working = (old / FINDINGS).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        working = ""
    found = re.findall(r"(?m)^last_defect:\s*([0-9]{1,5})\b|\bid:\s*d([0-9]{1,5})\b", working)
    numbers += [int(number) for pair in found for number in pair if number]
    return max(numbers)


def _pictures(assessed: Assessed, kept: tuple[JudgedDefect, ...]) -> tuple[dict[str, str], dict[str, Path]]:
    """New names for the pictures of the open defects, and what to copy where: a folder for each earlier report."""
    job = assessed.job
    place = re.sub(r"[^A-Za-z0-9._-]+", "-", job.findings.report.number).strip(".-")[:60] or "before"
    names = {photo.file: f"{place}/{Path(photo.file).name}" for defect in kept for photo in defect.photos}
    doubled = len(set(names.values())) < len(names)
    if doubled:
        names = {file: f"{place}/{file}" for file in names}
    return names, {f"{PHOTOS}/{name}": job.pictures[file] for file, name in names.items()}


def _write(new: Path, files: dict[str, bytes], copies: dict[str, Path]) -> None:
    """The folder appears whole: it is filled under another name first."""
    waiting = new.with_name(f".{new.name}-being-made")
    try:
        shutil.rmtree(waiting, ignore_errors=True)
        (waiting / PHOTOS).mkdir(parents=True)
        for path, source in copies.items():
            (waiting / path).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(source, waiting / path)
        write_files(waiting, files)
        if new.is_dir():
            new.rmdir()
        waiting.rename(new)
    except OSError as error:
        shutil.rmtree(waiting, ignore_errors=True)
        raise OutputError(f"cannot write into {new}: {error.strerror}; nothing was made") from error
