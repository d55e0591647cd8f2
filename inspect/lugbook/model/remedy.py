"""The written form of a remedy: what is proposed, in the vocabulary of the installation.

`add` holds new elements, `change` the id of one that is there and the keys that differ, `remove` ids. What comes of it
is read like an installation, so that every fault of it has its place in the file.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Any, get_args

from pydantic import BaseModel, BeforeValidator, WithJsonSchema, create_model
from pydantic.fields import FieldInfo

from lugbook.model.described import made_from
from lugbook.model.installation import Installation
from lugbook.model.quantity import Quantity
from lugbook.model.scalars import (
    DEFECT_ID,
    Count,
    Day,
    Field,
    Frozen,
    Headline,
    Ident,
    Line,
    Text,
    fault,
    quantity_pattern,
)
from lugbook.model.wiring import above_zero

COMPUTED_ID = re.compile(r"c-[a-z0-9-]+")
ANSWERED = f"{DEFECT_ID.pattern}|{COMPUTED_ID.pattern}"
PIECES = re.compile(r"[0-9]{1,4}")


def _lists() -> dict[str, type[BaseModel]]:
    """The lists of an installation, with what they hold."""
    found = {}
    for name, field in Installation.model_fields.items():
        inner = get_args(field.annotation)
        if inner and isinstance(inner[0], type) and issubclass(inner[0], BaseModel):
            found[name] = inner[0]
    return found


def _partial(model: type[BaseModel]) -> type[BaseModel]:
    """The model with its id alone required. Groups inside it are partial too; lists are written whole."""
    fields: dict[str, Any] = {}
    for name, field in model.model_fields.items():
        kept: dict[str, Any] = {"alias": field.alias}
        if name == "id":
            fields[name] = (Ident, Field(**kept))
        else:
            fields[name] = (_looser(field), Field(default=None, **kept))
    made: type[BaseModel] = create_model(
        f"{model.__name__}Change", __base__=Frozen, __doc__="Only the keys that change.", **fields
    )
    made_from(made, model)
    return made


def _looser(field: FieldInfo) -> Any:
    inner = [part for part in get_args(field.annotation) if isinstance(part, type)]
    group = next((part for part in inner if issubclass(part, BaseModel)), None)
    whole: Any = Annotated[field.annotation, *field.metadata] if field.metadata else field.annotation
    if group is None or get_args(field.annotation)[-1:] == (Ellipsis,) or group.__name__ == "End":
        return whole | None
    return _group(group) | None


def _group(model: type[BaseModel]) -> Any:
    """A group of keys inside an element, each of them optional."""
    fields: dict[str, Any] = {
        name: (_looser(field), Field(default=None, alias=field.alias))
        for name, field in model.model_fields.items()
    }
    made: type[BaseModel] = create_model(
        f"{model.__name__}Change", __base__=Frozen, __doc__="Only the keys that change.", **fields
    )
    made_from(made, model)
    return made


LISTS = _lists()
CHANGEABLE = tuple(name for name, model in LISTS.items() if "id" in model.model_fields)

_added: dict[str, Any] = {
    name: (field.annotation, Field(default=()))
    for name, field in Installation.model_fields.items()
    if name in LISTS
}
_changed: dict[str, Any] = {
    name: (tuple[_partial(LISTS[name]), ...], Field(default=()))  # type: ignore[misc]
    for name in CHANGEABLE
}
Additions = create_model(
    "Additions", __base__=Frozen, __doc__="New elements, as in the installation.", **_added
)
Changes = create_model(
    "Changes",
    __base__=Frozen,
    __doc__="Elements that are there: the id and the keys that differ.",
    **_changed,
)
made_from(Additions, Installation)
made_from(Changes, Installation)


def read_hours(value: Any) -> tuple[Quantity, Quantity]:
    """`2 h`, or `[2 h, 3 h]` from least to most."""
    pair = value if isinstance(value, list) else [value, value]
    if len(pair) != 2:
        raise fault("P121", "hours are one time or two", "write 2 h, or [2 h, 3 h]")
    read: Callable[[Any], Quantity] = above_zero("time")
    low, high = read(pair[0]), read(pair[1])
    if low.value > high.value:
        raise fault(
            "P121", f"'{pair[0]}' stands before '{pair[1]}', yet is more", "write the smaller one first"
        )
    return low, high


@dataclass(frozen=True, slots=True)
class Pieces:
    """How many, or how many metres (`unit` m)."""

    number: Decimal
    unit: str


def read_pieces(value: Any) -> Pieces:
    """A count such as 4, or a length such as 1.5 m."""
    if isinstance(value, str) and PIECES.fullmatch(value) and int(value) > 0:
        return Pieces(Decimal(int(value)), "")
    if isinstance(value, str) and PIECES.fullmatch(value):
        raise fault("P121", f"'{value}' must be a number above zero")
    length = above_zero("length")(value)
    factor = {"m": Decimal(1), "cm": Decimal("0.01"), "mm": Decimal("0.001")}.get(length.unit)
    if factor is None:
        raise fault("P120", f"'{value}' is bought by the metre", "write it in m")
    return Pieces(length.number * factor, "m")


def _answered(value: Any) -> str:
    if not isinstance(value, str) or not re.fullmatch(ANSWERED, value):
        raise fault(
            "P125", f"'{value}' does not have the form of a defect id: d and a number, such as d7",
            "a computed one begins with c-, as printed in the report",
        )  # fmt: skip
    return str(value)


_TIME: dict[str, Any] = {"type": "string", "pattern": quantity_pattern("time")}
Hours = Annotated[
    tuple[Quantity, Quantity],
    BeforeValidator(read_hours),
    WithJsonSchema({"anyOf": [_TIME, {"type": "array", "items": _TIME, "minItems": 2, "maxItems": 2}]}),
]
Amount = Annotated[
    Pieces,
    BeforeValidator(read_pieces),
    WithJsonSchema({"anyOf": [{"type": "integer", "minimum": 1}, {"type": "string", "pattern": quantity_pattern("length")}]}),
]  # fmt: skip
Answered = Annotated[
    str, BeforeValidator(_answered), WithJsonSchema({"type": "string", "pattern": f"^({ANSWERED})$"})
]


class ExtraPart(Frozen):
    """Something to buy that no element stands for."""

    quantity: Amount
    """How many, such as 2, or how much, such as 1.5 m."""
    what: Line
    """What it is, so that it can be bought."""


class Proposal(Frozen):
    """One thing that is proposed. It counts once a named person has accepted it as its designer."""

    id: Ident
    """Unique among the proposals."""
    title: Headline
    """What is proposed, in a few words."""
    answers: tuple[Answered, ...] = ()
    """Ids of the defects that it puts right: d13, or a computed one as the report prints it."""
    add: Additions = Additions.absent()  # type: ignore[valid-type]
    """New elements of the installation."""
    change: Changes = Changes.absent()  # type: ignore[valid-type]
    """Elements that are there: id and the keys that differ. Lists are written whole."""
    remove: tuple[Ident, ...] = ()
    """Ids of elements that go."""
    renew: tuple[Ident, ...] = ()
    """Ids of conductors or circuits whose cable is replaced by a new one of the same kind."""
    accepted_by: Line | None = None
    """Who takes responsibility for it as its designer. Without a name it is a suggestion, and not counted."""
    on: Day | None = None
    """The day on which they accepted it."""
    hours: Hours | None = None
    """Time that it takes: 2 h, or from least to most [2 h, 3 h]."""
    parts: tuple[ExtraPart, ...] = ()
    """Parts that no element stands for."""
    no_maker_limit: tuple[Ident, ...] = ()
    """Loads whose makers set no largest fuse, as somebody looked up."""
    note: Text | None = None
    """Anything else, for the report. Markdown."""

    @property
    def accepted(self) -> bool:
        """Whether a named person has accepted it, on a day."""
        return self.accepted_by is not None and self.on is not None

    def entries(self, which: str) -> tuple[tuple[str, Any], ...]:
        """List name and entry of everything under `add` or `change`."""
        group = getattr(self, which)
        return tuple((name, one) for name in LISTS for one in getattr(group, name, ()))


__all__ = ["CHANGEABLE", "LISTS", "Count", "ExtraPart", "Pieces", "Proposal"]
