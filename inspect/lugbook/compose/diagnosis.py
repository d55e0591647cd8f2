"""A diagnosis -> lines for a terminal, data for programs, and the view of a report's section."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from lugbook.model.diagnosis import Diagnosis, Hypothesis, Moment, Next, Point, Ranked
from lugbook.words.catalogue import Words

WIDTH = 98
# Causes beyond these shares of the weight are not listed one by one; nor more than so many exclusions in the text.
LISTED, MOST_EXCLUDED = 0.02, 12
UNITS = {
    "ohms": "mohm",
    "volts": "V",
    "emf": "V",
    "drain": "A",
    "limit": "%",
    "factor": "",
    "inner": "",
    "meter": "%",
}


@dataclass(frozen=True, slots=True)
class NextView:
    """A proposed measurement: what, what each cause would show, and the cautions."""

    what: str
    expect: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DiagnosisView:
    """The finished section, in the order in which it is printed."""

    verdict: str
    best: tuple[str, ...]
    alike: bool
    others: tuple[str, ...]
    excluded: tuple[str, ...]
    undecided: tuple[str, ...]
    unplaced: tuple[str, ...]
    next: tuple[NextView, ...]
    bridges: tuple[str, ...]
    unsolved: str


def compose_diagnosis(found: Diagnosis, words: Words) -> DiagnosisView:
    """Put a diagnosis into words."""
    w = words
    best = [one for one in found.ranked if one.hypothesis.id in found.together]
    others = [one for one in found.ranked if one not in best and one.weight >= LISTED]
    verdict = "none_left" if not found.ranked else "is_decided" if found.decided else "not_decided"
    told = {one.id: one for one in _every(found)}
    return DiagnosisView(
        verdict=w(f"diagnosis.{verdict}"),
        best=tuple(_line(one, w) for one in best),
        alike=len(best) > 1,
        others=tuple(_line(one, w) for one in others),
        excluded=tuple(
            w(
                "diagnosis.excluded_line",
                name=cause(one.hypothesis, w),
                reading=one.reading.rstrip("#"),
                place=one.place,
                predicted=amount(one.predicted, one.unit),
                value=amount(one.value, one.unit),
            )
            for one in found.excluded
            if not one.hypothesis.parts
        ),
        undecided=found.undecided,
        unplaced=found.unplaced,
        next=tuple(_next(n, one, told, w) for n, one in enumerate(found.next, 1)),
        bridges=tuple(
            w(f"diagnosis.bridge.{b.verdict}", relay=b.relay, difference=amount(b.difference or 0.0, "V")) for b in found.bridges
        ),
        unsolved=w("diagnosis.unsolved", names=", ".join(found.unsolved)) if found.unsolved else "",
    )  # fmt: skip


def cause(h: Hypothesis, words: Words) -> str:
    """A hypothesis in a sentence."""
    if h.parts:
        first, second = (cause(part, words) for part in h.parts)
        return words("diagnosis.cause.two", first=first, second=second)
    end = words(f"diagnosis.end.{h.end}") if h.end else ""
    return words(f"diagnosis.cause.{h.cause}", place=h.place, end=end)


def amount(value: float, unit: str) -> str:
    """A voltage or current to a meter's resolution."""
    if unit == "V" and abs(value) < 0.2:
        return f"{value * 1000:.0f} mV"
    return f"{value:.2f} V" if unit == "V" else f"{value:.1f} {unit}"


def diagnosis_lines(view: DiagnosisView, words: Words) -> tuple[str, ...]:
    """The text that is read in the engine space."""
    return tuple(_text(view, words))


def _text(view: DiagnosisView, w: Words) -> Iterator[str]:
    yield from _wrapped(view.verdict)
    if view.best:
        yield ""
        yield from _wrapped(f"{w('diagnosis.group' if view.alike else 'diagnosis.best')}:")
        yield from _listed(view.best)
    blocks = (
        ("others", view.others),
        ("undecided_intro", (", ".join(view.undecided),) if view.undecided else ()),
        ("unplaced_intro", (", ".join(view.unplaced),) if view.unplaced else ()),
    )
    for key, lines in blocks:
        if lines:
            yield ""
            yield from _wrapped(f"{w(f'diagnosis.{key}')}:")
            yield from _listed(lines)
    yield ""
    yield f"{w('diagnosis.next')}:"
    if not view.next:
        yield from _wrapped(w("diagnosis.next_none"), "  ")
    for one in view.next:
        yield from _wrapped(one.what, "  ")
        for line in one.expect:
            yield from _wrapped(line, "     ")
        yield from _wrapped(w("diagnosis.next_take_care", lines=" ".join(one.cautions)), "     ")
    if view.bridges:
        yield ""
        yield f"{w('diagnosis.bridging')}:"
        yield from _listed(view.bridges)
    yield ""
    yield f"{w('diagnosis.excluded')}:"
    yield from _listed(view.excluded[:MOST_EXCLUDED] or (w("diagnosis.no_excluded"),))
    if view.unsolved:
        yield from _wrapped(view.unsolved)
    yield ""
    yield from _wrapped(w("diagnosis.precedence"))


def _wrapped(text: str, indent: str = "") -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  " * bool(indent))


def _listed(lines: tuple[str, ...]) -> Iterator[str]:
    for line in lines:
        yield from textwrap.wrap(line, WIDTH, initial_indent="  - ", subsequent_indent="    ")


def _line(one: Ranked, w: Words) -> str:
    size = ""
    if one.low is not None and one.high is not None and not one.hypothesis.parts:
        what = one.hypothesis.changes[0].what
        size = w("diagnosis.size", low=_sized(one.low, what), high=_sized(one.high, what))
    weight = f"{max(one.weight, 0.01) * 100:.0f} %"
    return w("diagnosis.line", name=cause(one.hypothesis, w), size=size, weight=weight)


def _sized(value: float, what: str) -> str:
    if what in ("factor", "inner"):
        return f"{value:.1f} times"
    shown = value * (1000 if what == "ohms" else 100 if what in ("limit", "meter") else 1)
    return f"{shown:.3g} {UNITS[what]}"


def _every(found: Diagnosis) -> list[Hypothesis]:
    return [one.hypothesis for one in found.ranked] + [one.hypothesis for one in found.excluded]


def _next(n: int, one: Next, told: dict[str, Hypothesis], w: Words) -> NextView:
    state = _moment(one.moment, w)
    if one.point.b:
        current = w("diagnosis.next_current", name=one.with_current) if one.with_current else ""
        a, b = (_terminal(name, w) for name in (one.point.a, one.point.b))
        what = w("diagnosis.next_volts", n=n, a=a, b=b, state=state, current=current)
    else:
        what = w("diagnosis.next_amperes", n=n, a=_terminal(one.point.a, w), state=state)
    unit = "V" if one.point.b else "A"
    expect = tuple(
        w("diagnosis.next_expect", name=cause(told[name], w), value=f"{amount(mean, unit)} ({chr(177)}{amount(2 * spread, unit)})")
        for name, mean, spread in one.predictions[:4]
        if name in told
    )  # fmt: skip
    return NextView(what, expect, tuple(w(f"caution.{name}.line") for name in one.cautions))


def _moment(moment: Moment, w: Words) -> str:
    phase = w(f"diagnosis.phase.{moment.phase}") if moment.phase else ""
    return w("diagnosis.state", name=moment.state) + phase


def _terminal(name: str, w: Words) -> str:
    return w("diagnosis.terminal", name=name)


def diagnosis_data(found: Diagnosis, view: DiagnosisView, words: Words) -> dict[str, Any]:
    """The answer for programs: SI values; ids as in the findings."""

    def place(moment: Moment, point: Point) -> dict[str, Any]:
        where = {"at": [point.a, point.b]} if point.b else {"in": point.a}
        return {"state_id": moment.state, "phase": moment.phase, **where}

    return {
        "format": "lugbook-diagnosis-1",
        "decided": found.decided,
        "left": [
            {
                "id": one.hypothesis.id, "cause": one.hypothesis.cause, "place": one.hypothesis.place,
                "says": cause(one.hypothesis, words), "weight": _round(one.weight), "sigma": _round(one.off),
                "low": _round(one.low), "high": _round(one.high),
            }
            for one in found.ranked
        ],
        "alike": list(found.together),
        "excluded": [
            {
                "id": one.hypothesis.id, "sigma": _round(one.off), "reading": one.reading.rstrip("#"),
                "predicted": _round(one.predicted), "value": _round(one.value), "unit": one.unit,
            }
            for one in found.excluded
        ],
        "not_decided": list(found.undecided),
        "not_used": list(found.unplaced),
        "next": [
            {
                **place(one.moment, one.point), "bits": _round(one.bits), "with_current_in": one.with_current,
                "predictions": {name: [_round(mean), _round(spread)] for name, mean, spread in one.predictions},
                "cautions": list(one.cautions), "says": shown.what,
            }
            for one, shown in zip(found.next, view.next, strict=True)
        ],
        "bridges": [{"relay": b.relay, "verdict": b.verdict, "volts": _round(b.difference)} for b in found.bridges],
        "unsolved": list(found.unsolved),
        "precedence": words("diagnosis.precedence"),
    }  # fmt: skip


def _round(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.4g}")
