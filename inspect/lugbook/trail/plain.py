"""The findings as plain data, for `findings.json`: what was written, without comments, rates and private fields."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, time
from decimal import Decimal
from typing import Any

from pydantic import BaseModel

from lugbook.model.extent import Extent
from lugbook.model.quantity import Quantity

# Left out wherever they stand: `rates` are the inspector's prices, `private` is what third parties do not get.
LEFT_OUT = frozenset({"rates", "private"})


def plain(value: Any) -> Any:
    """A model as JSON data. Only what was given appears; quantities and extents are text, as they are written."""
    if isinstance(value, BaseModel):
        given = value.model_fields_set
        return {
            field.alias or name: plain(getattr(value, name))
            for name, field in type(value).model_fields.items()
            if name in given and (field.alias or name) not in LEFT_OUT
        }
    if isinstance(value, Quantity):
        bound = f"{value.bound} " if value.bound else ""
        return f"{bound}{value.number:f} {value.unit}"
    if isinstance(value, Extent):
        return _extent(value)
    if value is None or isinstance(value, str | bool | int | float):
        return value
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, Mapping):
        return {str(key): plain(inner) for key, inner in value.items() if key not in LEFT_OUT}
    if isinstance(value, set | frozenset):
        return sorted(plain(inner) for inner in value)
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    if is_dataclass(value):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    raise TypeError(f"no plain form of {type(value).__name__}")


def _extent(extent: Extent) -> str:
    parts = []
    if extent.look == "sample":
        parts.append(f"sample {extent.seen} of {extent.total}")
    elif extent.look is not None:
        parts.append(extent.look)
    if extent.tested is not None:
        parts.append("tested" if extent.tested else "not tested")
    return ", ".join(parts)
