"""Battery resistance and fault currents against worked problems."""

from calc_rows import Row, confirm, table

from lugbook.calc import fault


def two_point(u1: float, i1: float, u2: float, i2: float) -> dict[str, float]:
    return {"first_voltage": u1, "first_current": i1, "second_voltage": u2, "second_current": i2}


def cells_in_series(*, emf: float, block: float, series: int, load: float) -> float:
    source = fault.bank_resistance(block=block, series=series, strings=1)
    return fault.prospective_current(emf=emf * series, source_resistance=source, path_resistance=load)


STANDARD = (
    "recalled: IEC 60896-21 two-point formula; by hand: 0.80 V / 160 A, (12.35 * 200 - 11.55 * 40) / 0.80"
)
TEST = two_point(12.35, 40, 11.55, 200)
FORUM = "read: a physics forum, 6.0 V, 5.0 V across 2.0 ohm: answer a) 0.40 ohm"
CCA = {"emf": 12.6, "end_voltage": 7.2, "current": 500, "warm_factor": 0.4}
SAE = "second-hand: SAE J537, 7.2 V at the rated current; by hand: 5.4 V / 500 A"


@table(
    [
        Row("standard, resistance", fault.two_point, TEST, 0.005, 1e-9, STANDARD, "resistance"),
        Row("standard, current", fault.two_point, TEST, 2510, 1e-6, STANDARD, "short_circuit"),
        Row("standard, EMF", fault.two_point, TEST, 12.55, 1e-9, STANDARD, "emf"),
        Row("forum", fault.two_point, two_point(6, 0, 5, 2.5), 0.40, 1e-9, FORUM, "resistance"),
        Row("12.0 to 10.9 V on 10 ohm", fault.two_point, two_point(12.0, 0, 10.9, 1.09), 1.0, 0.05, "read: a homework page: 1.0 ohm", "resistance"),
        Row("falls by 0.23 V on 20.9 ohm", fault.two_point, two_point(12.0, 0, 11.77, 11.77 / 20.9), 0.408, 0.0005, "read: a homework page: 0.408 ohm", "resistance"),
        Row("9 to 8 V on 1.4 ohm", fault.two_point, two_point(9.0, 0, 8.0, 8.0 / 1.4), 0.175, 0.0005, "by hand: 1.4 / 8, a textbook problem", "resistance"),
        Row("maker", fault.resistance_from_maker, {"emf": 12.6, "short_circuit": 2520}, 0.005, 1e-12, "by hand: 12.6 / 2520"),
        Row("cranking, cold", fault.cranking_resistance, CCA, 0.0108, 1e-9, SAE, "cold"),
        Row("cranking, warm", fault.cranking_resistance, CCA, 0.00432, 1e-9, SAE + " * 0.4", "warm"),
        Row("cranking to 7.5 V", fault.cranking_resistance, CCA | {"end_voltage": 7.5, "current": 600}, 0.0085, 1e-9, "recalled: EN 50342-1, 7.5 V; by hand: 5.1 / 600", "cold"),
        Row("bank", fault.bank_resistance, {"block": 0.006, "series": 4, "strings": 3}, 0.008, 1e-12, "read: a public short-circuit page: R * series / parallel; by hand: 24 / 3"),
    ]
)  # fmt: skip
def test_internal_resistance(row: Row) -> None:
    confirm(row)


IEC = "recalled: IEC 61660-1; by hand: 12.6 / 0.0045 and 0.95 * 12.6 / 0.005"
IEC_LINE = "recalled: IEC 61660-1; by hand: 25.2 / (0.009 + 0.006) and 0.95 * 25.2 / 0.016"
AT_TERMINALS = {"nominal_voltage": 12, "battery_resistance": 0.005, "path_resistance": 0}
WITH_LINE = {"nominal_voltage": 24, "battery_resistance": 0.010, "path_resistance": 0.006}
ARC = {"emf": 48, "source_resistance": 0.02, "path_resistance": 0.05, "arc_voltage": 20}
UNLIKE = {"emfs": [12.8, 12.2], "resistances": [0.004, 0.012]}
MILLMAN = "by hand: 3 mohm; 3 * (3200 + 1016.67) mV"


@table(
    [
        Row("12 V, 5 mohm", fault.prospective_current, {"emf": 12, "source_resistance": 0.005, "path_resistance": 0}, 2400, 1e-6, "read: a public short-circuit page: 12 / 0.005 = 2400 A"),
        Row("12 V, 20 mohm", fault.prospective_current, {"emf": 12, "source_resistance": 0.02, "path_resistance": 0}, 600, 1e-6, "read: a public page on short-circuit current: 600 A"),
        Row("1.5 V cell", fault.prospective_current, {"emf": 1.5, "source_resistance": 3.0, "path_resistance": 14}, 0.088, 0.0005, "read: a tutor's answer, 8 + 6 ohm: 0.088 A"),
        Row("6 V on 2 ohm", fault.prospective_current, {"emf": 6, "source_resistance": 1, "path_resistance": 2}, 2, 1e-9, "read: a question page: 6 V, 2 ohm, r = 1 ohm: 2 A"),
        Row("two cells", cells_in_series, {"emf": 1.5, "block": 0.5, "series": 2, "load": 14}, 0.2, 1e-9, "read: a school problem: two 1.5 V cells, 0.5 ohm each, 14 ohm: 0.2 A"),
        Row("with path", fault.prospective_current, {"emf": 12.6, "source_resistance": 0.004, "path_resistance": 0.0023}, 2000, 1e-6, "by hand: 12.6 / 0.0063"),
        Row("from cold cranking", fault.prospective_current, {"emf": 12.6, "source_resistance": 0.0108, "path_resistance": 0}, 1167, 0.5, SAE + "; 12.6 / 0.0108"),
        Row("arc", fault.minimum_current, ARC, 400, 1e-6, "by hand: (48 - 20) / 0.07"),
        Row("solid", fault.minimum_current, ARC | {"arc_voltage": 0}, 48 / 0.07, 1e-6, "by hand: 48 / 0.07"),
        Row("arc as high as the EMF", fault.minimum_current, ARC | {"arc_voltage": 48}, 0, 0, "by hand: nothing is left"),
        Row("arc above the EMF", fault.minimum_current, ARC | {"arc_voltage": 60}, 0, 0, "by hand: it cannot burn"),
        Row("peak", fault.battery_short, AT_TERMINALS, 2800, 1e-6, IEC, "peak"),
        Row("sustained", fault.battery_short, AT_TERMINALS, 2394, 1e-6, IEC, "sustained"),
        Row("peak with line", fault.battery_short, WITH_LINE, 1680, 1e-6, IEC_LINE, "peak"),
        Row("sustained with line", fault.battery_short, WITH_LINE, 1496.25, 1e-6, IEC_LINE, "sustained"),
        Row("unlike batteries, EMF", fault.equivalent_source, UNLIKE, 12.65, 1e-9, MILLMAN, "emf"),
        Row("unlike batteries, resistance", fault.equivalent_source, UNLIKE, 0.003, 1e-12, MILLMAN, "resistance"),
    ]
)  # fmt: skip
def test_fault_currents(row: Row) -> None:
    confirm(row)
