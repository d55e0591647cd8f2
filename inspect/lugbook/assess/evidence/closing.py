"""What flows through a switch or relay when it joins two banks, one full and one empty.

That is no fault and no fuse need open; but the contact has to bear it, and it says why a link is closed with care.
"""

from __future__ import annotations

from lugbook.assess.evidence.base import entered
from lugbook.assess.evidence.circuit import NOTHING, FaultCase, conductor_elements
from lugbook.assess.evidence.faults import FED, Faults
from lugbook.assess.evidence.limits import judge, margin
from lugbook.assess.evidence.limits import practice as common
from lugbook.calc.nodal import Cell, Element, Nodal, Resistor, Unsolved
from lugbook.model.evidence import Amount, Evidence, Input, Sentence
from lugbook.model.islands import Islands
from lugbook.model.network import Battery, Conductor, Contact, Diode, Inline, Join, State

FORMULA = "I = (E of the full bank - E of the empty one) / R of the whole way"
CLAUSE = "common practice: a contact bears what flows when it closes"
# States tried for one contact; the ways that matter are in the first ones.
MOST_STATES = 16
CONDUCTS = (Conductor, Join, Inline, Contact, Diode, Battery)


def closing(found: Faults) -> tuple[Evidence, ...]:
    """Evidence for each contact that joins two banks."""
    made = []
    for contact in found.network.of(Contact):
        assert isinstance(contact, Contact)
        switch = found.network.switches[contact.owner]
        if contact.id in switch.positions.get(switch.usual, ()):
            continue  # closed as a rule: what hangs on it is no second bank to be joined
        best: tuple[float, float, State, str, str] | None = None
        states = [state for state in found.grounds.states if contact.id in state.closed][:MOST_STATES]
        for state in states:
            sides = _sides(found, contact, state)
            if sides is None:
                continue
            for full, empty in (sides, sides[::-1]):
                most = _flow(found, contact, state, full, "most")
                if most is not None and (best is None or most > best[0] * (1 + 1e-9)):
                    sure = _flow(found, contact, state, full, "sure") or 0.0
                    best = (most, min(sure, most), state, ", ".join(sorted(full)), ", ".join(sorted(empty)))
        if best is not None and best[0] > FED:
            made.append(_evidence(found, contact, *best))
    return tuple(made)


def _sides(found: Faults, contact: Contact, state: State) -> tuple[frozenset[str], frozenset[str]] | None:
    """The banks on either side of an open contact; None unless each side has one that the other has not."""
    network, back = found.network, found.grounds.poles.back
    islands = Islands(network.nodes)
    for edge in network.edges.values():
        live = edge.a not in back and edge.b not in back
        if edge.id != contact.id and live and isinstance(edge, CONDUCTS) and network.present(edge, state):
            islands.join(edge.a, edge.b)
    a, b = (
        frozenset(
            battery.bank
            for battery in network.batteries
            if islands.find(battery.a) == islands.find(end) and network.present(battery, state)
        )
        for end in (contact.a, contact.b)
    )
    return (a, b) if a and b and not a & b else None


def _flow(
    found: Faults, contact: Contact, state: State, full: frozenset[str], case: FaultCase
) -> float | None:
    """The current at closing; None where a bank's inside is not known, or nothing settles."""
    network = found.network
    elements: list[Element] = []
    for edge in network.edges.values():
        if not network.present(edge, state):
            continue
        if isinstance(edge, Conductor):
            elements += conductor_elements(edge, case, found.cut)
        elif isinstance(edge, Join):
            ohms = edge.resistance.max_case if case == "most" else edge.resistance.min_case
            elements.append(Resistor(edge.id, edge.a, edge.b, max(ohms, NOTHING)))
        elif isinstance(edge, Inline):
            elements.append(Resistor(edge.device.id, edge.a, edge.b, NOTHING))
        elif isinstance(edge, Contact):
            elements.append(Resistor(edge.id, edge.a, edge.b, NOTHING))
        elif isinstance(edge, Battery):
            inside = found.inside[edge.id]
            if inside.ohms is None:
                return None
            ohms = inside.ohms.max_case if case == "most" else inside.ohms.min_case
            volts = inside.emf.high if edge.bank in full else inside.emf.low
            elements.append(Cell(edge.id, edge.a, edge.b, volts, ohms))
    solution = Nodal(elements).solve()
    return None if isinstance(solution, Unsolved) else abs(solution.currents[contact.id])


def _evidence(
    found: Faults, contact: Contact, most: float, sure: float, state: State, full: str, empty: str
) -> Evidence:
    switch = found.network.switches[contact.owner]
    bears = switch.short_time or switch.current
    limit = common(bears, "A", CLAUSE) if bears is not None else None
    verdict = "within" if limit is None else judge(sure, most, limit)
    inputs: tuple[Input, ...] = tuple(
        Input("E", f"open-circuit voltage of '{b.id}'", found.inside[b.id].emf.low, found.inside[b.id].emf.high, "V", "assumed", found.inside[b.id].emf.assumed)
        for b in found.network.batteries
    )  # fmt: skip
    if bears is not None:
        name = "short-time rating" if switch.short_time else "continuous rating"
        inputs += (entered("Icw", f"{name} of '{switch.id}'", bears, "A"),)
    span: Sentence = (Amount(most, "A"),)
    if sure < most * 0.995:
        span = (Amount(sure, "A"), " to ", *span)
    wants = tuple(dict.fromkeys(inside.wants for inside in found.inside.values() if inside.wants))
    return Evidence(
        "fault current", f"closing, {contact.id}", switch.id, switch.path, contact.id, "isolation-parallel-link", "",
        sure, most, "A", inputs, FORMULA, ("I = ", Amount(sure, "A"), " to ", Amount(most, "A")), limit, (), verdict,
        (wants or (f"the resistances of the banks that '{switch.id}' joins",)) if verdict == "cannot be decided" else (),
        None if limit is None else margin(sure, most, limit), (), state.id, state.named,
        (
            f"Closing '{switch.id}' with '{full}' full and '{empty}' empty would drive ", *span,
            " from the one into the other.",
        ),
        (("It falls within seconds to minutes as the voltages draw level; no fuse need open for it.",),),
    )  # fmt: skip
