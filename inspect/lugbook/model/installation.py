"""The written form of the installation: what the electrician enters from a sketch."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from lugbook.model.apparatus import Battery, Circuit, Converter, Diode, Load, Relay, Source, Switch
from lugbook.model.scalars import Frozen, Ident, Line
from lugbook.model.terminal import Terminal
from lugbook.model.wiring import (
    Bond,
    Conductor,
    Device,
    Element,
    Join,
    Position,
    Stud,
    Temperature,
    Volts,
)

NodeKind = Literal["bus", "stud", "panel", "body"]
BodyKind = Literal["engine", "hull", "bonding bus", "shore earth", "other"]
EarthingKind = Literal["negative-earthed", "positive-earthed", "insulated", "not known"]


class Node(Frozen):
    """A terminal of its own: a bus bar, a stud, a panel's bus, or a body such as the engine block."""

    id: Ident
    """Unique in the installation."""
    title: Line | None = None
    """What it is called on the drawing."""
    kind: NodeKind = "bus"
    """bus, stud, panel or body."""
    body: BodyKind | None = None
    """Which body."""
    stud: Stud | None = None
    """Size of its studs."""
    note: Line | None = None
    """Anything else."""


class InlineDevice(Device, Element):
    """A fuse or breaker between two terminals of its own: in, out."""

    id: Ident
    """Unique in the installation."""


class Earthing(Frozen):
    """Whether a pole is joined to the bodies, and where."""

    kind: EarthingKind = "not known"
    """negative-earthed, positive-earthed or insulated."""
    at: Terminal | None = None
    """The body at which the pole is earthed, such as engine."""


class State(Frozen):
    """One way in which the boat is used, or a fault to be looked at."""

    id: Ident
    """Named in results."""
    title: Line | None = None
    """In words."""
    positions: dict[Ident, Position] = Field(default_factory=dict)
    """Positions of switches and relays; the others stand as usual."""
    sources: tuple[Ident, ...] = ()
    """Sources that are on; the others are off."""
    loads: tuple[Ident, ...] | None = None
    """Loads that are on; left out, all."""
    open: tuple[Terminal, ...] = ()
    """Conductors, bonds or devices that are broken, blown or taken off."""
    tripped: tuple[Ident, ...] = ()
    """Batteries that have switched themselves off."""


class Interlock(Frozen):
    """Positions that cannot hold at the same time."""

    never: dict[Ident, Position]
    """{main: both, link: on}: never all of these together."""
    why: Line | None = None
    """What prevents it."""


class Ambients(Frozen):
    """Temperatures measured or agreed for the places of this boat."""

    engine_space: Temperature | None = None
    """Engine space."""
    elsewhere: Temperature | None = None
    """Everywhere else."""


class Installation(Frozen):
    """The d.c. installation."""

    system: Volts
    """Nominal voltage, such as 12 V."""
    bases: tuple[Line, ...] = ("good-practice",)
    """What it is judged against: shipped bases by id, or a file of your own inside the job folder."""
    earthing: Earthing = Earthing.absent()
    """Whether a pole is joined to the bodies."""
    ambient: Ambients = Ambients.absent()
    """Temperatures."""
    nodes: tuple[Node, ...] = ()
    """Bus bars, studs, panels and bodies."""
    batteries: tuple[Battery, ...] = ()
    """Batteries and banks."""
    sources: tuple[Source, ...] = ()
    """Alternators, chargers, solar cells."""
    converters: tuple[Converter, ...] = ()
    """D.c.-d.c. chargers, inverters, solar controllers, equalisers."""
    diodes: tuple[Diode, ...] = ()
    """Diodes and splitters."""
    switches: tuple[Switch, ...] = ()
    """Switches."""
    relays: tuple[Relay, ...] = ()
    """Relays and combiners."""
    devices: tuple[InlineDevice, ...] = ()
    """Fuses and breakers with terminals of their own."""
    conductors: tuple[Conductor, ...] = ()
    """Conductors."""
    joins: tuple[Join, ...] = ()
    """Terminals bolted together."""
    loads: tuple[Load, ...] = ()
    """Loads."""
    circuits: tuple[Circuit, ...] = ()
    """Loads with their feed and return."""
    bonds: tuple[Bond, ...] = ()
    """Bonding and earthing conductors."""
    states: tuple[State, ...] = ()
    """Ways in which the boat is used."""
    interlocks: tuple[Interlock, ...] = ()
    """What cannot happen at the same time."""


class InstallationFile(Frozen):
    """A file that holds an installation and nothing else."""

    installation: Installation
    """The d.c. installation."""
