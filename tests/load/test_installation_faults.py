"""Every fault of an installation is reported once, with its code, at its line."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from lugbook.load.faults import build
from lugbook.load.installation import load_installation
from lugbook.load.tree import Document, parse
from lugbook.model.installation import InstallationFile
from lugbook.model.installation_codes import INSTALLATION_CODES
from lugbook.model.network import Network

GOOD = """installation:
  system: 12 V
  earthing: {kind: negative-earthed, at: engine}
  nodes:
    - {id: engine, kind: body, body: engine, stud: M10}
    - {id: neg-bus, stud: M8}
    - {id: panel, stud: M6}
  batteries:
    - {id: start, chemistry: flooded, capacity: 100 Ah, studs: {pos: post}}
    - {id: house, chemistry: flooded, capacity: 110 Ah}
  sources:
    - {id: alternator, kind: alternator, current: 55 A, volts: [13.8 V, 14.4 V], neg: engine}
  switches:
    - {id: main, kind: off-1-both-2}
    - {id: own, kind: own, contacts: [a, b, c], positions: {off: [], left: [[a, b]], right: [[a, c]]}}
  relays:
    - {id: combiner, kind: combiner, cut_in: 13.3 V, cut_out: 12.8 V}
  devices:
    - {id: panel-fuse, rating: 30 A}
  diodes:
    - {id: diode}
  converters:
    - {id: booster, kind: dc-dc, ports: [{name: in, direction: in}, {name: out, direction: out}]}
  loads:
    - {id: starter, kind: cranking motor, current: 180 A, neg: engine}
    - {id: lamp, power: 20 W}
  conductors:
    - {id: c1, from: start.pos, to: main.1, area: 35 mm2, length: 1.4 m, insulation: 70 degC}
    - {id: c2, from: house.pos, to: main.2, awg: AWG 2, length: 1.8 m, devices: [{rating: 100 A, at: 0.2 m}]}
    - {id: c3, from: main.common, to: starter.pos, area: 35 mm2, length: 2 m}
    - {id: c4, from: alternator.pos, to: starter.pos, area: 10 mm2, length: 1 m}
    - {id: c5, from: main.common, to: panel-fuse.in, area: 6 mm2, length: 2 m}
    - {id: c6, from: panel-fuse.out, to: panel, area: 6 mm2, length: 1 m, ends: {to: {hole: 6.4 mm}}}
    - {id: c7, from: start.neg, to: neg-bus, area: 35 mm2, length: 1 m}
    - {id: c8, from: house.neg, to: neg-bus, area: 35 mm2, length: 1 m}
    - {id: c9, from: neg-bus, to: engine, area: 35 mm2, length: 1 m}
    - {id: c10, from: start.pos, to: combiner.a, area: 6 mm2, length: 1 m}
    - {id: c11, from: combiner.b, to: house.pos, area: 6 mm2, length: 1 m}
    - {id: c12, from: panel, to: own.a, area: 2.5 mm2, length: 1 m}
    - {id: c13, from: own.b, to: lamp.pos, area: 2.5 mm2, length: 1 m}
    - {id: c14, from: lamp.neg, to: neg-bus, area: 2.5 mm2, length: 1 m}
    - {id: c15, from: own.c, to: diode.in, area: 2.5 mm2, length: 1 m}
    - {id: c16, from: diode.1, to: lamp.pos, area: 2.5 mm2, length: 1 m}
    - {id: c17, from: panel, to: booster.in, area: 2.5 mm2, length: 1 m}
    - {id: c18, from: booster.neg, to: neg-bus, area: 2.5 mm2, length: 1 m}
    - {id: c19, from: booster.out, to: radio.pos, area: 2.5 mm2, length: 1 m}
  circuits:
    - {id: radio, from: panel, to: neg-bus, current: 5 A, area: 2.5 mm2, length: 3 m, device: {rating: 10 A}}
  bonds:
    - {id: strap, from: neg-bus, to: engine, area: 16 mm2}
  states:
    - {id: sea, positions: {main: both}, sources: [alternator], loads: [lamp]}
    - {id: apart, positions: {main: "1"}, open: [c9], tripped: [house]}
  interlocks:
    - {never: {main: "off", combiner: closed}, why: the engine must not run with the switch off}
"""


@dataclass(frozen=True)
class Bad:
    """A change of the good installation, and the problem that it must raise, at the line that holds `at`."""

    id: str
    old: str
    new: str
    code: str
    at: str
    says: str


def row(id: str, old: str, new: str, code: str, at: str, says: str) -> Bad:  # noqa: A002
    return Bad(id, old, new, code, at, says)


ROWS = [
    row(
        "terminal that does not exist",
        "to: main.1,",
        "to: main.3,",
        "P602",
        "id: c1,",
        "there is no terminal 'main.3'",
    ),
    row(
        "node that does not exist",
        "from: neg-bus, to: engine, area: 35",
        "from: negbus, to: engine, area: 35",
        "P602",
        "id: c9,",
        "'negbus'",
    ),
    row(
        "element on a node that does not exist",
        "14.4 V], neg: engine}",
        "14.4 V], neg: engin}",
        "P602",
        "id: alternator",
        "'engin'",
    ),
    row(
        "circuit from nowhere",
        "id: radio, from: panel,",
        "id: radio, from: panels,",
        "P602",
        "id: radio",
        "'panels'",
    ),
    row(
        "bond to nowhere",
        "id: strap, from: neg-bus, to: engine",
        "id: strap, from: neg-bus, to: hull",
        "P602",
        "id: strap",
        "'hull'",
    ),
    row(
        "stud of a terminal that does not exist",
        "studs: {pos: post}",
        "studs: {plus: post}",
        "P602",
        "id: start,",
        "'plus'",
    ),
    row(
        "conductor back to its own terminal",
        "from: start.neg, to: neg-bus",
        "from: neg-bus, to: neg-bus",
        "P603",
        "id: c7,",
        "begins and ends at 'neg-bus'",
    ),
    row(
        "element between a node and itself",
        "power: 20 W}",
        "power: 20 W, pos: panel, neg: panel}",
        "P603",
        "id: lamp",
        "'panel'",
    ),
    row(
        "terminals that sit on each other",
        "power: 20 W}",
        "power: 20 W, pos: lamp.neg, neg: lamp.pos}",
        "P603",
        "id: lamp",
        "leads back to itself",
    ),
    row(
        "position without contacts",
        "right: [[a, c]]",
        "right: []",
        "P604",
        "id: own",
        "'right' closes no contacts",
    ),
    row("position left empty", "right: [[a, c]]", "right: ", "P604", "id: own", "'right' closes no contacts"),
    row(
        "position with unknown contacts",
        "right: [[a, c]]",
        "right: [[a, d]]",
        "P604",
        "id: own",
        "no contact 'd'",
    ),
    row(
        "own switch without positions",
        ", positions: {off: [], left: [[a, b]], right: [[a, c]]}",
        "",
        "P604",
        "id: own",
        "needs 'contacts' and 'positions'",
    ),
    row(
        "usual position that does not exist",
        "kind: off-1-both-2}",
        "kind: off-1-both-2, usual: 3}",
        "P604",
        "id: main,",
        "no position '3'",
    ),
    row(
        "area and gauge",
        "awg: AWG 2,",
        "awg: AWG 2, area: 35 mm2,",
        "P605",
        "id: c2,",
        "both 'area' and 'awg'",
    ),
    row("neither area nor gauge", "awg: AWG 2,", "", "P605", "id: c2,", "the size is missing"),
    row("unknown gauge", "awg: AWG 2,", "awg: AWG 5/0,", "P606", "id: c2,", "not an American wire gauge"),
    row(
        "insulation outside the tables",
        "insulation: 70 degC",
        "insulation: 55 degC",
        "P607",
        "id: c1,",
        "in no table",
    ),
    row(
        "device beyond the end",
        "at: 0.2 m",
        "at: 2.2 m",
        "P608",
        "id: c2,",
        "stands at 2.2 m, but 'c2' is 1.8 m long",
    ),
    row("device before the beginning", "at: 0.2 m", "at: -0.1 m", "P608", "id: c2,", "stands at -0.1 m"),
    row("device without rating", "{rating: 100 A, at: 0.2 m}", "{at: 0.2 m}", "P609", "id: c2,", "no rating"),
    row(
        "inline device without rating",
        "{id: panel-fuse, rating: 30 A}",
        "{id: panel-fuse}",
        "P609",
        "id: panel-fuse}",
        "no rating",
    ),
    row("load with neither", "id: lamp, power: 20 W", "id: lamp", "P610", "id: lamp", "neither"),
    row("load with both", "power: 20 W", "power: 20 W, current: 2 A", "P610", "id: lamp", "both"),
    row("circuit without current", "current: 5 A, ", "", "P610", "id: radio", "neither"),
    row(
        "converter without an output",
        ", {name: out, direction: out}]",
        ", {name: out, direction: in}]",
        "P611",
        "id: booster",
        "direction out",
    ),
    row(
        "converter without ports",
        ", ports: [{name: in, direction: in}, {name: out, direction: out}]",
        "",
        "P611",
        "id: booster",
        "direction in and out",
    ),
    row(
        "lug on a stud not described",
        "{id: panel, stud: M6}",
        "{id: panel}",
        "P612",
        "id: c6,",
        "stands on 'panel'",
    ),
    row("stud not known", "{id: panel, stud: M6}", "{id: panel, stud: M7}", "P612", "id: panel,", "'M7'"),
    row(
        "state with an unknown switch",
        "id: sea, positions: {main: both}",
        "id: sea, positions: {mains: both}",
        "P613",
        "id: sea",
        "no switch or relay 'mains'",
    ),
    row(
        "state with an unknown position",
        "id: sea, positions: {main: both}",
        "id: sea, positions: {main: 3}",
        "P613",
        "id: sea",
        "no position '3'",
    ),
    row(
        "state with an unknown source",
        "sources: [alternator]",
        "sources: [alternater]",
        "P613",
        "id: sea",
        "no source 'alternater'",
    ),
    row("state with an unknown load", "loads: [lamp]", "loads: [lump]", "P613", "id: sea", "no load 'lump'"),
    row("state that opens what is not there", "open: [c9]", "open: [c99]", "P613", "id: apart", "'c99'"),
    row(
        "state that trips what is no battery",
        "tripped: [house]",
        "tripped: [hose]",
        "P613",
        "id: apart",
        "no battery 'hose'",
    ),
    row(
        "interlock with an unknown switch",
        'never: {main: "off"',
        'never: {mein: "off"',
        "P613",
        "never:",
        "no switch or relay 'mein'",
    ),
    row(
        "interlock that names nothing",
        '{main: "off", combiner: closed}',
        "{}",
        "P613",
        "never:",
        "names nothing",
    ),
    row(
        "state that breaks an interlock",
        "id: sea, positions: {main: both}",
        'id: sea, positions: {main: "off"}',
        "P614",
        "id: sea",
        "forbids",
    ),
    row(
        "battery shorted by a conductor",
        "id: c8, from: house.neg, to: neg-bus",
        "id: c8, from: house.neg, to: house.pos",
        "P615",
        "id: house,",
        "shorted in the state",
    ),
    row(
        "battery shorted in one position",
        "id: c14, from: lamp.neg,",
        "id: c14, from: own.c,",
        "P615",
        "id: start,",
        "'own:a-c'",
    ),
    row(
        "alternator shorted",
        "id: c4, from: alternator.pos, to: starter.pos",
        "id: c4, from: alternator.pos, to: engine",
        "P615",
        "id: alternator",
        "'c4'",
    ),
    row(
        "battery of another voltage",
        "id: house, chemistry",
        "id: house, volts: 24 V, chemistry",
        "P616",
        "id: start,",
        "joined against 'house'",
    ),
    row(
        "load the wrong way round",
        "from: own.b, to: lamp.pos, area: 2.5 mm2, length: 1 m}\n    - {id: c14, from: lamp.neg",
        "from: own.b, to: lamp.neg, area: 2.5 mm2, length: 1 m}\n    - {id: c14, from: lamp.pos",
        "P616",
        "id: lamp",
        "'lamp' would stand at -12 V",
    ),
    row("id twice", "{id: strap, from", "{id: c1, from", "P601", "id: c1, from: neg", "already in line 28"),
    row("device id twice", "{rating: 100 A,", "{id: c1, rating: 100 A,", "P601", "id: c2,", "stands already"),
    row(
        "port twice",
        "{name: out, direction: out}",
        "{name: in, direction: out}, {name: out, direction: out}",
        "P601",
        "id: booster",
        "made twice",
    ),
    row(
        "body that is a bus",
        "{id: neg-bus, stud: M8}",
        "{id: neg-bus, body: hull, stud: M8}",
        "P619",
        "id: neg-bus,",
        "its kind is 'bus'",
    ),
    row(
        "contacts of a common switch",
        "kind: off-1-both-2}",
        "kind: off-1-both-2, contacts: [a, b]}",
        "P619",
        "id: main,",
        "written out",
    ),
    row(
        "voltages exchanged",
        "[13.8 V, 14.4 V]",
        "[14.4 V, 13.8 V]",
        "P619",
        "id: alternator",
        "lowest voltage",
    ),
    row(
        "thresholds exchanged",
        "cut_out: 12.8 V",
        "cut_out: 13.4 V",
        "P619",
        "id: combiner,",
        "opens at 13.4 V",
    ),
    row(
        "earthed yet insulated",
        "kind: negative-earthed, at",
        "kind: insulated, at",
        "P619",
        "earthing",
        "earthed nowhere",
    ),
    row("earthed at a bus", "at: engine}", "at: neg-bus}", "P619", "earthing", "is no body"),
    row(
        "barrel twice",
        "ends: {to: {hole: 6.4 mm}}",
        "ends: {to: {barrel: 6 mm2, barrel_awg: 10}}",
        "P619",
        "id: c6,",
        "both 'barrel'",
    ),
    row(
        "lithium data of a lead battery",
        "id: house, chemistry: flooded,",
        "id: house, chemistry: flooded, lithium: {},",
        "P619",
        "id: house,",
        "not a lithium",
    ),
    row(
        "length missing",
        "area: 35 mm2, length: 1.4 m,",
        "area: 35 mm2,",
        "P102",
        "id: c1,",
        "'length' is missing",
    ),
    row("length without unit", "length: 1.4 m", "length: 1.4", "P119", "id: c1,", "no unit"),
    row("length in amperes", "length: 1.4 m", "length: 1.4 A", "P120", "id: c1,", "expected a length"),
    row("length zero", "length: 1.4 m", "length: 0 m", "P121", "id: c1,", "above zero"),
    row(
        "area in mm",
        "area: 35 mm2, length: 1.4",
        "area: 35 mm, length: 1.4",
        "P120",
        "id: c1,",
        "expected an area",
    ),
    row(
        "no parallel conductor",
        "length: 1.4 m",
        "length: 1.4 m, parallel: 0",
        "P121",
        "id: c1,",
        "from 1 to 12",
    ),
    row(
        "terminal that is none",
        "from: start.pos, to: main.1",
        "from: START, to: main.1",
        "P125",
        "id: c1,",
        "the form of a terminal",
    ),
]


def load(text: str) -> tuple[Network | None, Document]:
    document = parse(text, "boat.yaml")
    file = build(InstallationFile, document)
    return (None if file is None else load_installation(file.installation, document)), document


def line_of(text: str, part: str) -> int:
    (number,) = {n for n, line in enumerate(text.splitlines(), start=1) if part in line}
    return number


def test_the_good_one_is_good() -> None:
    network, document = load(GOOD)
    assert document.problems == []
    assert network is not None


@pytest.mark.parametrize("bad", ROWS, ids=[bad.id for bad in ROWS])
def test_fault(bad: Bad) -> None:
    assert GOOD.count(bad.old) == 1, "the change must hit one place"
    text = GOOD.replace(bad.old, bad.new)
    network, document = load(text)
    assert network is None
    errors = [problem for problem in document.problems if problem.severity == "error"]
    found = [(problem.code, problem.line, problem.message) for problem in errors]
    assert [(code, line) for code, line, _ in found] == [(bad.code, line_of(text, bad.at))], found
    assert bad.says in errors[0].message
    assert errors[0].column > 1
    assert errors[0].path.startswith("installation.")


def test_a_hint_names_the_nearest_terminal() -> None:
    _, document = load(
        GOOD.replace("to: main.common, area", "to: main.comon, area").replace(
            "from: main.common, to: starter", "from: main.comon, to: starter"
        )
    )
    assert [problem.hint for problem in document.problems] == [
        "did you mean 'main.common'? 'main' has these: write main.1 or main.2 or main.common"
    ]


def test_a_reversed_string_of_two_is_found() -> None:
    text = """installation:
  system: 24 V
  nodes: [{id: bus}]
  batteries: [{id: low, volts: 12 V}, {id: high, volts: 12 V}]
  conductors:
    - {id: mid, from: low.pos, to: high.pos, area: 35 mm2, length: 0.3 m}
    - {id: neg, from: low.neg, to: bus, area: 35 mm2, length: 0.3 m}
  circuits:
    - {id: lamp, from: high.neg, to: bus, current: 1 A, area: 2.5 mm2, length: 3 m}
"""
    network, document = load(text)
    assert network is None
    assert [(p.code, p.line) for p in document.problems] == [("P616", 9)]
    right, document = load(
        text.replace("to: high.pos", "to: high.neg").replace(
            "from: high.neg, to: bus", "from: high.pos, to: bus"
        )
    )
    assert document.problems == []
    assert right is not None


def test_a_battery_the_wrong_way_round_in_parallel() -> None:
    text = GOOD.replace("from: house.pos, to: main.2", "from: house.neg, to: main.2")
    text = text.replace("from: combiner.b, to: house.pos", "from: combiner.b, to: house.neg")
    network, document = load(text.replace("from: house.neg, to: neg-bus", "from: house.pos, to: neg-bus"))
    assert network is None
    (problem,) = document.problems
    assert (problem.code, problem.line) == ("P616", line_of(GOOD, "id: start,"))
    assert "24 V between them" in problem.message


def test_interlocks_that_leave_nothing() -> None:
    head, _, _ = GOOD.partition("  states:")
    network, document = load(
        head + "  interlocks: [{never: {combiner: closed}}, {never: {combiner: open}}]\n"
    )
    assert network is None
    assert [(p.code, p.path) for p in document.problems] == [("P614", "installation.interlocks")]


WARNINGS = [
    (
        "a battery left over",
        "  sources:",
        "    - {id: spare}\n  sources:",
        "P617",
        "id: spare",
        "nothing is connected to 'spare.neg'",
    ),
    (
        "a body left over",
        "  batteries:",
        "    - {id: hull, kind: body}\n  batteries:",
        "P617",
        "id: hull",
        "nothing is connected to 'hull'",
    ),
    (
        "a load fed by nothing",
        "  circuits:",
        "    - {id: c20, from: lost.pos, to: lost.neg, area: 1 mm2, length: 1 m}\n  circuits:",
        "P617",
        "id: lost",
        "no battery or source",
    ),
    (
        "a contact never closed",
        "contacts: [a, b, c]",
        "contacts: [a, b, c, d]",
        "P620",
        "id: own",
        "no position closes the contact 'd'",
    ),
]


@pytest.mark.parametrize(
    ("old", "new", "code", "at", "says"), [w[1:] for w in WARNINGS], ids=[w[0] for w in WARNINGS]
)
def test_warning(old: str, new: str, code: str, at: str, says: str) -> None:
    text = GOOD.replace(old, new)
    if "lost" in new:
        text = text.replace("  conductors:", "    - {id: lost, current: 1 A}\n  conductors:")
    network, document = load(text)
    assert network is not None, "a warning leaves the installation"
    warnings = [problem for problem in document.problems if problem.code == code]
    assert warnings
    assert [problem.severity for problem in document.problems] == ["warning"] * len(document.problems)
    assert (warnings[0].line, says in warnings[0].message) == (line_of(text, at), True), warnings


def test_too_many_switches_are_not_all_combined() -> None:
    switches = "".join(f"    - {{id: s{n}}}\n" for n in range(12))
    network, document = load(GOOD.replace("  relays:", switches + "  relays:"))
    assert network is not None
    assert not network.complete
    assert "P618" in {problem.code for problem in document.problems}
    assert 10 < len(network.reachable) < 100


def test_every_code_of_an_installation_has_its_bad_case() -> None:
    tested = {bad.code for bad in ROWS} | {warning[3] for warning in WARNINGS} | {"P618"}
    known = {code.code for code in INSTALLATION_CODES if code.code < "P630"}
    assert known <= tested
