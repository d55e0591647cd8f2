"""What every analysis starts from: the network, its poles and states, and per basis what each conductor carries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from lugbook.assess.evidence.capacity import Allowed, Carrying, Case, allowed, carrying
from lugbook.assess.evidence.poles import Poles, poles
from lugbook.assess.evidence.states import worth
from lugbook.model.basis import Basis
from lugbook.model.defaults import Assumption
from lugbook.model.evidence import Amount, Circumstances, Input, Sentence
from lugbook.model.network import Conductor, Edge, Network, State
from lugbook.model.vocabulary import Exposure

# The datum that takes the place of each default.
DATA: dict[str, str] = {
    "insulation": "the temperature rating printed on the insulation",
    "insulation-material": "the material of the insulation",
    "ambient": "the temperature around the conductor",
    "ambient-engine": "the temperature in the engine space",
    "bundle": "how many current-carrying conductors lie together",
    "stranding": "the class of stranding, and whether the strands are tinned",
    "tinned": "whether the strands are tinned",
    "gauge-resistance": "the resistance per metre from the cable's maker",
    "enclosed": "whether the conductor is sheathed or enclosed over its whole length",
    "self-limited": "whether the source limits its own current",
    "whole-output": "what each output gives at most, by its maker",
    "efficiency": "the efficiency of the converter",
    "bond-length": "the length of the bonding conductor",
    "table": "an entry of the basis's table for this size and insulation",
}


@dataclass(frozen=True, slots=True)
class Grounds:
    """The network and what follows from it alone."""

    network: Network
    poles: Poles
    states: tuple[State, ...]
    complete: bool
    around: Circumstances


@dataclass(frozen=True, slots=True)
class Under:
    """The network under one basis."""

    grounds: Grounds
    basis: Basis
    carried: Mapping[str, Carrying]
    allowed: Mapping[str, Allowed]

    @property
    def network(self) -> Network:
        """The network."""
        return self.grounds.network


def grounds(network: Network, around: Circumstances) -> Grounds:
    """Find poles and states."""
    states, complete = worth(network)
    return Grounds(network, poles(network), states, complete, around)


def under(found: Grounds, basis: Basis) -> Under:
    """Work out what each conductor carries under a basis."""
    carried = {one.id: carrying(one, basis, found.network.system) for one in found.network.conductors}
    return Under(found, basis, carried, _allowed(found.network, basis, carried))


def _allowed(network: Network, basis: Basis, carried: Mapping[str, Carrying]) -> dict[str, Allowed]:
    """By conductor, the largest device that protects it; only conductors of one size are taken together.

    A thin one beside a thick one is left to carry it all when the other's lug is loose; that conductors in parallel
    have to be alike is common practice, and IEC 60364-4-43 (recalled) asks for it.
    """
    alike: dict[float, dict[str, Edge]] = {}
    for one in network.conductors:
        alike.setdefault(round(one.area * 1e6, 3), {})[one.id] = one
    found: dict[str, Allowed] = {}
    for edges in alike.values():
        found |= allowed(replace(network, edges=edges), basis, carried)
    return found


def exposure(one: Conductor) -> Exposure:
    """How exposed a conductor is by where it lies."""
    if one.enclosed in ("sheath", "conduit", "panel"):
        return "covered"
    return "exposed" if one.space in ("bilge", "deck") else "usual"


def wanted(names: tuple[str, ...]) -> tuple[str, ...]:
    """The data that would take the place of these defaults."""
    return tuple(dict.fromkeys(DATA.get(name, name) for name in names))


def assumed(network: Network, subjects: tuple[str, ...], names: tuple[str, ...]) -> tuple[Assumption, ...]:
    """The assumptions of these names about these elements."""
    if not names:
        return ()
    return tuple(one for one in network.assumed(*subjects) if one.default.name in names)


def entered(symbol: str, name: str, value: float, unit: str, source: str = "") -> Input:
    """A value from the file."""
    return Input(symbol, name, value, value, unit, "entered", source)


def size_inputs(one: Conductor) -> tuple[Input, ...]:
    """A conductor's area and length."""
    length = one.length
    return (
        entered("S", "area of copper", one.area, "m2", one.size),
        Input(
            "L",
            "length",
            length.low,
            length.high,
            "m",
            "entered" if length.given else "assumed",
            length.assumed,
        ),
    )


def case_inputs(one: Conductor, carried: Carrying) -> tuple[Input, ...]:
    """What a conductor's ampacity was read and computed from."""
    low, high = carried.low, carried.high
    if low is None or high is None:
        return ()
    clause = f"{low.table.clause} ({low.table.known}), row {low.size}"

    def pair(symbol: str, name: str, unit: str, a: float, b: float, given: bool, source: str = "") -> Input:
        return Input(symbol, name, min(a, b), max(a, b), unit, "entered" if given else "assumed", source)

    def table(symbol: str, name: str, unit: str, a: float, b: float, source: str) -> Input:
        return Input(symbol, name, min(a, b), max(a, b), unit, "table", source)

    printed = low.factors.clause if low.factors else "no factor outside engine spaces"
    return (
        pair("T", "temperature rating of the insulation", "degC", low.rating, high.rating, one.insulation.given),
        pair("Ta", "temperature around it", "degC", low.ambient, high.ambient, one.ambient.given),
        pair("n", "current-carrying conductors together", "count", low.together, high.together, one.bundle.given),
        table("It", "ampacity in the table", "A", low.tabulated, high.tabulated, clause),
        table("Fa", "printed factor for the ambient", "ratio", low.printed, high.printed, printed),
        Input("Fp", "physical factor for the ambient", min(low.physical, high.physical), max(low.physical, high.physical), "ratio", "computed", "sqrt((Tc - Ta) / (Tc - T0))"),
        table("Fb", "factor for bundling", "ratio", low.bundle, high.bundle, "the basis's bands"),
    )  # fmt: skip


def case_numbers(case: Case) -> Sentence:
    """The ampacity in numbers, by the factor that governs."""
    factor = case.printed if case.derated.governs == "table" else case.physical
    return (
        Amount(case.tabulated, "A"), " × ", Amount(factor, "ratio"), " × ", Amount(case.bundle, "ratio"),
        " = ", Amount(case.derated.amperes, "A"),
    )  # fmt: skip
