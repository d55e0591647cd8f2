"""Properties that must hold for any boat."""

from math import isclose

from hypothesis import given
from hypothesis import strategies as st

from lugbook.calc import (
    ampacity,
    bank,
    battery,
    conductor,
    fault,
    heating,
    loads,
    parallel,
    termination,
    uncertainty,
    voltage_drop,
)

AREAS = st.sampled_from(list(conductor.IEC_60228["class 5", "tinned"]))
CURRENTS = st.floats(0.1, 500)
LENGTHS = st.floats(0.1, 60)
TEMPERATURES = st.floats(-20, 120)
RESISTANCES = st.floats(1e-4, 0.5)
FEW = st.lists(RESISTANCES, min_size=1, max_size=6)


def per_metre(mm2: float) -> float:
    return conductor.standard_resistance(area=mm2 * 1e-6, stranding="class 5", finish="tinned")


@given(area=AREAS, current=CURRENTS, length=LENGTHS, more=LENGTHS, temperature=TEMPERATURES)
def test_more_length_never_less_drop(
    area: float, current: float, length: float, more: float, temperature: float
) -> None:
    def drop(metres: float) -> float:
        return voltage_drop.drop(
            current=current, resistance=per_metre(area) * metres, temperature=temperature
        )

    assert drop(length + more) >= drop(length)


@given(one=AREAS, other=AREAS, current=CURRENTS, length=LENGTHS)
def test_a_bigger_conductor_never_drops_more(one: float, other: float, current: float, length: float) -> None:
    small, large = sorted((one, other))
    drops = [
        voltage_drop.drop(current=current, resistance=per_metre(size) * length, temperature=60)
        for size in (small, large)
    ]
    assert drops[1] <= drops[0]


@given(rating=st.sampled_from([60, 70, 90, 105]), warm=st.floats(0, 120), warmer=st.floats(0, 120))
def test_a_warmer_place_never_lets_more_through(rating: float, warm: float, warmer: float) -> None:
    low, high = sorted((warm, warmer))
    factors = [ampacity.physical_factor(rating=rating, ambient=t, reference=30) for t in (low, high)]
    assert factors[1] <= factors[0]


@given(
    tabulated=st.floats(1, 500), table=st.floats(0.1, 1), physics=st.floats(0.1, 1), bundle=st.floats(0.3, 1)
)
def test_the_lower_of_the_two_governs(tabulated: float, table: float, physics: float, bundle: float) -> None:
    result = ampacity.derate(
        tabulated=tabulated, ambient_by_table=table, ambient_by_physics=physics, bundle=bundle
    )
    assert result.amperes == min(result.by_table, result.by_physics)
    assert result.amperes <= tabulated


@given(permitted=st.floats(0.1, 3), current=CURRENTS, length=LENGTHS, temperature=TEMPERATURES)
def test_the_smallest_size_is_enough_and_the_next_smaller_is_not(
    permitted: float, current: float, length: float, temperature: float
) -> None:
    sizes = {mm2 * 1e-6: per_metre(mm2) for mm2 in conductor.IEC_60228["class 5", "tinned"]}
    chosen = voltage_drop.smallest_area(
        permitted=permitted, current=current, length=length, temperature=temperature, resistances=sizes
    )
    for area, ohms in sizes.items():
        drop = voltage_drop.drop(current=current, resistance=ohms, temperature=temperature) * length
        assert (drop <= permitted) == (chosen is not None and area >= chosen)


@given(permitted=st.floats(0.01, 5), current=CURRENTS, ohms=st.floats(1e-4, 0.05))
def test_the_longest_run_drops_what_is_permitted(permitted: float, current: float, ohms: float) -> None:
    run = voltage_drop.longest_run(permitted=permitted, current=current, resistance_per_metre=ohms)
    assert isclose(voltage_drop.drop(current=current, resistance=ohms, temperature=20) * run, permitted)


@given(resistances=FEW, current=CURRENTS)
def test_parallel_shares_add_up(resistances: list[float], current: float) -> None:
    shares = parallel.shares(resistances=resistances, current=current)
    assert isclose(sum(shares), current)
    assert parallel.resistance(resistances=resistances) <= min(resistances) * (1 + 1e-12)


@given(resistances=FEW, current=st.floats(-300, 300), data=st.data())
def test_a_bank_obeys_kirchhoff(resistances: list[float], current: float, data: st.DataObject) -> None:
    count = len(resistances)
    emfs = data.draw(st.lists(st.floats(11, 14), min_size=count, max_size=count))
    shares = bank.bank_shares(emfs=emfs, resistances=resistances, current=current)
    assert isclose(sum(shares), current, abs_tol=1e-6)
    voltages = [emf - share * each for emf, share, each in zip(emfs, shares, resistances, strict=True)]
    assert max(voltages) - min(voltages) < 1e-6
    together = fault.equivalent_source(emfs=emfs, resistances=resistances)
    assert isclose(together.emf - current * together.resistance, voltages[0], abs_tol=1e-6)


@given(batteries=st.integers(1, 10), cell=st.floats(1e-3, 0.05), link=st.floats(0, 0.01), current=CURRENTS)
def test_the_nearest_battery_always_works_hardest(
    batteries: int, cell: float, link: float, current: float
) -> None:
    shares = bank.one_end_shares(
        batteries=batteries, battery_resistance=cell, link_resistance=link, current=current
    )
    assert isclose(sum(shares), current)
    assert list(shares) == sorted(shares, reverse=True)


@given(emf=st.floats(5, 60), ohms=st.floats(1e-3, 0.1), first=st.floats(0, 20), more=st.floats(5, 60))
def test_two_loads_give_the_battery_back(emf: float, ohms: float, first: float, more: float) -> None:
    second = first + more
    if second * ohms >= emf:
        return
    found = fault.two_point(
        first_voltage=emf - first * ohms,
        first_current=first,
        second_voltage=emf - second * ohms,
        second_current=second,
    )
    assert isclose(found.emf, emf, rel_tol=1e-6)
    assert isclose(found.resistance, ohms, rel_tol=1e-6)
    assert isclose(found.short_circuit, emf / ohms, rel_tol=1e-6)


@given(
    volts=st.floats(0.05, 1),
    amperes=st.floats(5, 100),
    volt_error=st.floats(0, 0.02),
    ampere_error=st.floats(0, 2),
)
def test_a_step_test_bounds_its_own_result(
    volts: float, amperes: float, volt_error: float, ampere_error: float
) -> None:
    test = battery.step_test(
        first_voltage=12.6,
        first_current=0,
        second_voltage=12.6 - volts,
        second_current=amperes,
        voltage_error=volt_error,
        current_error=ampere_error,
    )
    assert test.lowest <= test.resistance * (1 + 1e-12)
    assert test.highest is None or test.highest >= test.resistance * (1 - 1e-12)


@given(emf=st.floats(10, 60), source=RESISTANCES, path=RESISTANCES, arc=st.floats(0, 60))
def test_an_arc_or_a_path_never_raises_a_fault_current(
    emf: float, source: float, path: float, arc: float
) -> None:
    solid = fault.prospective_current(emf=emf, source_resistance=source, path_resistance=path)
    assert solid <= fault.prospective_current(emf=emf, source_resistance=source, path_resistance=0)
    least = fault.minimum_current(emf=emf, source_resistance=source, path_resistance=path, arc_voltage=arc)
    assert 0 <= least <= solid * (1 + 1e-12)


@given(
    initial=st.floats(0, 105),
    rise=st.floats(5, 200),
    area=AREAS,
    metal=st.sampled_from(sorted(heating.METALS)),
)
def test_k_and_the_final_temperature_are_one_law(
    initial: float, rise: float, area: float, metal: str
) -> None:
    k = heating.k_factor(initial=initial, final=initial + rise, metal=metal)
    stands = heating.withstand(k=k, area=area * 1e-6)
    reached = heating.final_temperature(initial=initial, joule_integral=stands, area=area * 1e-6, metal=metal)
    assert reached is not None
    assert isclose(reached, initial + rise, rel_tol=1e-6)
    assert isclose(heating.smallest_area(joule_integral=stands, k=k), area * 1e-6)


@given(one=st.floats(10, 5000), other=st.floats(10, 5000))
def test_a_larger_current_never_clears_later(one: float, other: float) -> None:
    gates = {1.35: None, 2.0: 5.0, 3.5: 0.5, 6.0: 0.1}
    small, large = sorted((one, other))
    times = [heating.clearing_time(current=current, rating=30, gates=gates) for current in (small, large)]
    assert times[0] is None or (times[1] is not None and times[1] <= times[0])


@given(ampacity_=st.floats(1, 300), factor=st.floats(1, 2), rating=st.sampled_from(loads.STANDARD_NEC))
def test_the_next_size_rule_is_never_laxer_than_the_factor(
    ampacity_: float, factor: float, rating: float
) -> None:
    series = loads.STANDARD_NEC
    if loads.permitted_next_size(rating=rating, ampacity=ampacity_, factor=factor, series=series):
        assert loads.permitted_by_factor(rating=rating, ampacity=ampacity_, factor=factor)


@given(
    stud=st.sampled_from(sorted(termination.STUDS)), one=st.floats(1e-3, 0.03), other=st.floats(1e-3, 0.03)
)
def test_a_larger_hole_is_never_a_tighter_fit(stud: str, one: float, other: float) -> None:
    order = ["does not go on", "matched", "loose", "oversize"]
    small, large = sorted((one, other))
    verdicts = [order.index(termination.hole_fit(hole=hole, stud=stud).verdict) for hole in (small, large)]
    assert verdicts == sorted(verdicts)


@given(
    chemistry=st.sampled_from(battery.CHEMISTRIES),
    volts=st.floats(11, 14),
    error=st.floats(0, 0.2),
    more=st.floats(0, 0.3),
)
def test_a_worse_meter_never_narrows_a_band(
    chemistry: battery.Chemistry, volts: float, error: float, more: float
) -> None:
    cells = 4 if chemistry == "lifepo4" else 6

    def band(doubt: float) -> battery.ChargeBand:
        return battery.charge_band(
            chemistry=chemistry,
            voltage=volts,
            cells=cells,
            temperature=25,
            rest=9e4,
            rest_required=3e4,
            error=doubt,
        )

    sharp, blunt = band(error), band(error + more)
    assert 0 <= blunt.lowest <= sharp.lowest
    assert sharp.highest <= blunt.highest <= 100


@given(value=st.floats(-10, 10), limit=st.floats(-10, 10), doubt=st.floats(0, 3))
def test_a_verdict_survives_a_better_meter(value: float, limit: float, doubt: float) -> None:
    first = uncertainty.against_limit(value=value, uncertainty=doubt, coverage=2, limit=limit)
    better = uncertainty.against_limit(value=value, uncertainty=doubt / 2, coverage=2, limit=limit)
    assert first in ("cannot be decided", better)
