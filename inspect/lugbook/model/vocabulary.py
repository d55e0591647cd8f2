"""The closed vocabularies of the input files, in one place."""

from __future__ import annotations

from typing import Literal

ResultWord = Literal[
    "no departure seen", "defect", "further investigation", "not applicable", "not inspected"
]
SeverityWord = Literal["catastrophic", "critical", "marginal", "negligible"]
ProbabilityWord = Literal["frequent", "probable", "occasional", "remote", "improbable", "eliminated"]
Level = Literal["high", "serious", "medium", "low", "eliminated"]
Danger = Literal["present", "latent"]
Harms = Literal["people", "property"]
Exposure = Literal["usual", "covered", "exposed", "near-fuel"]
Known = Literal["read", "second-hand", "recalled"]
ActBy = Literal["make safe now", "before the next trip", "this season", "at the next refit"]
Feature = Literal[
    "inboard-engine",
    "outboard-engine",
    "petrol",
    "gas",
    "second-bank",
    "combiner",
    "parallel-link",
    "dc-dc-charger",
    "shore-power",
    "inverter",
    "generator",
    "solar",
    "wind",
    "lithium",
    "bow-thruster",
    "windlass",
    "metal-hull",
    "electric-bilge-pump",
    "navigation-lights",
    "radio",
    "electric-propulsion",
]
Caution = Literal[
    "battery-acid-gas",
    "short-circuit",
    "prove-dead",
    "never-dead",
    "stored-charge",
    "battery-switch-running",
    "insulation-test",
    "mains-qualified",
    "rotating-machinery",
    "hot-work",
    "fuel-vapour",
    "confined-space",
    "lithium",
    "slip-afloat",
]
ReadingKind = Literal[
    "voltage",
    "current",
    "resistance",
    "insulation resistance",
    "temperature",
    "relative density",
    "time",
    "torque",
    "power",
    "frequency",
    "length",
    "charge",
]
BatteryTest = Literal["rest", "loaded", "charging", "density"]
ChargeStage = Literal["bulk", "absorption", "float"]
Afloat = Literal["afloat", "ashore"]
ShoreLead = Literal["connected", "not connected", "none on board"]
Now = Literal["fixed", "open", "worse", "gone"]
MarkKind = Literal["arrow", "ring", "box", "path", "number", "label"]
