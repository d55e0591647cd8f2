"""What the readings of a job say of its charging path."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lugbook.compose.common import Phrases
from lugbook.compose.diagnosis import compose_diagnosis, diagnosis_data, diagnosis_lines
from lugbook.compose.diagnosis_names import Spots
from lugbook.errors import UsageError
from lugbook.pipeline.checking import loaded
from lugbook.pipeline.judging import diagnosed
from lugbook.words.catalogue import Words


@dataclass(frozen=True, slots=True)
class Diagnosed:
    """What the readings of a job say, for a terminal and for programs."""

    lines: tuple[str, ...]
    data: dict[str, Any]


def diagnose_job(folder: Path, language: str | None = None) -> Diagnosed:
    """Weigh the causes of a fault on the charging path. Raises InputRefusedError or UsageError."""
    job = loaded(folder, language)
    words = Words(job.language)
    if job.network is None:
        raise UsageError(words("diagnosis.no_installation"))
    found = diagnosed(job)
    if found is None:
        raise UsageError(words("diagnosis.no_readings"))
    spots = Spots(job.network, job.findings, Phrases(words))
    view = compose_diagnosis(found, words, spots)
    return Diagnosed(diagnosis_lines(view, words), diagnosis_data(found, view, words, spots))
