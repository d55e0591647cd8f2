"""The parts list: cables by size and colour with their waste, devices, ends by barrel and hole, sleeve, clips, labels.

Spares, common practice, no source: one lug, ferrule or clip in five, rounded up, and one fuse-link of each kind.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from decimal import ROUND_CEILING, Decimal

from lugbook.assess.parts.cables import NewEnd, new_cables, new_devices, new_ends
from lugbook.calc import termination
from lugbook.model.installation import Installation
from lugbook.model.network import Conductor, Network
from lugbook.model.parts import Part, PartKind, PartsList, Use, Wanting
from lugbook.model.remedy import Proposal

WASTE = Decimal("0.1")
SPARE = Decimal("0.2")
CABLE_STEP = Decimal(100)
"""Cable is bought in steps of so many millimetres."""
SLEEVE = Decimal(50)
"""Sleeve on each lug or clamp [mm]."""
CLIPPED, CLIPPED_BATTERY = 450, 300
"""The largest gap between two supports of a cable, and of one that begins at a battery [mm]: ISO 10133:2012, 7.3 and 7.4
(second-hand)."""
LABELS = 2
"""Labels on each new cable: one at either end."""
COLOURS = {"live": "red", "return": "black", "bond": "green-yellow"}
# Elements that are bought whole when they are new.
WHOLE = ("nodes", "batteries", "sources", "converters", "diodes", "switches", "relays", "loads", "circuits")


def parts_list(
    before: Network | None,
    after: Network | None,
    written: Installation | None,
    back: frozenset[str],
    accepted: Iterable[Proposal],
    withheld: Iterable[Wanting],
    waste: Decimal | None,
) -> PartsList:
    """The list for the accepted proposals.

    `after` and `written` are the installation with them, `back` its nodes of the return pole. `withheld` are devices
    that must not be bought yet; nothing of theirs is listed but their ends. `waste` is a share, None for the usual.
    """
    share = WASTE if waste is None else waste
    proposals, wanting = tuple(accepted), list(withheld)
    parts: list[Part] = []
    if before is not None and after is not None and written is not None:
        colours = _colours(after, written, back)
        renewed = _renewed(proposals)
        parts += _cables(before, after, renewed, colours, share)
        parts += _devices(before, after, {one.element for one in wanting})
        ends = tuple(new_ends(before, after, _studs(written), renewed))
        wanting += [
            Wanting(one.conductor.id, "stud", one.at) for one in ends if one.stud in (None, "unknown")
        ]
        wanting += [
            Wanting(one.id, "insulation")
            for one in new_cables(before, after, renewed)
            if not one.insulation.given
        ]
        parts += [
            *_ends(ends),
            *_sleeves(ends, colours),
            *_clips(before, after, renewed),
            *_labels(before, after, renewed),
        ]
    for proposal in proposals:
        parts += _whole(proposal)
        parts += _extra(proposal)
    return PartsList(tuple(parts), tuple(dict.fromkeys(wanting)), share)


def _renewed(proposals: Iterable[Proposal]) -> frozenset[str]:
    """The conductors whose cable is replaced by one of the same kind."""
    names = {name for one in proposals for name in one.renew}
    return frozenset(names | {f"{name}.{end}" for name in names for end in ("feed", "return")})


def millimetres(metres: float) -> int:
    """A length as whole millimetres."""
    return round(metres * 1000)


def _colours(after: Network, written: Installation, back: frozenset[str]) -> dict[str, str]:
    """The colour of each conductor: as written, or by what it is."""
    said = {one.id: one.colour for one in written.conductors}
    said |= {bond.id: bond.colour for bond in written.bonds}
    said |= {f"{circuit.id}.feed": circuit.colour for circuit in written.circuits}
    return {one.id: said.get(one.id) or COLOURS[_role(one, back)] for one in after.conductors}


def _role(one: Conductor, back: frozenset[str]) -> str:
    if one.use == "bond":
        return "bond"
    return "return" if {one.a, one.b} <= back else "live"


def _studs(written: Installation) -> dict[str, str | None]:
    """The studs of holders, by the id of their device as it is expanded."""
    found: dict[str, str | None] = {}
    for one in written.conductors:
        many = len(one.devices) > 1
        order = sorted(
            enumerate(one.devices), key=lambda pair: (pair[1].at.value if pair[1].at else 0.0, pair[0])
        )
        for n, (_, device) in enumerate(order, start=1):
            found[device.id or f"{one.id}.fuse{f'-{n}' if many else ''}"] = device.stud
    for circuit in written.circuits:
        if circuit.device is not None:
            found[circuit.device.id or f"{circuit.id}.fuse"] = circuit.device.stud
    return found


def _grouped(rows: Iterable[tuple[tuple[object, ...], Use]]) -> Mapping[tuple[object, ...], list[Use]]:
    found: dict[tuple[object, ...], list[Use]] = {}
    for key, use in rows:
        found.setdefault(key, []).append(use)
    return dict(sorted(found.items(), key=lambda pair: tuple(str(part) for part in pair[0])))


def _cables(
    before: Network, after: Network, renewed: frozenset[str], colours: Mapping[str, str], waste: Decimal
) -> Iterator[Part]:
    rows = [
        ((_sorting(one), one.size, colours[one.id], one.insulation.low if one.insulation.given else None),
         Use(one.id, millimetres(one.length.high) * one.parallel))
        for one in new_cables(before, after, renewed)
    ]  # fmt: skip
    for (_, size, colour, insulation), uses in _grouped(rows).items():
        net = Decimal(sum(use.count for use in uses))
        whole = _up(net * (1 + waste), CABLE_STEP)
        assert insulation is None or isinstance(insulation, float)
        yield Part(
            "cable", tuple(uses), net, whole - net, metres=True, size=str(size), colour=str(colour), insulation=insulation
        )  # fmt: skip


def _sorting(one: Conductor) -> str:
    """A text that sorts by area, the largest first."""
    return f"{1_000_000 - round(one.area * 1e9):09}"


def _up(value: Decimal, step: Decimal) -> Decimal:
    return (value / step).to_integral_value(ROUND_CEILING) * step


def _devices(before: Network, after: Network, withheld: set[str]) -> Iterator[Part]:
    fuses: list[tuple[tuple[object, ...], Use]] = []
    holders: list[tuple[tuple[object, ...], Use]] = []
    for new in new_devices(before, after):
        device = new.device
        if device.id in withheld:
            continue
        kind = "fuse" if device.kind == "fuse" else "breaker"
        fuses.append(((kind, device.type, device.rating, device.volts, device.breaks), Use(device.id, 1)))
        if kind == "fuse" and (new.old is None or new.old.type != device.type):
            holders.append(((device.type, device.volts), Use(device.id, 1)))
    for (made, what, rating, volts, breaks), uses in _grouped(fuses).items():
        count, fuse = Decimal(len(uses)), made == "fuse"
        yield Part(
            "fuse" if fuse else "breaker", tuple(uses), count, Decimal(fuse), what=str(what), rating=rating, volts=volts, breaks=breaks,  # type: ignore[arg-type]
        )  # fmt: skip
    for (what, volts), uses in _grouped(holders).items():
        yield Part("holder", tuple(uses), Decimal(len(uses)), Decimal(0), what=str(what), volts=volts)  # type: ignore[arg-type]


def _ends(ends: Iterable[NewEnd]) -> Iterator[Part]:
    rows = []
    for one in ends:
        if one.stud in (None, "unknown"):
            continue
        needs: PartKind = "clamp" if one.stud == "post" else "ferrule" if one.stud == "clamp" else "lug"
        key = (needs, _sorting(one.conductor), one.conductor.size, one.stud if needs == "lug" else "")
        rows.append((key, Use(one.conductor.id, one.conductor.parallel, one.at)))
    for (made, _, size, stud), uses in _grouped(rows).items():
        count = Decimal(sum(use.count for use in uses))
        spare = (count * SPARE).to_integral_value(ROUND_CEILING)
        if made == "lug":
            hole = termination.clearance_hole(stud=str(stud), series="fine")
            yield Part("lug", tuple(uses), count, spare, size=str(size), stud=str(stud), hole=hole)
        elif made == "clamp":
            yield Part("clamp", tuple(uses), count, Decimal(0), size=str(size))
        else:
            yield Part("ferrule", tuple(uses), count, spare, size=str(size))


def _sleeves(ends: Iterable[NewEnd], colours: Mapping[str, str]) -> Iterator[Part]:
    rows = [
        ((_sorting(one.conductor), one.conductor.size, colours[one.conductor.id]), Use(one.conductor.id, int(SLEEVE) * one.conductor.parallel, one.at))
        for one in ends
        if one.stud != "clamp"
    ]  # fmt: skip
    for (_, size, colour), uses in _grouped(rows).items():
        length = Decimal(sum(use.count for use in uses))
        yield Part(
            "sleeve", tuple(uses), length, _up(length * (1 + SPARE), CABLE_STEP) - length, metres=True, size=str(size), colour=str(colour)
        )  # fmt: skip


def _clips(before: Network, after: Network, renewed: frozenset[str]) -> Iterator[Part]:
    """What holds each new cable: its ends hold it as well, and a short one needs none in between."""
    posts = {node for battery in after.batteries for node in (battery.a, battery.b)}
    rows = []
    for one in new_cables(before, after, renewed):
        gap = CLIPPED_BATTERY if posts & {one.a, one.b} else CLIPPED
        count = (-(-millimetres(one.length.high) // gap) - 1) * one.parallel
        if count > 0:
            rows.append(((_sorting(one), one.size), Use(one.id, count)))
    for (_, size), uses in _grouped(rows).items():
        needed = Decimal(sum(use.count for use in uses))
        spare = (needed * SPARE).to_integral_value(ROUND_CEILING)
        yield Part("clip", tuple(uses), needed, spare, size=str(size))


def _labels(before: Network, after: Network, renewed: frozenset[str]) -> Iterator[Part]:
    uses = [Use(one.id, LABELS) for one in new_cables(before, after, renewed)]
    uses += [Use(new.device.id, 1) for new in new_devices(before, after)]
    if uses:
        yield Part("label", tuple(uses), Decimal(sum(use.count for use in uses)), Decimal(0))


def _whole(proposal: Proposal) -> Iterator[Part]:
    for name, one in proposal.entries("add"):
        if name in WHOLE and not (name == "nodes" and one.kind in ("body", "stud")):
            yield Part("element", (Use(one.id, 1),), Decimal(1), Decimal(0), what=one.title or one.id)


def _extra(proposal: Proposal) -> Iterator[Part]:
    for one in proposal.parts:
        metres = one.quantity.unit == "m"
        number = one.quantity.number * (1000 if metres else 1)
        yield Part("other", (Use(proposal.id, 0),), number, Decimal(0), metres=metres, what=one.what)
