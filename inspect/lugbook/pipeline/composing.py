"""A checked job -> its finished view."""

from __future__ import annotations

from functools import partial

from lugbook.assess.changes import changes_of
from lugbook.assess.judge import assess
from lugbook.compose.decided import with_decisions
from lugbook.compose.report import compose
from lugbook.errors import InputRefusedError
from lugbook.memory import Memory
from lugbook.model.job import Job
from lugbook.model.view import ReportView
from lugbook.pipeline.checking import Checked
from lugbook.pipeline.judging import diagnosed, past_decisions
from lugbook.trail.events import decisions
from lugbook.words.catalogue import Words


def composed(checked: Checked, memory: Memory | None = None) -> tuple[Job, ReportView]:
    """The job and its finished view. Raises InputRefusedError if the job has errors."""
    if checked.job is None:
        raise InputRefusedError(checked.problems)
    job = checked.job
    asked = (repr(job.findings.installation), repr(job.findings.readings))
    found = (memory or Memory()).same("diagnosis", asked, partial(diagnosed, job))
    assessed = assess(job)
    return job, compose(assessed, Words(job.language), checked.facts, changes_of(assessed), found)


def decided(checked: Checked, memory: Memory | None = None) -> tuple[Job, ReportView]:
    """The job and its finished view, with every decision up to now."""
    job, view = composed(checked, memory)
    return job, with_decisions(view, {**past_decisions(job), **decisions(job.folder)}, Words(job.language))
