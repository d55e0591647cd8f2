"""Parts of a file that few files hold: their models are loaded and built when one does."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from importlib import import_module
from typing import Any

from pydantic import BaseModel, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema


@dataclass(frozen=True)
class Late:
    """`Annotated[Any, Late(module, name)]` stands for a model of another module of `lugbook.model`.

    The model is loaded and built at its first value. Faults keep their places; the JSON Schema is the model's.
    """

    module: str
    name: str

    @cached_property
    def model(self) -> type[BaseModel]:
        """The model itself."""
        found: type[BaseModel] = getattr(import_module(f"lugbook.model.{self.module}"), self.name)
        return found

    def _read(self, value: Any) -> BaseModel:
        return self.model.model_validate(value)

    def __get_pydantic_core_schema__(self, _source: Any, _handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self._read)

    def __get_pydantic_json_schema__(self, _: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        self.model.model_rebuild()
        return handler(self.model.__pydantic_core_schema__)
