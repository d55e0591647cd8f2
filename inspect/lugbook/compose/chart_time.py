"""Time and current of a device in a defect: its gates, what the cable stands, the range of the short, what it breaks."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from lugbook.compose.chart_scale import Scale, decades, line
from lugbook.compose.common import Phrases
from lugbook.model.chart import Chart, ChartArea, ChartKey, ChartLine, ChartTable, ChartText, Point
from lugbook.model.curve import Curve, Gate
from lugbook.words.numbers import NO_BREAK, SYMBOLS

LEFT, TOP, DEEP, BELOW, RIGHT, WIDE = 48.0, 24.0, 230.0, 40.0, 18.0, 360.0
SHORTEST, LONGEST = 1e-3, 1e3
# Past this no heat may be left out, and the cable's line ends [s] (IEC 60364-4-43, 434.5.2, recalled).
ADIABATIC = 5.0
TEXT = 4.0


def time_chart(curve: Curve, number: int, name: Callable[[str], str], phrases: Phrases) -> Chart:
    """Draw one device; `name` gives the names of elements."""
    words = phrases.words
    bounds = [curve.rating, curve.high] + [v for v in (curve.low, curve.breaks) if v]
    across = Scale(*decades(min(bounds), max(bounds) * 1.01), LEFT, WIDE - RIGHT, logs=True)
    up = Scale(SHORTEST, LONGEST, TOP + DEEP, TOP, logs=True)
    lines, texts = _frame(across, up, phrases)
    left, right = across.at(max(curve.low, across.low)), across.at(curve.high)
    fault = ChartArea(
        points=((left, up.end), (right, up.end), (right, up.start), (left, up.start)), role="fault"
    )
    rated = across.at(curve.rating)
    lines.append(line("rating", (rated, up.end), (rated, up.start)))
    if curve.k is not None:
        lines.append(_cable(curve.k * curve.area, across, up))
    if curve.slowest and (curve.breaks is None or curve.slowest[0][0] * curve.rating < curve.breaks):
        lines.append(ChartLine(points=_slowest(curve, across, up), role="slowest"))
    if curve.fastest:
        lines.append(ChartLine(points=_fastest(curve, across, up), role="fastest"))
    if curve.breaks is not None:
        x = across.at(curve.breaks)
        lines.append(line("breaks", (x, up.end), (x, up.start)))
    device = name(curve.device)
    return Chart(
        id=f"chart-time-{number}", title=words("chart.time.title", device=device, conductor=name(curve.conductor)),
        description=_description(curve, device, phrases), width=WIDE, height=TOP + DEEP + BELOW, areas=(fault,), lines=tuple(lines),
        marks=(), texts=tuple(texts), key=_key(curve, phrases), notes=_notes(curve, phrases), table=_table(curve, device, phrases),
    )  # fmt: skip


def _frame(across: Scale, up: Scale, phrases: Phrases) -> tuple[list[ChartLine], list[ChartText]]:
    lines: list[ChartLine] = []
    texts: list[ChartText] = []
    for value in across.between():
        lines.append(line("minor", (across.at(value), up.end), (across.at(value), up.start)))
    for value in up.between():
        lines.append(line("minor", (across.start, up.at(value)), (across.end, up.at(value))))
    for value in across.ticks():
        x = across.at(value)
        lines.append(line("grid", (x, up.end), (x, up.start)))
        texts.append(_tick(x, up.start + 14, _round(value, "A", phrases), "middle"))
    for value in up.ticks():
        y = up.at(value)
        lines.append(line("grid", (across.start, y), (across.end, y)))
        texts.append(_tick(across.start - TEXT, y + 3.5, _round(value, "s", phrases), "end"))
    lines.append(line("axis", (across.start, up.end), (across.start, up.start), (across.end, up.start)))
    for x, y, key, anchor in (
        (LEFT - TEXT, TOP - 11, "time", "end"),
        (WIDE - RIGHT, TOP + DEEP + 30, "current", "end"),
    ):
        texts.append(
            ChartText.model_validate(
                {"x": x, "y": y, "text": phrases.words(f"chart.axis_{key}"), "anchor": anchor, "role": "axis"}
            )
        )
    return lines, texts


def _tick(x: float, y: float, text: str, anchor: str) -> ChartText:
    return ChartText.model_validate({"x": x, "y": y, "text": text, "anchor": anchor, "role": "tick"})


def _round(value: float, unit: str, phrases: Phrases) -> str:
    """A power of ten with its unit, without noughts behind the point."""
    if value < 1:
        value, unit = value * 1000, f"m{unit}"
    elif value >= 1000 and unit == "A":
        value, unit = value / 1000, "kA"
    return f"{phrases.format.number(Decimal(round(value)))} {SYMBOLS.get(unit, unit)}"


def _cable(joule: float, across: Scale, up: Scale) -> ChartLine:
    """I²t = k²S²: a straight line by logarithms, from the left edge or 5 s to the lower or right edge."""
    top = min(ADIABATIC, (joule / across.low) ** 2)
    bottom = max(up.low, (joule / across.high) ** 2)
    ends = [(across.at(joule / time**0.5), up.at(time)) for time in (top, bottom)]
    return ChartLine(points=tuple(ends), role="cable")


def _slowest(curve: Curve, across: Scale, up: Scale) -> tuple[Point, ...]:
    """As slow as its gate until the next one is reached; nothing is read between gates, nor past what it breaks."""
    most = across.end if curve.breaks is None else across.at(curve.breaks)
    points: list[Point] = [(across.at(curve.slowest[0][0] * curve.rating), up.end)]
    for multiple, seconds in curve.slowest:
        x = across.at(multiple * curve.rating)
        if x >= most:
            break
        points += [(x, points[-1][1]), (x, up.at(seconds))]
    return (*points, (most, points[-1][1]))


def _fastest(curve: Curve, across: Scale, up: Scale) -> tuple[Point, ...]:
    """As fast as its next gate at once after the one before."""
    first = curve.fastest[0]
    points: list[Point] = [
        (across.at(first[0] * curve.rating), up.end),
        (across.at(first[0] * curve.rating), up.at(first[1])),
    ]
    for multiple, seconds in curve.fastest[1:]:
        points += [(points[-1][0], up.at(seconds)), (across.at(multiple * curve.rating), up.at(seconds))]
    return tuple(points)


def reached(gates: tuple[Gate, ...], multiple: float) -> float | None:
    """The time of the highest gate that a multiple reaches [s]."""
    found = [seconds for at, seconds in gates if multiple >= at * (1 - 1e-9)]
    return found[-1] if found else None


def _description(curve: Curve, device: str, phrases: Phrases) -> str:
    words, amount = phrases.words, phrases.format.amount
    said = [words("chart.time.says", device=device, low=amount(curve.low, "A"), high=amount(curve.high, "A"))]
    if curve.breaks is None:
        said.append(words("chart.time.breaks_not_known"))
    else:
        key = "breaks_less" if curve.breaks < curve.high else "breaks_enough"
        said.append(words(f"chart.time.{key}", breaks=amount(curve.breaks, "A")))
    if not curve.slowest:
        said.append(words("chart.time.gates_not_known"))
    return " ".join(said)


def _size(curve: Curve) -> str:
    return curve.size.replace("mm2", "mm²").replace(" ", NO_BREAK)


def _key(curve: Curve, phrases: Phrases) -> tuple[ChartKey, ...]:
    words, amount = phrases.words, phrases.format.amount
    given = {
        "fault": words("chart.time.key.fault", low=amount(curve.low, "A"), high=amount(curve.high, "A")),
        "rating": words("chart.time.key.rating", rating=amount(curve.rating, "A")),
        "cable": words("chart.time.key.cable", size=_size(curve)) if curve.k is not None else "",
        "slowest": words("chart.time.key.slowest") if curve.slowest else "",
        "fastest": words("chart.time.key.fastest") if curve.fastest else "",
        "breaks": words("chart.time.key.breaks", breaks=amount(curve.breaks, "A"))
        if curve.breaks is not None
        else "",
    }
    return tuple(
        ChartKey.model_validate({"sample": sample, "text": text}) for sample, text in given.items() if text
    )


def _notes(curve: Curve, phrases: Phrases) -> tuple[str, ...]:
    words = phrases.words
    notes = [words("chart.time.gates", clause=curve.clause)] if curve.slowest else []
    if curve.k is not None:
        k = phrases.format.number(Decimal(f"{curve.k / 1e6:.0f}"))
        notes.append(words("chart.time.adiabatic", k=k, size=_size(curve)))
    return tuple(notes)


def _table(curve: Curve, device: str, phrases: Phrases) -> ChartTable:
    """The gates, both ends of the range and the breaking capacity, by rising current."""
    words, amount = phrases.words, phrases.format.amount
    multiples = dict.fromkeys((*(m for m, _ in curve.slowest), *(m for m, _ in curve.fastest)))
    rows = [
        (m * curve.rating, words("chart.time.gate", n=phrases.format.number(Decimal(f"{m:g}"))))
        for m in multiples
    ]
    rows += [(curve.low, words("chart.time.least")), (curve.high, words("chart.time.most"))]
    if curve.breaks is not None:
        rows.append((curve.breaks, words("chart.time.capacity")))

    def seconds(value: float | None) -> str:
        return words("chart.time.not_known") if value is None else amount(value, "s")

    def stands(amperes: float) -> str:
        if curve.k is None or amperes <= 0:
            return words("chart.time.not_known")
        time = (curve.k * curve.area / amperes) ** 2
        return (
            words("chart.time.over", limit=amount(ADIABATIC, "s")) if time > ADIABATIC else amount(time, "s")
        )

    fastest = dict(curve.fastest)
    return ChartTable(
        caption=words("chart.time.caption", device=device),
        heads=tuple(words(f"chart.time.head.{key}") for key in ("current", "slowest", "fastest", "cable")),
        rows=tuple(
            (
                f"{what}: {amount(amperes, 'A')}",
                words("chart.time.beyond")
                if curve.breaks is not None and amperes > curve.breaks * (1 + 1e-9)
                else seconds(reached(curve.slowest, amperes / curve.rating)),
                seconds(fastest.get(round(amperes / curve.rating, 6))),
                stands(amperes),
            )
            for amperes, what in sorted(rows)
        ),
    )
