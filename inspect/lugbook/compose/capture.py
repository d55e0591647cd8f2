"""Checklist, rules and words -> the capture page's data. The page holds no rule and no word of its own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from lugbook import __version__
from lugbook.compose.capture_forms import UNIT_PADS, forms, needs, shared_options, unit_names, yes_no_keys
from lugbook.compose.capture_words import Labels
from lugbook.model.apparatus import SWITCHES
from lugbook.model.capture import CaptureRules, CaptureView
from lugbook.model.checklist import Checklist, Item
from lugbook.model.findings import READING_KINDS, Findings
from lugbook.model.notice import NoticeFile
from lugbook.model.quantity import UNITS
from lugbook.words.catalogue import Words

# Groups of the catalogue that the page's script reads.
SHOWN = (
    "capture.ui.", "capture.field.", "capture.field_of.", "capture.choice.", "result.", "extent.", "level.", "severity.", "probability.",
    "harms.", "danger.", "quantity.", "bound.", "notice.", "trail_entries.role", "shore.mode.", "defect.why",
)  # fmt: skip
# SI values outside of these are a slip of the thumb on a small craft: wide on purpose, common practice, no source.
PLAUSIBLE: dict[str, tuple[float, float]] = {
    "voltage": (-300, 400),
    "current": (-2000, 3000),
    "temperature": (-30, 150),
    "relative density": (1.0, 1.4),
    "torque": (0.1, 100),
    "length": (0, 60),
    "frequency": (10, 100),
    "power": (0, 50_000),
}
# Bytes of a picture of 12 million pixels from a phone: the page counts the room that is left in such pictures.
PHOTO_BYTES = 5_000_000


def compose_capture(checklist: Checklist, rules: CaptureRules, words: Words, licences: str) -> CaptureView:
    """The page for these checklists in the language of the words."""
    labels = Labels(words)
    made = forms(Findings, labels) | forms(NoticeFile, labels)
    data: dict[str, Any] = {
        "format": "lugbook-findings-1",
        "program": __version__,
        "language": words.language,
        "title": words("capture.ui.title"),
        "lists": [
            {"id": id_, "title": title, "edition": edition}
            for id_, title, edition in zip(checklist.ids, checklist.titles, checklist.editions, strict=True)
        ],
        "groups": [
            {"id": group.id, "title": group.title, "items": [_item(item) for item in group.items]}
            for group in checklist.groups
        ],
        "cautions": _below(words, "caution.", ".line"),
        "reasons": {
            result: list(_below(words, f"capture.reasons.{result}.").values())
            for result in ("further investigation", "not applicable", "not inspected")
        },
        "options": shared_options(made),
        "forms": made,
        "needs": needs(Findings),
        "yesNo": yes_no_keys(made),
        "units": unit_names(labels),
        "si": {unit: list(known) for unit, known in UNITS.items()},
        "reading": {
            quantity: [unit for kind in kinds for unit in UNIT_PADS[kind]]
            for quantity, kinds in READING_KINDS.items()
        },
        "plausible": PLAUSIBLE,
        "photoBytes": PHOTO_BYTES,
        "switches": {
            kind: {"contacts": contacts, "positions": list(positions)}
            for kind, (contacts, positions, _) in SWITCHES.items()
        },
        **asdict(rules),
        "licences": licences,
        "words": {key: words(key) for key in sorted(words.keys()) if key.startswith(SHOWN)},
    }
    return CaptureView(words("capture.ui.title"), words.language, data)


def _item(item: Item) -> Mapping[str, Any]:
    return {
        "id": item.id,
        "question": item.question,
        "look": item.look,
        "why": item.why,
        "remedy": item.remedy,
        "evidence": item.evidence,
        "severity": item.severity,
        "probability": item.probability,
        "harms": item.harms,
        "danger": item.danger,
        "applies": item.applies,
        "cautions": item.cautions,
    }


def _below(words: Words, prefix: str, suffix: str = "") -> dict[str, str]:
    """The words below a key, by the rest of theirs."""
    found = [key for key in words.keys() if key.startswith(prefix) and key.endswith(suffix)]  # noqa: SIM118
    return {key.removeprefix(prefix).removesuffix(suffix): words(key) for key in sorted(found)}
