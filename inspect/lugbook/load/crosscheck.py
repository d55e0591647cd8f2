"""What no single value can tell: references, ids, dates, and whether results hold together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise
from typing import TYPE_CHECKING

from lugbook.load.crosscheck_readings import check_readings
from lugbook.load.faults import nearest
from lugbook.load.tree import Document
from lugbook.model.checklist import Checklist, Item
from lugbook.model.findings import NOT_LOOKED, Defect, DefectBase, ExtraDefect, Findings, Result
from lugbook.model.problem import Path

if TYPE_CHECKING:
    from lugbook.model.network import Network
    from lugbook.model.shore import ShoreReading

NEEDS_REASON = frozenset({"further investigation", "not applicable", "not inspected"})
LOOKED_AT = frozenset({"no departure seen", "defect", "further investigation"})

# What a finished report must name (subjects of ISO/IEC 17020 on inspection reports, in our own list).
NEEDED: tuple[tuple[str, ...], ...] = (
    ("date",),
    ("purpose",),
    ("scope",),
    ("client", "name"),
    ("owner", "name"),
    ("permission",),
    ("reliance",),
    ("electrician", "name"),
    ("electrician", "competence"),
    ("electrician", "interest"),
    ("craft", "name"),
    ("craft", "identification"),
    ("visit", "date"),
    ("visit", "place"),
    ("visit", "energised"),
    ("basis",),
    ("signature", "name"),
    ("signature", "date"),
)


def check(
    findings: Findings, checklist: Checklist, network: Network | None, document: Document
) -> tuple[str, ...]:
    """Report every fault that needs more than one value to see. Returns the ids of the unanswered items."""
    items = {item.id: item for item in checklist.items}
    _ids(findings, document)
    _dates(findings, document)
    _references(findings, document)
    _pairs(findings, document)
    for i, result in enumerate(findings.results):
        _result(result, items, ("results", i), document)
    _heat(findings, items, document)
    _places(findings, network, document)
    check_readings(findings, network, document)
    _disagreements(findings, items, network, document)
    _instruments(findings, document)
    _needed(findings, document)
    _carried(findings, document)
    _remedy(findings, document)
    return _unanswered(findings, checklist, document)


def defects_of(findings: Findings) -> Iterator[tuple[Path, DefectBase, str | None]]:
    """Every defect with its path and the id of its item (None for extras), in the order of the file."""
    for i, result in enumerate(findings.results):
        for j, defect in enumerate(result.defects):
            yield ("results", i, "defects", j), defect, result.item
    for i, extra in enumerate(findings.extra):
        yield ("extra", i), extra, None


def _ids(findings: Findings, document: Document) -> None:
    _unique(
        ((("results", i, "item"), r.item) for i, r in enumerate(findings.results)), "item", "P203", document
    )
    _unique(
        ((("readings", i, "id"), r.id) for i, r in enumerate(findings.readings)), "reading", "P203", document
    )
    instruments = findings.report.instruments
    path = ("report", "instruments")
    _unique((((*path, i, "id"), r.id) for i, r in enumerate(instruments)), "instrument", "P203", document)
    _unique(((where, r.id) for where, r in shore_readings(findings)), "shore reading", "P203", document)
    defects = [(where, defect) for where, defect, _ in defects_of(findings)]
    for where, defect in defects:
        if defect.id is None:
            document.report(where, "P204", "this defect has no id", "run 'lugbook check --fix'")
    _unique((((*where, "id"), d.id) for where, d in defects if d.id), "defect", "P205", document)


def _unique(pairs: Iterable[tuple[Path, str]], what: str, code: str, document: Document) -> None:
    seen: dict[str, Path] = {}
    for path, key in pairs:
        if key in seen:
            first = document.locate(seen[key])
            hint = (
                "delete the newer id, then run 'lugbook check --fix'"
                if code == "P205"
                else "keep one of the two"
            )
            document.report(path, code, f"the {what} '{key}' stands already in line {first.line}", hint)
        else:
            seen[key] = path


def _dates(findings: Findings, document: Document) -> None:
    report = findings.report
    steps = [
        (("report", "instructed"), "the order", report.instructed),
        (("report", "visit", "date"), "the inspection", report.visit.date),
        (("report", "date"), "the report", report.date),
        (("report", "signature", "date"), "the signature", report.signature.date),
    ]
    dated = [(path, what, day) for path, what, day in steps if day is not None]
    for (_, earlier, before), (path, later, after) in pairwise(dated):
        if after < before:
            message = f"{later} ({after}) is dated before {earlier} ({before})"
            document.report(path, "P209", message, "the order is instructed, inspected, reported, signed")
    start, finish = report.visit.start, report.visit.finish
    if start and finish and finish < start:
        document.report(
            ("report", "visit", "finish"), "P209", f"the visit ends ({finish}) before it starts ({start})"
        )


def _references(findings: Findings, document: Document) -> None:
    instruments = {instrument.id for instrument in findings.report.instruments}
    readings = {reading.id for reading in findings.readings}
    used: list[tuple[Path, str | None]] = [
        (("readings", i, "instrument"), reading.instrument) for i, reading in enumerate(findings.readings)
    ]
    used += [((*where[:-1], "instrument"), reading.instrument) for where, reading in shore_readings(findings)]
    for path, name in used:
        if name is not None and name not in instruments:
            document.report(path, "P208", f"there is no instrument '{name}'", nearest(name, instruments))
    named: list[tuple[Path, tuple[str, ...]]] = [
        (("results", i), result.readings) for i, result in enumerate(findings.results)
    ]
    named += [(where, defect.readings) for where, defect, _ in defects_of(findings)]
    known = {defect.id for _, defect, _ in defects_of(findings) if defect.id}
    for i, result in enumerate(findings.results):
        for n, key in enumerate(result.see):
            if key not in known:
                document.report(
                    ("results", i, "see", n), "P208", f"there is no defect '{key}'", nearest(key, known)
                )
    lists = [((*where, "readings"), ids) for where, ids in named]
    lists += [(("results", i, "see"), result.see) for i, result in enumerate(findings.results)]
    for where, ids in lists:
        _unique((((*where, n), key) for n, key in enumerate(ids)), "entry", "P203", document)
    for where, ids in named:
        for n, key in enumerate(ids):
            if key not in readings:
                document.report(
                    (*where, "readings", n), "P208", f"there is no reading '{key}'", nearest(key, readings)
                )


def _pairs(findings: Findings, document: Document) -> None:
    """Each reading after work names one before it, of its own quantity, that no other names."""
    readings = {reading.id: reading for reading in findings.readings}
    taken: dict[str, str] = {}
    for i, after in enumerate(findings.readings):
        if after.before is None:
            continue
        where, before = ("readings", i, "before"), readings.get(after.before)
        if before is None:
            hint = nearest(after.before, readings)
            document.report(where, "P208", f"there is no reading '{after.before}'", hint)
            continue
        wrong = ""
        if before is after:
            wrong = f"the reading '{after.id}' cannot be its own 'before'"
        elif before.quantity != after.quantity:
            wrong = f"'{before.id}' is a {before.quantity}, and this reading a {after.quantity}"
        elif before.before is not None:
            wrong = f"'{before.id}' was itself taken after work"
        elif before.id in taken:
            wrong = f"'{before.id}' is the 'before' of '{taken[before.id]}' already"
        elif before.time and after.time and after.time < before.time:
            wrong = f"this reading ({after.time}) was taken before '{before.id}' ({before.time})"
        if wrong:
            document.report(where, "P214", wrong, "name the reading that was taken before the work")
        taken.setdefault(before.id, after.id)


def _result(result: Result, items: dict[str, Item], where: Path, document: Document) -> None:
    item = items.get(result.item)
    if item is None and items:
        message = f"none of this job's checklists has an item '{result.item}'"
        document.report((*where, "item"), "P202", message, nearest(result.item, items))
    if result.result in NEEDS_REASON and result.reason is None:
        document.report(where, "P206", f"the result '{result.result}' needs a reason", "add 'reason: ...'")
    closed = [defect.now in ("fixed", "gone") for defect in result.defects]
    if result.result == "defect" and not result.defects:
        document.report(
            (*where, "result"), "P207", "the result is 'defect', but no defect is listed", "add 'defects:'"
        )
    waiting = result.result is None and all(defect.carried for defect in result.defects)
    if result.result == "defect" and closed and all(closed):
        message = "the result is 'defect', but every defect listed is fixed or gone"
        document.report((*where, "result"), "P207", message, "write 'result: no departure seen'")
    if result.result != "defect" and not all(closed) and not waiting:
        found = f"'{result.result}'" if result.result else "empty"
        document.report(
            (*where, "result"),
            "P207",
            f"defects are listed, but the result is {found}",
            "write 'result: defect'",
        )
    _extent(result, where, document)


def _extent(result: Result, where: Path, document: Document) -> None:
    if result.result in LOOKED_AT and result.extent is None:
        hint = "add 'extent: whole', 'part seen' or 'sample 4 of 12', with tested or not tested"
        document.report(where, "P211", f"the result '{result.result}' needs its extent", hint)
    passed_over = result.result in ("not applicable", "not inspected")
    if passed_over and result.extent is not None and (result.extent.look or result.extent.tested):
        message = f"the extent contradicts the result '{result.result}'"
        document.report((*where, "extent"), "P211", message, "delete the extent, or write 'not tested'")


def _heat(findings: Findings, items: dict[str, Item], document: Document) -> None:
    for where, defect, item_id in defects_of(findings):
        assert isinstance(defect, Defect | ExtraDefect)
        probability = defect.probability
        if probability is None and item_id in items:
            probability = items[item_id].usual_probability(defect.exposure)
        if defect.heat_mark and probability in ("improbable", "eliminated"):
            message = f"heat has left a mark here, yet the probability is '{probability}'"
            document.report(where, "P210", message, "choose remote or higher")


def _places(findings: Findings, network: Network | None, document: Document) -> None:
    """Every `at` names something in the installation, or a reading of the mains side."""
    _batteries(findings, network, document)
    shore = {reading.id for _, reading in shore_readings(findings)}
    for where, defect, _ in defects_of(findings):
        if defect.at is None or defect.at in shore:
            continue
        if findings.installation is None:
            hint = "add 'installation', or say the place in words only"
            document.report((*where, "at"), "P212", "this file has no installation to point at", hint)
        elif network is not None and defect.at not in names(network):
            hint = nearest(defect.at, names(network))
            document.report((*where, "at"), "P212", f"the installation has no '{defect.at}'", hint)


def _batteries(findings: Findings, network: Network | None, document: Document) -> None:
    """Every reading of a battery names one of the installation, or a block of one."""
    known = {name for one in network.batteries for name in (one.id, one.bank)} if network else set()
    for i, reading in enumerate(findings.readings):
        if reading.battery is None or (network is None and findings.installation is not None):
            continue
        if reading.battery not in known:
            message = f"the installation has no battery '{reading.battery}'"
            hint = nearest(reading.battery, known) if known else "add 'installation' with its batteries"
            document.report(("readings", i, "battery"), "P212", message, hint)


def shore_readings(findings: Findings) -> Iterator[tuple[Path, ShoreReading]]:
    """Every reading of the mains side with the path to its id."""
    for i, visit in enumerate(findings.shore):
        for j, reading in enumerate(visit.readings):
            yield ("shore", i, "readings", j, "id"), reading


def _disagreements(
    findings: Findings, items: dict[str, Item], network: Network | None, document: Document
) -> None:
    shore = {reading.id for _, reading in shore_readings(findings)}
    pairs = ((("disagree", i, "at"), f"{one.item}, {one.at}") for i, one in enumerate(findings.disagree))
    _unique(pairs, "disagreement", "P203", document)
    for i, one in enumerate(findings.disagree):
        if one.item not in items and items:
            hint = nearest(one.item, items)
            document.report(("disagree", i, "item"), "P202", f"there is no item '{one.item}'", hint)
        if one.at in shore:
            continue
        if findings.installation is None or (network is not None and one.at not in names(network)):
            hint = (
                nearest(one.at, names(network)) if network else "there is no installation to disagree about"
            )
            document.report(("disagree", i, "at"), "P212", f"the installation has no '{one.at}'", hint)


def names(network: Network) -> frozenset[str]:
    """What a defect can stand at: terminals, elements, banks, and the names that the file gives them."""
    return frozenset(
        (
            *network.nodes,
            *network.edges,
            *network.aliases,
            *network.switches,
            *network.converters,
            *(one.bank for one in network.batteries),
        )
    )


def _instruments(findings: Findings, document: Document) -> None:
    day = findings.report.visit.date
    for i, instrument in enumerate(findings.report.instruments):
        if day is not None and instrument.due is not None and instrument.due < day:
            message = f"the calibration of '{instrument.id}' was due on {instrument.due}, before the inspection on {day}"
            document.report(("report", "instruments", i, "due"), "P402", message, severity="warning")


def _needed(findings: Findings, document: Document) -> None:
    empty = []
    for steps in NEEDED:
        value: object = findings.report
        for step in steps:
            value = getattr(value, step)
        if value in (None, ()):
            empty.append(".".join(steps))
    if empty:
        message = f"a finished report also needs: {', '.join(empty)}"
        document.report(("report",), "P502", message, severity="note")


def _carried(findings: Findings, document: Document) -> None:
    """Every defect of an earlier visit has an answer, in its own words."""
    for where, defect, _ in defects_of(findings):
        if defect.carried is None:
            continue
        if defect.now is None:
            message = f"{defect.id} of the earlier visit has no answer yet"
            document.report(where, "P501", message, "write now: fixed, open, worse or gone", severity="note")
        elif defect.seen == NOT_LOOKED:
            message = f"{defect.id} has an answer, but 'seen' does not say what was seen today"
            document.report((*where, "seen"), "P501", message, severity="note")


def _remedy(findings: Findings, document: Document) -> None:
    """Proposals with ids of their own, that answer defects of this file, and are accepted by somebody on a day."""
    _unique(
        ((("remedy", i, "id"), one.id) for i, one in enumerate(findings.remedy)), "proposal", "P203", document
    )
    known = {defect.id for _, defect, _ in defects_of(findings) if defect.id}
    day = findings.report.visit.date
    for i, one in enumerate(findings.remedy):
        for n, key in enumerate(one.answers):
            if key not in known and not key.startswith("c-"):
                hint = nearest(key, known)
                document.report(("remedy", i, "answers", n), "P208", f"there is no defect '{key}'", hint)
        if (one.accepted_by is None) != (one.on is None):
            there, lacks = ("on", "accepted_by") if one.accepted_by is None else ("accepted_by", "on")
            message = f"the proposal '{one.id}' has '{there}', but not '{lacks}'"
            hint = "write the name of its designer and the day; or neither, then it is a suggestion"
            document.report(("remedy", i, there), "P641", message, hint)
        if one.on is not None and day is not None and one.on < day:
            message = f"the proposal '{one.id}' is accepted ({one.on}) before the inspection ({day})"
            document.report(("remedy", i, "on"), "P209", message)


def _unanswered(findings: Findings, checklist: Checklist, document: Document) -> tuple[str, ...]:
    fitted = findings.report.craft.fitted
    results = {result.item: (i, result) for i, result in enumerate(findings.results)}
    open_items = []
    for item in checklist.items:
        i, result = results.get(item.id, (None, None))
        answered = result is not None and result.result is not None
        if not item.asked(fitted):
            if answered and result is not None and result.result != "not applicable":
                message = f"'{item.id}' is answered, but 'fitted' says that the boat has no {' or '.join(item.applies)}"
                document.report(("results", i or 0, "result"), "P403", message, severity="warning")
        elif not answered:
            open_items.append(item.id)
    if open_items:
        shown = ", ".join(open_items[:4]) + (" ..." if len(open_items) > 4 else "")
        message = f"{len(open_items)} of {len(checklist.items)} items have no answer yet: {shown}"
        document.report(("results",), "P501", message, severity="note")
    return tuple(open_items)
