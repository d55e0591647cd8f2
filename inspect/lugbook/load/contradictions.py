"""Answers that say the contrary of what was computed; known only once the job is judged."""

from __future__ import annotations

from lugbook.load.tree import Document
from lugbook.model.assessed import Assessed, JudgedDefect

DENIED = frozenset({"no departure seen", "not applicable"})


def contradicted(assessed: Assessed) -> dict[str, tuple[JudgedDefect, ...]]:
    """Item -> the computed defects of it that nobody saw, where its answer says that there is none.

    What the inspector disagrees with in words is no defect of the job, and so no contradiction.
    """
    found = {}
    for _, answers in assessed.groups:
        for answer in answers:
            alone = tuple(defect for defect in answer.defects if defect.seen is None)
            if answer.result in DENIED and alone:
                found[answer.item.id] = alone
    return found


def report_contradictions(
    found: dict[str, tuple[JudgedDefect, ...]], assessed: Assessed, document: Document
) -> None:
    """A warning at each such answer of the findings in `document`."""
    for i, result in enumerate(assessed.job.findings.results):
        computed = found.get(result.item, ())
        if computed:
            places = ", ".join(f"'{defect.at}' ({defect.risk.level})" for defect in computed)
            message = f"the answer is '{result.result}', but a departure is computed at {places}"
            document.report(
                ("results", i, "result"),
                "P404",
                message,
                f"look again: if it is there, write 'result: defect' and a defect with 'at: {computed[0].at}'; if not, "
                f"correct the installation, or add to 'disagree': {{item: {result.item}, at: {computed[0].at}, reason: ...}}",
                severity="warning",
            )
