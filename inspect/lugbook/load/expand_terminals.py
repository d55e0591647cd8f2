"""The terminals of every element, declared before any conductor names them."""

from __future__ import annotations

from lugbook.load.expand import Expansion
from lugbook.load.expand_batteries import battery_terminals
from lugbook.load.faults import nearest
from lugbook.model import network as net
from lugbook.model.apparatus import SWITCHES, Switch
from lugbook.model.problem import Path
from lugbook.model.wiring import Element


def terminals(build: Expansion) -> None:
    """Declare every terminal, so that conductors can name them."""
    plan = build.installation
    for n, node in enumerate(plan.nodes):
        path = (*build.where, "nodes", n)
        if node.body is not None and node.kind != "body":
            build.document.report(
                (*path, "body"),
                "P619",
                f"'{node.id}' names a body, but its kind is '{node.kind}'",
                "write 'kind: body'",
            )
        body = (node.body or "other") if node.kind == "body" else None
        build.nodes.setdefault(
            node.id, net.Node(node.id, node.kind, node.title or node.id, path, "", body, node.stud)
        )
    for n, battery in enumerate(plan.batteries):
        battery_terminals(battery, build, (*build.where, "batteries", n))
    for n, source in enumerate(plan.sources):
        path = (*build.where, "sources", n)
        outputs = ["pos"] if source.outputs == 1 else [str(k + 1) for k in range(source.outputs)]
        _declare(source, [*outputs, "neg"], build, path, optional=("sense", "field"))
        if source.outputs > 1:
            build.terminal(f"{source.id}.core", source.id, f"{source.title or source.id}, inside", path, None)
    for n, converter in enumerate(plan.converters):
        names = [port.name for port in converter.ports]
        negatives = [f"{name}-neg" for name in names] if converter.isolated else ["neg"]
        _declare(converter, [*names, *negatives], build, (*build.where, "converters", n))
    for n, diode in enumerate(plan.diodes):
        _declare(
            diode, ["in", *(str(k + 1) for k in range(diode.outputs))], build, (*build.where, "diodes", n)
        )
    for n, switch in enumerate(plan.switches):
        _declare(switch, list(contacts_of(switch)), build, (*build.where, "switches", n))
    for n, relay in enumerate(plan.relays):
        _declare(relay, ["a", "b"], build, (*build.where, "relays", n), optional=("coil-pos", "coil-neg"))
    for n, inline in enumerate(plan.devices):
        _declare(inline, ["in", "out"], build, (*build.where, "devices", n))
    for n, load in enumerate(plan.loads):
        _declare(load, ["pos", "neg"], build, (*build.where, "loads", n))
    for n, circuit in enumerate(plan.circuits):
        path = (*build.where, "circuits", n)
        for name in ("pos", "neg"):
            build.terminal(f"{circuit.id}.{name}", circuit.id, circuit.title or circuit.id, path, None)


def _declare(
    element: Element, names: list[str], build: Expansion, path: Path, *, optional: tuple[str, ...] = ()
) -> None:
    for key in element.studs:
        if key not in (*names, *optional):
            every = (*names, *optional)
            near = nearest(key, every)
            hint = f"{near} " if near else ""
            hint += (
                f"write 'studs: {{{every[0]}: {element.studs[key]}}}'; '{element.id}' has {', '.join(every)}"
            )
            build.document.report(
                (*path, "studs", key), "P602", f"'{element.id}' has no terminal '{key}'", hint, on_key=True
            )
    for name in (*names, *optional):
        target = getattr(element, name, None) if name in ("pos", "neg", "sense") else None
        full = f"{element.id}.{name}"
        if target is not None:
            build.alias(full, target, (*path, name))
        else:
            title = f"{element.title or element.id}, {name}"
            build.terminal(full, element.id, title, path, element.studs.get(name), optional=name in optional)


def contacts_of(switch: Switch) -> tuple[str, ...]:
    """The contacts of a switch, by its kind or as written."""
    return switch.contacts if switch.kind == "own" else SWITCHES[switch.kind][0]
