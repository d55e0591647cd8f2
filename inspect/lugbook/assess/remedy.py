"""A remedy assessed: the same analyses on the installation as it would be, before and after side by side.

What somebody accepted makes the installation 'after', the parts list and the estimate. What nobody accepted is judged
by itself, so that its figures can be printed as those of a suggestion.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from lugbook.assess.computed import bare_lengths, circumstances
from lugbook.assess.evidence.poles import poles
from lugbook.assess.evidence.run import evidence
from lugbook.assess.parts.estimate import estimate, waste_of
from lugbook.assess.parts.listing import parts_list
from lugbook.assess.remedy_figures import figures
from lugbook.model.assessed import JudgedDefect
from lugbook.model.evidence import Evidence, Verdict
from lugbook.model.job import Job, Proposed
from lugbook.model.parts import Wanting
from lugbook.model.remedied import Compared, JudgedProposal, Remedied
from lugbook.model.remedy import Proposal

RANK: dict[Verdict | None, int] = {"departure": 3, "cannot be decided": 2, "within": 1, None: 0}


def remedied(job: Job, defects: Sequence[JudgedDefect], before: Sequence[Evidence]) -> Remedied:
    """The remedy of a job that proposes something."""
    after = _evidence(job, job.accepted)
    both = after if job.suggested is job.accepted else _evidence(job, job.suggested)
    by_id = {one.id: one for one in defects}
    proposals = tuple(
        _judged(job, one, by_id, after if one.accepted else both) for one in job.findings.remedy
    )
    accepted = tuple(one.proposal for one in proposals if one.proposal.accepted)
    network = job.accepted.network if job.accepted else None
    back = poles(network).back if network is not None else frozenset[str]()
    parts = costs = None
    if accepted:
        parts = parts_list(job.network, network, job.accepted.written if job.accepted else None, back, accepted, _withheld(proposals), waste_of(job.rates))  # fmt: skip
        costs = estimate(accepted, parts, job.rates)
    compared = _side_by_side(before, after) if network is not None else ()
    return Remedied(
        proposals=proposals,
        evidence=tuple(after),
        back=back,
        bare=bare_lengths(after),
        compared=compared,
        counts=(_counts(before), _counts(after)) if network is not None else None,
        parts=parts,
        estimate=costs,
    )


def _evidence(job: Job, proposed: Proposed | None) -> tuple[Evidence, ...]:
    """What the analyses say of it. The readings of today belong to the installation of today."""
    if proposed is None:
        return ()
    return evidence(proposed.network, job.bases, circumstances(job))


def _judged(
    job: Job, one: Proposal, defects: dict[str, JudgedDefect], found: Sequence[Evidence]
) -> JudgedProposal:
    proposed = job.accepted if one.accepted else job.suggested
    there = figures(job.network, proposed.network, one, found) if job.network and proposed else ()
    return JudgedProposal(
        proposal=one,
        answers=tuple(defects[key] for key in one.answers if key in defects),
        unknown=tuple(key for key in one.answers if key not in defects),
        figures=there,
    )


def _withheld(proposals: Iterable[JudgedProposal]) -> Iterable[Wanting]:
    """The devices that are not bought before what they lack is known."""
    for judged in proposals:
        if judged.proposal.accepted:
            for one in judged.figures:
                for lack in one.lacks:
                    yield Wanting(one.device.id, lack)


def _side_by_side(before: Sequence[Evidence], after: Sequence[Evidence]) -> tuple[Compared, ...]:
    """A row for each subject and analysis that departs on either side, or whose verdict changes."""
    old, new = _worst(before), _worst(after)
    rows = []
    for key in sorted({*old, *new}, key=lambda pair: (pair[1], pair[0])):
        was, is_ = old.get(key), new.get(key)
        verdicts = (was.verdict if was else None, is_.verdict if is_ else None)
        worst = max(RANK[verdict] for verdict in verdicts)
        if worst == RANK["departure"] or (worst > RANK["within"] and verdicts[0] != verdicts[1]):
            analysis = (is_ or was or after[0]).analysis
            said = _same_rule(after, was, is_)
            rows.append(Compared(analysis, key[1], verdicts[0], verdicts[1], was, said))
    return tuple(sorted(rows, key=lambda row: (-_gain(row), row.subject, row.analysis)))


def _same_rule(after: Sequence[Evidence], was: Evidence | None, is_: Evidence | None) -> Evidence | None:
    """What answers the rule that was departed from, if its verdict is the one that is printed; else the worst."""
    if was is None or is_ is None:
        return is_
    same = (one for one in after if one.identity == was.identity and one.verdict == is_.verdict)
    return next(same, is_)


def _gain(row: Compared) -> int:
    """What became better first, then what stays, then what became worse."""
    return RANK[row.before] - RANK[row.after]


def _worst(found: Iterable[Evidence]) -> dict[tuple[str, str], Evidence]:
    worst: dict[tuple[str, str], Evidence] = {}
    for one in found:
        if one.analysis in ("batteries", "shore power"):  # readings, and nothing that a drawing changes
            continue
        key = (one.analysis, one.subject)
        if key not in worst or RANK[one.verdict] > RANK[worst[key].verdict]:
            worst[key] = one
    return worst


def _counts(found: Sequence[Evidence]) -> tuple[int, int]:
    worst = _worst(found).values()
    return (
        sum(one.verdict == "departure" for one in worst),
        sum(one.verdict == "cannot be decided" for one in worst),
    )
