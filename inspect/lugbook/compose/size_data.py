"""The answer of `lugbook size` as data: SI values, keys as documented in docs/size.md."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from math import isfinite
from typing import Any

from lugbook.model.evidence import Amount, Evidence, Sentence
from lugbook.model.sizing import Answer, Choice, FaultSource


def size_data(answer: Answer, precedence: str) -> dict[str, Any]:
    """The answer for programs: SI values, keys as documented in docs/size.md."""
    question = asdict(answer.question)
    asked = {key: _quantity(value) for key, value in question.items()}
    return {
        "format": "lugbook-size-1",
        "decided": not answer.missing,
        "missing": [asdict(missing) for missing in answer.missing],
        "question": asked,
        "one_way_m": _rounded(answer.question.one_way),
        "current_A": _rounded(answer.amperes) if not answer.missing else None,
        "fault": _fault(answer.fault) if answer.fault else None,
        "answers": [_choice(choice, answer, n) for n, choice in enumerate(answer.choices)],
        "assumptions": list(answer.assumptions),
        "precedence": precedence,
    }


def _fault(fault: FaultSource) -> dict[str, Any]:
    """What is documented of the source; the figures of blade fuse-links stand in the basis."""
    return {name: _rounded(value) for name, value in asdict(fault).items() if name != "blades"}


def _quantity(value: Any) -> Any:
    if isinstance(value, dict) and "number" in value:
        return {"value": _rounded(value["value"]), "written": f"{value['number']} {value['unit']}"}
    return list(value) if isinstance(value, tuple) else value


def _choice(choice: Choice, answer: Answer, n: int) -> dict[str, Any]:
    blade = answer.classes[n]
    fault = answer.fault
    return {
        "basis": choice.basis,
        "title": choice.title,
        "binds": choice.binds,
        "fits": not choice.blocked,
        "blocked": choice.blocked or None,
        "conductor": {"size": choice.size, "area_m2": _rounded(choice.area)} if not choice.blocked else None,
        "fuse": {
            "rating_A": _rounded(choice.rating),
            "ratings_A": _rounded(choice.ratings),
            "least": _rounded([asdict(bound) for bound in choice.least]),
            "most": _rounded([asdict(bound) for bound in choice.most]),
            "breaking": {"current_A": _rounded(fault.most), "volts_V": _rounded(fault.volts)}
            if fault
            else None,
            "blade": asdict(blade) if not choice.blocked else None,
        },
        "places": _rounded([asdict(placing) for placing in choice.places]),
        "column_degC": _rounded(choice.column),
        "ampacity": _evidence(choice.ampacity),
        "drop": _evidence(choice.drop),
        "drop_limited": choice.drop_limited,
        "far_end": _rounded(asdict(choice.far)) if choice.far else None,
        "lugs": _rounded([asdict(lug) for lug in choice.lugs]),
        "rejected": _rounded([asdict(one) for one in choice.rejected]),
        "evidence": [_evidence(one) for one in choice.evidence],
    }


def _evidence(one: Evidence | None) -> dict[str, Any] | None:
    if one is None:
        return None
    return {
        "analysis": one.analysis, "rule": one.rule, "subject": one.subject, "basis": one.basis,
        "low": _rounded(one.low), "high": _rounded(one.high), "unit": one.unit,
        "inputs": _rounded([asdict(value) for value in one.inputs]), "formula": one.formula,
        "numbers": _tokens(one.numbers), "limit": _rounded(asdict(one.limit)) if one.limit else None,
        "alternatives": _rounded([asdict(value) for value in one.alternatives]), "verdict": one.verdict,
        "margin": _rounded(one.margin), "assumptions": [a.default.sentence for a in one.assumptions],
        "says": _tokens(one.says), "notes": [_tokens(note) for note in one.notes],
    }  # fmt: skip


def _tokens(sentence: Sentence) -> str:
    return "".join(
        f"{_rounded(token.value)} {token.unit}" if isinstance(token, Amount) else token for token in sentence
    )


def _rounded(value: Any) -> Any:
    """Six figures, so that the last bits of a machine's arithmetic do not show; infinity is null."""
    if isinstance(value, float):
        return float(f"{value:.6g}") if isfinite(value) else None
    if isinstance(value, dict):
        return {key: _rounded(entry) for key, entry in value.items()}
    if isinstance(value, Iterable) and not isinstance(value, str):
        return [_rounded(entry) for entry in value]
    return value
