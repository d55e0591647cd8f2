"""Meter accuracy against worked problems of tutorials."""

from calc_rows import Row, confirm, table

from lugbook.calc import uncertainty


def meter(reading: float, percent: float, digits: float, resolution: float) -> dict[str, float]:
    return {"reading": reading, "percent": percent, "digits": digits, "resolution": resolution}


COLLEGE = "read: a university physics department's page on meter uncertainty, 2.5 % + 3 dgt"
QUOTIENT = {"numerator": 0.4, "numerator_u": 0.03, "denominator": 50, "denominator_u": 5}
LIMIT = {"value": 0.30, "uncertainty": 0.02, "coverage": 2, "limit": 0.36}


@table(
    [
        Row("32.00 V", uncertainty.instrument_limit, meter(32.00, 2.5, 3, 0.01), 0.83, 1e-9, COLLEGE),
        Row("0.09 V", uncertainty.instrument_limit, meter(0.09, 2.5, 3, 0.01), 0.03225, 1e-9, COLLEGE),
        Row("2.000 V", uncertainty.instrument_limit, meter(2.000, 0.08, 2, 0.001), 0.0036, 1e-9, "read: a distributor's page, 0.08 % + 2 on 5.000 V: 1.9964 to 2.0036 V"),
        Row("5.02 V", uncertainty.instrument_limit, meter(5.02, 2, 3, 0.01), 0.1304, 1e-9, "read: a tutorial in Chinese, 2 % + 3: 0.1304"),
        Row("2 V", uncertainty.instrument_limit, meter(2, 0.5, 3, 0.001), 0.013, 1e-9, "read: an instrument maker's page, 0.5 % + 3: 0.013 V"),
        Row("100.0 V", uncertainty.instrument_limit, meter(100.0, 0.8, 2, 0.1), 1.0, 1e-9, "read: an instrument maker's page, 0.8 % + 2: 99.0 to 101.0 V"),
        Row("100.0 V, 1 % + 2", uncertainty.instrument_limit, meter(100.0, 1, 2, 0.1), 1.2, 1e-9, "read: an instrument maker's page: 98.8 to 101.2 V (another prints 99.8 for 98.8)"),
        Row("negative", uncertainty.instrument_limit, meter(-32.00, 2.5, 3, 0.01), 0.83, 1e-9, "by hand: the error is to either side"),
        Row("rectangular", uncertainty.standard_uncertainty, {"limit": 0.3}, 0.173205, 1e-6, "recalled: JCGM 100 4.3.7, a / sqrt(3)"),
        Row("3, 4, 5", uncertainty.combine, {"uncertainties": [0.03, 0.04]}, 0.05, 1e-12, "by hand: Pythagoras"),
        Row("2, 3, 6, 7", uncertainty.combine, {"uncertainties": [2, 3, 6]}, 7, 1e-12, "by hand: 4 + 9 + 36 = 49"),
        Row("quotient", uncertainty.of_quotient, QUOTIENT, 1e-3, 1e-9, "by hand: 0.03 / 50 = 0.6e-3 and 0.4 * 5 / 2500 = 0.8e-3"),
        Row("negative quotient", uncertainty.of_quotient, QUOTIENT | {"numerator": -0.4}, 1e-3, 1e-9, "by hand: as above"),
        Row("exactly three times", uncertainty.of_quotient, {"numerator": 0, "numerator_u": 12, "denominator": 6, "denominator_u": 2}, 2, 1e-9, "by hand: 12 / 6"),
        Row("below", uncertainty.against_limit, LIMIT, "below", 0, "by hand: 0.34"),
        Row("just below", uncertainty.against_limit, LIMIT | {"value": 3, "uncertainty": 0.5, "limit": 4}, "below", 0, "by hand: 3 + 1 = 4"),
        Row("undecided low", uncertainty.against_limit, LIMIT | {"value": 0.33}, "cannot be decided", 0, "by hand: 0.37"),
        Row("undecided high", uncertainty.against_limit, LIMIT | {"value": 5, "uncertainty": 0.5, "limit": 4}, "cannot be decided", 0, "by hand: 5 - 1 = 4"),
        Row("above", uncertainty.against_limit, LIMIT | {"value": 0.41}, "above", 0, "by hand: 0.37"),
        Row("exact reading above", uncertainty.against_limit, LIMIT | {"value": 0.37, "uncertainty": 0}, "above", 0, "by hand: no doubt"),
        Row("more coverage", uncertainty.against_limit, LIMIT | {"coverage": 4}, "cannot be decided", 0, "by hand: 0.30 + 0.08 = 0.38"),
        Row("more coverage above", uncertainty.against_limit, LIMIT | {"value": 0.43, "coverage": 4}, "cannot be decided", 0, "by hand: 0.43 - 0.08 = 0.35"),
    ]
)  # fmt: skip
def test_uncertainty(row: Row) -> None:
    confirm(row)
