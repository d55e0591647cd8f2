"""The remedy -> its section: proposals, before and after, parts and estimate, in words."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from lugbook.compose.common import Phrases
from lugbook.compose.diagram import compose_diagram
from lugbook.compose.estimate import compose_estimate, hours_of
from lugbook.compose.evidence import Names, says
from lugbook.compose.parts import compose_parts
from lugbook.model.assessed import Assessed
from lugbook.model.diagram import DiagramView
from lugbook.model.parts import Range
from lugbook.model.quantity import Quantity
from lugbook.model.remedied import Compared, Figures, JudgedProposal, Remedied
from lugbook.model.remedy import Proposal
from lugbook.model.remedy_view import ComparedView, ProposalView, ProposedDevice, RemedyView


def compose_remedy(assessed: Assessed, found: Remedied, phrases: Phrases) -> RemedyView:
    """The section of what is proposed."""
    words = phrases.words
    job = assessed.job
    proposed = job.suggested or job.accepted
    today = Names(job.network, phrases)
    then = Names(proposed.network, phrases) if proposed else today
    proposals = sorted(found.proposals, key=lambda one: not one.proposal.accepted)
    intro = [words("remedy.intro")]
    if not found.accepted:
        intro.append(words("remedy.none_accepted"))
    designed = sorted({defect.number for one in found.accepted for defect in one.answers})
    left = [d.number for d in assessed.defects if d.act_by is not None and d.number not in designed]
    return RemedyView(
        intro=tuple(intro),
        proposals=tuple(_proposal(one, today, then, phrases) for one in proposals),
        summary=_summary(found, phrases),
        compared=tuple(_compared(row, today, then, phrases) for row in found.compared),
        diagram=_diagram(assessed, found, phrases),
        parts=compose_parts(found.parts, then, phrases) if found.parts else None,
        estimate=compose_estimate(found.estimate, phrases, designed, left) if found.estimate else None,
    )


def _summary(found: Remedied, phrases: Phrases) -> str | None:
    if found.counts is None:
        return None
    (departs, undecided), (then_departs, then_undecided) = found.counts
    return phrases.words(
        "remedy.summary", departs=departs, undecided=undecided, then_departs=then_departs, then_undecided=then_undecided
    )  # fmt: skip


def _proposal(one: JudgedProposal, today: Names, then: Names, phrases: Phrases) -> ProposalView:
    words, proposal = phrases.words, one.proposal
    who = proposal.accepted_by or ""
    return ProposalView(
        id=proposal.id,
        title=proposal.title,
        accepted=proposal.accepted,
        status=words("remedy.accepted", who=who, day=phrases.day(proposal.on)) if proposal.accepted else words("remedy.suggested"),
        answers=tuple(
            (words("defect.heading", n=defect.number, title=_title(defect.title, today)), f"defect-{defect.id}")
            for defect in one.answers
        ),
        unknown=words("remedy.unknown", ids=", ".join(one.unknown)) if one.unknown else None,
        changes=changes_of(proposal, today, then, phrases),
        devices=tuple(_device(figures, then, phrases) for figures in one.figures),
        hours=hours_of(Range(*(Decimal(str(time.value)) for time in proposal.hours)), phrases) if proposal.hours else None,
        note=proposal.note,
    )  # fmt: skip


def _title(title: str, names: Names) -> str:
    return names.of(title)


def changes_of(proposal: Proposal, today: Names, then: Names, phrases: Phrases) -> tuple[str, ...]:
    """What a proposal changes, a line each."""
    words = phrases.words
    lines = [
        words("remedy.change", name=today.of(one.id), what=", ".join(_keys(one, phrases)))
        for _, one in proposal.entries("change")
    ]
    lines += [words("remedy.remove", name=today.of(name)) for name in proposal.remove]
    lines += [
        words("remedy.add", name=then.of(one.id)) for _, one in proposal.entries("add") if hasattr(one, "id")
    ]
    lines += [words("remedy.renew", name=today.of(name)) for name in proposal.renew]
    lines += [_part(one, phrases) for one in proposal.parts]
    return tuple(lines)


def _part(one: Any, phrases: Phrases) -> str:
    number = phrases.format.number(one.quantity.number)
    return phrases.words("remedy.part", n=f"{number} {one.quantity.unit}".strip(), what=one.what)


def _keys(entry: Any, phrases: Phrases) -> list[str]:
    """The keys that change, with their values where these are quantities."""
    found = []
    for name in sorted(entry.model_fields_set - {"id", "title", "note"}):
        value = getattr(entry, name)
        said = phrases.words(f"remedy.key.{name}") if name in KEYS else name.strip("_").replace("_", " ")
        found.append(f"{said} {phrases.format.quantity(value)}" if isinstance(value, Quantity) else said)
    return found


KEYS = frozenset({"devices", "device", "ends", "area", "length", "insulation", "space", "enclosed", "bundle", "studs", "from_", "to", "max_fuse"})  # fmt: skip


def _device(one: Figures, names: Names, phrases: Phrases) -> ProposedDevice:
    words, amount = phrases.words, phrases.format.amount
    name, edge = names.of(one.device.id), names.of(one.edge)
    place = words("remedy.in", name=edge)
    if one.at == 0:
        place = words("remedy.at_start", name=edge)
    elif one.at is not None:
        place = words("remedy.at", name=edge, distance=phrases.marked(one.at, "m"))
    if one.space:
        place = words("remedy.space", place=place, space=words(f"remedy.spaces.{one.space}"))
    if one.lacks:
        missing = "; ".join(words(f"remedy.lacks.{lack}") for lack in one.lacks)
        return ProposedDevice(
            name=name, place=place, figures=(), missing=words("remedy.withheld", missing=missing)
        )
    limit = words(f"remedy.limit.{one.why_limit}", value=phrases.marked(one.limit, "A") if one.limit else "")
    figures = [
        (words("remedy.class"), words(f"remedy.type.{one.device.type}")),
        (words("remedy.rating"), phrases.marked(one.device.rating, "A")),
        (words("remedy.fault"), words("remedy.fault_at", fault=amount(one.fault or 0, "A"), volts=amount(one.volts or 0, "V"))),
        (words("remedy.breaks"), phrases.marked(one.breaks or 0, "A")),
        (words("remedy.limit_head"), limit),
    ]  # fmt: skip
    return ProposedDevice(name=name, place=place, figures=tuple(figures), missing=None)


def _compared(row: Compared, today: Names, then: Names, phrases: Phrases) -> ComparedView:
    words = phrases.words

    def verdict(word: str | None) -> str:
        return words(f"evidence.verdict.{word}") if word else words("remedy.not_there")

    said, names = (row.said_after, then) if row.said_after else (row.said_before, today)
    return ComparedView(
        subject=names.of(row.subject),
        analysis=words(f"evidence.analysis.{row.analysis}"),
        before=verdict(row.before),
        after=verdict(row.after),
        before_key=(row.before or "none").replace(" ", "-"),
        after_key=(row.after or "none").replace(" ", "-"),
        says=" ".join(says([said], names)) if said and row.said_after else words("remedy.no_longer"),
    )


def _diagram(assessed: Assessed, found: Remedied, phrases: Phrases) -> DiagramView | None:
    """The drawing after the remedy, with the numbers of the defects that stay."""
    accepted = assessed.job.accepted
    if accepted is None:
        return None
    answered = {defect.id for one in found.accepted for defect in one.answers}
    numbers: dict[str, list[int]] = {}
    for defect in assessed.defects:
        if defect.at is not None and defect.id not in answered:
            numbers.setdefault(defect.at, []).append(defect.number)
    return compose_diagram(accepted.network, found.back, found.bare, numbers, phrases.words)
