"""Batteries under load: internal resistance from a two-step test, and how the batteries of a bank share a load."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import inf

from lugbook.assess.evidence.batteries_base import (
    CLAMP,
    COMMON_CLAMP,
    METER,
    Tested,
    error,
    made,
    of,
    read,
    tested,
    volt_error,
    volts,
)
from lugbook.assess.evidence.capacity import at_20
from lugbook.assess.evidence.fault_sources import CHARGED, END_VOLTS
from lugbook.assess.evidence.limits import practice
from lugbook.calc.bank import bank_shares, one_end_shares
from lugbook.calc.battery import StepTest, step_test
from lugbook.calc.fault import cranking_resistance
from lugbook.model.evidence import Amount, Bound, Evidence, Input
from lugbook.model.findings import Reading
from lugbook.model.network import Battery, Conductor, Join, Network

# How far a battery's share of the load may exceed its equal share (common practice, no source).
UNEVEN = 1.25
SHARE = "each battery of a bank within a quarter of its equal share; common practice, no source"
# Resistances are taken no smaller and no larger than this [ohm].
LEAST, MOST = 1e-6, 10.0


def load(network: Network, readings: Sequence[Reading]) -> Iterator[Evidence]:
    """Resistances of all batteries tested in two steps; shares of those side by side."""
    results: dict[str, StepTest] = {}
    for name, found in of(readings, "loaded").items():
        battery = tested(network, name)
        steps = sorted((one for one in found if one.current is not None), key=_amperes)
        if len(steps) < 2 or _amperes(steps[0]) == _amperes(steps[-1]):
            yield _undone(
                battery, found, "a second load: volts and amperes at a small and at a large current"
            )
        elif steps[-1].value.value > steps[0].value.value:
            yield _undone(battery, found, "the test again: the voltage rose with the load")
        else:
            results[name] = _two_steps(steps[0], steps[-1])
            yield _resistance(battery, steps[0], steps[-1], results[name])
    for bank in sorted({one.bank for one in network.batteries}):
        yield from _shares(network, [one for one in network.batteries if one.bank == bank], results)


def _amperes(one: Reading) -> float:
    return abs(one.current.value) if one.current is not None else 0.0


def _undone(battery: Tested, found: list[Reading], wants: str) -> Evidence:
    return made(
        battery, found[0].state, rule="internal resistance", item="battery-load-test", low=0, high=inf, unit="ohm", limit=None,
        formula="(U1 - U2) / (I2 - I1)", numbers=(read(found[0].value.value),), inputs=tuple(volts(one) for one in found), wants=(wants,),
        says=(f"The internal resistance of '{battery.name}' cannot be worked out from these readings.",),
    )  # fmt: skip


def _two_steps(first: Reading, second: Reading) -> StepTest:
    """One meter on one range errs alike in both steps: its digits count, and its per cent of the fall alone."""
    fall = first.value.value - second.value.value
    if first.instrument is not None and first.instrument == second.instrument and first.within is None:
        e = error(first.value, 0, METER[1]) + fall * METER[0] / 200
    else:
        e = max(volt_error(first), volt_error(second))
    assert second.current is not None
    return step_test(
        first_voltage=first.value.value, first_current=_amperes(first), second_voltage=second.value.value,
        second_current=_amperes(second), voltage_error=min(e, 10.0), current_error=min(error(second.current, *CLAMP), 1000.0),
    )  # fmt: skip


def _resistance(battery: Tested, first: Reading, second: Reading, test: StepTest) -> Evidence:
    cold = _cold(battery)
    limit: Bound | None = None
    if cold is not None:
        limit = practice(cold, "ohm", "a warm battery's resistance lies below its cold one, from the cold-cranking figure (SAE J537, EN 50342-1); common practice, no source")  # fmt: skip
    inputs = [volts(first, "U1"), volts(second, "U2")]
    for symbol, one in (("I1", first), ("I2", second)):
        assert one.current is not None
        e = error(one.current, *CLAMP)
        inputs.append(
            Input(symbol, "current", _amperes(one) - e, _amperes(one) + e, "A", "entered", COMMON_CLAMP)
        )
    highest = test.highest if test.highest is not None else inf
    to = (Amount(test.lowest, "ohm"), " to ", Amount(highest, "ohm")) if highest < inf else ("at least ", Amount(test.lowest, "ohm"))  # fmt: skip
    return made(
        battery, first.state, rule="internal resistance", item="battery-load-test", low=test.lowest, high=highest, unit="ohm", limit=limit,
        formula="(U1 - U2) / (I2 - I1)", inputs=tuple(inputs),
        numbers=("(", read(first.value.value), " - ", read(second.value.value), ") / (", Amount(_amperes(second), "A"), " - ", Amount(_amperes(first), "A"), ") = ", Amount(test.resistance, "ohm")),
        says=(f"The internal resistance of '{battery.name}' is ", Amount(test.resistance, "ohm"), " (", *to, ")."),
        wants=("the maker's internal resistance, or the cold-cranking figure with its standard",) if cold is None else ("a larger step, or a finer meter",), reading=second.id,
    )  # fmt: skip


def _cold(battery: Tested) -> float | None:
    """The cold resistance that the cold-cranking figure allows; the largest where its standard is not known."""
    blocks = battery.blocks
    if (
        len({one.cca for one in blocks}) != 1
        or blocks[0].cca is None
        or battery.chemistry in (None, "lifepo4")
    ):
        return None
    one = blocks[0]
    assert one.cca is not None
    end = END_VOLTS.get(one.cca_standard, min(END_VOLTS.values()))
    scale = one.volts / 12
    block = cranking_resistance(emf=CHARGED * scale, end_voltage=end * scale, current=one.cca, warm_factor=1)
    strings = len({each.string for each in blocks})
    return block.cold * (len(blocks) / strings) / strings


def _shares(network: Network, blocks: list[Battery], results: Mapping[str, StepTest]) -> Iterator[Evidence]:
    """Blocks side by side: by their measured resistances, or equal ones with the take-off at one end."""
    if len(blocks) < 2 or len({one.string for one in blocks}) != len(blocks):
        return
    if all(one.id in results for one in blocks):
        yield _by_resistance(network, blocks, [results[one.id] for one in blocks])
    elif all(one.resistance is not None for one in blocks):
        links = _one_end(network, blocks[0].bank, len(blocks))
        if links is not None:
            yield _by_place(network, blocks, links)


def _by_resistance(network: Network, blocks: list[Battery], tests: list[StepTest]) -> Evidence:
    count = len(blocks)

    def share(which: int, mine: list[float]) -> float:
        made = bank_shares(
            emfs=[12.0] * count, resistances=[min(max(one, LEAST), MOST) for one in mine], current=count
        )
        return made[which]

    shares = [share(n, [one.resistance for one in tests]) for n in range(count)]
    most = shares.index(max(shares))
    highs = [one.highest if one.highest is not None else MOST for one in tests]
    low = share(most, [highs[n] if n == most else one.lowest for n, one in enumerate(tests)])
    high = share(most, [one.lowest if n == most else highs[n] for n, one in enumerate(tests)])
    inputs = tuple(
        Input(
            f"R{n + 1}",
            "internal resistance",
            one.lowest,
            highs[n],
            "ohm",
            "computed",
            f"two-step test of '{block.id}'",
        )
        for n, (block, one) in enumerate(zip(blocks, tests, strict=True))
    )
    return _uneven(network, blocks[most], count, low, high, shares[most], inputs, "1 / R over the mean of 1 / R", "links between them left out")  # fmt: skip


def _by_place(network: Network, blocks: list[Battery], links: tuple[float, float]) -> Evidence:
    resistance, count = min(max(blocks[0].resistance or LEAST, LEAST), MOST), len(blocks)
    low, high = (
        one_end_shares(
            batteries=count, battery_resistance=resistance, link_resistance=min(link, MOST), current=count
        )[0]
        for link in links
    )
    inputs = (
        Input("R", "internal resistance of each", resistance, resistance, "ohm", "entered"),
        Input("r", "links between neighbours, both poles together", *links, "ohm", "computed", "at 20 degC"),
    )
    return _uneven(network, blocks[0], count, low, high, (low + high) / 2, inputs, "ladder of R and r from the far end", "batteries taken as alike")  # fmt: skip


def _uneven(
    network: Network, block: Battery, count: int, low: float, high: float, share: float, inputs: tuple[Input, ...],
    formula: str, note: str,
) -> Evidence:  # fmt: skip
    limit = practice(UNEVEN, "ratio", SHARE)
    return made(
        tested(network, block.id), None, rule="share of the load", item="battery-load-test", low=low, high=high, unit="ratio", limit=limit,
        formula=formula, numbers=(Amount(share, "ratio"), " of an equal share"), inputs=inputs, notes=((f"{note.capitalize()}.",),),
        says=(f"'{block.id}' carries ", Amount(share, "ratio"), " times its equal share of what the ", Amount(count, "count"), " batteries of '" + block.bank + "' deliver."),
        wants=("a larger step in the test of each battery, or a finer meter",),
    )  # fmt: skip


def _one_end(network: Network, bank: str, count: int) -> tuple[float, float] | None:
    """Resistance of the links between neighbours where both cables leave the bank at one end; None elsewhere."""
    ends = [network.aliases.get(f"{bank}.{side}") for side in ("pos", "neg")]
    if ends != [f"{bank}.pos-1", f"{bank}.neg-1"]:
        return None
    sums = []
    for k in range(1, count):
        pair = [_ohms(network, f"{bank}.link-{side}-{k}") for side in ("pos", "neg")]
        sums.append((sum(one[0] for one in pair), sum(one[1] for one in pair)))
    return min(low for low, _ in sums), max(high for _, high in sums)


def _ohms(network: Network, name: str) -> tuple[float, float]:
    edge = network.edges.get(name)
    if isinstance(edge, Conductor):
        pair = at_20(edge)
        return pair.low, pair.high
    return (edge.resistance.low, edge.resistance.high) if isinstance(edge, Join) else (0.0, 0.0)
