"""The base of everything that compose gives and render takes."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class View(BaseModel):
    """Base of the view's parts."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
