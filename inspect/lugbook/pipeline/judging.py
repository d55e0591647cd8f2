"""A checked job -> a judged one, what its readings say, and what changed between two."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from lugbook.assess.changes import compare, decided_before
from lugbook.assess.judge import assess
from lugbook.errors import InputRefusedError
from lugbook.load.contradictions import contradicted, report_contradictions
from lugbook.load.files import read_document
from lugbook.load.job import FINDINGS, load_job
from lugbook.model.assessed import Assessed
from lugbook.model.changes import Changes
from lugbook.model.decided import Decided
from lugbook.model.job import Job, PictureFacts
from lugbook.model.problem import Problem
from lugbook.pipeline.checking import Checked, check_job, refused
from lugbook.progress import Progress

if TYPE_CHECKING:
    from lugbook.model.diagnosis import Diagnosis


def weighed(checked: Checked, folder: Path) -> tuple[Assessed | None, tuple[Problem, ...]]:
    """A checked job, judged, and all its problems: those that only the judgement shows are among them."""
    if checked.job is None:
        return None, checked.problems
    assessed = assess(checked.job)
    found = contradicted(assessed)
    if not found:
        return assessed, checked.problems
    document = read_document(folder / FINDINGS, FINDINGS)
    report_contradictions(found, assessed, document)
    return assessed, tuple(sorted({*checked.problems, *document.problems}, key=lambda one: one.place))


def judged(folder: Path, progress: Progress) -> Assessed:
    """A job, loaded and judged. Raises InputRefusedError if it has errors."""
    return judged_with_facts(folder, progress)[0]


def judged_unseen(folder: Path) -> Assessed:
    """The same without looking into its pictures."""
    job, problems = load_job(folder)
    if job is None:
        raise InputRefusedError(problems)
    return assess(job)


def judged_with_facts(folder: Path, progress: Progress) -> tuple[Assessed, dict[str, PictureFacts]]:
    """The same, with the facts of its pictures."""
    checked = check_job(folder, progress)
    if checked.job is None:
        raise refused(folder, checked.problems)
    return assess(checked.job), checked.facts


def changes_between(old: Assessed, new: Assessed) -> Changes:
    """What changed from one judged job to another."""
    return compare(old, new)


def past_decisions(job: Job) -> dict[str, Decided]:
    """Defect id -> what was decided about it after an earlier visit, as the findings carry it."""
    return decided_before(job.findings)


def diagnosed(job: Job) -> Diagnosis | None:
    """What the readings say of the charging path; None if none of them names its place in the installation."""
    meant = [one for one in job.findings.readings if one.state_id or one.at or one.in_]
    placed = [one for one in meant if one.state_id and (one.at or one.in_)]
    if job.network is None or not placed:
        return None
    from lugbook.assess.diagnosis.narrow import narrowed
    from lugbook.assess.diagnosis.run import Diagnoser  # long to import

    return Diagnoser(narrowed(job.network, placed)).diagnose(meant)
