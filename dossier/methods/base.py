"""What a method is: typed inputs with units and links, results, basis, working.

Mechanics is imported inside `run`, so that listing methods needs neither numpy nor scipy.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass, field
from typing import Any, ClassVar, Literal

from pydantic import BaseModel

from dossier.methods.working import Working
from dossier.records.base import Part


class MethodInput(Part):
    """Base of a method's typed input. Fields are made with dossier.records.base.q."""


class InputError(ValueError):
    """Inputs that do not fit together; the message names field, limit, given value and remedy."""


@dataclass(frozen=True)
class ResultField:
    """One value a method gives. `tolerance` is the relative difference `verify` accepts on recomputation.

    `holds`: "inside" the method's validity only; "always"; or "within", stated over what lies within validity and left out
    where nothing does.
    """

    name: str
    unit: str
    meaning: str
    shown: str = ""
    symbol: str = ""
    tolerance: float = 1e-6
    holds: Literal["inside", "always", "within"] = "inside"


@dataclass(frozen=True)
class Basis:
    """Where the method comes from, what it leaves out and where it holds."""

    kind: Literal["read", "library", "memory"]
    text: str
    left_out: tuple[str, ...] = ()
    valid_for: tuple[str, ...] = ()


@dataclass(frozen=True)
class Contribution:
    """One cause of a value's band, as deviations from the value in its unit (minus ≤ 0 ≤ plus)."""

    cause: str
    minus: float
    plus: float


@dataclass(frozen=True)
class Value:
    """A value with the contributions to its band."""

    value: float
    contributions: tuple[Contribution, ...] = ()

    @property
    def low(self) -> float:
        """Lower end: root sum of squares of the independent contributions below the value."""
        return self.value - sum(c.minus**2 for c in self.contributions) ** 0.5

    @property
    def high(self) -> float:
        """Upper end: root sum of squares of the independent contributions above the value."""
        return self.value + sum(c.plus**2 for c in self.contributions) ** 0.5


@dataclass
class Outcome:
    """What a run gives. `outside` lists limits of validity that are passed: then the result is no proof."""

    values: dict[str, Value | float]
    warnings: list[str] = field(default_factory=list)
    outside: list[str] = field(default_factory=list)
    detail: dict[str, Any] = field(default_factory=dict)


class Method(ABC):
    """One procedure. Subclasses are stateless; `version` rises only when a golden example moves."""

    id: ClassVar[str]
    version: ClassVar[int]
    title: ClassVar[str]
    step: ClassVar[str]
    input_model: ClassVar[type[BaseModel]]
    results: ClassVar[tuple[ResultField, ...]]
    basis: ClassVar[Basis]

    @abstractmethod
    def run(self, given: Any) -> Outcome:
        """Compute. Raises InputError (or a ValueError of mechanics) when inputs do not fit together."""

    @abstractmethod
    def working(self, given: Any, outcome: Outcome) -> Working:
        """The working of a run, as data."""

    def result_field(self, name: str) -> ResultField:
        """The result field of that name. Raises KeyError naming the known ones."""
        for result in self.results:
            if result.name == name:
                return result
        raise KeyError(f'{self.id} gives no "{name}"; it gives {", ".join(r.name for r in self.results)}')
