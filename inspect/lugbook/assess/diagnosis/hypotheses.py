"""The causes that are weighed, written as patches to the installation.

Priors are weights against each other, for a boat on which something was noticed: trade knowledge, no source. They
decide only where the readings do not.
"""

from __future__ import annotations

from dataclasses import replace

from lugbook.assess.diagnosis.bench import Bench, elements, first_section, tied
from lugbook.assess.evidence.circuit import layout
from lugbook.calc.nodal import Nodal, Solution
from lugbook.model.apparatus import LITHIUM
from lugbook.model.diagnosis import Change, Hypothesis
from lugbook.model.network import Conductor, Contact, Inline, Network, Source, Switch

PRIOR = {
    "none": 0.15, "contact open": 0.10, "no control feed": 0.06, "no reference earth": 0.06, "threshold": 0.04,
    "delay": 0.04, "fuse blown": 0.12, "joint": 0.15, "undersized": 0.06, "no output": 0.08, "slipping": 0.06,
    "stuck high": 0.03, "sulphated": 0.06, "shorted cell": 0.04, "mismatch": 0.04, "drain": 0.06, "meter lead": 0.03,
}  # fmt: skip
# A conductor carries charge if this much flows in it while nothing else is switched on [A].
CARRIES = 1.0
# The ranges over which a cause is weighed.
JOINT_OHMS, UNDERSIZED, SLIPS = (0.004, 0.5), (1.7, 8.0), (0.05, 0.45)
# A reference earth of about 20 mohm, loose and then lost.
LOOSE = (1e3, 3e7)
STUCK, SULPHATED, CELL, DRAIN, LEAD = (1.04, 1.35), (4.0, 40.0), (-2.4, -1.6), (0.1, 6.0), (0.2, 0.97)


def bench_of(network: Network) -> Bench:
    """Find the charging path of a network."""
    cut = layout(network)
    bare, path = Bench(network, cut, frozenset()), set[str]()
    for state in network.states:
        if not state.sources:
            continue
        quiet = replace(state, loads=frozenset())
        made = elements(bare, quiet, frozenset(), (), {}, 0)
        found = Nodal([*made, *tied(network, made)]).solve()
        if isinstance(found, Solution):
            path |= {
                c.id for c in network.conductors
                if c.id not in state.removed and abs(found.currents[first_section(bare, c.id).id]) > CARRIES
            }  # fmt: skip
    return Bench(network, cut, frozenset(path))


def hypotheses(bench: Bench) -> tuple[Hypothesis, ...]:
    """All single causes that this installation can have; 'none' comes first."""
    network = bench.network
    found = [Hypothesis("none", "none", "", 1.0)]
    for contact in network.of(Contact):
        assert isinstance(contact, Contact)
        switch = network.switches[contact.owner]
        if switch.relay is not None and any(contact.id in state.closed for state in network.states):
            found += _relay(network, switch, contact)
    for one in network.conductors:
        if one.id not in bench.path:
            continue
        found += [_one("fuse blown", p.device.id, open=frozenset({p.device.id})) for p in one.devices]
        found += [
            replace(_one("joint", one.id, "ohms", JOINT_OHMS, f"{one.id}.{end}"), id=f"joint:{one.id}.{end}", end=end)
            for end in ("from", "to")
        ]  # fmt: skip
        found.append(_one("undersized", one.id, "factor", UNDERSIZED, one.id))
    found += [
        _one("fuse blown", e.device.id, open=frozenset({e.device.id})) for e in network.of(Inline)
        if isinstance(e, Inline) and e.a in _path_nodes(bench)
    ]  # fmt: skip
    found += [h for source in network.sources for h in _source(source)]
    found += _batteries(network)
    return tuple(_shared(found))


def lead(instrument: str) -> Hypothesis:
    """A meter whose lead or plug makes poor contact: it shows too little."""
    made = _one("meter lead", instrument, "meter", LEAD, instrument)
    return replace(made, prior=PRIOR["meter lead"])


def pair(one: Hypothesis, other: Hypothesis) -> Hypothesis:
    """Both at once."""
    return Hypothesis(
        f"{one.id} + {other.id}", "two", "", one.prior * other.prior, open=one.open | other.open,
        changes=one.changes + other.changes, parts=(one, other), early=one.early or other.early,
    )  # fmt: skip


def _one(
    cause: str, place: str, what: str = "", span: tuple[float, float] = (0, 0), target: str = "",
    open: frozenset[str] = frozenset(),  # noqa: A002 (the word of the type)
) -> Hypothesis:  # fmt: skip
    changes = (Change(what, target, *span),) if what else ()  # type: ignore[arg-type]
    return Hypothesis(f"{cause.replace(' ', '-')}:{place}", cause, place, 1.0, open=open, changes=changes)  # type: ignore[arg-type]


def _path_nodes(bench: Bench) -> set[str]:
    return {node for c in bench.network.conductors if c.id in bench.path for node in (c.a, c.b)}


def _relay(network: Network, switch: Switch, contact: Contact) -> list[Hypothesis]:
    found = [_one("contact open", switch.id, open=frozenset({contact.id}))]
    feed = [e.id for e in network.at(f"{switch.id}.coil-pos") if isinstance(e, Conductor)]
    if feed:
        found.append(_one("no control feed", switch.id, open=frozenset({contact.id, *feed})))
    for line in network.at(f"{switch.id}.coil-neg"):
        if isinstance(line, Conductor):  # loose to lost: its resistance from some ten ohms upwards
            gone = frozenset({contact.id})
            found.append(_one("no reference earth", switch.id, "factor", LOOSE, line.id, open=gone))
            break
    if switch.cut_in is not None:
        span = (switch.cut_in - 1.3, switch.cut_in - 0.02)
        found += [
            replace(
                _one("threshold", switch.id, "volts", span, source.id, open=frozenset({contact.id})),
                id=f"threshold:{switch.id}:{source.id}",
            )
            for source in network.sources if source.kind == "alternator"
        ]  # fmt: skip
    if switch.delay:
        found.append(replace(_one("delay", switch.id, open=frozenset({contact.id})), early=True))
    return found


def _source(source: Source) -> list[Hypothesis]:
    if source.kind == "pv":
        return [_one("no output", source.id, open=frozenset({source.id}))]
    found = [
        _one("no output", source.id, open=frozenset({source.id})),
        _one(
            "stuck high",
            source.id,
            "volts",
            (STUCK[0] * source.volts.high, STUCK[1] * source.volts.high),
            source.id,
        ),
    ]
    return found + (
        [_one("slipping", source.id, "limit", SLIPS, source.id)] if source.kind == "alternator" else []
    )


def _batteries(network: Network) -> list[Hypothesis]:
    found: list[Hypothesis] = []
    banks: dict[str, list[str]] = {}
    for block in network.batteries:
        banks.setdefault(block.bank, []).append(block.id)
    lead_acid = {b.bank for b in network.batteries if b.chemistry not in LITHIUM}
    for bank, blocks in banks.items():
        found.append(_one("drain", bank, "drain", DRAIN, bank))
        if bank not in lead_acid:
            continue
        found.append(_one("sulphated", bank, "inner", SULPHATED, bank))
        if len({b.string for b in network.batteries if b.bank == bank}) == 1:
            found.append(_one("shorted cell", bank, "emf", CELL, blocks[0]))
        else:
            found += [_one("mismatch", block, "inner", SULPHATED, block) for block in blocks]
            found += [_one("shorted cell", block, "emf", CELL, block) for block in blocks]
    return found


def _shared(found: list[Hypothesis]) -> list[Hypothesis]:
    """Each cause's prior, shared among the places that it can have."""
    counts: dict[str, int] = {}
    for one in found:
        counts[one.cause] = counts.get(one.cause, 0) + 1
    return [replace(one, prior=PRIOR[one.cause] / counts[one.cause]) for one in found]
