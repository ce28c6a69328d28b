"""Standards as this project uses them: edition and confirmation are project data, never constants."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from dossier.records.base import EMPTY, Day, Record


class Standard(Record):
    """One standard in the edition this project works with."""

    number: str = Field(min_length=1)
    edition: str = EMPTY
    title: str = EMPTY
    kind: Literal["contract", "law", "voluntary"] = "voluntary"
    used_for: str = EMPTY
    steps: list[Literal["1", "2", "3", "4", "5", "6"]] = Field(default_factory=list)
    mark: Literal["page found", "memory", "user-confirmed"] = "memory"
    confirmed_by: str = EMPTY
    confirmed_on: Day | None = None
    replaced_by: str = EMPTY
    withdrawn: bool = False
