"""The voltage along the charging path as a chart: what was to be expected as a band, readings as points with bars."""

from __future__ import annotations

from decimal import Decimal

from lugbook.compose.chart_scale import Scale, even, line, stacked
from lugbook.compose.common import Phrases
from lugbook.compose.diagnosis_names import Spots
from lugbook.model.chart import Chart, ChartArea, ChartKey, ChartLine, ChartMark, ChartTable, ChartText
from lugbook.model.diagnosis import Along, Seen
from lugbook.words.numbers import NO_BREAK

# The drawing: room for the scale at the left, for the names of the sections below; at least so much for a section.
LEFT, TOP, DEEP, NAMES, RIGHT, WIDE, SECTION = 44.0, 26.0, 190.0, 146.0, 10.0, 360.0, 24.0
TEXT, TICK = 4.0, 4.0


def path_chart(found: Along, spots: Spots, phrases: Phrases) -> Chart:
    """Draw the line from the source's posts to the battery's."""
    words = phrases.words
    count = len(found.stops) - 1
    width = max(WIDE, LEFT + RIGHT + count * SECTION)
    values = [v for pair in found.band for v in pair] + [
        v for one in found.seen for v in (one.value - one.half, one.value + one.half)
    ]
    low, high, step = even(min(values), max(values), 6)
    across = Scale(0, count, LEFT, width - RIGHT)
    up = Scale(low, high, TOP + DEEP, TOP)
    lines, texts = _frame(across, up, step, phrases)
    turn = (
        next((n for n, stop in enumerate(found.stops) if stop.minus != found.stops[0].minus), count + 1) - 1
    )
    if 0 < turn < count:
        lines.append(line("divider", (across.at(turn), TOP - 8), (across.at(turn), TOP + DEEP)))
        texts.append(_text(across.at(turn) - TEXT, TOP - 10, words("chart.path.plus"), "end"))
        texts.append(_text(across.at(turn) + TEXT, TOP - 10, words("chart.path.minus"), "start"))
    lines += [
        line("axis", (across.at(n), TOP + DEEP), (across.at(n), TOP + DEEP + TICK))
        for n in range(1, count + 1)
    ]
    for n, stop in enumerate(found.stops[1:], 1):
        texts += stacked(
            spots.of(stop.name), across.at(n - 0.5) + 3, TOP + DEEP + 8, wide=28, most=max(1, int((across.at(1) - LEFT) // 11)), apart=11
        )  # fmt: skip
    band = [(across.at(n), up.at(top)) for n, (_, top) in enumerate(found.band)]
    band += [(across.at(n), up.at(bottom)) for n, (bottom, _) in reversed(list(enumerate(found.band)))]
    seen = sorted(found.seen, key=lambda one: one.stop)
    lines.append(
        ChartLine(points=tuple((across.at(one.stop), up.at(one.value)) for one in seen), role="measured")
    )
    title = words("chart.path.title", source=spots.of(found.source), battery=spots.of(found.battery))
    return Chart(
        id="chart-path", title=title, description=_description(found, spots, phrases), width=width, height=TOP + DEEP + NAMES,
        areas=(ChartArea(points=tuple(band), role="predicted"),), lines=tuple(lines),
        marks=tuple(
            ChartMark(
                x=across.at(one.stop), y=up.at(one.value), top=up.at(one.value + one.half), bottom=up.at(one.value - one.half), hollow=one.chained
            ) for one in seen
        ),
        texts=tuple(texts), key=_key(seen, phrases), notes=(words("chart.path.how"), words("chart.path.expected")),
        table=_table(found, spots, phrases),
    )  # fmt: skip


def _frame(
    across: Scale, up: Scale, step: float, phrases: Phrases
) -> tuple[list[ChartLine], list[ChartText]]:
    left, right, bottom = across.start, across.end, up.start
    lines = [line("axis", (left, up.end), (left, bottom), (right, bottom))]
    texts = [_text(left - TEXT, TOP - 10, phrases.words("chart.volts"), "end")]
    for n in range(round((up.high - up.low) / step) + 1):
        value = up.low + n * step
        y = up.at(value)
        lines.insert(0, line("grid", (left, y), (right, y)))
        texts.append(
            ChartText(
                x=left - TEXT,
                y=y + 3.5,
                text=_number(value, 1 if step >= 0.1 else 2, phrases),
                anchor="end",
                role="tick",
            )
        )
    return lines, texts


def _text(x: float, y: float, text: str, anchor: str) -> ChartText:
    return ChartText.model_validate({"x": x, "y": y, "text": text, "anchor": anchor, "role": "axis"})


def _number(value: float, digits: int, phrases: Phrases) -> str:
    return phrases.format.number(Decimal(f"{value:.{digits}f}"))


def _volts(value: float, phrases: Phrases) -> str:
    return f"{_number(value, 2, phrases)}{NO_BREAK}V"


def _fall(value: float, phrases: Phrases) -> str:
    return f"{_number(value * 1000, 0, phrases)}{NO_BREAK}mV"


def _description(found: Along, spots: Spots, phrases: Phrases) -> str:
    """Where the readings leave the band, or that they do not."""
    words = phrases.words
    first, last = found.band[0][1], found.band[-1]
    said = [
        words(
            "chart.path.says", source=spots.of(found.source), battery=spots.of(found.battery), start=_volts(first, phrases),
            low=_volts(last[0], phrases), high=_volts(last[1], phrases),
        )
    ]  # fmt: skip
    said += [
        words(
            "chart.path.outside", place=spots.reading(drop.reading), value=_fall(drop.value, phrases),
            low=_fall(drop.low, phrases), high=_fall(drop.high, phrases),
        )
        for drop in found.drops
        if drop.value - drop.half > drop.high or drop.value + drop.half < drop.low
    ]  # fmt: skip
    return " ".join(said)


def _key(seen: list[Seen], phrases: Phrases) -> tuple[ChartKey, ...]:
    keys = [ChartKey(sample="predicted", text=phrases.words("chart.path.key.predicted"))]
    if any(not one.chained for one in seen):
        keys.append(ChartKey(sample="reading", text=phrases.words("chart.path.key.reading")))
    if any(one.chained for one in seen):
        keys.append(ChartKey(sample="chained", text=phrases.words("chart.path.key.chained")))
    return tuple(keys)


def _table(found: Along, spots: Spots, phrases: Phrases) -> ChartTable:
    """A row for each stop, then one for each drop that was read."""
    words = phrases.words
    seen = {one.stop: one for one in found.seen}

    def read(n: int) -> str:
        one = seen.get(n)
        if one is None:
            return words("chart.not_read")
        key = "chart.worked_out" if one.chained else "chart.plus_minus"
        half = _fall(one.half, phrases) if one.chained else _volts(one.half, phrases)
        return words(key, value=_volts(one.value, phrases), half=half)

    rows = [
        (
            words("chart.path.between", plus=spots.of(stop.plus), minus=spots.of(stop.minus)),
            spots.of(stop.name) if stop.name else words("chart.path.at_source"),
            words("chart.span", low=_volts(low, phrases), high=_volts(high, phrases)) if n else _volts(low, phrases),
            read(n),
        )
        for n, (stop, (low, high)) in enumerate(zip(found.stops, found.band, strict=True))
    ]  # fmt: skip
    rows += [
        (
            spots.reading(drop.reading),
            words("chart.path.drop"),
            words("chart.span", low=_fall(drop.low, phrases), high=_fall(drop.high, phrases)),
            words("chart.plus_minus", value=_fall(drop.value, phrases), half=_fall(drop.half, phrases)),
        )
        for drop in found.drops
    ]
    heads = tuple(words(f"chart.path.head.{key}") for key in ("between", "section", "expected", "read"))
    return ChartTable(caption=words("chart.path.caption"), heads=heads, rows=tuple(rows))
