"""The project itself: identity, part numbers, people, roles and their public keys."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, field_validator

from dossier.records.base import EMPTY, Part, Record

Role = Literal["PE", "RV", "TL", "PR", "PU", "SF", "RL", "AU"]

ROLE_NAMES: dict[str, str] = {
    "PE": "project engineer",
    "RV": "reviewer",
    "TL": "test laboratory",
    "PR": "production",
    "PU": "purchasing",
    "SF": "product safety",
    "RL": "releaser",
    "AU": "auditor",
}


FORMAT = 1  # of the project folder that this version writes
NAME_PATTERN = r"^[^<>\s]([^<>\n\t]{0,78}[^<>\s])?$"


class Person(Part):
    """Somebody who works on the project, and the public key their sign-offs are verified with."""

    name: str = Field(pattern=NAME_PATTERN, description="as it stands in the history and under signatures")
    roles: list[Role] = Field(min_length=1)
    public_key: str = Field(EMPTY, pattern=r"^([0-9a-f]{64})?$", description="raw Ed25519 public key, hexadecimal")
    organisation: str = EMPTY


class Header(Record):
    """project.toml. Holds no state of any step: those are computed."""

    id: Literal["project"] = "project"
    project_id: str = Field(pattern=r"^[0-9a-f]{32}$", description="random identity, tells copies apart")
    format: int = Field(FORMAT, ge=1, description="version of the folder's form")
    title: str = Field(min_length=1)
    short_title: str = Field(EMPTY, max_length=24)
    demo: str = Field(EMPTY, description="notice printed on every page of a demonstration project")
    legal_owner: str = EMPTY
    customer: str = EMPTY
    customer_reference: str = EMPTY
    reference: str = Field(EMPTY, description="id of the reference part's design")
    variant: str = Field(EMPTY, description="id of the variant in work")
    annual_volume: int | None = Field(None, ge=1)
    people: list[Person] = Field(default_factory=list)

    @field_validator("people")
    @classmethod
    def _distinct(cls, people: list[Person]) -> list[Person]:
        names = [person.name for person in people]
        twice = sorted({name for name in names if names.count(name) > 1})
        if twice:
            raise ValueError(f'people lists "{twice[0]}" twice; keep one entry with all roles')
        return people

    def person(self, name: str) -> Person | None:
        """The person of that name, or None."""
        return next((person for person in self.people if person.name == name), None)
