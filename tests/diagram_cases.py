"""Installations to draw: the acceptance boats and random ones, with lengths and defects made up by hand."""

from __future__ import annotations

import random
from collections.abc import Mapping
from itertools import pairwise
from pathlib import Path
from typing import Any

import yaml

from lugbook.assess.evidence.poles import poles
from lugbook.compose.diagram import compose_diagram
from lugbook.load.faults import build
from lugbook.load.files import read_document
from lugbook.load.installation import load_installation
from lugbook.model.diagram import DiagramView
from lugbook.model.evidence import Stretch
from lugbook.model.installation import InstallationFile
from lugbook.model.network import Network
from lugbook.words.catalogue import load_words

BOATS = Path(__file__).parent / "boats"
NAMES = sorted(path.stem for path in BOATS.glob("*.yaml"))
WORDS = load_words()
LOADS = ("lamp", "motor", "cranking motor", "electronics", "heater", "other")
SIZES = ("1.5 mm2", "10 mm2", "120 mm2")


def load(path: Path) -> Network:
    """The network of a file, which must be without errors."""
    document = read_document(path, path.name)
    file = build(InstallationFile, document)
    network = None if file is None else load_installation(file.installation, document)
    assert network is not None, document.problems
    return network


def load_data(data: Mapping[str, Any], folder: Path) -> Network:
    """The network of an installation written as data."""
    path = folder / "installation.yaml"
    path.write_text(yaml.safe_dump({"installation": data}, sort_keys=False), encoding="utf-8")
    return load(path)


def stretches(network: Network, back: frozenset[str], chance: random.Random) -> tuple[Stretch, ...]:
    """Lengths as the analyses might find them: whole conductors, and lengths up to and from a device."""
    found = []
    for cable in network.conductors:
        whole = cable.length.max_case
        if cable.a in back or cable.use == "bond" or chance.random() < 0.4:
            continue
        if cable.devices:
            at = cable.devices[0].at
            found.append(Stretch(cable.id, 0.0, at) if at > whole / 2 else Stretch(cable.id, at, whole))
        else:
            found.append(Stretch(cable.id, 0.0, whole))
    return tuple(found)


def drawn(network: Network, seed: int = 0, *, marked: bool = True) -> DiagramView:
    """The drawing, with defects at many kinds of places unless it is not to be `marked`."""
    chance, back = random.Random(seed), poles(network).back
    places = [*network.nodes, *network.edges, *network.switches, *network.converters]
    defects: dict[str, list[int]] = {}
    for number in range(1, min(len(places), 30) if marked else 0):
        defects.setdefault(chance.choice(places), []).append(number)
    return compose_diagram(network, back, stretches(network, back, chance), defects, WORDS)


def random_installation(seed: int) -> dict[str, Any]:
    """An installation with anything wired to anything, on the live side and on the return side."""
    chance = random.Random(seed)
    pick, count = chance.choice, chance.randint
    data: dict[str, Any] = {
        "system": "12 V",
        "earthing": {"kind": "negative-earthed", "at": "engine"},
        "nodes": [{"id": "engine", "kind": "body", "body": "engine"}, {"id": "neg-bus", "title": "Negative bus"}],
        "batteries": [], "sources": [], "converters": [], "diodes": [], "switches": [], "relays": [],
        "loads": [], "conductors": [], "circuits": [], "bonds": [], "devices": [], "joins": [],
    }  # fmt: skip
    live: list[str] = []
    low: list[str] = []
    for n in range(count(1, 4)):
        name = f"battery-{n}"
        battery = {
            "id": name,
            "title": pick(TITLES),
            "chemistry": "flooded",
            "capacity": f"{count(50, 900)} Ah",
        }
        data["batteries"].append(
            battery | pick(({}, {"parallel": 2}, {"parallel": 3, "take_off": "bus bars"}))
        )
        live.append(f"{name}.pos")
        low.append(f"{name}.neg")
    for n in range(count(0, 3)):
        kind = pick(("alternator", "mains charger", "pv", "wind"))
        source = {
            "id": f"source-{n}",
            "kind": kind,
            "current": f"{count(5, 150)} A",
            "volts": ["13.8 V", "14.4 V"],
        }
        data["sources"].append(source | {"title": pick(TITLES), "neg": "engine"})
        live.append(f"source-{n}.pos")
    for n in range(count(0, 4)):
        kind = pick(("on-off", "off-1-both-2"))
        data["switches"].append({"id": f"switch-{n}", "kind": kind, "title": pick(TITLES)})
        live += [f"switch-{n}.{c}" for c in (("in", "out") if kind == "on-off" else ("1", "2", "common"))]
    for n in range(count(0, 2)):
        data["relays"].append({"id": f"relay-{n}", "kind": "combiner", "title": pick(TITLES)})
        live += [f"relay-{n}.a", f"relay-{n}.b"]
        data["diodes"].append({"id": f"diode-{n}", "outputs": count(1, 3)})
        live += [f"diode-{n}.in", f"diode-{n}.1"]
        data["devices"].append(
            {"id": f"breaker-{n}", "kind": "breaker", "rating": "63 A", "title": pick(TITLES)}
        )
        live += [f"breaker-{n}.in", f"breaker-{n}.out"]
    for n in range(count(0, 2)):
        ports = [{"name": "in", "direction": "in"}, {"name": "out", "direction": "out"}]
        data["converters"].append({"id": f"conv-{n}", "kind": "dc-dc", "ports": ports, "title": pick(TITLES)})
        live += [f"conv-{n}.in", f"conv-{n}.out"]
        low.append(f"conv-{n}.neg")
    panels = [f"panel-{n}" for n in range(count(1, 3))]
    data["nodes"] += [{"id": name, "kind": pick(("panel", "bus")), "title": pick(TITLES)} for name in panels]
    live += panels
    for n in range(count(0, 4)):
        load_ = {
            "id": f"load-{n}",
            "kind": pick(LOADS),
            "current": f"{count(1, 200)} A",
            "title": pick(TITLES),
        }
        data["loads"].append(load_ | {"neg": pick(("engine", "neg-bus"))})
        live.append(f"load-{n}.pos")
    for n in range(count(0, 12 if seed % 10 else 60)):
        circuit = {"id": f"circuit-{n}", "title": pick(TITLES), "kind": pick(LOADS), "from": pick(panels)}
        circuit |= {"to": "neg-bus", "current": "5 A", "area": pick(SIZES), "length": f"{count(1, 20)} m"}
        data["circuits"].append(circuit | pick(({}, {"device": {"type": "blade", "rating": "7.5 A"}})))
    chance.shuffle(live)
    pairs = [*pairwise(live), *(chance.sample(live, 2) for _ in range(count(0, 8)))]
    pairs += [(name, "neg-bus") for name in low]
    for n, (a, b) in enumerate(pairs):
        cable = {"id": f"cable-{n}", "from": a, "to": b, "area": pick(SIZES), "length": "2.75 m"}
        if chance.random() < 0.5:
            cable["devices"] = [
                {"rating": pick(("5 A", "400 A")), "at": pick(("0 m", "0.2 m", "1.5 m", "2.75 m"))}
            ]
            if chance.random() < 0.2:
                cable["devices"].append(
                    {"kind": "breaker", "rating": "100 A", "at": pick(("0.3 m", "2.6 m"))}
                )
        data["conductors"].append(
            cable | pick(({}, {"use": "charging"}, {"use": "control"}, {"parallel": 2}))
        )
    data["bonds"].append({"id": "earth", "from": "neg-bus", "to": "engine", "area": "16 mm2"})
    return data


TITLES = (
    "Panel", "Battery switch", "A very long name that no box of the drawing can hold in whatever number of lines",
    "Donaudampfschifffahrtsgesellschaftskapitän", "VHF & <radio>", "Éclairage", "Anchor windlass of the foredeck",
)  # fmt: skip
