"""What opens the earthed pole alone: a fuse, a breaker, or a switch that does not open the other pole with it.

Where no pole is earthed, the walk of the coverage follows the positive; that is said once for each bank.
"""

from __future__ import annotations

from lugbook.assess.evidence.base import Under, entered
from lugbook.assess.evidence.devices import standing
from lugbook.assess.evidence.limits import bound, practice
from lugbook.model.basis import Required
from lugbook.model.evidence import Bound, Evidence, Sentence, Verdict
from lugbook.model.network import Contact, Edge
from lugbook.model.problem import Path

# Holds whatever basis is chosen: what is switched off there stays live.
PRACTICE = "nothing opens an earthed pole alone, common practice, no source"


def earthed(under: Under) -> tuple[Evidence, ...]:
    """Evidence for every device and switch that stands in the earthed pole alone, and for insulated banks."""
    network, poles, rule = under.network, under.grounds.poles, under.basis.limits.earthed_pole
    found: list[Evidence] = []
    if network.earthing != "insulated":
        known = network.earthing != "not known"
        for one in standing(network):
            if _back(under, one.edge):
                found.append(_opens(under, rule, one.device.id, one.device.path, one.edge.id, known=known))
        for switch in network.switches.values():
            contacts = [
                edge for edge in network.of(Contact) if isinstance(edge, Contact) and edge.owner == switch.id
            ]
            alone = [edge for edge in contacts if _back(under, edge)]
            if alone and len(alone) == len(contacts):
                found.append(_opens(under, rule, switch.id, switch.path, alone[0].id, known=known))
    if network.earthing == "insulated" and under.basis.limits.overcurrent:
        banks = sorted({b.bank: b for b in network.batteries if b.b in poles.back}.items())
        found += [_insulated(under, bank, battery.b, battery.path) for bank, battery in banks]
    return tuple(found)


def _back(under: Under, edge: Edge) -> bool:
    poles = under.grounds.poles
    nodes = poles.earthed if under.network.earthing != "not known" else poles.back
    return edge.a in nodes and edge.b in nodes


def _opens(
    under: Under, rule: Required | None, subject: str, path: Path, at: str, *, known: bool
) -> Evidence:
    if rule is not None and rule.required:
        limit = bound(under.basis, rule, 0, "count", under.grounds.around)
    else:
        limit = practice(0, "count", PRACTICE)
    verdict: Verdict = "departure" if known else "cannot be decided"
    return _made(
        under, "earthed pole", subject, path, at, "negative-no-fuse-or-switch", limit, verdict,
        () if known else ("whether a pole is earthed, and where",),
        (f"'{subject}' opens the {'earthed' if known else 'return'} pole alone; what lies behind it stays live and finds another way home.",),
        1.0,
    )  # fmt: skip


def _insulated(under: Under, bank: str, node: str, path: Path) -> Evidence:
    return _made(
        under, "insulated pole", bank, path, node, "fuse-near-battery", None, "cannot be decided",
        ("whether devices and switches open both poles, and how a first fault to metal is noticed",),
        (f"Neither pole of '{bank}' is earthed. The lengths are those of the positive; after a fault of each pole to metal, a device in one pole alone can be by-passed.",),
        0.0,
    )  # fmt: skip


def _made(
    under: Under, rule: str, subject: str, path: Path, at: str, item: str, limit: Bound | None, verdict: Verdict,
    wants: tuple[str, ...], says: Sentence, count: float,
) -> Evidence:  # fmt: skip
    state = under.grounds.states[0]
    where = under.network.earthed_at or "not stated"
    return Evidence(
        "coverage", rule, subject, path, at, item, under.basis.id, count, count, "count",
        (entered("E", f"earthing: {under.network.earthing}, at {where}", 0.0, "count"),),
        "devices and single-pole switches in the earthed pole = 0", (says[0],), limit, (), verdict, wants, None, (),
        state.id, state.named, says,
    )  # fmt: skip
