"""A copy for third parties does not tell who was entitled to measure."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from small_jobs import checklist, item

from lugbook.compose.redact import scrubber, withheld_findings
from lugbook.load.job import load_job
from lugbook.words.catalogue import load_words

TEXT = """shore:
  - mode: shore
    qualified: Registration 44-1201
    readings:
      - {id: pole, test: polarity, place: Galley, correct: yes, note: seen by Registration 44-1201}
"""


def test_what_entitles_is_withheld(job_folder: Callable[[str, str], Path]) -> None:
    job, problems = load_job(job_folder(TEXT, checklist(item("shore-polarity"))))
    assert job is not None, problems
    assert [one.qualified for one in withheld_findings(job.findings, {}, load_words()).shore] == ["withheld"]
    assert "44-1201" not in scrubber(job.findings, job.business, (), ()).text(TEXT)
