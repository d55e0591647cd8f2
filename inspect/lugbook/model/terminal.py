"""How a terminal is written: what findings and installations both name."""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import BeforeValidator, WithJsonSchema

from lugbook.model.scalars import fault

WORD = r"[a-z0-9]+(-[a-z0-9]+)*"
TERMINAL = re.compile(rf"[a-z][a-z0-9]*(-[a-z0-9]+)*(\.{WORD}){{0,2}}")


def shaped(value: Any, shape: re.Pattern[str], what: str) -> str:
    """A text of this form. Raises a fault that says of what."""
    if not isinstance(value, str) or not shape.fullmatch(value):
        raise fault("P125", f"'{value}' does not have the form of {what}")
    return str(value)


def read_terminal(value: Any) -> str:
    """A terminal such as `service.pos`, or a node such as `main-bus`."""
    return shaped(value, TERMINAL, "a terminal, such as service.pos or main-bus")


def text_like(pattern: str) -> WithJsonSchema:
    """What editors are told of a word or a number of this shape."""
    return WithJsonSchema({"type": ["string", "number"], "pattern": pattern})


Terminal = Annotated[str, BeforeValidator(read_terminal), text_like(f"^{TERMINAL.pattern}$")]
