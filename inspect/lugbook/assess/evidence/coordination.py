"""Coordination: design current, rating of the device, and what the conductor allows; motors and charging outputs."""

from __future__ import annotations

from lugbook.assess.evidence.base import Under, assumed, entered, exposure, size_inputs, wanted
from lugbook.assess.evidence.capacity import device_rule
from lugbook.assess.evidence.charging import ITEMS, outputs
from lugbook.assess.evidence.coverage_says import LOAD_DUMP
from lugbook.assess.evidence.design import Design, Peak
from lugbook.assess.evidence.devices import Standing, before, standing
from lugbook.assess.evidence.limits import SAME, bound, judge, margin, practice
from lugbook.assess.evidence.outputs import given
from lugbook.calc.loads import continuous_limit
from lugbook.model.evidence import Amount, Bound, Evidence, Input, Sentence, Verdict
from lugbook.model.network import Conductor, Device, Load

# A fuse-link carries twice its rating for seconds, so that a motor held fast opens it in time.
SURE_TO_OPEN = 2.0


def coordination(under: Under, design: Design, covered: tuple[Evidence, ...]) -> tuple[Evidence, ...]:
    """Evidence for every device, and for every motor with a maker's maximum or a stall current."""
    sound = _sound(covered)
    found: list[Evidence] = []
    for one in standing(under.network):
        found += [
            _conductor(under, one, wire, sound)
            for wire in one.protects[:1]
            if device_rule(under.basis, under.network.system)
        ]
        found += _currents(under, design, one)
        found += _charging(under, one)
        found += _voltage(under, one)
    places = {one.device.id: one.edge.id for one in standing(under.network)}
    for load in under.network.loads:
        device = before(under.network, load)
        if device is not None and load.kind != "cranking motor":
            found += _motor(under, load, device, places[device.id])
    return tuple(found)


def _sound(covered: tuple[Evidence, ...]) -> frozenset[str]:
    """Conductors that the devices protect, whatever this one is rated."""
    good = {one.subject for one in covered}
    return frozenset(good - {one.subject for one in covered if one.verdict != "within" or one.exempt})


def _made(
    under: Under, rule: str, device: Device, at: str, item: str, *, low: float, high: float, unit: str,
    inputs: tuple[Input, ...], formula: str, numbers: Sentence, limit: Bound | None, verdict: Verdict, wants: tuple[str, ...],
    says: Sentence, peak: Peak | None = None, notes: tuple[Sentence, ...] = (), names: tuple[str, ...] = (), known: bool = True,
) -> Evidence:  # fmt: skip
    state = peak.state if peak else under.grounds.states[0]
    where = under.network.edges[at]
    return Evidence(
        "coordination", rule, device.id, device.path, at, item, under.basis.id, low, high, unit, inputs, formula, numbers,
        limit, (), verdict, wants, margin(low, high, limit) if known and limit is not None else None, assumed(under.network, (at,), names), state.id, state.named,
        says, notes, exposure=exposure(where) if isinstance(where, Conductor) else "usual",
    )  # fmt: skip


def _conductor(under: Under, one: Standing, wire: Conductor, sound: frozenset[str]) -> Evidence:
    """Rating against what the basis allows for the conductor; the smallest where there are several."""
    wire = min(one.protects, key=lambda other: (under.allowed[other.id].low, other.id))
    entry, rule = under.allowed[wire.id], device_rule(under.basis, under.network.system)
    assert rule is not None
    rating = one.device.rating
    worse = bound(under.basis, rule, entry.low, "A", under.grounds.around)
    better = bound(under.basis, rule, entry.high, "A", under.grounds.around)
    first, second = judge(rating, rating, worse), judge(rating, rating, better)
    verdict: Verdict = first if first == second else "cannot be decided"
    notes: tuple[Sentence, ...] = ()
    if verdict != "within" and wire.id in sound:
        verdict, notes = "within", (("Smaller devices protect this conductor from every source.",),)
    limit: Bound | None = worse if verdict == "cannot be decided" or first == "within" else better
    if entry.low == 0 and verdict == "cannot be decided":
        limit = None  # the table has no entry for the worse case: nothing is known, and not that it allows nothing
    stands = "protects" if first == "within" else "stands before"
    allows: Sentence = (
        ("; what this allows is not known.",) if limit is None else (", which allows at most ", Amount(limit.value, "A"), ".")
    )  # fmt: skip
    carries = entry.ampacity[0]
    counted: Sentence = (
        Amount(rule.factor, "ratio"),
        " × ",
        Amount(carries, "A"),
        " = ",
        Amount(rule.factor * carries, "A"),
    )
    if entry.low > rule.factor * carries * (1 + SAME):
        counted = (*counted, ", next standard size ", Amount(entry.low, "A"))
    return _made(
        under, "rating", one.device, one.edge.id, "fuse-matches-conductor", low=rating, high=rating, unit="A",
        inputs=(
            entered("In", "rating of the device", rating, "A"),
            *size_inputs(wire),
            Input("Iz", "ampacity that the rule refers to", *entry.ampacity, "A", "computed", "corrected" if rule.corrected else "as in the table"),
            Input("f", "factor of the rule", rule.factor, rule.factor, "ratio", "table", rule.clause),
        ),
        formula="In <= f × Iz",
        numbers=(Amount(rating, "A"), " against ", *(counted if limit is not None else ("what is not known",))),
        limit=limit, verdict=verdict, wants=wanted(entry.assumed) if verdict == "cannot be decided" else (),
        says=(f"'{one.device.id}' (", Amount(rating, "A"), f") {stands} '{wire.id}' ({wire.size})", *allows),
        notes=notes, names=entry.assumed,
    )  # fmt: skip


def _currents(under: Under, design: Design, one: Standing) -> list[Evidence]:
    """Design current against the rating, and the continuous part of it against the share of a fuse that may be used."""
    found = []
    name, device = one.edge.id, one.device
    peak, likely = design.service.get(name), design.likely.get(name)
    if peak is not None and peak.amperes > 0:
        limit = practice(device.rating, "A", "design current at most the rating, common practice")
        verdict, wants = _against(peak, likely, limit)
        found.append(_made(
            under, "design current", device, name, "fuse-matches-conductor", low=likely.amperes if likely else 0.0, high=peak.amperes, unit="A",
            inputs=(Input("I", "design current", likely.amperes if likely else 0.0, peak.amperes, "A", "computed", f"state '{peak.state.id}'"), entered("In", "rating of the device", device.rating, "A")),
            formula="I <= In", numbers=(Amount(peak.amperes, "A"), " against ", Amount(device.rating, "A")), limit=limit, verdict=verdict, wants=wants, peak=peak,
            says=(f"'{device.id}' (", Amount(device.rating, "A"), ") carries ", Amount(peak.amperes, "A"), " in service."),
        ))  # fmt: skip
    steady, rule = design.continuous.get(name), under.basis.limits.continuous_load
    if rule is not None and device.kind == "fuse" and steady is not None and steady.amperes > 0:
        share = device.continuous or rule.share.value
        most = continuous_limit(rating=device.rating, fraction=min(share, 1.0))
        limit = bound(under.basis, rule, most, "A", under.grounds.around)
        sure = design.steady.get(name)
        verdict, wants = _against(steady, sure, limit)
        found.append(_made(
            under, "continuous load", device, name, "fuse-matches-conductor", low=sure.amperes if sure else 0.0, high=steady.amperes, unit="A",
            inputs=(Input("I", "continuous current", steady.amperes, steady.amperes, "A", "computed", f"state '{steady.state.id}'"), entered("In", "rating of the device", device.rating, "A"), Input("f", "share that may be used", share, share, "ratio", "entered" if device.continuous else "table", rule.clause)),
            formula="I <= f × In", numbers=(Amount(steady.amperes, "A"), " against ", Amount(share, "ratio"), " × ", Amount(device.rating, "A"), " = ", Amount(most, "A")), limit=limit, verdict=verdict, wants=wants, peak=steady,
            says=(f"'{device.id}' (", Amount(device.rating, "A"), ") carries ", Amount(steady.amperes, "A"), " without a break; ", Amount(most, "A"), " is its share."),
        ))  # fmt: skip
    return found


def _against(peak: Peak, likely: Peak | None, limit: Bound) -> tuple[Verdict, tuple[str, ...]]:
    """A current that only flows if everything runs at once decides nothing against a device."""
    if judge(peak.amperes, peak.amperes, limit) == "within":
        return "within", ()
    if likely is not None and judge(likely.amperes, likely.amperes, limit) == "departure":
        return "departure", ()
    return "cannot be decided", (
        "whether these loads run together and how long: name the state under 'states'",
    )


def _charging(under: Under, one: Standing) -> list[Evidence]:
    """The device in a charging output, against the source's greatest current; it must not open in service."""
    rule = under.basis.limits.charging_device
    if rule is None:
        return []
    found = []
    for source in outputs(under.network, one.edge):
        if source.kind == "pv" or ("self-limited" in rule.exempt and source.self_limited is True):
            continue
        gives = given(under.network, source).get(one.edge.id, source.current)
        for factor, relation, name in ((rule.least, "at least", "least"), (rule.most, "at most", "most")):
            if factor is None:
                continue
            value = factor * gives
            limit = bound(
                under.basis,
                rule,
                value,
                "A",
                under.grounds.around,
                "at least" if relation == "at least" else "at most",
            )
            verdict = judge(one.device.rating, one.device.rating, limit)
            wants: tuple[str, ...] = ()
            if verdict == "departure" and source.self_limited is None and "self-limited" in rule.exempt:
                verdict, wants = "cannot be decided", wanted(("self-limited",))
            found.append(_made(
                under, f"charging output, {name}, {source.id}", one.device, one.edge.id, ITEMS.get(source.kind, "charger-dc-side"), low=one.device.rating, high=one.device.rating, unit="A",
                inputs=(entered("In", "rating of the device", one.device.rating, "A"), entered("Is", f"greatest current of '{source.id}'", gives, "A"), Input("f", "factor of the rule", factor, factor, "ratio", "table", rule.clause)),
                formula="In >= f × Is" if relation == "at least" else "In <= f × Is",
                numbers=(Amount(one.device.rating, "A"), " against ", Amount(factor, "ratio"), " × ", Amount(gives, "A"), " = ", Amount(value, "A")),
                limit=limit, verdict=verdict, wants=wants,
                says=(f"'{one.device.id}' (", Amount(one.device.rating, "A"), f") stands in the output of '{source.id}', which gives up to ", Amount(gives, "A"), "."),
                notes=(LOAD_DUMP,) if source.kind == "alternator" else (),
            ))  # fmt: skip
    return found


def _voltage(under: Under, one: Standing) -> list[Evidence]:
    """Rated voltage against the nominal one; good practice asks for the highest charging voltage."""
    rule = under.basis.limits.device_voltage
    if rule is None or not rule.required:
        return []
    network, poles = under.network, under.grounds.poles
    nominal = min((poles.between(b, network.system) for b in network.batteries), default=network.system)
    levels = [level for node, level in poles.level.items() if node in (one.edge.a, one.edge.b)]
    lowest = min(poles.level.values(), default=0.0)
    nominal = max([nominal, *(level - lowest for level in levels)])
    needed = nominal
    if under.basis.kind != "law":
        top = max(
            (source.volts.high for source in network.sources if source.kind != "pv"), default=network.system
        )
        ends = (one.edge.a, one.edge.b)
        needed = max(
            [nominal, nominal * top / network.system, *(poles.charged.get(end, 0.0) for end in ends)]
        )
    # Across an open fuse in a solar run stands what the cells give, whatever the batteries have.
    needed = max([needed, *(poles.cells.get(end, 0.0) for end in (one.edge.a, one.edge.b))])
    limit = bound(under.basis, rule, needed, "V", under.grounds.around, "at least")
    volts = one.device.volts
    verdict: Verdict = "cannot be decided" if volts is None else judge(volts, volts, limit)
    return [_made(
        under, "voltage", one.device, one.edge.id, "fuse-dc-kind", low=volts or 0.0, high=volts or 0.0, unit="V", known=volts is not None,
        inputs=(Input("Un", "voltage that it must be rated for", needed, needed, "V", "computed", rule.clause), *((entered("U", "rated voltage of the device", volts, "V"),) if volts is not None else ())),
        formula="U >= Un", numbers=(Amount(volts, "V"), " against ", Amount(needed, "V")) if volts is not None else ("not known against ", Amount(needed, "V")),
        limit=limit, verdict=verdict, wants=("the d.c. voltage marked on the device",) if volts is None else (),
        says=(f"'{one.device.id}' is marked for ", Amount(volts, "V"), "; it must be good for ", Amount(needed, "V"), ".") if volts is not None else (f"The rated voltage of '{one.device.id}' is not known; it must be good for ", Amount(needed, "V"), "."),
    )]  # fmt: skip


def _motor(under: Under, load: Load, device: Device, place: str) -> list[Evidence]:
    """The maker's largest fuse; without it, whether a motor held fast opens the device. Once, under no basis's clause.

    A bilge pump's fuse has an item of its own, which speaks of the fuse where it stands.
    """
    pump = load.kind == "motor" and load.needed == "afloat"
    at, item = (place, "bilge-pump-fuse") if pump else (load.id, "fuse-maker-maximum")
    if load.max_fuse is not None:
        limit = practice(load.max_fuse, "A", "the maker's largest fuse")
        return [_made(
            under, f"maker's maximum, {load.id}", device, at, item, low=device.rating, high=device.rating, unit="A",
            inputs=(entered("In", "rating of the device", device.rating, "A"), entered("Im", "largest fuse that the maker allows", load.max_fuse, "A"), *((entered("Ist", "stall current", load.stall, "A"),) if load.stall else ())),
            formula="In <= Im", numbers=(Amount(device.rating, "A"), " against ", Amount(load.max_fuse, "A")), limit=limit,
            verdict=judge(device.rating, device.rating, limit), wants=(),
            says=(f"'{device.id}' (", Amount(device.rating, "A"), f") stands before '{load.id}', whose maker allows ", Amount(load.max_fuse, "A"), " at most."),
        )]  # fmt: skip
    if load.stall is None:
        return []
    limit = practice(
        device.rating,
        "A",
        "a motor held fast opens its device: stall current above the rating, well above to be sure",
        "at least",
    )
    verdict: Verdict = (
        "departure"
        if load.stall <= device.rating
        else "within"
        if load.stall >= SURE_TO_OPEN * device.rating
        else "cannot be decided"
    )
    return [_made(
        under, f"stall, {load.id}", device, at, item, low=load.stall, high=load.stall, unit="A",
        inputs=(entered("Ist", "stall current", load.stall, "A"), entered("In", "rating of the device", device.rating, "A")),
        formula="Ist > In", numbers=(Amount(load.stall, "A"), " against ", Amount(device.rating, "A")), limit=limit, verdict=verdict,
        wants=("the maker's largest fuse, or the device's time at this current",) if verdict == "cannot be decided" else (),
        says=(f"'{load.id}' held fast draws ", Amount(load.stall, "A"), f"; '{device.id}' is rated ", Amount(device.rating, "A"), "."),
    )]  # fmt: skip
