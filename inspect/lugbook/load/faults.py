"""pydantic's errors -> Problems with their place in the file and a hint."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from typing import Any, TypeVar, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from lugbook.load.tree import Document
from lugbook.model.described import descriptions
from lugbook.model.late import Late
from lugbook.model.problem import Path

CROWD = 500
# Words that people write -> the word of the vocabulary that they mean.
SAID = {
    "ok": "no departure seen",
    "okay": "no departure seen",
    "good": "no departure seen",
    "fine": "no departure seen",
    "nothing wrong": "no departure seen",
    "no defect": "no departure seen",
    "bad": "defect",
    "fault": "defect",
    "faulty": "defect",
    "n/a": "not applicable",
    "na": "not applicable",
    "not seen": "not inspected",
    "not checked": "not inspected",
    "likely": "probable",
    "unlikely": "remote",
}


def nearest(word: str, known: Iterable[str]) -> str:
    """A hint that names the nearest known word, capitals or not, or nothing. In a crowd it is not looked for."""
    words = sorted(known)
    if len(words) > CROWD:
        return ""
    folded = {other.casefold(): other for other in words}
    match = get_close_matches(word.casefold()[:200], folded, n=1, cutoff=0.6)
    return f"did you mean '{folded[match[0]]}'?" if match else ""


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
        _unknown_key(path, model, document, empty=detail["input"] is None)
    elif kind == "missing":
        _missing(path, model, document)
    elif kind in ("literal_error", "enum"):
        _wrong_word(path, detail, document)
    elif detail["input"] is None:
        document.report(path, "P107", f"nothing stands after '{path[-1] if path else ''}'")
    else:
        _wrong_kind(path, detail, model, document)


def _missing(path: Path, model: type[BaseModel], document: Document) -> None:
    step = path[-1]
    if isinstance(step, int):
        document.report(path, "P102", f"value {step + 1} of this list is missing")
        return
    inner = _model_at(path[:-1], model)
    field = inner.model_fields.get(step) if inner is not None else None
    words: tuple[object, ...] = getattr(field.annotation, "__args__", ()) if field is not None else ()
    if len(words) == 1 and isinstance(words[0], str):  # such as the format of a file
        hint = f"write '{step}: {words[0]}'"
    else:
        hint = descriptions(inner).get(step, "") if inner is not None else ""
    document.report(path, "P102", f"the key '{step}' is missing here", hint)


def _path(loc: tuple[int | str, ...]) -> Path:
    """pydantic's location without the steps that are no keys of the file."""
    return tuple(step for step in loc if step != "[key]")


def _unknown_key(path: Path, model: type[BaseModel], document: Document, *, empty: bool) -> None:
    key = str(path[-1])
    known = sorted(_fields_at(path[:-1], model))
    hint = nearest(key, known) or (f"known here: {', '.join(known)}" if known else "")
    if empty and " " in key:  # {place: Live to earth, mains side}
        hint = "a comma ended the text before it: put text that holds a comma in quotes"
    document.report(path, "P101", f"the key '{key}' is not known here", hint, on_key=True)


def _fields_at(path: Path, model: type[BaseModel]) -> set[str]:
    """The keys that the model knows at a path."""
    inner = _model_at(path, model)
    return set() if inner is None else {field.alias or name for name, field in inner.model_fields.items()}


def _model_at(path: Path, model: type[BaseModel]) -> type[BaseModel] | None:
    """The model of the group of keys at a path."""
    current = model
    for step in path:
        if isinstance(step, int):
            continue
        field = current.model_fields.get(step)
        inner = _model_in(field.annotation) if field else None
        if inner is None:
            return None
        current = inner
    return current


def _model_in(annotation: Any) -> type[BaseModel] | None:
    """The model inside an annotation such as `tuple[Photo, ...]` or `Photo | None`."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for part in get_args(annotation):
        if isinstance(part, Late):
            return part.model
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
    if not isinstance(given, str):
        document.report(path, "P104", f"expected one word, {expected}; got {_found(given)}")
        return
    said = SAID.get(given.casefold())
    hint = f"write '{said}'" if said in words else nearest(given, words)
    on_key = detail["loc"][-1] == "[key]"
    one_of = "one of " if len(words) > 1 else ""
    document.report(path, "P105", f"'{given}' is not {one_of}{expected}", hint, on_key=on_key)


def _wrong_kind(path: Path, detail: ErrorDetails, model: type[BaseModel], document: Document) -> None:
    kind, found, context = detail["type"], _found(detail["input"]), detail.get("ctx", {})
    step = next((str(step) for step in reversed(path) if isinstance(step, str)), "")
    hint = ""
    if kind in ("tuple_type", "list_type"):
        message = f"expected a list, got {found}"
        hint = f"write a list: {LISTS.get(step, 'each entry on a line of its own that starts with a dash')}"
    elif kind in ("model_type", "dict_type", "model_attributes_type"):
        message = f"expected a group of keys, got {found}"
        hint = _keys_wanted(path, model)
    elif kind in ("too_long", "too_short"):
        count = context.get("max_length", context.get("min_length"))
        message = f"expected {count} values in this list"
    else:
        message = f"expected something else, got {found}"
    document.report(path, "P104", message, hint)


def _keys_wanted(path: Path, model: type[BaseModel]) -> str:
    """What to write where a group of keys is expected: those that it must have, or some that it may."""
    inner = _model_at(path, model)
    if inner is None:
        return "write 'key: value' lines below, each indented by two more spaces"
    needed = [name for name, field in inner.model_fields.items() if field.is_required()]
    keys = needed or list(inner.model_fields)[:3]
    dash = "after a dash, " if path and isinstance(path[-1], int) else ""
    return f"write {dash}'{keys[0]}: ...'" + (
        f", and in lines below {', '.join(keys[1:])}" if keys[1:] else ""
    )


# How the lists that people most often forget the dashes of are written.
LISTS = {
    "photos": "'- file: bilge.jpg' on a line below, then caption and alt under 'file'",
    "defects": "'- title: ...' on a line below, then the other keys under 'title'",
    "readings": "[rest-service]",
    "checklists": "[small-craft-dc]",
    "results": "'- item: ...' on a line below, then result and extent under 'item'",
}


def _found(given: object) -> str:
    if isinstance(given, list):
        return "a list"
    return "a group of keys" if isinstance(given, dict) else f"'{given}'"
