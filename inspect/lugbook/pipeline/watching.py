"""The report that is shown while it is written."""

from __future__ import annotations

from pathlib import Path

from lugbook.memory import Memory
from lugbook.model.problem import Problem
from lugbook.pipeline.checking import check_job
from lugbook.pipeline.composing import decided
from lugbook.pipeline.preparing import pictures
from lugbook.pipeline.reporting import in_their_language
from lugbook.pipeline.studio import Studio
from lugbook.progress import Progress
from lugbook.render.live import live_frame
from lugbook.render.page import screen_page
from lugbook.words.catalogue import Words, load_words


def watch_frame(title: str) -> tuple[str, str]:
    """The frame for a report that is being written, and its content security policy."""
    return live_frame(title, load_words())


def live_page(folder: Path, memory: Memory) -> tuple[str | None, tuple[Problem, ...]]:
    """The report as HTML, None if the job has errors, and what is to be said of it. Pictures come from `memory`."""
    quiet = Progress(quiet=True)
    checked = check_job(folder, quiet, memory=memory)
    if checked.job is None:
        return None, checked.problems
    job, view = decided(checked, memory)
    resources = dict(pictures(job, view, quiet, Studio(), memory))
    return in_their_language(screen_page(view, Words(job.language), resources), job), checked.problems
