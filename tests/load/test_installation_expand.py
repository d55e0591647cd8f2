"""What the written form expands to: banks, circuits, chargers, states, and what is assumed."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from math import pi
from pathlib import Path
from typing import Any

import pytest

from lugbook.load.faults import build
from lugbook.load.files import read_document
from lugbook.load.installation import load_installation
from lugbook.load.tree import parse
from lugbook.model.defaults import DEFAULTS
from lugbook.model.installation import InstallationFile
from lugbook.model.network import Battery, Conductor, Diode, Inline, Join, Load, Network, Port, Source, State
from lugbook.model.schema import schema

BOATS = sorted((Path(__file__).parents[1] / "boats").glob("*.yaml"))
LAMP = "\n  circuits: [{id: lamp, from: bank.pos, to: bank.neg, current: 1 A, area: 1 mm2, length: 1 m}]\n"


def network_of(text: str) -> Network:
    document = parse(f"installation:\n  system: 12 V\n{text}", "boat.yaml")
    file = build(InstallationFile, document)
    network = None if file is None else load_installation(file.installation, document)
    assert [problem for problem in document.problems if problem.severity == "error"] == []
    assert network is not None
    return network


def boat(name: str) -> Network:
    (path,) = (path for path in BOATS if path.stem == name)
    document = read_document(path, path.name)
    file = build(InstallationFile, document)
    assert file is not None
    network = load_installation(file.installation, document)
    assert network is not None
    return network


def state(network: Network, name: str) -> State:
    (found,) = (entry for entry in network.states if entry.id == name)
    return found


def ends(network: Network, *kinds: type) -> dict[str, tuple[str, str]]:
    return {edge.id: (edge.a, edge.b) for edge in network.of(*kinds)}


def test_a_single_battery() -> None:
    network = network_of("  batteries: [{id: bank, chemistry: gel, capacity: 60 Ah}]" + LAMP)
    assert ends(network, Battery) == {"bank": ("bank.pos", "bank.neg")}
    (battery,) = network.batteries
    assert (battery.volts, battery.capacity, battery.bank) == (12, 60 * 3600, "bank")


def test_blocks_in_series() -> None:
    network = network_of("  batteries: [{id: bank, volts: 6 V, series: 2}]" + LAMP)
    assert ends(network, Battery) == {
        "bank.block-1": ("bank.1", "bank.neg"),
        "bank.block-2": ("bank.pos", "bank.1-up"),
    }
    assert ends(network, Join) == {"bank.link-1": ("bank.1", "bank.1-up")}
    assert {battery.volts for battery in network.batteries} == {6}
    assert "link" in {assumption.default.name for assumption in network.assumed("bank.link-1")}


@pytest.mark.parametrize(
    ("take_off", "negative", "posts"),
    [("one end", "bank.neg-1", 6), ("opposite ends", "bank.neg-3", 6), ("bus bars", "bank.neg", 8)],
)
def test_blocks_side_by_side(take_off: str, negative: str, posts: int) -> None:
    link = "link: {area: 25 mm2, length: 0.4 m}"
    network = network_of(f"  batteries: [{{id: bank, parallel: 3, take_off: {take_off}, {link}}}]" + LAMP)
    assert network.edges["lamp.return"].b == negative
    assert network.edges["lamp.feed"].a == ("bank.pos" if take_off == "bus bars" else "bank.pos-1")
    assert sum(node.owner == "bank" for node in network.nodes.values()) == posts
    assert ends(network, Battery) == {
        f"bank.block-{k}": (f"bank.pos-{k}", f"bank.neg-{k}") for k in (1, 2, 3)
    }
    links = [edge for edge in network.conductors if edge.use == "link"]
    assert len(links) == (6 if take_off == "bus bars" else 4)
    assert {edge.length.max_case for edge in links} == {0.4}


def test_two_strings_of_two_with_a_fuse_each() -> None:
    network = network_of(
        "  batteries: [{id: bank, volts: 6 V, series: 2, parallel: 2, string_device: {rating: 100 A}}]" + LAMP
    )
    assert {battery.string for battery in network.batteries} == {1, 2}
    assert set(ends(network, Battery)) == {f"bank.block-{k}-{s}" for k in (1, 2) for s in (1, 2)}
    assert ends(network, Inline) == {f"bank.fuse-{s}": (f"bank.top-{s}", f"bank.pos-{s}") for s in (1, 2)}


def test_the_tap_of_the_twenty_four_volt_boat_starts_at_the_lower_block() -> None:
    network = boat("twenty-four-volt")
    tap, lower = network.edges["tap"], network.edges["bank.block-1"]
    assert tap.a == lower.a == "bank.1"
    assert {edge.id for edge in network.at("bank.1")} == {"bank.block-1", "bank.link-1", "tap", "eq-mid"}


def test_a_circuit_is_a_load_with_feed_and_return() -> None:
    text = "  batteries: [{id: bank}]\n  circuits: [{id: lamp, from: bank.pos, to: bank.neg, power: 10 W, needed: seen, awg: 14, length: 10 ft, device: {rating: 5 A}}]\n"
    network = network_of(text)
    feed, back, lamp = (network.edges[name] for name in ("lamp.feed", "lamp.return", "lamp"))
    assert isinstance(feed, Conductor)
    assert isinstance(back, Conductor)
    assert isinstance(lamp, Load)
    assert [(placed.device.id, placed.device.rating, placed.at) for placed in feed.devices] == [
        ("lamp.fuse", 5, 0)
    ]
    assert back.devices == ()
    assert feed.length.max_case == back.length.max_case == pytest.approx(3.048)
    assert (lamp.power, lamp.current, lamp.critical) == (10, None, True)
    assert feed.path == back.path == lamp.path == ("installation", "circuits", 0)


def test_a_charger_with_three_outputs_keeps_them_apart() -> None:
    network = boat("diode-splitter")
    charger = network.edges["shore-charger"]
    assert (charger.a, charger.b) == ("shore-charger.core", "shore-charger.neg")
    inner = [edge for edge in network.of(Diode) if isinstance(edge, Diode) and edge.owner == "shore-charger"]
    assert [(edge.a, edge.b) for edge in inner] == [
        ("shore-charger.core", f"shore-charger.{k}") for k in (1, 2, 3)
    ]


def test_a_converter_with_isolated_sides() -> None:
    network = boat("dc-dc-charger")
    assert ends(network, Port) == {
        "charger:in": ("charger.in", "charger.in-neg"),
        "charger:out": ("charger.out", "charger.out-neg"),
    }


def test_a_sense_lead_is_followed() -> None:
    sensed = {edge.id: edge.sense for edge in boat("two-alternators").sources}
    assert sensed == {"alternator-1": "alternator-1.pos", "alternator-2": "alternator-2.sense"}


def test_terminals_for_control_exist_only_where_something_goes() -> None:
    network = boat("split-negative")
    assert {"splitter.coil-pos", "splitter.coil-neg"} <= set(network.nodes)
    assert not {name for name in network.nodes if name.endswith((".sense", ".field"))}
    assert (network.edges["splitter:coil"].a, network.edges["splitter:coil"].b) == (
        "splitter.coil-pos",
        "splitter.coil-neg",
    )


def test_a_combiner_without_feed_draws_from_the_side_it_senses() -> None:
    assert boat("emergency-link").edges["combiner:coil"].a == "combiner.a"


def test_devices_stand_in_their_order_along_the_conductor() -> None:
    text = """  batteries: [{id: bank}]
  loads: [{id: lamp, current: 1 A, neg: bank.neg}]
  conductors:
    - id: c
      from: bank.pos
      to: lamp.pos
      area: 6 mm2
      length: 2 m
      devices:
        - {rating: 20 A, at: 1.5 m}
        - {kind: breaker, rating: 30 A, at: 15 cm, polarised: yes, line: to}
"""
    (conductor,) = network_of(text).conductors
    found = [(p.device.id, p.device.rating, p.at, p.device.line_at_a) for p in conductor.devices]
    assert found == [("c.fuse-1", 30, pytest.approx(0.15), False), ("c.fuse-2", 20, 1.5, True)]


@pytest.mark.parametrize(
    ("written", "label"), [("AWG 6", "6"), ("6", "6"), ("2/0", "2/0"), ("00", "2/0"), ("AWG 0000", "4/0")]
)
def test_gauges(written: str, label: str) -> None:
    # by hand: ASTM B258, d = 0.127 mm x 92^((36 - n)/39).
    number = {"6": 6, "2/0": -1, "4/0": -3}[label]
    area = pi / 4 * (0.127e-3 * 92 ** ((36 - number) / 39)) ** 2
    text = f"  batteries: [{{id: bank}}]\n  loads: [{{id: lamp, current: 1 A, neg: bank.neg}}]\n  conductors: [{{id: c, from: bank.pos, to: lamp.pos, awg: {written}, length: 1 m}}]\n"
    (conductor,) = network_of(text).conductors
    assert (conductor.awg, conductor.standard, conductor.size) == (label, None, f"AWG {label}")
    assert conductor.area == pytest.approx(area, rel=1e-12)


def test_what_is_entered_is_not_assumed() -> None:
    run = "area: 6 mm2, length: 1 m, insulation: 105 degC, insulation_material: xlpe, strands: class 5, tinned: yes, ambient: 45 degC, bundle: 2, enclosed: none"
    text = f"  batteries: [{{id: bank}}]\n  loads: [{{id: lamp, current: 1 A, neg: bank.neg}}]\n  conductors: [{{id: c, from: bank.pos, to: lamp.pos, {run}}}]\n"
    network = network_of(text)
    assert network.assumed("c") == ()
    (conductor,) = network.conductors
    assert conductor.insulation.given
    assert (conductor.ambient.low, conductor.ambient.high) == (45, 45)
    bare = network_of(text.replace(run, "area: 6 mm2, length: 1 m, space: engine space"))
    names = {assumption.default.name for assumption in bare.assumed("c")}
    assert names == {
        "insulation",
        "insulation-material",
        "stranding",
        "tinned",
        "ambient-engine",
        "bundle",
        "enclosed",
    }
    (conductor,) = bare.conductors
    assert (conductor.insulation.low, conductor.insulation.high, conductor.insulation.assumed) == (
        60,
        105,
        "insulation",
    )


def test_the_boat_s_own_temperatures_count() -> None:
    text = "  ambient: {engine_space: 55 degC, elsewhere: 25 degC}\n  batteries: [{id: bank}]" + LAMP
    (feed, _) = network_of(text).conductors
    assert (feed.ambient.low, feed.ambient.high, feed.ambient.given) == (25, 25, True)


def test_voltages_follow_chemistry_and_size() -> None:
    text = "  batteries: [{id: bank, chemistry: CHEM, volts: VOLTS}]" + LAMP
    rows = {
        ("flooded", "12 V"): (11.9, 12.9),
        ("flooded", "6 V"): (5.95, 6.45),
        ("lifepo4", "12.8 V"): (12.0, 13.6),
        ("lifepo4", "12 V"): (12.0, 13.6),
    }
    for (chemistry, volts), (low, high) in rows.items():
        (battery,) = network_of(text.replace("CHEM", chemistry).replace("VOLTS", volts)).batteries
        assert battery.emf is not None
        assert (battery.emf.low, battery.emf.high) == (pytest.approx(low), pytest.approx(high))
    (battery,) = network_of(text.replace("CHEM", "other lithium").replace("VOLTS", "12 V")).batteries
    assert battery.emf is None


def test_states_without_any_are_rest_and_charging() -> None:
    text = (
        "  batteries: [{id: bank}]\n  sources: [{id: charger, kind: mains charger, current: 10 A, pos: bank.pos, neg: bank.neg}]"
        + LAMP
    )
    network = network_of(text)
    assert [(entry.id, entry.sources) for entry in network.states] == [
        ("charging", {"charger"}),
        ("rest", frozenset()),
    ]


def test_states_close_contacts_and_take_things_away() -> None:
    network = boat("emergency-link")
    linked, sailing, charging = (state(network, name) for name in ("linked", "sailing", "charging"))
    assert "link:in-out" in linked.closed
    assert "link:in-out" not in charging.closed, "a parallel link stands open unless a state closes it"
    assert "combiner:a-b" in charging.closed, "a combiner follows the sources"
    assert "combiner:a-b" not in sailing.closed
    assert sailing.loads == {"instruments", "fridge", "autopilot"}
    broken = state(boat("broken-engine-strap"), "strap-broken")
    assert broken.removed == {"engine-strap"}
    tripped = boat("inverter-charger")
    gone = state(tripped, "bank-tripped")
    assert gone.removed == {"house.block-1", "house.block-2"}
    assert not tripped.present(tripped.edges["house.block-1"], gone)


def test_an_open_device_opens_its_conductor() -> None:
    text = "  batteries: [{id: bank}]\n  states: [{id: blown, open: [lamp.fuse]}]\n  circuits: [{id: lamp, from: bank.pos, to: bank.neg, current: 1 A, area: 1 mm2, length: 1 m, device: {rating: 5 A}}]\n"
    assert state(network_of(text), "blown").removed == {"lamp.feed"}


def test_reachable_states_are_those_that_no_interlock_forbids() -> None:
    # by hand: 2 x 2 switches, a link and a combiner make 16; the interlock takes the 4 with link and combiner closed.
    network = boat("emergency-link")
    assert len(network.reachable) == 12
    assert network.complete
    for entry in network.reachable:
        assert not (entry.positions["link"] == "on" and entry.positions["combiner"] == "closed")
        assert entry.sources == {"alternator"}


def test_the_four_position_switch() -> None:
    network = boat("four-position-switch")
    closed = {name: set(contacts) for name, contacts in network.switches["main"].positions.items()}
    one, two = "main:1-common", "main:2-common"
    assert closed == {"off": set(), "1": {one}, "both": {one, two}, "2": {two}}


def plain(value: Any) -> Any:
    """A network without the places in the file."""
    if is_dataclass(value) and not isinstance(value, type):
        changed = replace(value, path=()) if "path" in {f.name for f in fields(value)} else value
        return {f.name: plain(getattr(changed, f.name)) for f in fields(changed)}
    if isinstance(value, tuple):
        return tuple(plain(item) for item in value)
    return {key: plain(item) for key, item in value.items()} if hasattr(value, "items") else value


@pytest.mark.parametrize("path", BOATS, ids=[path.stem for path in BOATS])
def test_the_order_of_the_file_changes_nothing(path: Path) -> None:
    document = read_document(path, path.name)
    file = build(InstallationFile, document)
    assert file is not None
    plan = file.installation
    lists = {key: value[::-1] for key, value in plan if isinstance(value, tuple) and key != "bases"}
    forwards = load_installation(plan, document)
    backwards = load_installation(plan.model_copy(update=lists), document)
    assert plain(forwards) == plain(backwards)


@pytest.mark.parametrize("path", BOATS, ids=[path.stem for path in BOATS])
def test_every_element_keeps_its_place(path: Path) -> None:
    document = read_document(path, path.name)
    file = build(InstallationFile, document)
    assert file is not None
    network = load_installation(file.installation, document)
    assert network is not None
    lines = document.text.splitlines()
    for edge in network.edges.values():
        owner = edge.bank if isinstance(edge, Battery) else getattr(edge, "owner", "") or edge.id
        line = lines[document.locate(edge.path[:3]).line - 1]
        assert f"id: {owner.partition('.')[0]}," in f"{line.replace('}', ',')},", edge.id
        assert {edge.a, edge.b} <= set(network.nodes)
    for source in network.of(Source):
        assert isinstance(source, Source)
        assert source.sense in network.nodes


def test_defaults_are_two_valued_and_say_where_they_come_from() -> None:
    for name, default in DEFAULTS.items():
        assert default.name == name
        assert default.sentence.endswith(".")
        assert default.source
        assert default.max_case != default.min_case or name in (
            "usual-position",
            "insulation-material",
            "whole-output",
        )


def test_editors_get_a_schema() -> None:
    made = schema(InstallationFile)
    conductor = made["$defs"]["Conductor"]
    assert {"id", "from", "to", "length"} <= set(conductor["required"])
    assert "from_" not in conductor["properties"]
