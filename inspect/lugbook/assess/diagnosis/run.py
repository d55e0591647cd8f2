"""Readings and installation -> what fits, what is excluded, what to measure next."""

from __future__ import annotations

import math
from collections.abc import Sequence

from lugbook.assess.diagnosis.along import along
from lugbook.assess.diagnosis.bridge import bridges
from lugbook.assess.diagnosis.hypotheses import bench_of, hypotheses, lead, pair
from lugbook.assess.diagnosis.information import proposals
from lugbook.assess.diagnosis.predict import Predictor
from lugbook.assess.diagnosis.rank import EXCLUDED, Fit, bounds, fit
from lugbook.assess.diagnosis.readings import Taken, take
from lugbook.model.diagnosis import Diagnosis, Excluded, Hypothesis, Measured, Ranked
from lugbook.model.findings import Reading
from lugbook.model.network import Network

# Pairs are weighed only where every single cause misfits by more than this [sigma], in all or in one reading; among so
# many singles.
POOR, FAR, SINGLES = 2.5, 3.5, 7
# Causes within this factor of the best are told together with it; the best has to hold this much with them.
ALIKE, STANDS_OUT = 5.0, 0.8
# What weighs less counts as left out.
TOLD = 0.01
OPENS = ("contact open", "no control feed", "no reference earth")


def poor(fits: Sequence[Fit]) -> bool:
    """Whether nothing fits: all misfit in all readings or in one."""
    return all(one.off > POOR or one.far > FAR for one in fits)


class Diagnoser:
    """An installation made ready; solved circuits are kept from one diagnosis to the next."""

    def __init__(self, network: Network) -> None:
        self.bench = bench_of(network)
        self.singles = hypotheses(self.bench)
        self.predictor = Predictor(self.bench)

    def diagnose(self, readings: Sequence[Reading], *, ahead: bool = True) -> Diagnosis | None:
        """The whole answer; None if no reading can be placed. `ahead`: also what to measure next."""
        taken = take(self.bench, readings)
        if not taken.used:
            return None
        meters = dict.fromkeys(one.instrument for one in taken.used if one.point.b and one.instrument)
        waiting = any(one.moment.phase != "late" for one in taken.used)  # else no delay can be at work
        singles = [h for h in self.singles if not h.early or waiting]
        fits = self._fits([*singles, *(lead(meter) for meter in meters)], taken.used)
        if poor(fits):
            apart, alike = self._pairs(fits)
            pairs = self._fits(apart, taken.used)
            fits += pairs if not poor(pairs) else pairs + self._fits(alike, taken.used)
        return self._answer(fits, taken, ahead=ahead)

    def _fits(self, every: Sequence[Hypothesis], used: Sequence[Measured]) -> list[Fit]:
        found = (fit(self.predictor, h, used) for h in every)
        return [one for one in found if one is not None]

    def _pairs(self, fits: list[Fit]) -> tuple[list[Hypothesis], list[Hypothesis]]:
        """Pairs of what comes nearest, of different causes; one fault does not stand twice.

        First those of which each explains the reading that the other misses most: usually they are enough.
        """
        near = sorted((f for f in fits if f.h.cause != "none"), key=lambda f: -f.log - math.log(f.h.prior))
        causes: dict[str, int] = {}
        picked: list[Fit] = []
        for one in near:  # one of each kind first: several joints in a row would crowd the others out
            if causes.get(one.h.cause, 0) < 2 and len(picked) < SINGLES:
                picked.append(one)
                causes[one.h.cause] = causes.get(one.h.cause, 0) + 1
        both = [
            (pair(a.h, b.h), a.worst == b.worst) for n, a in enumerate(picked) for b in picked[n + 1 :]
            if not {c.target for c in a.h.changes} & {c.target for c in b.h.changes} and not a.h.open & b.h.open
        ]  # fmt: skip
        return [h for h, same in both if not same], [h for h, same in both if same]

    def _charging(self, one: Measured) -> bool:
        return bool(self.predictor.state(one.moment).sources)

    def _answer(self, fits: list[Fit], taken: Taken, *, ahead: bool) -> Diagnosis:
        scores = [f.log + math.log(f.h.prior) for f in fits]
        top = max(scores)
        whole = sum(math.exp(s - top) for s in scores)
        weights = {f.h.id: math.exp(s - top) / whole for f, s in zip(fits, scores, strict=True)}
        left = sorted((f for f in fits if f.off <= EXCLUDED), key=lambda f: -weights[f.h.id])
        values = {one.id: one for one in taken.used}
        excluded = tuple(
            Excluded(
                f.h, f.off, f.worst, values[f.worst].place, f.predicted, values[f.worst].value,
                "V" if values[f.worst].point.b else "A",
            )
            for f in sorted(fits, key=lambda f: f.off) if f.off > EXCLUDED and f.worst
        )  # fmt: skip
        ranked = tuple(Ranked(f.h, weights[f.h.id], f.off, *bounds(f)) for f in left)
        together = tuple(r.hypothesis.id for r in ranked if r.weight * ALIKE >= ranked[0].weight)
        held = sum(weights[name] for name in together)
        blind = bool(taken.undecided) and not any(one.timed and self._charging(one) for one in taken.used)
        # Without a current while charging no joint can be told from what is open: none may be left.
        sections = sum(r.weight for r in ranked if r.hypothesis.section)
        return Diagnosis(
            ranked=ranked,
            excluded=excluded,
            together=together,
            undecided=taken.undecided,
            unplaced=taken.unplaced,
            decided=bool(ranked)
            and len(together) == 1
            and held >= STANDS_OUT
            and not (blind and sections >= TOLD),
            used=taken.used,
            next=proposals(self.predictor, left, [weights[f.h.id] for f in left], taken.used)
            if ahead
            else (),
            bridges=bridges(
                self.bench.network,
                taken.used,
                [r.hypothesis.place for r in ranked[:5] if r.hypothesis.cause in OPENS],
            ),
            along=along(self.bench, taken.used) if ahead else None,
            unsolved=tuple(h for _, h in sorted(self.predictor.unsolved.items())),
        )
