"""The words of the capture page: labels of fields and names of choices, all from the catalogue."""

from __future__ import annotations

from lugbook.words.catalogue import Words

# Where the name of a choice may stand, in this order.
PLACES = (
    "capture.choice",
    "result",
    "severity",
    "probability",
    "level_short",
    "act_by",
    "feature",
    "quantity",
    "afloat",
    "shore_lead",
    "harms",
    "size.place",
    "shore.test",
    "trail_entries.role",
)
UNIT_SHOWN = {
    "mm2": "mm²", "uV": "µV", "uA": "µA", "uohm": "µΩ", "mohm": "mΩ", "ohm": "Ω", "kohm": "kΩ", "Mohm": "MΩ",
    "Gohm": "GΩ", "degC": "°C", "degF": "°F", "Nm": "N m", "SG": "SG",
}  # fmt: skip


class Labels:
    """Finds words by key; signs that are the same in every language stay as they are."""

    def __init__(self, words: Words) -> None:
        self._words = words
        self._keys = words.keys()
        self.missing: set[str] = set()
        """Keys without a word. The page then shows the key's own letters; a test holds that there is none."""

    def field(self, form: str, key: str) -> str:
        """The label of a field: that of its form if it has one of its own, else the shared one."""
        own = f"capture.field_of.{form}.{key}"
        shared = f"capture.field.{key}"
        if own not in self._keys and shared not in self._keys:
            self.missing.add(shared)
            return key.replace("_", " ").capitalize()
        return self._words(own if own in self._keys else shared)

    def choice(self, word: str) -> str:
        """A word of a closed vocabulary as people read it; sizes and standards' names stay as they are."""
        for place in PLACES:
            if f"{place}.{word}" in self._keys:
                return self._words(f"{place}.{word}")
        if not any(c.isupper() or c.isdigit() for c in word):
            self.missing.add(f"capture.choice.{word}")
        return word

    def unit(self, unit: str) -> str:
        """A unit as people read it."""
        return UNIT_SHOWN.get(unit, unit)
