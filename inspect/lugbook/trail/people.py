"""Names and contacts, in a file of their own that can be erased: `people.json`.

The chain holds, for each person, SHA-256 of the canonical JSON of {"contact", "name", "salt"}. Whoever has the
file can check that the names are those that were meant; whoever has not cannot guess them, because of the salt.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from pydantic import ValidationError

from lugbook.model.decided import Role
from lugbook.trail.canonical import canonical, digest, parse_canonical
from lugbook.trail.entries import Person, PersonId, Record, Sum

PEOPLE = "people.json"


class PersonRecord(Record):
    """What is kept of one person."""

    name: str
    contact: str
    salt: Sum

    @property
    def commitment(self) -> str:
        """The salted sum that stands in the chain."""
        return digest(canonical(self.model_dump()))


class PeopleFile(Record):
    """The whole file."""

    format: Literal["lugbook-people-1"] = "lugbook-people-1"
    people: dict[PersonId, PersonRecord]

    def to_bytes(self) -> bytes:
        """The file's bytes."""
        return canonical(self.model_dump())


def parse_people(data: bytes) -> PeopleFile:
    """Read the file. Raises ValueError."""
    try:
        return PeopleFile.model_validate(parse_canonical(data))
    except ValidationError as error:
        raise ValueError("this is not a file of people") from error


def find_person(people: Mapping[str, PersonRecord], name: str, contact: str) -> str | None:
    """The number of a person who is known already under this name and contact."""
    for key, record in people.items():
        if record.name == name and contact in ("", record.contact):
            return key
    return None


def reference(key: str, record: PersonRecord, role: Role) -> Person:
    """How an entry mentions a person."""
    return Person(person=key, commitment=record.commitment, role=role)
