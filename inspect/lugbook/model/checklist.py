"""The checklist files: what to look at, in the order of a walk through a boat."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, Self

from pydantic import ConfigDict, Field, model_validator

from lugbook.model.scalars import Frozen, Ident, Line, Text, YesNo, fault
from lugbook.model.schema import needs
from lugbook.model.vocabulary import (
    Caution,
    Danger,
    Exposure,
    Feature,
    Harms,
    Known,
    ProbabilityWord,
    SeverityWord,
)


class Source(Frozen):
    """Where an item comes from."""

    document: Line
    """The standard and clause, or 'common practice'."""
    subject: Line | None = None
    """What the clause is about, in our own words."""
    known: Known | None = None
    """How the figure is known: read in a copy of the text, second-hand, or recalled."""


class Item(Frozen):
    """One thing to look at."""

    id: Ident
    """Stable and unique over all groups; never renamed."""
    question: Line
    """A plain question; yes means no departure."""
    look: Text
    """How to look, for the electrician. Markdown."""
    why: Text
    """Why it matters, for an owner. Markdown."""
    remedy: Text
    """The usual remedy. Markdown."""
    evidence: tuple[Line, ...] = ()
    """The evidence that is wanted."""
    severity: SeverityWord
    """Usual severity of a departure, to people first."""
    probability: dict[Exposure, ProbabilityWord] = Field(json_schema_extra={"required": ["usual"]})
    """Usual probability over the life of the boat, by exposure; the key 'usual' is required."""
    harms: Harms
    """Whom a departure harms first."""
    danger: Danger
    """Whether the danger is usually present now, or latent until something else fails."""
    service: YesNo = False
    """Whether the thing is needed to keep the boat afloat or seen."""
    applies: tuple[Feature, ...] = ()
    """Asked only if any of these is fitted, or not known to be absent; empty means always."""
    source: tuple[Source, ...]
    """Where the item comes from."""
    cautions: tuple[Caution, ...] = ()
    """Cautions that belong to looking at it or working on it."""

    @model_validator(mode="after")
    def _usual_probability(self) -> Self:
        if "usual" not in self.probability:
            raise fault(
                "P102", "the probability has no key 'usual'", "add 'usual: occasional' or another probability"
            )
        return self

    def usual_probability(self, exposure: Exposure) -> ProbabilityWord:
        """The usual probability at an exposure; 'usual' where the item names none for it."""
        return self.probability.get(exposure, self.probability["usual"])

    def asked(self, fitted: Mapping[Feature, bool | None]) -> bool:
        """Whether this boat is asked: a feature is fitted, or nobody said that all are absent."""
        return not self.applies or any(fitted.get(feature) is not False for feature in self.applies)


class Group(Frozen):
    """Items that are looked at in one place. A file of its own, shared by reference."""

    format: Literal["lugbook-group-1"]
    """The format of this file."""
    id: Ident
    """The file's name without .yaml."""
    title: Line
    """Heading in the report."""
    items: tuple[Item, ...]
    """In the order of the walk."""


class Stop(Frozen):
    """One stop of the walk: a shared group (`use`), or a group written here (`id`, `title`, `items`)."""

    model_config = ConfigDict(json_schema_extra={"oneOf": [needs("use"), needs("id", "title", "items")]})

    use: Ident | None = None
    """The id of a shared group."""
    only: tuple[Ident, ...] = ()
    """Some of the shared group's items; empty means all."""
    id: Ident | None = None
    """The id of a group written here."""
    title: Line | None = None
    """Its heading."""
    items: tuple[Item, ...] = ()
    """Its items."""

    @model_validator(mode="after")
    def _one_of_two(self) -> Self:
        inline = self.id is not None and self.title is not None and bool(self.items)
        if (self.use is not None) == inline or (self.only and inline):
            raise fault(
                "P102",
                "a stop is either 'use' (with 'only' if wanted) or 'id', 'title' and 'items'",
                "write for instance '- use: battery-space'",
            )
        return self


class ChecklistFile(Frozen):
    """A checklist as written."""

    format: Literal["lugbook-checklist-1"]
    """The format of this file."""
    id: Ident
    """The file's name without .yaml."""
    title: Line
    """Title in the report."""
    edition: Line
    """When this wording was fixed, such as 2026-11."""
    purpose: Text
    """What the list is for."""
    walk: tuple[Stop, ...]
    """The stops, in the order of a walk through a boat."""


class ChecklistGroup(Frozen):
    """A group of a resolved checklist."""

    id: str
    title: str
    items: tuple[Item, ...]


class Checklist(Frozen):
    """The lists of a job, references resolved, doubled items removed: the first place in the walk counts."""

    ids: tuple[str, ...]
    titles: tuple[str, ...]
    editions: tuple[str, ...]
    groups: tuple[ChecklistGroup, ...]

    @property
    def items(self) -> tuple[Item, ...]:
        """All items in the order of the walk."""
        return tuple(item for group in self.groups for item in group.items)
