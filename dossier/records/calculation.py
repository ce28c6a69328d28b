"""Calculations: one run of a method on one or two designs, with the exact input and the result."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field

from dossier.records.base import EMPTY, Moment, Part, Record


class Link(Part):
    """Where an input comes from: a record's id and a dotted field; `->` follows an id held in a field."""

    record: str
    field: str = EMPTY


class Serves(Part):
    """Which requirement a result value answers."""

    requirement: str
    value: str


class BandLine(Part):
    """One contribution to the band of a value, as deviations from it."""

    cause: str
    minus: float
    plus: float


class ResultValue(Part):
    """One value of a result in its stored unit, with the band it lies in."""

    name: str
    value: float | None
    unit: str
    low: float | None = None
    high: float | None = None
    lines: list[BandLine] = Field(default_factory=list)


class ErrorBand(Part):
    """Accepted band of measured/predicted that was added to the named values, with the assumption it is from."""

    assumption: str
    values: list[str]
    low: float = Field(gt=0)
    high: float = Field(gt=0)


class Result(Part):
    """What a run gave, and the exact typed input it was computed from."""

    method: str
    method_version: int = Field(ge=1)
    inputs: dict[str, Any]
    sources: dict[str, str] = Field(default_factory=dict)
    inputs_sha256: str = Field(pattern=r"^[0-9a-f]{64}$")
    values: list[ResultValue]
    validity: Literal["inside", "outside", "failed"] = "inside"
    validity_notes: list[str] = Field(default_factory=list)
    warnings: list[str] = Field(default_factory=list)
    computed_at: Moment
    computed_by: str = EMPTY
    libraries: dict[str, str] = Field(default_factory=dict)
    error_band: ErrorBand | None = None

    def value(self, name: str) -> ResultValue | None:
        """The value of that name, or None."""
        return next((value for value in self.values if value.name == name), None)


class Calculation(Record):
    """One run: method, designs, inputs that differ from the method's own links, and the stored result."""

    title: str = Field(min_length=1)
    method: str
    design: str = EMPTY
    reference: str = EMPTY
    inputs: dict[str, Any] = Field(default_factory=dict)
    sources: dict[str, str] = Field(default_factory=dict, description="where an input given here comes from, by input")
    prediction_error: str = Field(EMPTY, description="accepted assumption that bands the values it serves with: "
                                  "measured/predicted so far")  # fmt: skip
    serves: list[Serves] = Field(default_factory=list)
    beside: list[str] = Field(default_factory=list, description="calculations of the same quantity by another method")
    result: Result | None = None
