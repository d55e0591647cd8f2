"""What a piece of coverage says: its inputs, its sentences and its notes."""

from __future__ import annotations

from lugbook.assess.evidence.base import Under, entered
from lugbook.assess.evidence.charging import feeds
from lugbook.assess.evidence.origins import Origin
from lugbook.assess.evidence.walk import Exposed
from lugbook.model.evidence import Amount, Input, Sentence
from lugbook.model.network import Conductor

FORMULA = "L from the source, or from the reduction of section, to the first device with In <= Iz"
LOAD_DUMP: Sentence = (
    "A device in an alternator's output must never open while it charges: the surge can destroy the alternator and what is connected.",
)
NOTHING: Sentence = ("Nothing would stop a short here.",)


def between(names: tuple[str, ...]) -> Sentence:
    return (" + ".join(f"'{name}'" for name in names),)


def inputs_of(under: Under, one: Conductor, exposed: Exposed) -> tuple[Input, ...]:
    entry = under.allowed[one.id]
    rule = entry.rule.clause if entry.rule else "rating at most what the conductor carries"
    found = [
        Input(
            "Iz", "largest rating that protects this conductor", entry.low, entry.high, "A", "computed", rule
        )
    ]
    for device in (exposed.passed, exposed.guard):
        if device is not None:
            found.append(entered("In", f"rating of '{device.id}'", device.rating, "A"))
    found.append(
        Input("Lc", "unprotected length of this conductor itself", exposed.own, exposed.own, "m", "computed")
    )
    return tuple(found)


def says_of(one: Conductor, origin: Origin, exposed: Exposed, exempt: str, *, sure: bool) -> Sentence:
    if exempt:
        return (
            f"'{one.id}' is exempt by {exempt}; nothing would stop it. Length ",
            Amount(exposed.own, "m"),
            ".",
        )
    start: Sentence = (
        (f" from the place where it leaves a larger conductor, fed by '{origin.element}',",)
        if exposed.origin == "reduction"
        else (f" along the conductors from '{origin.element}'",)
    )
    if exposed.guard is None:
        end: Sentence = (" to its end, and no device protects it against a solid short.",)
    else:
        end = (f" up to '{exposed.guard.id}', the first device that protects it against a solid short.",)
    start_of = "" if sure else "In the worse case of what is not known, "
    return (f"{start_of}'{one.id}' is unprotected for ", Amount(exposed.length, "m"), *start, *end)


def notes_of(under: Under, one: Conductor, exposed: Exposed, exempt: str) -> tuple[Sentence, ...]:
    notes: list[Sentence] = []
    if exempt or exposed.guard is None:
        notes.append(NOTHING)
    if exposed.passed is not None:
        notes.append(
            (
                f"'{exposed.passed.id}' (",
                Amount(exposed.passed.rating, "A"),
                ") stands before it, too large for this conductor.",
            )
        )
    if exposed.guard is not None and exposed.guard.dc is False:
        notes.append((f"'{exposed.guard.id}' is not marked for direct current.",))
    if exposed.guard is not None and not exposed.guard.breaks:
        notes.append((f"The breaking capacity of '{exposed.guard.id}' is not known.",))
    if one.use == "charging" and any(
        source.kind == "alternator" for source in feeds(under.network, one).sources
    ):
        notes.append(LOAD_DUMP)
    return tuple(notes)
