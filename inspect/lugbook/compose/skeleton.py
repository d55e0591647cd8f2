"""The commented findings file that `lugbook start` writes. It passes `lugbook check` as it stands."""

from __future__ import annotations

import json
from typing import get_args

from lugbook.model.checklist import Checklist, Item
from lugbook.model.schema import SCHEMA
from lugbook.model.vocabulary import Feature

HEAD = """# yaml-language-server: $schema=./{schema}
# Findings of one visit. Fill in what you know; empty values count as 'not recorded'.
#   lugbook check FOLDER        lists what is wrong or still open
#   lugbook check FOLDER --fix  gives new defects their ids
#   lugbook report FOLDER       writes the report
# Quantities carry their unit: 12.62 V, 50 A, 10 mm2, 0.35 m, 8 mohm. Dates: 2026-06-02. Times: 09:30.
# Put text in quotes if it contains ': ' or ' #', or starts with a sign such as > * & ! %.

format: lugbook-findings-1
last_defect: 0          # the highest defect number ever given; 'check --fix' counts it up

report:
  number: {number}
  date:                 # date of the report
  said_first:           # one sentence before all else on the first page, such as who was told of a danger, and when
  purpose:              # pre-purchase review, pre-examination review, fault finding ...
  checklists: [{lists}]
  instructed:           # date of the order
  scope:                # what was agreed to be looked at, and what was not taken apart
  client:
    name:
    address:
    contact:
    interest:           # buyer, owner, insurer ...
  owner:
    name:
    contact:
  permission:           # who gave leave to board
  reliance:             # who may rely on this report
  electrician:
    name:
    business:
    competence:         # training, registration
    insurance:
    interest:           # for instance: will quote for the repair
  craft:
    name:
    kind:
    identification:     # hull identification number or registration
    builder:
    built:              # year
    length:             # with unit, such as 10.1 m
    hull:               # material
    fuel:
    system:             # voltages on board
    alterations:        # told by the owner
    fitted:             # yes or no; leave empty while not known: then it is asked
{fitted}
    # photo: {{file: boat.jpg, caption: The boat at her berth, alt: A white motor-sailer at a pontoon}}
  visit:
    date:
    start:
    finish:
    place:
    afloat:             # afloat or ashore
    shore_lead:         # connected, not connected, none on board
    energised:          # what was switched on
    present: []         # who was there
    opened: []          # panels and lockers opened
  limitations: []       # what could not be looked at, and why
  instruments: []
  # - {{id: meter, name: Multimeter, serial: "12345", calibrated: 2026-01-15, due: 2027-01-15, check: Known source before and after}}
  basis: []             # what you judge against, such as good practice
  distribution: []      # who gets a copy
  signature:
    name:
    date:
    place:

readings: []
# - {{id: rest-service, quantity: voltage, value: 12.62 V, place: Service battery, post to post, state: At rest overnight, instrument: meter, time: 09:30}}

# One entry an item, in the order of a walk through the boat.
#   result:  no departure seen | defect | further investigation | not applicable | not inspected
#   extent:  whole | part seen | sample 4 of 12     and, after a comma, tested | not tested
#   reason:  required for the last three results
# A defect looks like this ('check --fix' gives it its id):
#     result: defect
#     extent: whole
#     defects:
#       - title: No fuse at the service battery
#         place: Port locker, on the positive cable
#         seen: The cable leaves the post and passes the bulkhead without a fuse.
#         exposure: exposed          # or covered, near-fuel; chooses the usual probability
#         photos:
#           - file: no-fuse.jpg
#             caption: No fuse between post and bulkhead
#             alt: A red cable runs from a battery post straight into a hole
#             marks: [{{mark: ring, at: [0.4, 0.5], size: 0.2}}]
results:
"""
TAIL = """
# What is on board, from your sketch: with it cables, fuses, voltage drops and shorts are computed. Take the '#' away
# and write your own; every key stands in docs/installation.md, and what you leave out is assumed at its worse end.
# installation:
#   system: 12 V
#   bases: [good-practice]
#   earthing: {kind: not known}
#   nodes:                                  # bus bars, panels, single studs
#     - {id: panel, title: Panel, kind: panel}
#     - {id: neg-bus, title: Negative bus bar}
#   batteries:
#     - {id: service, title: Service battery, chemistry: flooded, capacity: 110 Ah}
#   conductors:                             # from and to: a node, or id.terminal of an element
#     - {id: main, from: service.pos, to: panel, area: 16 mm2, length: 1.5 m, devices: [{rating: 80 A, at: 0.1 m}]}
#     - {id: return, from: neg-bus, to: service.neg, area: 16 mm2, length: 1.5 m}
#   circuits:                               # a load with its own two conductors and its fuse
#     - {id: lights, from: panel, to: neg-bus, current: 4 A, area: 2.5 mm2, length: 6 m, device: {rating: 10 A}}

# Defects that no item asks for: title, place, seen, severity, probability, why, remedy.
extra: []
"""


def skeleton(number: str, checklist: Checklist) -> str:
    """The text of a new findings file for these lists."""
    fitted = "\n".join(f"      {feature}:" for feature in get_args(Feature))
    head = HEAD.format(
        schema=SCHEMA,
        number=json.dumps(number, ensure_ascii=False),
        lists=", ".join(checklist.ids),
        fitted=fitted,
    )
    parts = [head]
    for group in checklist.groups:
        parts.append(f"\n  # ==== {group.title} ====\n")
        parts += [_entry(item) for item in group.items]
    return "".join(parts) + TAIL


def _entry(item: Item) -> str:
    only = f"\n  # Only with: {', '.join(item.applies)}" if item.applies else ""
    return f"\n  # {item.question}{only}\n  - item: {item.id}\n    result:\n    extent:\n"
