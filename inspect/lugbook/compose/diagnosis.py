"""A diagnosis -> lines for a terminal, data for programs, and the view of a report's section."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Any

from lugbook.compose.diagnosis_names import Spots
from lugbook.model.diagnosis import Diagnosis, Excluded, Hypothesis, Moment, Next, Point, Ranked
from lugbook.model.diagnosis_view import DiagnosisView, ExcludedView, NextView
from lugbook.words.catalogue import Words

WIDTH = 96
# Causes below this share of the weight are not listed.
LISTED = 0.02
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


def compose_diagnosis(found: Diagnosis, words: Words, spots: Spots) -> DiagnosisView:
    """Put a diagnosis into words; `spots` gives the names."""
    w = words
    best = [one for one in found.ranked if one.hypothesis.id in found.together]
    others = [one for one in found.ranked if one not in best and one.weight >= LISTED]
    verdict = "none_left" if not found.ranked else "is_decided" if found.decided else "not_decided"
    told = {one.id: one for one in _every(found)}
    return DiagnosisView(
        verdict=w(f"diagnosis.{verdict}"),
        best=tuple(_line(one, w, spots) for one in best),
        alike=len(best) > 1,
        others=tuple(_line(one, w, spots) for one in others),
        excluded=_excluded(found, w, spots),
        undecided=tuple(spots.reading(name) for name in found.undecided),
        unplaced=tuple(spots.reading(name) for name in found.unplaced),
        next=tuple(_next(n, one, told, w, spots) for n, one in enumerate(found.next, 1)),
        bridges=tuple(
            w(f"diagnosis.bridge.{b.verdict}", relay=spots.of(b.relay), difference=amount(b.difference or 0.0, "V")) for b in found.bridges
        ),
        unsolved=w("diagnosis.unsolved", names="; ".join(cause(h, w, spots) for h in found.unsolved)) if found.unsolved else "",
    )  # fmt: skip


def _excluded(found: Diagnosis, w: Words, spots: Spots) -> tuple[ExcludedView, ...]:
    """By reading, and by what would have been read: the causes that this excludes."""
    groups: dict[tuple[str, str], list[Excluded]] = {}
    for one in found.excluded:
        if not one.hypothesis.parts:
            groups.setdefault((one.reading, amount(one.predicted, one.unit)), []).append(one)
    return tuple(
        ExcludedView(
            reading=w(
                "diagnosis.excluded_line", place=ones[0].place or spots.reading(reading), value=amount(ones[0].value, ones[0].unit),
                predicted=predicted,
            ),
            causes=tuple(cause(one.hypothesis, w, spots) for one in ones),
        )
        for (reading, predicted), ones in groups.items()
    )  # fmt: skip


def cause(h: Hypothesis, words: Words, spots: Spots) -> str:
    """A hypothesis in a sentence."""
    if h.parts:
        first, second = (cause(part, words, spots) for part in h.parts)
        return words("diagnosis.cause.two", first=first, second=second)
    place = spots.of(h.place) if h.place else ""
    return words(f"diagnosis.cause.{h.cause}", place=place, end=spots.end(h.place, h.end))


def amount(value: float, unit: str) -> str:
    """A voltage or current to a meter's resolution."""
    value = value if abs(value) > (1e-4 if unit == "V" else 0.05) else 0.0  # no minus before a nought
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
        ("undecided_intro", view.undecided),
        ("unplaced_intro", view.unplaced),
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
    for group in view.excluded:
        yield from _wrapped(group.reading, "  ")
        for line in _listed(group.causes):
            yield f"  {line}"
    if not view.excluded:
        yield from _wrapped(w("diagnosis.no_excluded"), "  ")
    if view.unsolved:
        yield from _wrapped(view.unsolved)
    yield ""
    yield from _wrapped(w("diagnosis.precedence"))


def _wrapped(text: str, indent: str = "") -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  " * bool(indent))


def _listed(lines: tuple[str, ...]) -> Iterator[str]:
    for line in lines:
        yield from textwrap.wrap(line, WIDTH, initial_indent="  - ", subsequent_indent="    ")


def _line(one: Ranked, w: Words, spots: Spots) -> str:
    size = ""
    if one.low is not None and one.high is not None and not one.hypothesis.parts:
        what = one.hypothesis.changes[0].what
        size = w("diagnosis.size", low=_sized(one.low, what), high=_sized(one.high, what))
    weight = f"{max(one.weight, 0.01) * 100:.0f} %"
    return w("diagnosis.line", name=cause(one.hypothesis, w, spots), size=size, weight=weight)


def _sized(value: float, what: str) -> str:
    if what in ("factor", "inner"):
        return f"{value:.1f} times"
    shown = value * (1000 if what == "ohms" else 100 if what in ("limit", "meter") else 1)
    return f"{shown:.3g} {UNITS[what]}"


def _every(found: Diagnosis) -> list[Hypothesis]:
    return [one.hypothesis for one in found.ranked] + [one.hypothesis for one in found.excluded]


def _next(n: int, one: Next, told: dict[str, Hypothesis], w: Words, spots: Spots) -> NextView:
    state = _moment(one.moment, w, spots)
    if one.point.b:
        current = w("diagnosis.next_current", name=spots.of(one.with_current)) if one.with_current else ""
        a, b = (spots.of(name) for name in (one.point.a, one.point.b))
        what = w("diagnosis.next_volts", n=n, a=a, b=b, state=state, current=current)
    else:
        what = w("diagnosis.next_amperes", n=n, a=spots.of(one.point.a), state=state)
    unit = "V" if one.point.b else "A"
    expect = tuple(
        w("diagnosis.next_expect", name=cause(told[name], w, spots), value=f"{amount(mean, unit)} ({chr(177)}{amount(2 * spread, unit)})")
        for name, mean, spread in one.predictions[:4]
        if name in told
    )  # fmt: skip
    cautions = tuple(w(f"caution.{name}.line") for name in one.cautions)
    return NextView(what=what, expect=expect, cautions=cautions)


def _moment(moment: Moment, w: Words, spots: Spots) -> str:
    phase = w(f"diagnosis.phase.{moment.phase}") if moment.phase else ""
    return w("diagnosis.state", name=spots.state(moment.state)) + phase


def diagnosis_data(found: Diagnosis, view: DiagnosisView, words: Words, spots: Spots) -> dict[str, Any]:
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
                "says": cause(one.hypothesis, words, spots), "weight": _round(one.weight), "sigma": _round(one.off),
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
        "unsolved": [one.id for one in found.unsolved],
        "precedence": words("diagnosis.precedence"),
    }  # fmt: skip


def _round(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.4g}")
