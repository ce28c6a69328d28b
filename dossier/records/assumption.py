"""Assumptions: what is taken as true without proof, why, and who accepted it."""

from __future__ import annotations

from pydantic import Field, model_validator

from dossier.records.base import EMPTY, Day, Record, Unit


class Assumption(Record):
    """A number with its band, or a choice in words, that calculations rest on."""

    title: str = Field(min_length=1)
    statement: str = Field(min_length=1)
    value: float | None = None
    low: float | None = None
    high: float | None = None
    unit: Unit = "-"
    choice: str = EMPTY
    reason: str = EMPTY
    accepted_by: str = EMPTY
    accepted_on: Day | None = None

    @model_validator(mode="after")
    def _one_content(self) -> Assumption:
        if (self.value is None) == (not self.choice):
            raise ValueError("an assumption holds either a value or a choice in words; fill exactly one")
        if self.value is not None:
            low = self.value if self.low is None else self.low
            high = self.value if self.high is None else self.high
            if not low <= self.value <= high:
                raise ValueError(
                    f"value = {self.value} must lie between low = {low} and high = {high}; correct one of them"
                )
        return self
