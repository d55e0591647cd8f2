"""Sources, converters, diodes, switches, relays and loads of the written installation -> edges."""

from __future__ import annotations

from lugbook.load.expand import EXACT_ZERO, Expansion, exact, si, written
from lugbook.load.expand_batteries import battery_edges
from lugbook.load.expand_terminals import contacts_of
from lugbook.load.faults import nearest
from lugbook.model import network as net
from lugbook.model.apparatus import (
    SWITCHES,
    Circuit,
    Converter,
    Diode,
    Load,
    Pairs,
    Relay,
    Source,
    Switch,
)
from lugbook.model.defaults import Pair
from lugbook.model.problem import Path

# The ports that each kind of converter needs: how many, and whether one must take in and one give out.
NEEDED_PORTS = {"dc-dc": (2, True), "pv-controller": (2, True), "equaliser": (2, False), "inverter": (1, False), "inverter-charger": (1, False), "other": (1, False)}  # fmt: skip


def elements(build: Expansion) -> None:
    """Add the edges of all elements."""
    plan = build.installation
    for n, battery in enumerate(plan.batteries):
        battery_edges(battery, build, (*build.where, "batteries", n))
    for n, converter in enumerate(plan.converters):
        _converter(converter, build, (*build.where, "converters", n))
    for n, diode in enumerate(plan.diodes):
        _diode(diode, build, (*build.where, "diodes", n))
    for n, switch in enumerate(plan.switches):
        _switch(switch, build, (*build.where, "switches", n))
    for n, relay in enumerate(plan.relays):
        _relay(relay, build, (*build.where, "relays", n))
    for n, load in enumerate(plan.loads):
        _load(load, build, (*build.where, "loads", n))
    for n, circuit in enumerate(plan.circuits):
        _load(circuit, build, (*build.where, "circuits", n))


def sources(build: Expansion) -> None:
    """Add the sources; after the conductors, because a sense terminal counts only if something goes to it."""
    for n, source in enumerate(build.installation.sources):
        _source(source, build, (*build.where, "sources", n))


def _source(source: Source, build: Expansion, path: Path) -> None:
    name, title = source.id, source.title or source.id
    many = source.outputs > 1
    nodes = build.ends(
        f"{name}.core" if many else f"{name}.pos", f"{name}.neg", (*path, "pos"), (*path, "neg"), f"'{name}'"
    )
    if nodes is None:
        return
    if source.volts is not None and source.volts[0].value > source.volts[1].value:
        build.document.report(
            (*path, "volts"), "P619", "the lowest voltage is above the highest", "write the lower one first"
        )
    if source.volts is not None:
        volts = Pair(source.volts[1].value, source.volts[0].value)
    else:
        default = "pv-volts" if source.kind == "pv" else "source-volts"
        volts = build.assume(default, name, path, build.installation.system.value / 12)
    limited = True if source.self_limited is None and source.kind == "pv" else source.self_limited
    if limited is None:
        build.assume("self-limited", name, path)
    sense = f"{name}.sense"
    if sense in build.aliases:
        sensed = build.resolve(sense, (*path, "sense")) or nodes[0]
    else:
        sensed = sense if sense in build.touched else nodes[0]
    build.add(
        net.Source(
            name, *nodes, title, source.kind, source.current.value, limited, volts, source.field, sensed, path
        )
    )
    each = source.output_current
    _outputs(source, build, path)
    for k in range(source.outputs if many else 0):
        inner = build.ends(f"{name}.core", f"{name}.{k + 1}", path, path, f"'{name}'")
        if inner is not None:
            build.add(
                net.Diode(
                    f"{name}:{k + 1}",
                    *inner,
                    f"{title}, output {k + 1}",
                    name,
                    EXACT_ZERO,
                    (each or source.current).value,
                    path,
                )
            )


def _outputs(source: Source, build: Expansion, path: Path) -> None:
    """What each of several outputs gives: as entered, if it can be, else the whole current."""
    each, place = source.output_current, (*path, "output_current")
    if each is None:
        if source.outputs > 1:
            build.assume("whole-output", source.id, path)
    elif source.outputs == 1:
        build.document.report(
            place, "P619", f"'{source.id}' has one output only", "add 'outputs', or delete this line"
        )
    elif each.value > source.current.value:
        build.document.report(
            place,
            "P619",
            "one output gives more than all together",
            "write what all outputs give together under 'current'",
        )


def _converter(converter: Converter, build: Expansion, path: Path) -> None:
    name, title = converter.id, converter.title or converter.id
    least, both_ways = NEEDED_PORTS[converter.kind]
    directions = {port.direction for port in converter.ports}
    missing = [way for way in ("in", "out") if both_ways and not directions & {way, "both"}]
    if len(converter.ports) < least or missing:
        what = (
            f"lacks a port with direction {' and '.join(missing)}"
            if missing
            else f"needs at least {least} port{'s' * (least > 1)}, got {len(converter.ports)}"
        )
        where = (*path, "ports") if converter.ports else path
        build.broken.add(name)
        build.document.report(
            where,
            "P611",
            f"the {converter.kind} '{name}' {what}",
            "write for instance '- {name: in, direction: in, volts: [11 V, 16 V], current: 35 A}'",
        )
    doubles = {port.name for port in converter.ports if sum(p.name == port.name for p in converter.ports) > 1}
    made = []
    for n, port in enumerate(converter.ports):
        where = (*path, "ports", n)
        if port.name in doubles:
            continue
        if port.volts is not None and port.volts[0].value > port.volts[1].value:
            build.document.report(
                (*where, "volts"),
                "P619",
                "the lowest voltage is above the highest",
                "write the lower one first",
            )
        negative = f"{name}.{port.name}-neg" if converter.isolated else f"{name}.neg"
        nodes = build.ends(f"{name}.{port.name}", negative, where, (*path, "neg"), f"'{name}'")
        if nodes is None:
            continue
        volts = None if port.volts is None else (port.volts[0].value, port.volts[1].value)
        made.append(f"{name}:{port.name}")
        build.add(
            net.Port(
                made[-1],
                *nodes,
                f"{title}, {port.name}",
                name,
                port.name,
                port.direction,
                volts,
                si(port.current),
                si(port.power),
                where,
            )
        )
    efficiency = build.given_or(si(converter.efficiency), "efficiency", name, path)
    build.converters[name] = net.Converter(
        name,
        title,
        converter.kind,
        tuple(made),
        converter.isolated,
        converter.back_feed,
        efficiency,
        si(converter.idle),
        path,
        converter.constant_power,
    )


def _diode(diode: Diode, build: Expansion, path: Path) -> None:
    drop = build.given_or(si(diode.drop), "diode-drop", diode.id, path)
    for k in range(diode.outputs):
        nodes = build.ends(f"{diode.id}.in", f"{diode.id}.{k + 1}", path, path, f"'{diode.id}'")
        if nodes is not None:
            name = diode.id if diode.outputs == 1 else f"{diode.id}:{k + 1}"
            build.add(
                net.Diode(name, *nodes, diode.title or diode.id, diode.id, drop, si(diode.current), path)
            )


def _switch(switch: Switch, build: Expansion, path: Path) -> None:
    name, title, report = switch.id, switch.title or switch.id, build.document.report
    contacts = contacts_of(switch)
    if switch.kind != "own" and (switch.contacts or switch.positions):
        report(
            path,
            "P619",
            f"the switch '{name}' is of kind '{switch.kind}', yet contacts or positions are written out",
            "write 'kind: own', or delete them",
        )
    if switch.kind == "own" and not (switch.contacts and switch.positions):
        report(
            path,
            "P604",
            f"the switch '{name}' of kind 'own' needs 'contacts' and 'positions'",
            "write 'contacts: [a, b]' and 'positions: {off: [], on: [[a, b]]}'",
        )
    positions: dict[str, Pairs] = dict(switch.positions) if switch.kind == "own" else SWITCHES[switch.kind][1]
    made: dict[str, tuple[str, ...]] = {}
    for position, pairs in positions.items():
        where = (*path, "positions", position)
        if not pairs and position != "off":
            report(
                where,
                "P604",
                f"the position '{position}' closes no contacts",
                "list the pairs, such as [[common, 1]]; only 'off' closes none",
            )
        closed = []
        for k, (x, y) in enumerate(pairs):
            for i, contact in enumerate((x, y)):
                if contact not in contacts:
                    report(
                        (*where, k, i),
                        "P604",
                        f"the switch '{name}' has no contact '{contact}'",
                        nearest(contact, contacts) or f"it has: {', '.join(contacts)}",
                    )
            if x in contacts and y in contacts:
                edge = _contact(name, title, x, y, build, (*where, k) if switch.kind == "own" else path)
                closed += [edge] if edge else []
        made[position] = tuple(closed)
    unused = [
        contact
        for contact in contacts
        if not any(contact in pair for pairs in positions.values() for pair in pairs)
    ]
    if unused and switch.kind == "own" and switch.positions:
        report(
            (*path, "contacts"),
            "P620",
            f"no position closes the contact '{unused[0]}'",
            "correct the positions",
            severity="warning",
        )
    usual = switch.usual or _usual(switch, positions)
    if positions and usual not in positions:
        report(
            (*path, "usual"),
            "P604",
            f"the switch '{name}' has no position '{usual}'",
            nearest(usual, positions),
        )
    build.switches[name] = net.Switch(
        name,
        title,
        None,
        made,
        usual,
        switch.make_before_break,
        si(switch.current),
        si(switch.short_time),
        None,
        None,
        None,
        (),
        path,
    )


def _usual(switch: Switch, positions: dict[str, Pairs]) -> str:
    """Where a switch stands if nothing says so: as its kind has it, else the first position that closes something."""
    if switch.kind != "own":
        return SWITCHES[switch.kind][2]
    return next((position for position, pairs in positions.items() if pairs), next(iter(positions), ""))


def _contact(owner: str, title: str, x: str, y: str, build: Expansion, path: Path) -> str | None:
    nodes = build.ends(f"{owner}.{x}", f"{owner}.{y}", path, path, f"the contact {x} to {y} of '{owner}'")
    if nodes is None:
        return None
    first, second = sorted((x, y))
    name = f"{owner}:{first}-{second}"
    if name not in build.edges:
        build.add(net.Contact(name, *nodes, f"{title}, {x} to {y}", owner, path))
    return name


def _relay(relay: Relay, build: Expansion, path: Path) -> None:
    name, title = relay.id, relay.title or relay.id
    contact = _contact(name, title, "a", "b", build, path)
    closed = (contact,) if contact else ()
    if relay.cut_in is not None and relay.cut_out is not None and relay.cut_out.value >= relay.cut_in.value:
        build.document.report(
            (*path, "cut_out"),
            "P619",
            f"'{name}' opens at {written(relay.cut_out)}, not below {written(relay.cut_in)} at which it closes",
            "exchange them",
        )
    build.switches[name] = net.Switch(
        name, title, relay.kind, {"open": (), "closed": closed}, relay.normally, None, si(relay.current),
        si(relay.short_time), si(relay.cut_in), si(relay.cut_out), si(relay.delay), relay.senses, path,
    )  # fmt: skip


def coils(build: Expansion) -> None:
    """Add the control circuits of relays, where conductors go to them."""
    for n, relay in enumerate(build.installation.relays):
        path = (*build.where, "relays", n)
        plus, minus = f"{relay.id}.coil-pos", f"{relay.id}.coil-neg"
        # A combiner without a feed of its own draws its control current from the side that it senses.
        top = plus if plus in build.touched else f"{relay.id}.{(relay.senses or ('a',))[0]}"
        if minus not in build.touched:
            continue
        current = build.given_or(si(relay.coil), "coil", relay.id, path)
        title = f"{relay.title or relay.id}, control"
        build.add(
            net.Load(
                f"{relay.id}:coil",
                top,
                minus,
                title,
                relay.id,
                "coil",
                current,
                None,
                "continuous",
                None,
                None,
                "none",
                False,
                None,
                path,
            )
        )


def _load(load: Load | Circuit, build: Expansion, path: Path) -> None:
    nodes = build.ends(f"{load.id}.pos", f"{load.id}.neg", (*path, "pos"), (*path, "neg"), f"'{load.id}'")
    if nodes is None:
        return
    build.add(
        net.Load(
            id=load.id,
            a=nodes[0],
            b=nodes[1],
            title=load.title or load.id,
            owner=load.id,
            kind=load.kind,
            current=None if load.current is None else exact(load.current.value),
            power=si(load.power),
            duty=load.duty,
            stall=si(load.stall),
            max_fuse=si(load.max_fuse),
            needed=load.needed,
            critical=load.needed != "none" if load.critical is None else load.critical,
            constant_power=load.constant_power,
            path=path,
        )
    )
