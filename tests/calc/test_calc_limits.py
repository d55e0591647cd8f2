"""Every limit that a docstring states is enforced, from both sides, with a message that names it.

The limits are read from the docstrings themselves, so a stated limit cannot lack its test; that nothing is enforced
without being stated is checked from the source elsewhere.
"""

import importlib
import re
from collections.abc import Callable
from math import inf, nan, nextafter
from typing import Any

import pytest
from calc_docs import Contract, Range, contracts

from lugbook.calc import heating

# A call of each function that is in order, as the place to start from.
IN_ORDER: dict[str, dict[str, Any]] = {
    "ampacity.bundle_factor": {"conductors": 5, "bands": {3: 0.7, 4: 0.6}},
    "ampacity.column_for": {"ratings": [60, 75, 105], "rating": 75},
    "ampacity.conductor_temperature": {"ambient": 30, "rating": 90, "current": 50, "ampacity": 80},
    "ampacity.conductor_temperature_faa": {"ambient": 30, "rating": 90, "current": 50, "ampacity": 80},
    "ampacity.derate": {"tabulated": 70, "ambient_by_table": 0.8, "ambient_by_physics": 0.7, "bundle": 0.6},
    "ampacity.physical_factor": {"rating": 90, "ambient": 50, "reference": 30},
    "ampacity.row_for": {"areas": [4e-6, 6e-6], "area": 5e-6},
    "bank.bank_shares": {"emfs": [12.7, 12.6], "resistances": [0.005, 0.006], "current": 20},
    "bank.equalising_current": {"higher": 12.7, "lower": 12.1, "resistance": 0.01},
    "bank.one_end_shares": {"batteries": 3, "battery_resistance": 0.006, "link_resistance": 0.002, "current": 60},
    "bank.series_balance": {"voltages": [12.7, 12.6], "tolerance": 0.3},
    "battery.charge_band": {"chemistry": "flooded", "voltage": 12.4, "cells": 6, "temperature": 20, "rest": 4e4, "rest_required": 3e4, "error": 0.05},
    "battery.step_test": {"first_voltage": 12.6, "first_current": 5, "second_voltage": 12.2, "second_current": 55, "voltage_error": 0.02, "current_error": 2},
    "charging.charging_window": {"chemistry": "gel", "stage": "float", "cells": 6, "temperature": 20, "compensation": -0.004},
    "charging.vent_area": {"flow": 0.001},
    "charging.ventilation": {"cells": 6, "gas_current": 0.02, "capacity": 200},
    "conductor.at_temperature": {"resistance": 0.02, "temperature": 60},
    "conductor.awg_area": {"gauge": "6"},
    "conductor.awg_diameter": {"gauge": "6"},
    "conductor.from_area": {"area": 10e-6, "length": 8, "temperature": 60},
    "conductor.loop_resistance": {"out_per_metre": 2e-3, "out_length": 3, "back_per_metre": 3e-3, "back_length": 4},
    "conductor.standard_correction": {"temperature": 60},
    "conductor.standard_resistance": {"area": 10e-6, "stranding": "class 5", "finish": "tinned"},
    "conductor.temperature_factor": {"temperature": 60},
    "fault.bank_resistance": {"block": 0.005, "series": 2, "strings": 3},
    "fault.battery_short": {"nominal_voltage": 12, "battery_resistance": 0.005, "path_resistance": 0.002},
    "fault.cranking_resistance": {"emf": 12.6, "end_voltage": 7.2, "current": 500, "warm_factor": 0.4},
    "fault.equivalent_source": {"emfs": [12.7, 12.6], "resistances": [0.005, 0.006]},
    "fault.minimum_current": {"emf": 48, "source_resistance": 0.02, "path_resistance": 0.05, "arc_voltage": 20},
    "fault.prospective_current": {"emf": 12.6, "source_resistance": 0.004, "path_resistance": 0.002},
    "fault.resistance_from_maker": {"emf": 12.6, "short_circuit": 2500},
    "fault.two_point": {"first_voltage": 12.4, "first_current": 40, "second_voltage": 11.6, "second_current": 200},
    "heating.clearing_time": {"current": 100, "rating": 30, "gates": {2: 5, 3.5: None}},
    "heating.final_temperature": {"initial": 70, "joule_integral": 1e6, "area": 10e-6, "metal": "copper"},
    "heating.k_factor": {"initial": 70, "final": 160, "metal": "copper"},
    "heating.let_through": {"current": 300, "clearing": 0.5, "published": 40.0},
    "heating.momentary_temperature": {"material": "pvc", "area": 35e-6},
    "heating.smallest_area": {"joule_integral": 5e5, "k": 115e6},
    "heating.time_to_limit": {"current": 2000, "k": 115e6, "area": 10e-6},
    "heating.withstand": {"k": 115e6, "area": 10e-6},
    "loads.continuous_limit": {"rating": 50, "fraction": 0.8},
    "loads.inverter_current": {"power": 2000, "efficiency": 0.85, "voltage": 10.5},
    "loads.permitted_by_factor": {"rating": 50, "ampacity": 35, "factor": 1.5},
    "loads.permitted_next_size": {"rating": 50, "ampacity": 35, "factor": 1.5, "series": [30, 40, 50]},
    "loads.rating_for_continuous": {"current": 40, "fraction": 0.8},
    "loads.stall_current": {"voltage": 12, "winding_resistance": 0.4, "path_resistance": 0.05},
    "loads.stall_from_rated": {"current": 4, "factor": 5},
    "loads.standard_at_least": {"current": 41, "series": [30, 40, 50]},
    "loads.standard_at_most": {"limit": 41, "series": [30, 40, 50]},
    "parallel.permitted_current": {"resistances": [0.006, 0.003], "ampacities": [70, 100]},
    "parallel.resistance": {"resistances": [0.006, 0.003]},
    "parallel.shares": {"resistances": [0.006, 0.003], "current": 90},
    "parallel.worst": {"resistances": [0.006, 0.003], "ampacities": [70, 100], "current": 90},
    "termination.barrel_diameter": {"area": 10e-6},
    "termination.barrel_fit": {"conductor": 13e-6, "barrel": 16e-6, "least": 0.9, "most": 1.05},
    "termination.clearance_hole": {"stud": "M8", "series": "fine"},
    "termination.contact_lost": {"face": 16e-3, "hole": 10e-3, "matched_hole": 8.4e-3},
    "termination.hole_fit": {"hole": 8.4e-3, "stud": "M8"},
    "termination.lugs_too_many": {"lugs": 3, "most": 4},
    "termination.stud_diameter": {"stud": "M8"},
    "termination.torque_verdict": {"torque": 5, "low": 4, "high": 6},
    "uncertainty.against_limit": {"value": 0.3, "uncertainty": 0.02, "coverage": 2, "limit": 0.36},
    "uncertainty.combine": {"uncertainties": [0.03, 0.04]},
    "uncertainty.instrument_limit": {"reading": 12.6, "percent": 0.5, "digits": 3, "resolution": 0.01},
    "uncertainty.of_quotient": {"numerator": 0.4, "numerator_u": 0.02, "denominator": 50, "denominator_u": 2},
    "uncertainty.standard_uncertainty": {"limit": 0.09},
    "voltage_drop.drop": {"current": 20, "resistance": 0.05, "temperature": 60},
    "voltage_drop.drop_by_standard": {"current": 20, "length": 12, "area": 10e-6},
    "voltage_drop.drop_percent": {"voltage_drop": 0.4, "system_voltage": 12},
    "voltage_drop.longest_run": {"permitted": 0.36, "current": 20, "resistance_per_metre": 2e-3},
    "voltage_drop.path_drop": {"currents": [5, 25], "resistances": [0.04, 0.01]},
    "voltage_drop.permitted_drop": {"system_voltage": 12, "percent": 3},
    "voltage_drop.run_at_temperature": {"run": 10, "temperature": 70},
    "voltage_drop.smallest_area": {"permitted": 0.36, "current": 20, "length": 8, "temperature": 40, "resistances": {10e-6: 1.95e-3, 16e-6: 1.24e-3}},
}  # fmt: skip

# At the very end of a range another argument may have to follow, so that only the end itself is tried.
AT_THE_END: dict[tuple[str, str, float], dict[str, Any] | None] = {
    ("ampacity.column_for", "rating", 40): {"ratings": [40, 75]},
    ("ampacity.column_for", "ratings", 300): {"rating": 300},
    ("ampacity.conductor_temperature", "ambient", 150): {"rating": 200},
    ("ampacity.conductor_temperature", "current", 5000): {"ampacity": 5000},
    ("ampacity.conductor_temperature", "ampacity", 0.001): {"current": 0.0015},
    ("ampacity.conductor_temperature_faa", "ambient", 150): {"rating": 200},
    ("ampacity.conductor_temperature_faa", "current", 5000): {"ampacity": 5000},
    ("ampacity.conductor_temperature_faa", "ampacity", 0.001): {"current": 0.0015},
    ("ampacity.physical_factor", "reference", 80): {"rating": 90},
    ("ampacity.row_for", "areas", 0.001): {"area": 0.001},
    ("ampacity.row_for", "area", 1e-9): {"areas": [1e-9]},
    ("battery.step_test", "first_voltage", 0.001): {"second_voltage": 0.001},
    ("battery.step_test", "first_current", 5000): None,  # no larger second current can follow
    ("battery.step_test", "second_voltage", 1500): {"first_voltage": 1500},
    ("battery.step_test", "second_current", 0): None,  # no smaller first current can go before
    ("bank.equalising_current", "higher", 0): {"lower": 0},
    ("bank.equalising_current", "lower", 1500): {"higher": 1500},
    ("fault.cranking_resistance", "emf", 0.001): {"end_voltage": 0},
    ("fault.cranking_resistance", "end_voltage", 1500): None,  # no higher EMF can be
    ("fault.two_point", "first_voltage", 0.001): None,  # no lower second voltage can follow
    ("fault.two_point", "first_current", 5000): None,
    ("fault.two_point", "second_voltage", 1500): None,
    ("fault.two_point", "second_current", 0.001): {"first_current": 0},
    ("heating.k_factor", "initial", 300): {"final": 400},
    ("heating.k_factor", "final", -50): None,  # no colder start can be
    ("termination.contact_lost", "face", 1e-6): None,  # no smaller matched hole can be
    ("termination.contact_lost", "matched_hole", 0.1): {"face": 0.2},
    ("termination.torque_verdict", "low", 500): {"high": 500},
    ("termination.torque_verdict", "high", 0): {"low": 0},
    ("uncertainty.of_quotient", "denominator", 1e-9): {"denominator_u": 0},
    ("uncertainty.of_quotient", "denominator_u", 1e6): None,  # the denominator can be no larger
}  # fmt: skip

CONTRACTS = contracts()
RANGES = [stated for contract in CONTRACTS.values() for stated in contract.ranges]


def function_of(name: str) -> Callable[..., Any]:
    module, function = name.split(".")
    found: Callable[..., Any] = getattr(importlib.import_module(f"lugbook.calc.{module}"), function)
    return found


def call(stated: Range, value: float, others: dict[str, Any], place: int = 0) -> Any:
    """Call a function in order but for one value."""
    inputs = dict(IN_ORDER[stated.function])
    if stated.members and stated.parameter == "gates":  # the multiples are the keys
        inputs["gates"] = {value: 5, 3.5: 0.5} if place == 0 else {2: 5, value: 0.5}
    elif stated.members and isinstance(inputs[stated.parameter], dict):
        keys = list(inputs[stated.parameter])
        inputs[stated.parameter] = dict(inputs[stated.parameter]) | {keys[place]: value}
    elif stated.members:
        values = list(inputs[stated.parameter])
        values[place] = value
        inputs[stated.parameter] = values
    else:
        inputs[stated.parameter] = int(value) if stated.whole else value
    return function_of(stated.function)(**(inputs | others))


def message(stated: Range, value: float, place: int = 0) -> str:
    """The message that must come, whole."""
    name = f"{stated.parameter}[{place % length(stated)}]" if stated.members else stated.parameter
    if stated.whole:
        return f"{name} must be a whole number from {stated.low:.0f} to {stated.high:.0f}, not {value:.0f}"
    return f"{name} [{stated.unit}] must be from {stated.low:g} to {stated.high:g}, not {value!r}"


def length(stated: Range) -> int:
    return len(IN_ORDER[stated.function][stated.parameter])


def refused(stated: Range, value: float, place: int = 0) -> None:
    with pytest.raises(ValueError, match=f"^{re.escape(message(stated, value, place))}$"):
        call(stated, value, {}, place)


def name_of(stated: Range) -> str:
    return f"{stated.function} {stated.parameter}"


def test_every_function_has_a_call_in_order() -> None:
    assert set(IN_ORDER) == set(CONTRACTS)
    for name, inputs in IN_ORDER.items():
        function_of(name)(**inputs)


@pytest.mark.parametrize("stated", RANGES, ids=name_of)
def test_both_ends_are_accepted(stated: Range) -> None:
    for end in (stated.low, stated.high):
        others = AT_THE_END.get((stated.function, stated.parameter, end), {})
        if others is not None:
            call(stated, end, others)


@pytest.mark.parametrize("stated", RANGES, ids=name_of)
def test_just_outside_is_refused(stated: Range) -> None:
    if stated.whole:
        outside = [stated.low - 1, stated.high + 1]
    else:
        outside = [nextafter(stated.low, -inf), nextafter(stated.high, inf), nan, inf, -inf]
    for value in outside:
        refused(stated, value)
        if stated.members:
            refused(stated, value, place=-1)


WHOLE = [stated for stated in RANGES if stated.whole]


@pytest.mark.parametrize("stated", WHOLE, ids=name_of)
@pytest.mark.parametrize("value", [2.5, 3.0, True, nan])
def test_a_count_is_whole(stated: Range, value: float) -> None:
    inputs = IN_ORDER[stated.function] | {stated.parameter: value}
    text = (
        f"{stated.parameter} must be a whole number from {stated.low:.0f} to {stated.high:.0f}, not {value!r}"
    )
    with pytest.raises(ValueError, match=f"^{re.escape(text)}$"):
        function_of(stated.function)(**inputs)


EMPTIES = [
    (contract.function, parameter) for contract in CONTRACTS.values() for parameter in contract.empties
]


@pytest.mark.parametrize(("name", "parameter"), EMPTIES)
def test_nothing_at_all_is_refused(name: str, parameter: str) -> None:
    nothing: Any = {} if isinstance(IN_ORDER[name][parameter], dict) else []
    with pytest.raises(ValueError, match=f"^{parameter} must hold at least one value$"):
        function_of(name)(**(IN_ORDER[name] | {parameter: nothing}))


CHOICES = [
    (contract.function, parameter) for contract in CONTRACTS.values() for parameter in contract.choices
]
METALS, KINDS = "copper, aluminium, steel", "flooded, agm, gel, lifepo4"
SIZES = "0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120, 150"
BARRELS = "6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0, 150.0"
GAUGES = ", ".join(str(n) for n in range(24, 0, -1)) + ", 1/0, 2/0, 3/0, 4/0"
STUDS = "M3, M4, M5, M6, M8, M10, M12, M14, M16, #6, #8, #10, 1/4, 5/16, 3/8, 1/2"
OPTIONS = {
    ("conductor.standard_resistance", "area"): ("area [mm2]", SIZES),
    ("termination.barrel_diameter", "area"): ("area [mm2]", BARRELS),
    "gauge": GAUGES, "stranding": "class 2, class 5", "finish": "plain, tinned", "metal": METALS, "stud": STUDS,
    "series": "fine, medium, coarse", "chemistry": KINDS, "stage": "absorption, float",
    "material": "pvc, xlpe, epr, rubber, silicone",
}  # fmt: skip


@pytest.mark.parametrize(("name", "parameter"), CHOICES)
def test_an_unknown_choice_is_refused(name: str, parameter: str) -> None:
    if parameter == "area":
        label, options = OPTIONS[name, parameter]
        wrong, shown = 11e-6, "11.0"
    else:
        label, options, wrong, shown = parameter, OPTIONS[parameter], "bronze", "'bronze'"
    text = f"{label} must be one of {options}; not {shown}"
    with pytest.raises(ValueError, match=f"^{re.escape(text)}$"):
        function_of(name)(**(IN_ORDER[name] | {parameter: wrong}))


# Conditions between arguments: what breaks each, and what just does not.
BETWEEN = [
    ("ampacity.column_for", "no column", {"rating": 59}, {"rating": 60}, r"rating [degC] must be at least the table's lowest, 60, not 59"),
    ("ampacity.row_for", "no row", {"area": 3.9e-6}, {"area": 4e-6}, r"area [m2] must be at least the table's smallest, 4e-06, not 3.9e-06"),
    ("ampacity.physical_factor", "reference", {"rating": 60, "reference": 60}, {"rating": 60, "reference": 59.9}, r"reference [degC] must be below the rating, 60, not 60"),
    *(
        (name, what, wrong, right, text)
        for name in ("ampacity.conductor_temperature", "ampacity.conductor_temperature_faa")
        for what, wrong, right, text in (
            ("ambient", {"ambient": 90}, {"ambient": 89.9}, r"ambient [degC] must be below the rating, 90, not 90"),
            ("1.5 times", {"current": 120.1}, {"current": 120}, r"current [A] must be at most 120, 1.5 times the ampacity, not 120.1"),
        )
    ),
    *(
        (name, "differ in length", {parameter: [2, 3, 4]}, {}, text)
        for name, parameter, text in (
            ("voltage_drop.path_drop", "resistances", "currents and resistances must be equally long, not 2 and 3"),
            ("parallel.worst", "ampacities", "resistances and ampacities must be equally long, not 2 and 3"),
            ("parallel.permitted_current", "ampacities", "resistances and ampacities must be equally long, not 2 and 3"),
            ("fault.equivalent_source", "resistances", "emfs and resistances must be equally long, not 2 and 3"),
            ("bank.bank_shares", "resistances", "emfs and resistances must be equally long, not 2 and 3"),
        )
    ),
    ("fault.two_point", "second_current", {"second_current": 40}, {"second_current": 40.1}, r"second_current [A] must be above the first, 40, not 40"),
    ("fault.two_point", "second_voltage", {"second_voltage": 12.4}, {"second_voltage": 12.39}, r"second_voltage [V] must be below the first, 12.4, not 12.4"),
    ("fault.cranking_resistance", "end_voltage", {"end_voltage": 12.6}, {"end_voltage": 12.5}, r"end_voltage [V] must be below the EMF, 12.6, not 12.6"),
    ("battery.step_test", "second_current", {"second_current": 5}, {"second_current": 5.1}, r"second_current [A] must be above the first, 5, not 5"),
    ("battery.step_test", "second_voltage", {"second_voltage": 12.61}, {"second_voltage": 12.6}, r"second_voltage [V] must not be above the first, 12.6, as 12.61 is"),
    ("bank.equalising_current", "lower", {"lower": 12.8}, {"lower": 12.7}, r"lower [V] must not be above the higher voltage, 12.7, as 12.8 is"),
    ("charging.charging_window", "compensation", {"chemistry": "lifepo4"}, {"chemistry": "lifepo4", "compensation": 0}, r"compensation [V/K] must be 0 for lifepo4, not -0.004"),
    ("heating.k_factor", "final", {"final": 70}, {"final": 70.1}, r"final [degC] must be above the initial temperature, 70, not 70"),
    ("heating.clearing_time", "time in `gates`", {"gates": {2: nextafter(1e-6, 0)}}, {"gates": {2: 1e-6}}, f"gates[2] [s] must be from 1e-06 to 1e+06, not {nextafter(1e-6, 0)!r}"),
    ("termination.contact_lost", "matched_hole", {"matched_hole": 16e-3}, {"matched_hole": 15.9e-3}, r"matched_hole [m] must be below the face, 0.016, not 0.016"),
    ("termination.torque_verdict", "high", {"high": 3.9}, {"high": 4}, r"high [N m] must not be below low, 4, as 3.9 is"),
    ("uncertainty.of_quotient", "denominator", {"denominator": 5.9}, {"denominator": 6}, r"denominator [any unit] must be at least 6, 3 times its uncertainty, not 5.9"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "what", "wrong", "right", "text"), BETWEEN)
def test_conditions_between_arguments(
    name: str, what: str, wrong: dict[str, Any], right: dict[str, Any], text: str
) -> None:
    with pytest.raises(ValueError, match=f"^{re.escape(text)}$"):
        function_of(name)(**(IN_ORDER[name] | wrong))
    function_of(name)(**(IN_ORDER[name] | right))
    assert any(what in condition for condition in CONTRACTS[name].others)


@pytest.mark.parametrize("contract", CONTRACTS.values(), ids=CONTRACTS)
def test_every_condition_in_words_has_its_case(contract: Contract) -> None:
    for condition in contract.others:
        assert any(name == contract.function and what in condition for name, what, *_ in BETWEEN)


@pytest.mark.parametrize("longest", [nextafter(1e6, inf), nan, -2.0])
def test_a_gate_has_a_time_or_none(longest: float) -> None:
    text = f"gates[3.5] [s] must be from 1e-06 to 1e+06, not {longest!r}"
    with pytest.raises(ValueError, match=f"^{re.escape(text)}$"):
        heating.clearing_time(current=100, rating=30, gates={2: 5, 3.5: longest})
    assert heating.clearing_time(current=100, rating=30, gates={2: 1e6}) == 1e6
