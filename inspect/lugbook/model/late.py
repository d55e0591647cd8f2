"""Parts of a file that few files hold: their models are built when one does."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema


@dataclass(frozen=True, slots=True)
class Late:
    """`Annotated[Model, Late(Model)]`: built at its first value, and not with the model that it stands in.

    Faults keep their places, and the JSON Schema is that of the model.
    """

    model: type[BaseModel]

    def __get_pydantic_core_schema__(self, _source: Any, _handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.model.model_validate)

    def __get_pydantic_json_schema__(self, _: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        self.model.model_rebuild()
        return handler(self.model.__pydantic_core_schema__)
