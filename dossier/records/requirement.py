"""Requirements: a demand with its limit, the conditions it holds under, and how it is verified."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from dossier.records.base import EMPTY, Day, Part, Record, Unit

LimitKind = Literal["max", "min", "range", "target", "pass_fail", "capability"]
Verification = Literal["analysis", "test", "inspection", "demonstration"]


# Quantities that cannot lie below zero; the others are savings, changes, signed angles and temperatures.
NEVER_NEGATIVE = frozenset((
    "mass", "length", "diameter", "radial_stiffness", "axial_stiffness", "torsional_stiffness", "conical_stiffness",
    "stiffness_ratio", "dynamic_ratio", "loss_angle", "press_in_force", "push_out_force", "retention_force", "safety",
    "pin_end_safety",
    "utilisation", "pressure", "strength", "hardness", "share", "compression_set", "life", "crack_depth",
    "temperature_ratio", "clamp_force", "cost",
))  # fmt: skip


class Limit(Part):
    """What is demanded, in the requirement's own unit."""

    kind: LimitKind
    min: float | None = None
    max: float | None = None
    nominal: float | None = None
    criterion: str = EMPTY

    @model_validator(mode="after")
    def _complete(self) -> Limit:
        needed = {"max": ("max",), "min": ("min",), "range": ("min", "max"), "target": ("nominal",)}
        for field in needed.get(self.kind, ()):
            if getattr(self, field) is None:
                raise ValueError(f'a limit of kind "{self.kind}" needs {field}; add it')
        if self.kind in ("pass_fail", "capability") and not self.criterion:
            raise ValueError(f'a limit of kind "{self.kind}" needs a criterion in words; add it')
        if self.min is not None and self.max is not None and self.min >= self.max:
            raise ValueError(
                f"limit.max = {self.max} must exceed limit.min = {self.min}; enlarge it or swap the two"
            )
        if self.nominal is not None:
            low = self.min is not None and self.nominal < self.min
            high = self.max is not None and self.nominal > self.max
            if low or high:
                raise ValueError(
                    f"limit.nominal = {self.nominal} lies outside {self.min} .. {self.max}; "
                    "correct it or widen the range"
                )
        return self


class Conditions(Part):
    """The state a value is demanded in. A stiffness means nothing without them."""

    preload: str = EMPTY
    range: str = EMPTY
    cycle: str = EMPTY
    rate: str = EMPTY
    amplitude: str = EMPTY
    frequency: str = EMPTY
    temperature: str = EMPTY
    conditioning: str = EMPTY
    text: str = EMPTY


class Agreement(Part):
    """Who agreed to something, when, and in which document."""

    by: str
    on: Day
    document: str = EMPTY


class Requirement(Record):
    """One demand: "shall", one value, one limit, and the way it is verified."""

    title: str = Field(min_length=1)
    statement: str = Field(min_length=1)
    chapter: str = EMPTY
    quantity: str = Field(min_length=1, description="quantity, one of the list in data/quantities.toml")
    unit: Unit
    limit: Limit
    conditions: Conditions = Conditions()
    source: str = EMPTY
    source_kind: Literal["customer", "law", "own"] = "own"
    verification: list[Verification] = Field(default_factory=list)
    criterion: str = EMPTY
    decided_by: Literal["mean", "worst part"] = Field("mean", description="which value of several parts is held to the limit")
    sample_size: int | None = Field(None, ge=1)
    priority: Literal["must", "should", "could"] = "must"
    special: str = EMPTY
    parent: str = EMPTY
    rationale: str = EMPTY
    standards: list[str] = Field(default_factory=list)
    owner: str = EMPTY
    region: Literal["", "pin", "core", "layer", "ring", "half_shell", "eye", "joint"] = EMPTY
    agreed: Agreement | None = None

    @model_validator(mode="after")
    def _possible(self) -> Requirement:
        if self.quantity in NEVER_NEGATIVE:
            for name in ("min", "max", "nominal"):
                value = getattr(self.limit, name)
                if value is not None and value < 0:
                    unit = "" if self.unit in ("-", "1") else f" {self.unit}"
                    raise ValueError(
                        f"limit.{name} = {value:g}{unit} must not be below 0 for the quantity {self.quantity}; "
                        "correct the limit or the quantity"
                    )
        return self
