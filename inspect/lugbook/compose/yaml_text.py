"""Plain data as YAML that a person goes on writing in, and that `lugbook check` reads back to the same values."""

from __future__ import annotations

import json
import re
import textwrap
from typing import Any

PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9 ._/()'+-]*")
FIGURE = re.compile(r"[<>]? ?[0-9]+(\.[0-9]+)? [A-Za-z0-9]+|[0-9]{4}-[0-9]{2}-[0-9]{2}|[0-2][0-9]:[0-9]{2}")
WORDS = re.compile(r"y|n|yes|no|on|off|true|false|null", re.IGNORECASE)
WIDTH = 108


def yaml_text(data: Any, indent: int = 0) -> str:
    """Block style, two spaces a level; lists of scalars and points in flow style. Ends with a line end."""
    pad = " " * indent
    if isinstance(data, dict):
        return "".join(_entry(key, value, indent) for key, value in data.items())
    lines = []
    for item in data:
        if isinstance(item, dict) and item:
            body = yaml_text(item, indent + 2)
            lines.append(f"{pad}- {body[indent + 2 :]}")
        else:
            lines.append(f"{pad}- {scalar(item)}\n")
    return "".join(lines)


def _entry(key: str, value: Any, indent: int) -> str:
    pad = " " * indent
    if value is None:
        return f"{pad}{key}:\n"
    if isinstance(value, dict):
        return f"{pad}{key}:\n{yaml_text(value, indent + 2)}" if value else f"{pad}{key}: {{}}\n"
    if isinstance(value, list):
        if any(isinstance(item, dict) for item in value):
            return f"{pad}{key}:\n{yaml_text(value, indent + 2)}"
        flow = f"{pad}{key}: {flowed(value)}\n"
        return flow if len(flow) <= WIDTH else f"{pad}{key}:\n{yaml_text(value, indent + 2)}"
    if isinstance(value, str) and (len(value) > WIDTH - 30 or "\n" in value):
        return f"{pad}{key}: {_folded(value, indent + 2)}\n"
    return f"{pad}{key}: {scalar(value)}\n"


def flowed(value: Any) -> str:
    """A list or a scalar in one line."""
    if isinstance(value, list):
        return "[" + ", ".join(flowed(item) for item in value) + "]"
    text = scalar(value)
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str) and text[0] == "<" else text


def scalar(value: Any) -> str:
    """A value in one line, quoted where it could be read as something else."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        plain = PLAIN.fullmatch(value) and value == value.strip() and not WORDS.fullmatch(value)
        return value if plain or FIGURE.fullmatch(value) else json.dumps(value, ensure_ascii=False)
    return str(value)


def _folded(text: str, indent: int) -> str:
    """Long text as a folded block; text that folding would change is quoted instead."""
    lines = text.split("\n")
    odd = any(line != line.strip() or "  " in line or "\t" in line for line in lines)
    if odd or not lines[0] or not lines[-1]:
        return json.dumps(text, ensure_ascii=False)
    pad, folded = " " * indent, ""
    for part in re.split(r"(\n+)", text):
        if part.startswith("\n"):
            folded += (
                part + "\n"
            )  # a line end is written as an empty line: folding makes a space of the first
        else:
            wrapped = textwrap.wrap(part, WIDTH - indent, break_long_words=False, break_on_hyphens=False)
            folded += "\n".join(pad + line for line in wrapped)
    return ">-\n" + folded
