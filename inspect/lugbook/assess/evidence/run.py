"""All analyses, under every basis, side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from lugbook.assess.evidence.ampacity import ampacity
from lugbook.assess.evidence.base import grounds, under
from lugbook.assess.evidence.batteries import batteries
from lugbook.assess.evidence.coordination import coordination
from lugbook.assess.evidence.coverage import coverage
from lugbook.assess.evidence.design import Design, design
from lugbook.assess.evidence.earthed import earthed
from lugbook.assess.evidence.fault_evidence import fault_evidence
from lugbook.assess.evidence.shore import shore_power
from lugbook.assess.evidence.smallest import smallest
from lugbook.assess.evidence.terminations import terminations
from lugbook.assess.evidence.voltage_drop import voltage_drop
from lugbook.model.basis import Basis
from lugbook.model.defaults import Assumption
from lugbook.model.evidence import Circumstances, Evidence, Sentence
from lugbook.model.findings import Reading
from lugbook.model.network import Network
from lugbook.model.shore import ShoreVisit

INCOMPLETE: Sentence = ("Not every combination of switch positions was worked through.",)
# The rules that hold a design current against something.
CURRENTS = ("design current", "continuous load", "service", "voltage drop")
ORDER = {
    "coverage": 0,
    "coordination": 1,
    "ampacity": 2,
    "voltage drop": 3,
    "terminations": 4,
    "fault current": 5,
    "breaking capacity": 6,
    "fault heating": 7,
    "batteries": 8,
    "shore power": 9,
}


def evidence(
    network: Network | None,
    bases: Sequence[Basis],
    around: Circumstances,
    readings: Sequence[Reading] = (),
    shore: Sequence[ShoreVisit] = (),
    *,
    shorts: bool = True,
) -> tuple[Evidence, ...]:
    """Every piece of evidence, in an order that does not hang on the order of the file.

    Network, bases and circumstances come from the pipeline: the boat's year of build, the day of the visit, and which
    bases bind it (`limits.applies`). `shorts` False leaves out what hangs on the currents of shorts. Readings of the mains side are judged without an installation too.
    """
    every = [*shore_power(shore)]
    if network is not None:
        every += _of_installation(network, bases, around, shorts=shorts)
        every += batteries(network, readings)
    return tuple(
        sorted(_once(every), key=lambda one: (ORDER[one.analysis], one.subject, one.rule, one.basis))
    )


def _of_installation(
    network: Network, bases: Sequence[Basis], around: Circumstances, *, shorts: bool
) -> Sequence[Evidence]:
    found = grounds(network, around)
    flows = design(found)
    every: list[Evidence] = []
    covered_all: list[Evidence] = []
    for basis in bases:
        here = under(found, basis)
        covered = coverage(here)
        covered_all += covered
        every += covered
        every += earthed(here)
        every += coordination(here, flows, covered)
        every += ampacity(here, flows)
        every += smallest(here)
        every += voltage_drop(here, flows)
        every += terminations(here)
    every += fault_evidence(found, bases, covered_all) if shorts else ()
    every = [_resting(one, flows) for one in every]
    return every if found.complete else [_noted(one) for one in every]


def _resting(one: Evidence, flows: Design) -> Evidence:
    """Evidence of a current with what was assumed about the loads and converters that draw it."""
    rests: tuple[Assumption, ...] = ()
    if one.rule in CURRENTS:
        rests += tuple(flows.rests.get(one.at, {}).values())
    if one.rule in ("design current", "service") or one.rule.startswith("charging output"):
        rests += flows.shared.get(one.at, ())
    return replace(one, assumptions=(*one.assumptions, *rests)) if rests else one


def _noted(one: Evidence) -> Evidence:
    """Evidence that hangs on the states, where some were left out."""
    return one if one.analysis == "terminations" else replace(one, notes=(*one.notes, INCOMPLETE))


def _once(every: list[Evidence]) -> list[Evidence]:
    """What no basis speaks of is said once, under none."""
    kept: dict[tuple[str, str, str, str], Evidence] = {}
    for one in every:
        bare = replace(one, basis="") if one.limit is not None and not one.limit.basis else one
        kept.setdefault(bare.identity, bare)
    return list(kept.values())
