"""A job whose every text would like to be more than text, and a reader of the elements of a page."""

from __future__ import annotations

import json
from html.parser import HTMLParser
from pathlib import Path

CASES = Path(__file__).parent / "cases"
OWN_LIST = (CASES / "own-list.yaml").read_text(encoding="utf-8")
PICTURE = (CASES / "P301-missing-picture" / "ok" / "photos" / "strap.png").read_bytes()

LINE = "{{ 7777*7777 }} {% x %} <script>x</script> <xq onclick=x>ZQL</xq> &lt;xi&gt; \"'> </style>"
TEXT = """# ZQH one

ZQH two
=======

ZQH three
---------

<h1>ZQH four</h1>

> # ZQH five

- # ZQH six

1. ## ZQH seven

<div role="heading">ZQH eight</div>

[ZQH: /x]: http://example.org

[a](javascript:alert(1)) [b](data:text/html,x) [c](file:///etc/passwd) [d](VBSCRIPT:x) <javascript:alert(1)>
![e](http://example.org/e.png) ![f](file:///etc/passwd) <img src=x onerror=alert(1)> <svg onload=alert(1)>
<!-- ZQC --> <iframe src=http://example.org></iframe> {{ 7777*7777 }} {% for x in y %} <script>alert(1)</script>
"""
HOSTILE = """format: lugbook-findings-1
last_defect: 2
report:
  number: LINE
  date: 2026-06-03
  purpose: LINE
  said_first: LINE
  checklists: [own-list.yaml]
  instructed: 2026-06-01
  scope: TEXT
  client: {name: LINE, address: TEXT, contact: LINE, interest: LINE}
  owner: {name: LINE, address: TEXT, contact: LINE}
  permission: LINE
  reliance: LINE
  electrician: {name: LINE, address: TEXT, contact: LINE, business: LINE, competence: LINE, insurance: LINE, interest: LINE}
  craft:
    name: LINE
    kind: LINE
    identification: LINE
    builder: LINE
    built: 1987
    length: 10.1 m
    hull: LINE
    fuel: LINE
    system: LINE
    alterations: TEXT
    fitted: {shore-power: yes}
    photo: {file: strap.png, caption: LINE, alt: LINE}
  visit:
    date: 2026-06-02
    start: 09:30
    finish: 11:00
    place: LINE
    afloat: afloat
    shore_lead: connected
    energised: LINE
    present: [LINE]
    opened: [LINE]
  limitations: [TEXT]
  instruments: [{id: meter, name: LINE, serial: LINE, calibrated: 2026-01-01, due: 2027-01-01, check: LINE}]
  basis: [LINE]
  distribution: [LINE]
  signature: {name: LINE, date: 2026-06-03, place: LINE, image: strap.png}
  terms: {reference: LINE, date: 2026-01-01}
shore:
  - mode: shore
    qualified: LINE
    readings:
      - {id: bond, test: neutral-earth bond, place: LINE, bonds: 0, instrument: meter, time: 10:00, note: LINE}
      - {id: socket, test: earth continuity, place: LINE, value: 2 ohm, instrument: meter, time: 10:00, note: LINE}
readings:
  - {id: rest, quantity: voltage, value: 12.62 V, place: LINE, state: LINE, instrument: meter, time: 10:00, note: LINE}
  - {id: later, before: rest, quantity: voltage, value: 12.7 V, place: LINE, state: LINE, instrument: meter, time: 11:00, note: LINE, limit: {at_least: 12.4 V, source: LINE}}
remedy:
  - {id: strap, title: LINE, answers: [d1], accepted_by: LINE, on: 2026-06-03, hours: [1 h, 2 h], note: TEXT, parts: [{quantity: 1, what: LINE}]}
results:
  - item: battery-held
    result: defect
    extent: whole
    reason: TEXT
    note: TEXT
    told: TEXT
    readings: [rest]
    photos: [{file: strap.png, caption: LINE, alt: LINE, private: no}]
    defects:
      - id: d1
        title: LINE
        place: LINE
        seen: TEXT
        told: TEXT
        opinion: TEXT
        disagree: TEXT
        until_then: LINE
        carried: {report: LINE, id: d1, first_seen: 2025-06-02, visited: 2025-06-02, title: LINE, level: high, act_by: make safe now, seen: TEXT, readings: [{quantity: voltage, value: 12 V, place: LINE, state: LINE}]}
        now: open
        readings: [rest]
        exposure: covered
        heat_mark: yes
        risk: {level: high, reason: TEXT}
        photos: [{file: strap.png, caption: LINE, alt: LINE, marks: [{mark: label, at: [0.5, 0.5], text: "<b>{{7777*7777}}</b>"}]}]
        severity: critical
        probability: remote
        harms: people
        danger: latent
        service: no
        why: TEXT
        remedy: TEXT
  - item: inlet-dry
    result: not inspected
    reason: TEXT
extra:
  - id: d2
    title: LINE
    place: LINE
    seen: TEXT
    told: TEXT
    opinion: TEXT
    disagree: TEXT
    until_then: LINE
    readings: [rest]
    exposure: covered
    heat_mark: yes
    risk: {level: low, reason: TEXT}
    photos: [{file: strap.png, caption: LINE, alt: LINE}]
    severity: critical
    probability: remote
    harms: people
    danger: latent
    service: no
    why: TEXT
    remedy: TEXT
    source: LINE
"""


class Elements(HTMLParser):
    """Every element, its attributes, and the text of the headings."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.comments: list[str] = []
        self.headings = ""
        self.text = ""
        self.inside = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))
        self.inside += tag in HEADINGS

    def handle_endtag(self, tag: str) -> None:
        self.inside -= tag in HEADINGS

    def handle_data(self, data: str) -> None:
        self.text += data
        self.headings += data if self.inside else ""

    def handle_comment(self, data: str) -> None:
        self.comments.append(data)


HEADINGS = {"h1", "h2", "h3", "h4", "h5", "h6"}


def hostile_findings(line: str = LINE, text: str = TEXT) -> str:
    """Findings that hold `line` wherever a line of text goes, and `text` wherever a longer one goes."""
    return HOSTILE.replace("LINE", json.dumps(line)).replace("TEXT", json.dumps(text))


def hostile_job(job: Path, line: str = LINE, text: str = TEXT) -> None:
    """Findings, a list and a letterhead that hold them everywhere, in the folder of a job."""
    (job / "findings.yaml").write_text(hostile_findings(line, text), encoding="utf-8")
    own = OWN_LIST
    for word, other in (("Push it.", text), ("Fit a strap.", text), ("If it slides, it tears its cables.", text),
                        ("Battery locker", line), ("Is the battery held down?", line), ("A list of two items", line)):  # fmt: skip
        own = own.replace(word, json.dumps(other))
    (job / "own-list.yaml").write_text(own, encoding="utf-8")
    (job / "logo.png").write_bytes(PICTURE)
    said = json.dumps(line)
    business = (
        f"format: lugbook-business-1\nname: {said}\nlines: [{said}]\nlogo: logo.png\nlogo_alt: {said}\n"
    )
    (job / "business.yaml").write_text(business, encoding="utf-8")
