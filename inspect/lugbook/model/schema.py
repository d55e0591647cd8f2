"""JSON Schemas, made from the models: for editors, and for whoever reads report.json."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any, get_args

from pydantic import BaseModel
from pydantic.json_schema import JsonSchemaMode

from lugbook.model.described import descriptions
from lugbook.model.late import Late

SCHEMA = "findings.schema.json"
DIALECT = "https://json-schema.org/draft/2020-12/schema"


def when(key: str, words: Iterable[str], then: dict[str, Any]) -> dict[str, Any]:
    """A rule for editors: if the key holds one of the words, `then` applies as well."""
    return {"if": {"properties": {key: {"enum": sorted(words)}}, "required": [key]}, "then": then}


def needs(*keys: str) -> dict[str, Any]:
    """These keys are there and not empty."""
    return {"required": list(keys), "properties": {key: {"not": {"type": "null"}} for key in keys}}


def lacks(*keys: str) -> dict[str, Any]:
    """These keys are absent, or empty."""
    return {
        "properties": {key: {"anyOf": [{"type": "null"}, {"maxItems": 0, "type": "array"}]} for key in keys}
    }


def schema(model: type[BaseModel]) -> dict[str, Any]:
    """The schema of an input file. An optional value may be left empty, as in the skeleton."""
    made = _described(model, "validation")
    for part in (made, *made.get("$defs", {}).values()):
        required = set(part.get("required", ()))
        for name, value in part.get("properties", {}).items():
            value.pop("title", None)
            if name not in required and not _nullable(value):
                part["properties"][name] = _or_empty(value)
    return {"$schema": DIALECT, **made}


def _described(model: type[BaseModel], mode: JsonSchemaMode) -> dict[str, Any]:
    """pydantic's schema, with what stands under the fields."""
    made = model.model_json_schema(mode=mode)
    parts = made.get("$defs", {})
    for one in _models(model):
        part = made if one is model else parts.get(one.__name__, {})
        for name, text in descriptions(one).items():
            field = one.model_fields.get(name)
            key = field.alias or name if field is not None else name
            value = part.get("properties", {}).get(key)
            if value is not None:
                part["properties"][key] = dict(sorted({"description": text, **value}.items()))
    return made


def _models(model: type[BaseModel]) -> set[type[BaseModel]]:
    """A model and all that are inside it."""
    found: set[type[BaseModel]] = set()
    waiting: list[Any] = [model]
    while waiting:
        one = waiting.pop()
        if isinstance(one, type) and issubclass(one, BaseModel) and one not in found:
            found.add(one)
            waiting += [field.annotation for field in one.model_fields.values()]
        waiting += [part.model if isinstance(part, Late) else part for part in get_args(one)]
    return found


def _nullable(value: dict[str, Any]) -> bool:
    return {"type": "null"} in value.get("anyOf", ())


def _or_empty(value: dict[str, Any]) -> dict[str, Any]:
    kept: dict[str, Any] = {key: value.pop(key) for key in ("description", "default") if key in value}
    return {"anyOf": [value, {"type": "null"}], **kept}


def schema_json(model: type[BaseModel]) -> bytes:
    """The schema as a file."""
    return (json.dumps(schema(model), ensure_ascii=False, indent=1) + "\n").encode()


def output_schema(model: type[BaseModel]) -> bytes:
    """The schema of an output file, such as report.json."""
    made = {"$schema": DIALECT, **_described(model, "serialization")}
    return (json.dumps(made, ensure_ascii=False, indent=1) + "\n").encode()
