"""The options of `lugbook size` -> its question, or every fault in them at once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast, get_args

from pydantic_core import PydanticCustomError

from lugbook.model.quantity import EXAMPLES, Kind, Quantity
from lugbook.model.scalars import read_quantity
from lugbook.model.sizing import MOST_CURRENT, PLACES, Chemistry, Feed, Question, Rating, Refusal, Unit
from lugbook.model.wiring import STUDS, InsulationMaterial

# What lies outside is a slip of the pen rather than a small craft. Lengths are one way.
MOST_LENGTH, MOST_POWER = 100.0, 20_000.0
INSULATION = (60.0, 200.0)
SYSTEM = (5.0, 120.0)
# What the conversion of units may add.
SAME = 1e-9
SOURCES: dict[str, Feed] = {
    "battery": "battery",
    "alternator": "alternator",
    "mains-charger": "mains charger",
}


def read_question(options: Mapping[str, Any]) -> tuple[Question | None, tuple[Refusal, ...]]:
    """The question from the command's options, or every fault in them at once."""
    reader = _Reader(options)
    made = reader.question()
    return (None if reader.faults else made), tuple(reader.faults)


class _Reader:
    def __init__(self, options: Mapping[str, Any]) -> None:
        self.options = options
        self.faults: list[Refusal] = []

    def refuse(self, option: str, message: str, hint: str = "") -> None:
        self.faults.append(Refusal(option, message, hint))

    def said(self, option: str) -> bool:
        return bool(self.options.get(option))

    def text(self, option: str) -> str | None:
        value = self.options.get(option)
        return None if value is None else str(value)

    def quantity(self, option: str, kind: Kind, low: float, high: float, span: str) -> Quantity | None:
        """A quantity from `low` to `high`; anything else is refused in words."""
        text = self.text(option)
        if text is None:
            return None
        try:
            read = read_quantity(text, kind)
        except PydanticCustomError as error:
            hint = (error.context or {}).get("hint", "")
            self.refuse(option, error.message(), str(hint))
            return None
        if read.bound:
            self.refuse(
                option, f"'{text}' is only a bound", f"write the value itself, such as {EXAMPLES[kind]}"
            )
        elif kind != "temperature" and read.value <= 0:
            self.refuse(option, f"'{text}' must be above zero")
        elif not low - SAME <= read.value <= high + SAME:
            self.refuse(option, f"'{text}' is out of range", f"from {span}")
        else:
            return read
        return None

    def one_of(self, option: str, choices: Mapping[str, Any] | tuple[str, ...]) -> str | None:
        text = self.text(option)
        if text is None or text in choices:
            return text
        self.refuse(option, f"'{text}' is not known here", f"one of {', '.join(choices)}")
        return None

    def count(self, option: str) -> int | None:
        text = self.text(option)
        if text is None:
            return None
        if not text.isascii() or not text.isdigit() or not 1 <= int(text[:4]) <= 100 or len(text) > 3:
            self.refuse(option, f"'{text}' must be a whole number from 1 to 100")
            return None
        return int(text)

    def question(self) -> Question:
        current, power = self._load()
        both = self._ways()
        length = self._length(both=both)
        insulation = self.quantity(
            "insulation", "temperature", *INSULATION, "60 to 200 degC, as the tables do"
        )
        self._required("insulation", "--insulation 105degC, as printed on the cable")
        ambient = self._ambient(insulation)
        system = self.quantity("system", "voltage", *SYSTEM, "5 V to 120 V")
        self._required("system", "--system 12V")
        stall = self.quantity("motor-stall", "current", 0.01, 5000, "0.01 A to 5 kA")
        if stall is not None and current is not None and stall.value < current.value:
            self.refuse(
                "motor-stall",
                f"'{self.text('motor-stall')}' is below the running current",
                "a motor held fast draws more",
            )
        fuse, none = self._max_fuse()
        cca, short, resistance, standard, chemistry = self._battery()
        if self.said("continuous") and self.said("short-time"):
            self.refuse("continuous", "both --continuous and --short-time are given", "keep one")
        unit = self.one_of("sizes", ("mm2", "AWG"))
        return Question(
            current=current, power=power, inverter=self.said("inverter"), efficiency=self._efficiency(),
            lowest=self._lowest(system), length=length, both_ways=both, insulation=insulation,  # type: ignore[arg-type]
            material=cast("InsulationMaterial | None", self.one_of("material", get_args(InsulationMaterial))),
            place=PLACES.get(self.one_of("place", PLACES) or ""), ambient=ambient, bundle=self.count("bundle"),
            system=system, critical=self.said("critical"),  # type: ignore[arg-type]
            duty="short-time" if self.said("short-time") else "continuous",
            duty_said=self.said("continuous") or self.said("short-time"), stall=stall, max_fuse=fuse, no_max_fuse=none,
            cca=cca, cca_standard=standard, short_circuit=short, resistance=resistance, chemistry=chemistry,
            charge_voltage=self._charge(system),
            upstream=self.quantity("upstream-resistance", "resistance", 1e-6, 1, "0.001 mohm to 1 ohm"),
            source=self._source(), self_limited=self.said("self-limited"),
            from_stud=self.one_of("from-stud", STUDS), to_stud=self.one_of("to-stud", STUDS),
            sheathed=self.said("sheathed"), unit=cast("Unit | None", unit),
            bases=tuple(self.options.get("basis") or ("good-practice",)),
        )  # fmt: skip

    def _required(self, option: str, give: str) -> None:
        if self.text(option) is None:
            self.refuse(option, "is missing", f"give {give}")

    def _load(self) -> tuple[Quantity | None, Quantity | None]:
        current = self.quantity("current", "current", 0.01, MOST_CURRENT, "0.01 A to 1000 A")
        power = self.quantity("power", "power", 0.1, MOST_POWER, "0.1 W to 20 kW")
        given = [self.text(option) for option in ("current", "power")]
        if given == [None, None]:
            self.refuse("current", "is missing", "give --current 50A or --power 600W")
        elif None not in given:
            self.refuse("power", "both --current and --power are given", "keep one")
        if self.said("inverter") and self.text("power") is None:
            self.refuse("inverter", "an inverter's current follows from its power", "give --power 2kW")
        return current, power

    def _ways(self) -> bool:
        one, both = self.said("one-way"), self.said("both-ways")
        if one == both:
            self.refuse(
                "one-way",
                "both --one-way and --both-ways are given"
                if one
                else "is the length one way, or there and back?",
                "give --one-way or --both-ways",
            )
        return both

    def _length(self, *, both: bool) -> Quantity | None:
        most = MOST_LENGTH * (2 if both else 1)
        self._required("length", "--length '2.4 m'")
        return self.quantity("length", "length", 0.01, most, f"0.01 m to {most:g} m")

    def _ambient(self, insulation: Quantity | None) -> Quantity | None:
        ambient = self.quantity("ambient", "temperature", -40, 150, "-40 to 150 degC")
        if ambient is not None and insulation is not None and ambient.value >= insulation.value - 1e-9:
            self.refuse(
                "ambient",
                f"'{self.text('ambient')}' is not below the insulation's {self.text('insulation')}",
                "such a cable can carry nothing there",
            )
        return ambient

    def _efficiency(self) -> Quantity | None:
        if self.text("efficiency") is not None and not self.said("inverter"):
            self.refuse("efficiency", "is for --inverter only")
        return self.quantity("efficiency", "share", 0.1, 1, "10 % to 100 %")

    def _lowest(self, system: Quantity | None) -> Quantity | None:
        if self.text("lowest-voltage") is not None and not self.said("inverter"):
            self.refuse("lowest-voltage", "is for --inverter only")
        volts = system.value if system else 60
        return self.quantity("lowest-voltage", "voltage", volts / 2, volts, f"{volts / 2:g} V to {volts:g} V")

    def _max_fuse(self) -> tuple[Quantity | None, bool]:
        if self.text("max-fuse") == "none":
            return None, True
        return self.quantity("max-fuse", "current", 0.1, 2000, "0.1 A to 2 kA"), False

    def _battery(self) -> tuple[Quantity | None, Quantity | None, Quantity | None, Rating, Chemistry]:
        cca = self.quantity("battery-cca", "current", 20, 10_000, "20 A to 10 kA")
        short = self.quantity("battery-short-circuit", "current", 20, 100_000, "20 A to 100 kA")
        resistance = self.quantity("battery-resistance", "resistance", 1e-4, 1, "0.1 mohm to 1 ohm")
        given = [
            o
            for o in ("battery-short-circuit", "battery-resistance", "battery-cca")
            if self.text(o) is not None
        ]
        if len(given) > 1:
            self.refuse(given[-1], f"--{' and --'.join(given)} are given", "keep the one that you trust most")
        standard = self.one_of("cca-standard", ("SAE", "EN", "IEC", "DIN"))
        if self.text("cca-standard") is not None and self.text("battery-cca") is None:
            self.refuse("cca-standard", "says nothing without --battery-cca")
        chemistry = self.one_of("battery-chemistry", ("lead", "lithium"))
        if chemistry == "lithium" and self.text("battery-cca") is not None:
            self.refuse(
                "battery-cca",
                "a cold-cranking figure does not tell what a lithium battery can drive into a short",
                "give the short-circuit current of its bare cells, --battery-short-circuit",
            )
        return (
            cca,
            short,
            resistance,
            cast(Rating, standard or "not known"),
            cast(Chemistry, chemistry or "not known"),
        )

    def _source(self) -> Feed:
        source = SOURCES.get(self.one_of("source", SOURCES) or "", "battery")
        if source == "battery" and self.said("self-limited"):
            self.refuse(
                "self-limited", "is for a charging source only", "give --source alternator or mains-charger"
            )
        return source

    def _charge(self, system: Quantity | None) -> Quantity | None:
        volts = system.value if system else 60
        return self.quantity(
            "charge-voltage", "voltage", volts, 1.5 * volts, f"the system's {volts:g} V to {1.5 * volts:g} V"
        )
