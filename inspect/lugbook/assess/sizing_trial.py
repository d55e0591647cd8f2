"""A cable to be sized as a small installation: battery, fuse, feed, load and return.

It is what an electrician would enter for it, so that every analysis of the report can be run on it.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from lugbook.calc import termination
from lugbook.calc.conductor import awg_area
from lugbook.calc.heating import momentary_temperature
from lugbook.calc.loads import inverter_current
from lugbook.model.basis import AmpacityTable, Basis
from lugbook.model.defaults import DEFAULTS, Assumption, Pair
from lugbook.model.network import Battery, Conductor, Device, Edge, End, Load, Network, Node, Placed, State
from lugbook.model.sizing import Question

FEED, RETURN, LOAD, FUSE = "feed", "return", "load", "fuse"
WHERE = ("states", 0)


@dataclass(frozen=True, slots=True)
class Size:
    """A standard size: its row in the table, as it is written, and its area [m2]."""

    row: str
    label: str
    area: float
    awg: str | None


def table(basis: Basis, question: Question) -> AmpacityTable:
    """The table whose sizes may be chosen: the one in the unit asked for, else in mm2, else any."""
    unit = question.unit or "mm2"
    return min(basis.limits.ampacity, key=lambda one: one.unit != unit)


def sizes(basis: Basis, question: Question) -> tuple[Size, ...]:
    """The standard sizes of a basis, the smallest first."""
    rows = table(basis, question)
    awg = rows.unit == "AWG"
    found = [
        Size(row, f"AWG {row}" if awg else f"{row} mm2", awg_area(gauge=row) if awg else float(row) / 1e6, row if awg else None)
        for row in rows.rows
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda size: size.area))


def current(question: Question) -> float | None:
    """Current as asked, or of an inverter at its lowest voltage [A]; None where power and voltage tell it."""
    if question.current is not None:
        return question.current.value
    if not question.inverter or question.power is None:
        return None
    efficiency = question.efficiency.value if question.efficiency else DEFAULTS["efficiency"].max_case
    lowest = (
        question.lowest.value
        if question.lowest
        else DEFAULTS["lead-emf"].min_case / 12 * question.system.value
    )
    return inverter_current(power=question.power.value, efficiency=efficiency, voltage=lowest)


def charge_volts(question: Question) -> float:
    """The highest charging voltage, as asked or as assumed [V]."""
    if question.charge_voltage is not None:
        return question.charge_voltage.value
    return DEFAULTS["source-volts"].max_case * question.system.value / 12


def trial(question: Question, size: Size, rating: float) -> Network:
    """The installation with this conductor and this fuse."""
    studs = {"battery.pos": question.from_stud, "load.pos": question.to_stud}
    nodes = {
        name: Node(name, "terminal", name, (), stud=studs.get(name))
        for name in ("battery.pos", "battery.neg", "load.pos", "load.neg")
    }
    fuse = Device(
        FUSE, FUSE, "fuse", "not known", rating, charge_volts(question), True, (), False, True, None, ()
    )
    assumed: list[Assumption] = []
    edges: dict[str, Edge] = {
        "battery": _battery(question),
        FEED: _conductor(question, size, FEED, (Placed(fuse, 0.0),), assumed),
        LOAD: _load(question),
        RETURN: _conductor(question, size, RETURN, (), assumed),
    }
    state = State(
        "service", "in service", True, {}, frozenset(), frozenset(), frozenset({LOAD}), frozenset(), WHERE
    )
    touching: dict[str, list[str]] = {}
    for name, edge in edges.items():
        for node in (edge.a, edge.b):
            touching.setdefault(node, []).append(name)
    return Network(
        system=question.system.value,
        earthing="negative-earthed",
        earthed_at=None,
        nodes=nodes,
        edges=edges,
        converters={},
        switches={},
        states=(state,),
        reachable=(),
        complete=True,
        assumptions=tuple(assumed),
        aliases={},
        touching=MappingProxyType({node: tuple(sorted(names)) for node, names in touching.items()}),
    )


def _conductor(
    question: Question, size: Size, name: str, devices: tuple[Placed, ...], assumed: list[Assumption]
) -> Conductor:
    def pair(default: str, given: float | None) -> Pair:
        if given is not None:
            return Pair(given, given)
        assumed.append(Assumption(DEFAULTS[default], name, ()))
        return Pair(DEFAULTS[default].max_case, DEFAULTS[default].min_case, default)

    hot = "ambient-engine" if question.place == "engine space" else "ambient"
    insulation, length = question.insulation.value, question.one_way
    feed = name == FEED
    return Conductor(
        id=name,
        a="battery.pos" if feed else "load.neg",
        b="load.pos" if feed else "battery.neg",
        title=name,
        size=size.label,
        area=size.area,
        standard=None if size.awg else round(size.area * 1e6, 6),
        awg=size.awg,
        length=Pair(length, length),
        insulation=Pair(insulation, insulation),
        momentary=pair("insulation-material", stands(question, size.area)),
        stranding=pair("stranding", None),
        tinned=pair("tinned", None),
        ambient=pair(hot, question.ambient.value if question.ambient else None),
        bundle=pair("bundle", question.bundle),
        enclosed="sheath" if question.sheathed else None,
        space=question.place,
        use="power",
        parallel=1,
        devices=devices,
        end_a=_end(question.from_stud, size) if feed else None,
        end_b=_end(question.to_stud, size) if feed else None,
        path=(),
    )


def stands(question: Question, area: float) -> float | None:
    """What the insulation of this material stands for a moment [degC]; None where the material was not said."""
    return momentary_temperature(material=question.material, area=area) if question.material else None


def _end(stud: str | None, size: Size) -> End | None:
    if stud is None:
        return None
    hole = termination.clearance_hole(stud=stud, series="fine")
    return End(size.area, hole, stud, "crimped", "copper", None, None, ())


def _battery(question: Question) -> Battery:
    return Battery(
        id="battery", a="battery.pos", b="battery.neg", title="battery", bank="battery", string=1,
        chemistry="not known", volts=question.system.value, emf=None, capacity=None, capacity_at=None, cca=None,
        cca_standard="not known", resistance=None, short_circuit=None, cell_short_circuit=None, bms=None,
        bms_limit=None, charge_disconnect=None, low_temperature=None, starts=False, year=None, path=(),
    )  # fmt: skip


def _load(question: Question) -> Load:
    amperes = current(question)
    return Load(
        id=LOAD, a="load.pos", b="load.neg", title="load", owner=LOAD, kind="motor" if question.stall else "other",
        current=None if amperes is None else Pair(amperes, amperes),
        power=question.power.value if amperes is None and question.power else None, duty=question.duty,
        stall=question.stall.value if question.stall else None,
        max_fuse=question.max_fuse.value if question.max_fuse else None, needed="none", critical=question.critical,
        constant_power=None, path=(),
    )  # fmt: skip
