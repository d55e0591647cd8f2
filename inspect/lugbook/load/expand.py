"""The written installation -> nodes and edges. Faults go to the document; `states.py` adds the states."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from lugbook.calc.conductor import awg_area
from lugbook.calc.heating import momentary_temperature
from lugbook.load.faults import nearest
from lugbook.load.tree import Document
from lugbook.model import network as net
from lugbook.model.apparatus import Circuit
from lugbook.model.defaults import DEFAULTS, Assumption, Pair
from lugbook.model.installation import Installation
from lugbook.model.problem import Path
from lugbook.model.quantity import Quantity
from lugbook.model.wiring import Bond, Conductor, ConductorUse, Device, End, Run

EXACT_ZERO = Pair(0.0, 0.0)
SHOWN = 6
"""As many terminals as a hint lists."""


def si(quantity: Quantity | None) -> float | None:
    """The value in SI, or None."""
    return None if quantity is None else quantity.value


def exact(value: float) -> Pair:
    """A value that was entered."""
    return Pair(value, value)


def written(quantity: Quantity) -> str:
    """A quantity as it was written."""
    return f"{quantity.number} {quantity.unit}"


@dataclass(slots=True)
class Expansion:
    """What is being built, and what is wrong with it so far."""

    installation: Installation
    document: Document
    where: Path
    nodes: dict[str, net.Node] = field(default_factory=dict)
    edges: dict[str, net.Edge] = field(default_factory=dict)
    converters: dict[str, net.Converter] = field(default_factory=dict)
    switches: dict[str, net.Switch] = field(default_factory=dict)
    assumptions: list[Assumption] = field(default_factory=list)
    ids: dict[str, Path] = field(default_factory=dict)
    aliases: dict[str, tuple[str, Path]] = field(default_factory=dict)
    optional: set[str] = field(default_factory=set)
    touched: set[str] = field(default_factory=set)
    broken: set[str] = field(default_factory=set)  # elements whose own faults explain missing terminals
    said: set[tuple[Path, str]] = field(default_factory=set)

    def claim(self, name: str, path: Path) -> bool:
        """Take an id; a second use is a fault."""
        if name in self.ids:
            line = self.document.locate(self.ids[name]).line
            message = f"the id '{name}' stands already in line {line}"
            self.document.report(path, "P601", message, "give each element an id of its own")
            return False
        self.ids[name] = path
        return True

    def terminal(
        self, name: str, owner: str, title: str, path: Path, stud: str | None, *, optional: bool = False
    ) -> None:
        """Declare a terminal of an element."""
        if name in self.nodes:
            if self.nodes[name].path == path:  # two elements of one id are reported as such
                self.document.report(
                    path, "P601", f"the terminal '{name}' is made twice", "rename one of the two"
                )
            return
        self.nodes[name] = net.Node(name, "terminal", title, path, owner, None, stud)
        if optional:
            self.optional.add(name)

    def alias(self, name: str, target: str, path: Path) -> None:
        """Let a terminal sit on another node."""
        self.aliases[name] = (target, path)

    def resolve(self, name: str, path: Path) -> str | None:
        """The node that a name means, aliases followed; reported, once, if there is none."""
        seen = [name]
        current, place = name, path
        while current in self.aliases:
            current, place = self.aliases[current]
            if current in seen:
                self._once(
                    self.aliases[min(seen)][1],
                    "P603",
                    f"'{min(seen)}' leads back to itself",
                    "name a node of its own",
                )
                return None
            seen.append(current)
        if current in self.nodes:
            return current
        owner, _, terminal = current.partition(".")
        if owner not in self.broken:
            hint = self._terminal_hint(current, owner, terminal)
            self._once(place, "P602", f"there is no terminal '{current}'", hint)
        return None

    def _terminal_hint(self, wanted: str, owner: str, terminal: str) -> str:
        """What to write instead: a terminal of that element, a node that is like it, or a new node."""
        known = [*self.nodes, *self.aliases]
        own = sorted(name for name in known if name.startswith(f"{owner}."))
        near = nearest(wanted, known)
        if own:
            some = " or ".join(own[:SHOWN]) + (" ..." if len(own) > SHOWN else "")
            return " ".join(part for part in (near, f"'{owner}' has these: write {some}") if part)
        if terminal:
            new = f"there is no element '{owner}': enter it first, or name a terminal of another, such as 'battery.pos'"
        else:
            new = f"a bus bar, stud or panel of that name is entered under 'nodes': - {{id: {wanted}}}"
        return f"{near} If not: {new}" if near else new

    def _once(self, path: Path, code: str, message: str, hint: str) -> None:
        if (path, message) not in self.said:
            self.said.add((path, message))
            self.document.report(path, code, message, hint)

    def ends(self, a: str, b: str, path_a: Path, path_b: Path, what: str) -> tuple[str, str] | None:
        """Both nodes of an edge, or None if one is missing or they are the same."""
        node_a, node_b = self.resolve(a, path_a), self.resolve(b, path_b)
        if node_a is None or node_b is None:
            return None
        if node_a == node_b:
            self.document.report(
                path_b, "P603", f"{what} begins and ends at '{node_a}'", "name two different terminals"
            )
            return None
        return node_a, node_b

    def add(self, edge: net.Edge) -> None:
        """Add an edge."""
        self.edges[edge.id] = edge
        self.touched |= {edge.a, edge.b}

    def assume(self, name: str, subject: str, path: Path, scale: float = 1.0) -> Pair:
        """A default's pair, scaled; its use is noted."""
        default = DEFAULTS[name]
        self.assumptions.append(Assumption(default, subject, path))
        return Pair(default.max_case * scale, default.min_case * scale, name)

    def given_or(self, value: float | None, name: str, subject: str, path: Path) -> Pair:
        """The value entered, or the default."""
        return self.assume(name, subject, path) if value is None else exact(value)

    def device(self, device: Device, name: str, path: Path, *, line_at_a: bool = True) -> net.Device:
        """A device expanded."""
        assert device.rating is not None
        return net.Device(
            id=name,
            title=device.title or name,
            kind=device.kind,
            type=device.type,
            rating=device.rating.value,
            volts=si(device.volts),
            dc=device.dc,
            breaks=tuple((volts.value, amps.value) for volts, amps in device.breaks),
            polarised=device.polarised,
            line_at_a=line_at_a,
            continuous=si(device.continuous),
            path=path,
            let_through=si(device.let_through),
            curve=tuple((multiple, time.value) for multiple, time in device.curve),
        )

    def run(
        self,
        run: Run,
        name: str,
        nodes: tuple[str, str],
        path: Path,
        use: ConductorUse | net.InnerUse,
        length: Pair,
        *,
        title: str = "",
        devices: tuple[net.Placed, ...] = (),
    ) -> None:
        """Add a conductor."""
        space = run.space if isinstance(run, Conductor | Circuit) else None
        metric = run.area is not None
        area = run.area.value if run.area is not None else awg_area(gauge=run.awg or "")
        strands = None if run.strands is None else float(run.strands.removeprefix("class "))
        ends = {} if not isinstance(run, Conductor | Bond) else run.ends
        made = {
            side: self._end(end, nodes[side == "to"], (*path, "ends", side)) for side, end in ends.items()
        }
        self.add(
            net.Conductor(
                id=name,
                a=nodes[0],
                b=nodes[1],
                title=title or name,
                size=written(run.area) if run.area is not None else f"AWG {run.awg}",
                area=area,
                standard=round(area * 1e6, 6) if metric else None,
                awg=run.awg,
                length=length,
                insulation=self.given_or(si(run.insulation), "insulation", name, path),
                momentary=self._momentary(run, area, name, path),
                stranding=self.given_or(strands, "stranding", name, path),
                tinned=self.given_or(None if run.tinned is None else float(run.tinned), "tinned", name, path),
                ambient=self._ambient(run, space, name, path),
                bundle=self.given_or(run.bundle, "bundle", name, path),
                enclosed=run.enclosed,
                space=space,
                use=use,
                parallel=run.parallel if isinstance(run, Conductor) else 1,
                devices=devices,
                end_a=made.get("from"),
                end_b=made.get("to"),
                path=path,
            )
        )
        if run.enclosed is None:
            self.assume("enclosed", name, path)

    def _momentary(self, run: Run, area: float, name: str, path: Path) -> Pair:
        """What the insulation stands in a short; taken as that which stands least where its material is not stated."""
        material = run.insulation_material
        if material is None:
            return self.assume("insulation-material", name, path)
        limit = momentary_temperature(material=material, area=area)
        if run.insulation is not None and round(run.insulation.value, 6) >= limit:
            written_as = f"{run.insulation.number} {run.insulation.unit}"
            self.document.report(
                (*path, "insulation_material"),
                "P607",
                f"'{material}' cannot be rated for {written_as}: in a short it stands {limit:g} degC for a moment",
                "read the rating and the material off the insulation once more",
            )
        return exact(limit)

    def _ambient(self, run: Run, space: str | None, name: str, path: Path) -> Pair:
        stated = self.installation.ambient
        hot = space == "engine space"
        return self.given_or(
            si(run.ambient or (stated.engine_space if hot else stated.elsewhere)),
            "ambient-engine" if hot else "ambient",
            name,
            path,
        )

    def _end(self, end: End, node: str, path: Path) -> net.End:
        if (end.hole is not None or end.hole_for is not None) and self.nodes[node].stud is None:
            owner = self.nodes[node].owner
            terminal = node.partition(".")[2]
            hint = f"add 'studs: {{{terminal}: M8}}' to '{owner}'" if owner else f"add 'stud: M8' to '{node}'"
            message = f"the lug stands on '{node}', whose stud is not described"
            self.document.report(path, "P612", message, f"{hint}, or 'unknown'")
        if end.barrel is not None and end.barrel_awg is not None:
            self.document.report(
                path, "P619", "both 'barrel' and 'barrel_awg' are given", "keep the one that is stamped on it"
            )
        barrel = (
            end.barrel.value if end.barrel else awg_area(gauge=end.barrel_awg) if end.barrel_awg else None
        )
        torques = end.torque_range
        return net.End(
            barrel=barrel,
            hole=si(end.hole),
            hole_for=end.hole_for,
            crimp=end.crimp,
            metal=end.metal,
            torque=si(end.torque),
            torque_range=None if torques is None else (torques[0].value, torques[1].value),
            path=path,
        )


def _between_blocks(conductor: Conductor, nodes: tuple[str, str], build: Expansion, path: Path) -> None:
    """Cables inside a bank are exempt from a fuse, so the word is kept for those from post to post."""
    batteries = {battery.id for battery in build.installation.batteries}
    for node, end in zip(nodes, ("from", "to"), strict=True):
        if build.nodes[node].owner not in batteries:
            build.document.report(
                (*path, "use"),
                "P619",
                f"'{conductor.id}' is a link between blocks, but '{end}' is no post of a battery",
                "write 'power', 'charging' or 'cranking'",
            )


def conductors(build: Expansion) -> None:
    """Conductors, bonds, joins, inline devices and circuits."""
    for n, conductor in enumerate(build.installation.conductors):
        path = (*build.where, "conductors", n)
        nodes = build.ends(conductor.from_, conductor.to, (*path, "from"), (*path, "to"), f"'{conductor.id}'")
        devices = _placed(conductor, build, path)
        if nodes is not None:
            if conductor.use == "link":
                _between_blocks(conductor, nodes, build, path)
            length = exact(conductor.length.value)
            title = conductor.title or conductor.id
            build.run(
                conductor, conductor.id, nodes, path, conductor.use, length, title=title, devices=devices
            )
    for n, bond in enumerate(build.installation.bonds):
        path = (*build.where, "bonds", n)
        nodes = build.ends(bond.from_, bond.to, (*path, "from"), (*path, "to"), f"'{bond.id}'")
        if nodes is not None:
            length = build.given_or(si(bond.length), "bond-length", bond.id, path)
            build.run(bond, bond.id, nodes, path, "bond", length, title=bond.title or bond.id)
    for n, join in enumerate(build.installation.joins):
        path = (*build.where, "joins", n)
        nodes = build.ends(join.from_, join.to, (*path, "from"), (*path, "to"), f"'{join.id}'")
        if nodes is not None:
            build.add(net.Join(join.id, *nodes, join.title or join.id, EXACT_ZERO, path))
    for n, inline in enumerate(build.installation.devices):
        path = (*build.where, "devices", n)
        nodes = build.ends(f"{inline.id}.in", f"{inline.id}.out", path, path, f"'{inline.id}'")
        if nodes is not None:
            device = build.device(inline, inline.id, path)
            build.add(net.Inline(inline.id, *nodes, device.title, device, path))
    for n, circuit in enumerate(build.installation.circuits):
        _circuit(circuit, build, (*build.where, "circuits", n))


def _circuit(circuit: Circuit, build: Expansion, path: Path) -> None:
    title, length = circuit.title or circuit.id, exact(circuit.length.value)
    feed = build.ends(circuit.from_, f"{circuit.id}.pos", (*path, "from"), path, f"'{circuit.id}'")
    back = build.ends(f"{circuit.id}.neg", circuit.to, path, (*path, "to"), f"'{circuit.id}'")
    devices: tuple[net.Placed, ...] = ()
    if circuit.device is not None:
        name = circuit.device.id or f"{circuit.id}.fuse"
        devices = (net.Placed(build.device(circuit.device, name, (*path, "device")), 0.0),)
    if feed is not None:
        build.run(
            circuit,
            f"{circuit.id}.feed",
            feed,
            path,
            "power",
            length,
            title=f"{title}, feed",
            devices=devices,
        )
    if back is not None:
        build.run(circuit, f"{circuit.id}.return", back, path, "power", length, title=f"{title}, return")


def _placed(conductor: Conductor, build: Expansion, path: Path) -> tuple[net.Placed, ...]:
    """The devices in a conductor, in their order from its 'from' end, which also numbers those without an id."""
    found = []
    for n, device in enumerate(conductor.devices):
        at = 0.0 if device.at is None else device.at.value
        if device.at is not None and not 0 <= at <= conductor.length.value + 1e-9:
            message = f"the device stands at {written(device.at)}, but '{conductor.id}' is {written(conductor.length)} long"
            build.document.report(
                (*path, "devices", n, "at"), "P608", message, "distances count from the 'from' end"
            )
        else:
            found.append((at, n, device))
    placed = []
    for number, (at, n, device) in enumerate(sorted(found, key=lambda item: item[:2]), start=1):
        name = device.id or f"{conductor.id}.fuse" + (f"-{number}" if len(found) > 1 else "")
        expanded = build.device(device, name, (*path, "devices", n), line_at_a=device.line == "from")
        placed.append(net.Placed(expanded, at))
    return tuple(placed)


def claim_all(build: Expansion) -> None:
    """Take every id that the file gives or that the expansion makes."""
    written_lists: tuple[tuple[str, Iterable[object]], ...] = tuple(
        (name, getattr(build.installation, name))
        for name in (
            "nodes", "batteries", "sources", "converters", "diodes", "switches", "relays", "devices", "conductors",
            "joins", "loads", "circuits", "bonds", "states",
        )
    )  # fmt: skip
    for name, entries in written_lists:
        for n, entry in enumerate(entries):
            path = (*build.where, name, n)
            build.claim(str(getattr(entry, "id", "")), (*path, "id"))
            inner: list[tuple[Path, Device | None]] = [(("device",), getattr(entry, "device", None))]
            inner += [(("devices", i), device) for i, device in enumerate(getattr(entry, "devices", ()))]
            for steps, device in inner:
                if device is not None and device.id is not None:
                    build.claim(device.id, (*path, *steps, "id"))
