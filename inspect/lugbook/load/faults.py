"""pydantic's errors -> Problems with their place in the file and a hint."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from lugbook.load.tree import Document
from lugbook.model.problem import Path

LATER = {"installation", "remedy", "rates"}


def nearest(word: str, known: Iterable[str]) -> str:
    """A hint that names the nearest known word, or nothing."""
    match = get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f"did you mean '{match[0]}'?" if match else ""


M = TypeVar("M", bound=BaseModel)


def build(model: type[M], document: Document) -> M | None:
    """Build the model from the document; every fault is reported on it, and None returned."""
    if document.root is None:
        return None
    data = document.plain()
    try:
        return model.model_validate(data)
    except ValidationError as error:
        for detail in error.errors(include_url=False):
            _report(detail, model, document)
        return None


def _report(detail: ErrorDetails, model: type[BaseModel], document: Document) -> None:
    path = _path(detail["loc"])
    kind, context = detail["type"], detail.get("ctx", {})
    if kind.startswith("P") and kind[1:].isdigit():
        document.report(path, kind, detail["msg"], context.get("hint", ""))
    elif kind == "extra_forbidden":
        _unknown_key(path, model, document)
    elif kind == "missing":
        step = path[-1]
        what = (
            f"the key '{step}' is missing here"
            if isinstance(step, str)
            else f"value {step + 1} of this list is missing"
        )
        document.report(path, "P102", what)
    elif kind in ("literal_error", "enum"):
        _wrong_word(path, detail, document)
    elif detail["input"] is None:
        document.report(path, "P107", f"nothing stands after '{path[-1] if path else ''}'")
    else:
        document.report(path, "P104", _wrong_kind(kind, detail))


def _path(loc: tuple[int | str, ...]) -> Path:
    """pydantic's location without the steps that are no keys of the file."""
    return tuple(step for step in loc if step != "[key]")


def _unknown_key(path: Path, model: type[BaseModel], document: Document) -> None:
    key = str(path[-1])
    if len(path) == 1 and key in LATER:
        message, hint = f"the key '{key}' is not read by this version", "delete it for now"
        document.report(path, "P106", message, hint, on_key=True)
        return
    known = sorted(_fields_at(path[:-1], model))
    hint = nearest(key, known) or (f"known here: {', '.join(known)}" if known else "")
    document.report(path, "P101", f"the key '{key}' is not known here", hint, on_key=True)


def _fields_at(path: Path, model: type[BaseModel]) -> set[str]:
    """The keys that the model knows at a path."""
    current: Any = model
    for step in path:
        if isinstance(step, int):
            continue
        field = current.model_fields.get(step)
        inner = _model_in(field.annotation) if field else None
        if inner is None:
            return set()
        current = inner
    return set(current.model_fields)


def _model_in(annotation: Any) -> type[BaseModel] | None:
    """The model inside an annotation such as `tuple[Photo, ...]` or `Photo | None`."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for part in getattr(annotation, "__args__", ()):
        found = _model_in(part)
        if found is not None:
            return found
    return None


def _wrong_word(path: Path, detail: ErrorDetails, document: Document) -> None:
    given, expected = detail["input"], detail.get("ctx", {}).get("expected", "")
    words = [word.strip("' ") for word in expected.replace(" or ", ", ").split(", ")]
    if given is None:
        document.report(path, "P107", f"nothing stands here; expected {expected}")
        return
    hint = nearest(str(given), words)
    on_key = detail["loc"][-1] == "[key]"
    document.report(path, "P105", f"'{given}' is not one of {expected}", hint, on_key=on_key)


def _wrong_kind(kind: str, detail: ErrorDetails) -> str:
    given = detail["input"]
    found = (
        "a list"
        if isinstance(given, list)
        else "a group of keys"
        if isinstance(given, dict)
        else f"'{given}'"
    )
    if kind in ("tuple_type", "list_type"):
        return f"expected a list (each entry on a line that starts with '- '), got {found}"
    if kind in ("model_type", "dict_type", "model_attributes_type"):
        return f"expected a group of keys (key: value, indented), got {found}"
    if kind in ("too_long", "too_short"):
        return f"expected {detail.get('ctx', {}).get('max_length', detail.get('ctx', {}).get('min_length'))} values in this list"
    return f"expected something else: {detail['msg'].lower()}, got {found}"
