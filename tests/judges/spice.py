"""Random boat-like networks, and what ngspice says of them: node voltages, and the current of a short.

ngspice (a circuit simulator, from Debian) gets a netlist with the elements' laws written out: behavioural current
sources for the limits, nothing of the program's own matrices. It runs in batch, one process for each operating point.
"""

from __future__ import annotations

import random
import subprocess
from dataclasses import dataclass
from pathlib import Path

from lugbook.calc._nodal_elements import LEAK
from lugbook.calc.nodal import Cell, Draw, Element, Power, Resistor, Supply, Valve

HEAD = ".options reltol=1e-6 abstol=1e-7 vntol=1e-8 itl1=2000 itl2=2000\n"


@dataclass(frozen=True)
class Trial:
    """A network, and the shorts to try on it: from, to, arc voltage."""

    elements: tuple[Element, ...]
    shorts: tuple[tuple[str, str, float], ...]


def trial(seed: int) -> Trial:
    """A network of 4 to 40 nodes: batteries, rings, links, diodes, limited sources, converters, open and closed contacts."""
    chance = random.Random(seed)
    count = chance.randint(4, 40)
    nodes = [f"n{k}" for k in range(count)]
    system = chance.choice((12.0, 24.0, 48.0))
    elements: list[Element] = []

    def two() -> tuple[str, str]:
        a, b = chance.sample(nodes, 2)
        return a, b

    def name(kind: str) -> str:
        return f"{kind}{len(elements)}"

    def cable() -> float:
        return 10 ** chance.uniform(-3.7, -0.7)

    for k in range(1, count):  # a tree, so that all hangs together
        elements.append(Resistor(name("r"), nodes[chance.randrange(k)], nodes[k], cable()))
    for _ in range(chance.randint(0, count // 4)):  # rings
        elements.append(Resistor(name("r"), *two(), cable()))
    for _ in range(chance.randint(0, 4)):  # switches: those that are open are not there
        if chance.random() < 0.6:
            elements.append(Resistor(name("k"), *two(), 1e-6))
    live = nodes[count // 2 :]
    for _ in range(chance.randint(1, 4)):  # the tree gets batteries across it, against a few return nodes
        ohms = 10 ** chance.uniform(-3, -1.7)
        elements.append(
            Cell(
                name("b"),
                chance.choice(live),
                chance.choice(nodes[: count // 2]),
                system * chance.uniform(0.98, 1.08),
                ohms,
            )
        )
    for _ in range(chance.randint(0, 3)):
        elements.append(
            Supply(
                name("s"),
                chance.choice(live),
                nodes[0],
                system * chance.uniform(1.1, 1.25),
                chance.uniform(5, 150),
                1e-3,
            )
        )
    for _ in range(chance.randint(0, 3)):
        elements.append(Valve(name("d"), *two(), chance.choice((0.0, 0.3, 0.7, 1.0)), 2e-3))
    for _ in range(chance.randint(0, 3)):
        elements.append(Draw(name("i"), chance.choice(live), nodes[0], chance.uniform(0.5, 30)))
    if chance.random() < 0.4:  # a converter: constant power in, limited current out on a part of its own
        amperes, volts = chance.uniform(2, 15), system * chance.uniform(0.5, 1.2)
        elements.append(Power(name("p"), chance.choice(live), nodes[0], amperes * volts / 0.9, system * 0.75))
        elements.append(Supply(name("s"), "out", "back", volts, amperes, 1e-3))
        elements.append(Resistor(name("r"), "out", "back", chance.uniform(0.2, 20)))
        elements.append(Cell(name("b"), "out", "back", volts * 0.9, 0.01))
    shorts = [
        (chance.choice(live), chance.choice(nodes[: count // 2]), chance.choice((0.0, 0.0, 4.0)))
        for _ in range(3)
    ]
    return Trial(tuple(elements), tuple(shorts))


def netlist(
    elements: tuple[Element, ...], short: tuple[str, str, float] | None, *, in_time: bool = False
) -> str:
    """The network for ngspice; with a short, its current is that of the source Vshort.

    `in_time`: the network comes to rest in time, with a capacitor at each node; for those where the plain search for
    the operating point swings between two pieces of a law for ever.
    """
    lines = ["* random network", HEAD.strip(), "Rref n0 0 1"]
    if any(element.a == "out" for element in elements):
        lines.append("Rback back 0 1")
    for element in elements:
        a, b, across = element.a, element.b, f"(v({element.a})-v({element.b}))"
        if isinstance(element, Resistor):
            lines.append(f"R{element.id} {a} {b} {element.ohms!r}")
        elif isinstance(element, Cell):
            lines += [
                f"V{element.id} {a} {element.id}m {element.volts!r}",
                f"R{element.id} {element.id}m {b} {element.ohms!r}",
            ]
        elif isinstance(element, Draw):
            lines.append(f"I{element.id} {a} {b} {element.amperes!r}")
        elif isinstance(element, Valve):
            lines.append(f"B{element.id} {a} {b} I = max(0, ({across}-{element.volts!r})/{element.ohms!r})")
            lines.append(f"R{element.id} {a} {b} {1 / LEAK!r}")
        elif isinstance(element, Supply):
            lines.append(
                f"B{element.id} {a} {b} I = -max(0, min({element.amperes!r}, ({element.volts!r}-{across})/{element.ohms!r}))"
            )
        else:
            lines.append(
                f"B{element.id} {a} {b} I = {across} > {element.floor!r} ? {element.watts!r}/max({across},1e-3) : {element.watts!r}*max({across},0)/{element.floor**2!r}"
            )
    if short is not None:
        lines.append(f"Vshort {short[0]} {short[1]} {short[2]!r}")
    analysis = ["op", "print all"]
    if in_time:
        nodes = dict.fromkeys(node for element in elements for node in (element.a, element.b))
        lines += [f"C{node} {node} 0 1m ic=0" for node in nodes]
        wanted = [*(f"v({node})" for node in nodes), *(["i(Vshort)"] if short else [])]
        analysis = [
            "tran 1m 5 4.99 uic",
            *(f"let last = {one}[length({one})-1]\nprint last" for one in wanted),
        ]
    return "\n".join([*lines, ".control", "set numdgt=10", *analysis, ".endc", ".end", ""])


def ngspice(
    elements: tuple[Element, ...], short: tuple[str, str, float] | None, folder: Path
) -> dict[str, float] | None:
    """Node voltages, and the short's current as `short`; None where ngspice finds no state of rest."""
    found = _run(netlist(elements, short), folder)
    if "vshort#branch" in found:
        found["short"] = found["vshort#branch"]
    if found:
        return found
    nodes = dict.fromkeys(node for element in elements for node in (element.a, element.b))
    names = [*nodes, *(["short"] if short else [])]
    values = _run(netlist(elements, short, in_time=True), folder, inorder=True)
    return dict(zip(names, values.values(), strict=True)) if len(values) == len(names) else None


def _run(text: str, folder: Path, *, inorder: bool = False) -> dict[str, float]:
    file = folder / "network.cir"
    file.write_text(text, encoding="utf-8")
    run = subprocess.run(
        ["ngspice", "-b", str(file)], cwd=folder, capture_output=True, text=True, check=False
    )
    found: dict[str, float] = {}
    for line in run.stdout.splitlines():
        name, equals, value = line.partition(" = ")
        if inorder and name == "last":
            found[str(len(found))] = float(value)
        elif equals and (name.startswith("n") or "#branch" in name or name in ("out", "back")):
            found[name.strip()] = float(value)
    return found
