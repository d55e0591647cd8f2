"""The letterhead file `business.yaml`."""

from __future__ import annotations

from typing import Literal

from lugbook.model.scalars import Frozen, Line


class BusinessFile(Frozen):
    """The user's own letterhead, beside the findings or in a folder above."""

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
