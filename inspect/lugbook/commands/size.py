"""`lugbook size`: the smallest standard conductor, its fuse and its lugs."""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import asdict
from pathlib import Path

from lugbook.commands.common import add_language, visible
from lugbook.pipeline.sizing import answer_size

# option, what stands for its value, and what it says
QUANTITIES = (
    ("current", "50A", "current of the load; either this or --power"),
    ("power", "600W", "power of the load"),
    ("efficiency", "85%", "efficiency of the inverter"),
    ("lowest-voltage", "10.5V", "lowest voltage at which the inverter runs"),
    ("length", "'2.4 m'", "length of the cable, with --one-way or --both-ways"),
    ("insulation", "105degC", "temperature rating printed on the cable"),
    (
        "material",
        "xlpe",
        "material of the insulation: pvc, xlpe, epr, rubber or silicone (otherwise taken as PVC)",
    ),
    ("place", "PLACE", "accommodation, engine-space, battery-space, duct, bilge, deck or panel"),
    ("ambient", "50degC", "temperature around the cable, if measured"),
    ("bundle", "3", "how many current-carrying conductors lie together, this one included"),
    ("system", "12V", "nominal voltage"),
    ("motor-stall", "200A", "current of the motor held fast"),
    ("max-fuse", "60A", "largest fuse that the equipment's maker allows, or 'none'"),
    ("battery-short-circuit", "2.8kA", "short-circuit current of the whole bank, from its maker"),
    ("battery-resistance", "5mohm", "internal resistance of the whole bank"),
    ("battery-cca", "800A", "cold-cranking current of the whole bank: an estimate only"),
    ("cca-standard", "EN", "standard of that figure: SAE, EN, IEC or DIN"),
    ("battery-chemistry", "lead", "lead or lithium"),
    (
        "upstream-resistance",
        "8mohm",
        "of the conductors between battery and fuse, there and back, if not negligible",
    ),
    ("charge-voltage", "14.8V", "highest charging voltage"),
    ("source", "battery", "what feeds the cable: battery, alternator or mains-charger"),
    ("from-stud", "M8", "stud at the feeding end"),
    ("to-stud", "M10", "stud at the other end"),
    ("sizes", "mm2", "choose among sizes in mm2 or AWG, where the basis has both"),
)
FLAGS = (
    ("one-way", "the length is that of one conductor"),
    ("both-ways", "the length is that of both conductors together"),
    ("continuous", "the load runs for long (taken so if nothing is said)"),
    ("short-time", "the load runs for minutes, such as a windlass"),
    ("critical", "the circuit is vital: navigation light, bilge pump, panel feed"),
    ("inverter", "the load is an inverter of this power"),
    ("self-limited", "the charging source cannot give more than its current"),
    ("sheathed", "the conductor lies in a sheath with others"),
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    for name, shown, words in QUANTITIES:
        parser.add_argument(f"--{name}", metavar=shown, help=words.replace("%", "%%"))
    for name, words in FLAGS:
        parser.add_argument(f"--{name}", action="store_true", help=words)
    parser.add_argument(
        "--basis",
        action="append",
        metavar="ID",
        help="basis to size by, shipped or a file here; may be repeated (default: good-practice)",
    )
    parser.add_argument("--json", action="store_true", help="print the answer as JSON")
    add_language(parser, "en")


def run(arguments: argparse.Namespace) -> int:
    names = [name for name, *_ in (*QUANTITIES, *FLAGS)]
    options = {name: getattr(arguments, name.replace("-", "_")) for name in names}
    result = answer_size(options | {"basis": arguments.basis}, Path(), arguments.language or "en")
    if result.view is None:
        if arguments.json:
            rows = [asdict(refusal) for refusal in result.refusals]
            print(json.dumps({"format": "lugbook-size-1", "refused": rows}, ensure_ascii=False, indent=1))
        else:
            for refusal in result.refusals:
                hint = f"; {refusal.hint}" if refusal.hint else ""
                print(visible(f"lugbook size: --{refusal.option}: {refusal.message}{hint}"), file=sys.stderr)
        return 1
    if arguments.json:
        print(json.dumps(result.view.data, ensure_ascii=False, indent=1))
    else:
        print("\n".join(result.view.lines))
    return 0
