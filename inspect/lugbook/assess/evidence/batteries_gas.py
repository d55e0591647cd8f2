"""The openings that a closed battery space needs, so that the hydrogen of charging finds its way out."""

from __future__ import annotations

from collections.abc import Iterator

from lugbook.assess.evidence.base import entered
from lugbook.assess.evidence.batteries_base import made, tested
from lugbook.assess.evidence.limits import practice
from lugbook.calc.charging import GAS_CURRENT, vent_area, ventilation
from lugbook.model.evidence import Amount, Evidence, Input
from lugbook.model.network import Battery, Network

HOUR = 3600.0
CLAUSE = "IEC 62485-2, natural ventilation of a battery space while charging above float"
SEALED = ("agm", "gel")


def gas(network: Network) -> Iterator[Evidence]:
    """Every lead-acid bank in a closed space, if anything aboard charges."""
    if not network.sources and not network.converters:
        return
    for bank in sorted({one.bank for one in network.batteries}):
        blocks = [one for one in network.batteries if one.bank == bank]
        if blocks[0].enclosed and blocks[0].chemistry in ("flooded", *SEALED, "not known"):
            yield _bank(network, bank, blocks)


def _bank(network: Network, bank: str, blocks: list[Battery]) -> Evidence:
    battery, first = tested(network, bank), blocks[0]
    kinds = {"flooded": ("vented",), "not known": ("valve-regulated", "vented")}
    currents = [GAS_CURRENT[kind, "boost"] for kind in kinds.get(first.chemistry, ("valve-regulated",))]
    strings = len({one.string for one in blocks})
    vent = first.vent
    if first.capacity is None:
        return made(
            battery, None, rule="ventilation", item="battery-ventilation", low=0, high=vent or 0, unit="m2", limit=None, inputs=(),
            formula="Q = 0.05 n Igas C; A = 28 Q", numbers=("not known",), wants=("the capacity of the battery",),
            says=(f"'{bank}' stands in a closed space; without its capacity the openings that it needs are not known.",),
        )  # fmt: skip
    hours = first.capacity / HOUR * strings
    flows = [
        ventilation(cells=battery.cells, gas_current=current, capacity=min(hours, 10_000))
        for current in currents
    ]
    needs = [vent_area(flow=flow) for flow in flows]
    limit = practice(max(needs), "m2", CLAUSE, "at least", "second-hand")
    inputs = (
        entered("n", "cells in series", battery.cells, "count"),
        entered("C", "capacity", hours, "Ah"),
        Input("Igas", f"current that makes gas, {first.chemistry}", min(currents), max(currents), "A/Ah", "table", "IEC 62485-2, boost charge, second-hand"),
    )  # fmt: skip
    wanted = (Amount(min(needs), "m2"), " to ", Amount(max(needs), "m2")) if len(needs) > 1 else (Amount(max(needs), "m2"),)  # fmt: skip
    decided = vent is not None and (vent >= max(needs) or vent < min(needs))
    return made(
        battery, None, rule="ventilation", item="battery-ventilation", low=vent or 0, high=vent or max(needs), unit="m2", limit=limit,
        formula="Q = 0.05 n Igas C; A = 28 Q", verdict=None if decided else "cannot be decided", inputs=inputs,
        numbers=("Q = ", Amount(max(flows) * HOUR, "m3/h"), "; A = ", *wanted),
        wants=("the free area of the openings, under 'vent'",) if vent is None else ("the chemistry of the battery",),
        says=(f"The closed space of '{bank}' needs two openings of ", *wanted, " each", *((", and has ", Amount(vent, "m2")) if vent is not None else ()), "."),
        notes=(("Other batteries in the same space add to it. A charger that has lost its limit makes far more gas.",),),
    )  # fmt: skip
