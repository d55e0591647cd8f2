"""Suggestions as a `remedy:` block that can be pasted into the findings. None of them has a designer."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Any

from lugbook.compose.common import Phrases
from lugbook.compose.evidence import Names, says
from lugbook.compose.yaml_text import yaml_text
from lugbook.model.assessed import Assessed
from lugbook.model.installation import Installation
from lugbook.model.suggestion import Suggestion
from lugbook.words.catalogue import Words

Plain = Callable[[Any], Any]


def compose_suggestions(found: Iterable[Suggestion], assessed: Assessed, words: Words, plain: Plain) -> str:
    """The text: each suggestion with the evidence as a comment. Ends with a line end."""
    installation, phrases = assessed.job.findings.installation, Phrases(words)
    names = Names(assessed.job.network, phrases)
    taken = {one.id for one in assessed.job.findings.remedy}
    parts = []
    for one in found:
        assert installation is not None, "suggestions come from an installation"
        entry = _entry(one, installation, names, phrases, plain)
        entry["id"] = _free(entry["id"], taken)
        notes = [*says(one.because, names), *_open(one, phrases)]
        comments = "".join(f"  # {line}\n" for line in notes)
        parts.append(comments + yaml_text([entry], 2))
    if not parts:
        return f"# {words('suggest.none')}\n"
    head = "".join(f"# {line}\n" for line in words("suggest.head").splitlines())
    return f"{head}remedy:\n" + "\n".join(parts)


def _free(name: str, taken: set[str]) -> str:
    made, n = name, 2
    while made in taken:
        made, n = f"{name}-{n}", n + 1
    taken.add(made)
    return made


def _open(one: Suggestion, phrases: Phrases) -> list[str]:
    """What has to be read off the device before its figures count."""
    if one.kind != "fuse":
        return []
    if one.fault is None or one.volts is None:
        return [phrases.words("suggest.fault_unknown")]
    shown = {"fault": phrases.format.amount(one.fault, "A"), "volts": phrases.format.amount(one.volts, "V")}
    return [phrases.words("suggest.read", **shown), phrases.words("suggest.cranking")]


def _entry(
    one: Suggestion, installation: Installation, names: Names, phrases: Phrases, plain: Plain
) -> dict[str, Any]:
    words, name = phrases.words, names.of(one.element)
    circuit = one.element.removesuffix(".feed").removesuffix(".return")
    of_circuit = any(each.id == circuit for each in installation.circuits) and circuit != one.element
    target = circuit if of_circuit else one.element
    change = _change(one, installation, target, plain, of_circuit=of_circuit)
    kind = "circuits" if of_circuit else "conductors"
    made: dict[str, Any] = {
        "id": re.sub(r"[^a-z0-9]+", "-", f"{one.kind}-{target}"),
        "title": words(f"suggest.title.{one.kind}", name=name)[:90],
    }
    if one.answers:
        made["answers"] = list(one.answers)
    return made | {"change": {kind: [{"id": target, **change}]}}


def _change(
    one: Suggestion, installation: Installation, target: str, plain: Plain, *, of_circuit: bool
) -> dict[str, Any]:
    """The keys that change, as they are written."""
    if one.kind == "lug":
        return {"ends": {one.end: {"hole": f"{one.hole * 1000:.4g} mm"}}}
    if one.kind == "size":
        return {"awg": one.size} if one.size.startswith("AWG") else {"area": one.size}
    rating = f"{one.rating:g} A"
    if one.kind == "rating":
        if of_circuit:
            return {"device": {"rating": rating}}
        devices = _devices(installation, target, plain)
        return {"devices": [{**d, "rating": rating} if d.get("id") == one.device or len(devices) == 1 else d for d in devices]}  # fmt: skip
    device = (
        {"type": one.device, "rating": rating, "dc": True} if one.device else {"rating": rating, "dc": True}
    )
    if of_circuit:
        return {"device": device}
    return {"devices": [*_devices(installation, target, plain), {**device, "at": f"{one.at:g} m"}]}


def _devices(installation: Installation, target: str, plain: Plain) -> list[dict[str, Any]]:
    """The devices that stand in a conductor today: a list is written whole."""
    return [plain(device) for one in installation.conductors if one.id == target for device in one.devices]
