"""The letterhead file `business.yaml`."""

from __future__ import annotations

from typing import Literal

from pydantic import ConfigDict

from lugbook.model.scalars import Frozen, Line
from lugbook.model.schema import needs


class BusinessFile(Frozen):
    """The user's own letterhead, beside the findings or in a folder above."""

    model_config = ConfigDict(
        json_schema_extra={
            "if": {"properties": {"logo": {"type": ["string", "number"]}}, "required": ["logo"]},
            "then": needs("logo_alt"),
        }
    )

    format: Literal["lugbook-business-1"]
    """The format of this file."""
    name: Line
    """Trading name."""
    lines: tuple[Line, ...] = ()
    """Address and contact, a line each; at most five are printed."""
    logo: Line | None = None
    """A JPEG or PNG beside this file."""
    logo_alt: Line | None = None
    """What the logo shows; needed with a logo."""
