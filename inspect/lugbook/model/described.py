"""What stands under the fields of the models, read from their source when somebody asks.

pydantic can do it too, but for every model whenever the program starts, which took a third of the time of the start.
"""

from __future__ import annotations

import ast
import inspect
import sys
from collections.abc import Mapping
from functools import cache

from pydantic import BaseModel

_made_from: dict[type[BaseModel], type[BaseModel]] = {}


def made_from(made: type[BaseModel], model: type[BaseModel]) -> None:
    """Note that a model has no source: its fields mean what those of `model` mean."""
    _made_from[made] = model


@cache
def descriptions(model: type[BaseModel]) -> Mapping[str, str]:
    """Name of a field -> what stands under it, in this model or in those that it builds upon."""
    if model in _made_from:
        return descriptions(_made_from[model])
    found: dict[str, str] = {}
    for base in reversed(model.__mro__):
        if issubclass(base, BaseModel) and base is not BaseModel:
            found |= _of_module(base.__module__).get(base.__qualname__, {})
    return found


@cache
def _of_module(name: str) -> dict[str, dict[str, str]]:
    """Class -> field -> what stands under it."""
    tree = ast.parse(inspect.getsource(sys.modules[name]))
    return {node.name: _under(node) for node in tree.body if isinstance(node, ast.ClassDef)}


def _under(node: ast.ClassDef) -> dict[str, str]:
    found = {}
    for one, after in zip(node.body, node.body[1:], strict=False):
        named = isinstance(one, ast.AnnAssign) and isinstance(one.target, ast.Name)
        if named and isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant):
            found[one.target.id] = inspect.cleandoc(str(after.value.value))  # type: ignore[attr-defined]
    return found
