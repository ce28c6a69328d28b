"""The idea: problem, weighed baseline of the reference part, concepts, the choice and its reason."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from dossier.records.base import EMPTY, Day, Part, Record, q

Origin = Literal["weighed", "CAD", "calculated", "estimated"]


class Weighing(Part):
    """Mass of the reference part as weighed."""

    mass: float = q("kg", "mean mass", above=0, shown="g")
    spread: float = q("kg", "standard deviation", 0.0, at_least=0, shown="g")
    count: int = Field(ge=1)
    scale: str = EMPTY
    scale_valid_until: Day | None = None
    on: Day
    by: str
    drawing_index: str = EMPTY
    production_status: str = EMPTY
    photos: list[str] = Field(default_factory=list)


class PartMass(Part):
    """One line of the reference part's mass breakdown."""

    part: str
    mass: float = q("kg", "mass", above=0, shown="g")
    origin: Origin
    on: Day


class Concept(Record):
    """One way to save mass."""

    title: str = Field(min_length=1)
    mass: float = q("kg", "estimated mass of the joint", above=0, shown="g")
    mass_origin: Origin = "estimated"
    estimated_on: Day | None = None
    cost_tendency: str = Field(EMPTY, description="change of piece cost, in words or percent")
    risks: list[str] = Field(default_factory=list)
    fate: Literal["chosen", "kept", "rejected", "open"] = "open"
    reason: str = EMPTY
    design: str = Field(EMPTY, description="id of the design that carries this concept out")
    stop_if: str = EMPTY


class Idea(Record):
    """concepts.toml."""

    id: Literal["idea"] = "idea"
    problem: str = EMPTY
    mass_goal: float | None = q("-", "share of mass to be saved", None, above=0, below=1, shown="%")
    weighing: Weighing | None = None
    breakdown: list[PartMass] = Field(default_factory=list)
    interfaces: list[str] = Field(default_factory=list, description="what must not change")
    concept: list[Concept] = Field(default_factory=list)
    worth_per_kg: float | None = q("EUR/kg", "assumed worth of a saved kilogram", None, at_least=0)
    worth_source: str = EMPTY
