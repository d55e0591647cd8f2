"""What is assumed where nothing is entered: always two values, always printed beside the result.

The maximum case is the one that lets the larger current flow (lowest resistance, coolest, highest voltage,
highest permitted current); the minimum case is the other end. An assumed value may fail a device, never clear
it: a verdict that differs between the two cases is 'cannot be decided'.
"""

from __future__ import annotations

from dataclasses import dataclass

from lugbook.model.problem import Path

PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Default:
    """One documented assumption. Values in SI, temperatures in degC, shares as ratios."""

    name: str
    max_case: float
    min_case: float
    unit: str
    sentence: str
    source: str


@dataclass(frozen=True, slots=True)
class Pair:
    """A value in both cases; `assumed` names the default, and is empty where the value was entered."""

    max_case: float
    min_case: float
    assumed: str = ""

    @property
    def given(self) -> bool:
        """Whether the value was entered."""
        return not self.assumed

    @property
    def low(self) -> float:
        """The smaller of the two."""
        return min(self.max_case, self.min_case)

    @property
    def high(self) -> float:
        """The larger of the two."""
        return max(self.max_case, self.min_case)


@dataclass(frozen=True, slots=True)
class Assumption:
    """A default that was used: for which element, and where the datum would stand."""

    default: Default
    subject: str
    path: Path


DEFAULTS: dict[str, Default] = {
    default.name: default
    for default in (
        Default("insulation", 105, 60, "degC", "Temperature rating of the insulation not read: taken as 60 to 105 degC.", PRACTICE),
        Default("insulation-material", 160, 160, "degC", "Material of the insulation not stated: taken as PVC, which stands the least in a short, 160 degC.", "IEC 60364-5-54 (second-hand)"),
        Default("stranding", 2, 5, "class", "Stranding not stated: the lower resistance of classes 2 and 5, and the higher.", "IEC 60228 (second-hand)"),
        Default("tinned", 0, 1, "yes/no", "Tinning not stated: resistance taken as plain, and as tinned.", "IEC 60228 (second-hand)"),
        Default("ambient", 20, 40, "degC", "Temperature around the conductor not measured: taken as 20 to 40 degC.", PRACTICE),
        Default("ambient-engine", 50, 60, "degC", "Temperature in the engine space not measured: taken as 50 to 60 degC.", "33 CFR 183.425 table 5 note 1 (50 degC); recalled of the metric standard (60 degC)"),
        Default("bundle", 1, 3, "conductors", "Bundling not stated: taken as single, and as three together.", PRACTICE),
        Default("bond-length", 0.2, 5, "m", "Length of a bonding conductor not measured: taken as 0.2 to 5 m.", PRACTICE),
        Default("contact", 0, 0.0005, "ohm", "Resistance of joints not measured: none, and 0.5 mohm for each bolted joint.", PRACTICE),
        Default("link", 0, 0.0005, "ohm", "Cables between the blocks not described: none, and 0.5 mohm each.", PRACTICE),
        Default("lead-resistance", 0.0025, 0.012, "ohm x 100 Ah per 12 V", "Internal resistance not known: 2.5 to 12 mohm for a 12 V lead-acid block of 100 Ah, less in proportion for larger ones.", PRACTICE),
        Default("emf", 13.6, 11.9, "V per 12 V", "Chemistry not known: open-circuit voltage of 11.9 to 13.6 V for each 12 V.", PRACTICE),
        Default("pv-volts", 25, 15, "V per 12 V", "Voltage of the solar cells not entered: 15 to 25 V for each 12 V.", PRACTICE),
        Default("lead-emf", 12.9, 11.9, "V per 12 V", "Open-circuit voltage of lead-acid: 11.9 V (empty) to 12.9 V (just charged) for each 12 V.", "charge tables of lead-acid batteries (second-hand)"),
        Default("lithium-emf", 13.6, 12.0, "V per 12.8 V", "Open-circuit voltage of four lithium iron phosphate cells: 12.0 to 13.6 V.", "public charts (second-hand)"),
        Default("source-volts", 14.8, 13.2, "V per 12 V", "Charging voltage not entered: 13.2 to 14.8 V for each 12 V.", "makers' charging tables (second-hand)"),
        Default("self-limited", 1, 0, "yes/no", "Whether the source limits its own current is not known: taken both ways.", PRACTICE),
        Default("whole-output", 1, 1, "ratio", "What each of several outputs gives at most is not stated: each is taken to give the whole current.", PRACTICE),
        Default("diode-drop", 0.3, 1.0, "V", "Voltage across a diode not known: 0.3 to 1.0 V.", PRACTICE),
        Default("efficiency", 0.80, 0.95, "ratio", "Efficiency not known: 80 to 95 %.", PRACTICE),
        Default("coil", 0.3, 0.05, "A", "Current of a relay's control not known: 0.05 to 0.3 A.", PRACTICE),
        Default("enclosed", 1, 0, "yes/no", "Whether the conductor is sheathed or enclosed is not stated: taken both ways.", PRACTICE),
        Default("arc", 0, 20, "V", "A short at 48 V and above may burn with an arc: it takes up 0 to 20 V.", "recalled: least voltage of a short d.c. arc"),
        Default("usual-position", 1, 1, "position", "No position stated: each switch stands in its usual place.", PRACTICE),
    )
}  # fmt: skip
