"""What the evaluations of evidence share: typed input, groups, uncertainty of a mean, ratio of the groups."""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from pydantic import BaseModel, Field

from dossier.methods.base import Basis, MethodInput
from dossier.methods.working import Working
from dossier.records.base import Part, q
from dossier.records.calculation import BandLine, ResultValue

if TYPE_CHECKING:
    from dossier.evidence.equivalence import RatioComparison

RawFiles = Callable[[str], Path]
CONFIDENCE = 0.95
REPEATABILITY = "repeatability"
# Beginnings of the notes on compound batches of other names in both groups.
LIMITED = "the verdict holds for the tested batches only"
ACROSS_BATCHES = "the ratio is compared across compound batches"


class SampleIn(Part):
    """One specimen that counts."""

    specimen: str
    batch: str = ""
    file: str = ""
    file_name: str = ""
    value: float | None = None
    passed: bool | None = None
    survived: bool | None = None
    load: float | None = None
    shares: dict[str, float] | None = None


class BudgetIn(Part):
    """One line of the uncertainty budget."""

    cause: str
    relative: float = q("-", "standard uncertainty, relative", at_least=0)
    absolute: float | None = q("-", "standard uncertainty in the unit of the value", None, at_least=0)
    systematic: bool = True
    kind: str | None = None

    def standard(self, value: float, count: int) -> float:
        """Standard uncertainty of the mean of `count` parts, in the unit of the value; what is new with each reading
        evens out."""
        one = math.hypot(self.relative * value, self.absolute or 0.0)
        return one if self.systematic else one / math.sqrt(count)


class MarginIn(Part):
    """Agreed margin of the ratio; a least ratio where it has no upper end."""

    low: float
    high: float | None = None


class LeftOutIn(Part):
    """Samples that do not count though something was measured on them."""

    variant: list[SampleIn] = Field(default_factory=list)
    reference: list[SampleIn] = Field(default_factory=list)


class GroupsInput(MethodInput):
    """Both groups with the budget; a group may be empty."""

    variant: list[SampleIn] = Field(default_factory=list)
    reference: list[SampleIn] = Field(default_factory=list)
    budget: list[BudgetIn] = Field(default_factory=list)
    margin: MarginIn | None = None
    left_out: LeftOutIn | None = None
    batch_scatter: float | None = q("-", "accepted standard deviation between compound batches, relative", None, at_least=0)


# The ratio and its interval do not depend on the margin; its p, which does, is given for an agreed one only.
ANY_MARGIN = MarginIn(low=0.9, high=1.1)


@dataclass
class Evaluated:
    """What an evaluation gives: values with units and bands, notes, and reasons why it proves nothing."""

    values: list[ResultValue]
    warnings: list[str] = field(default_factory=list)
    outside: list[str] = field(default_factory=list)
    detail: dict[str, Any] = field(default_factory=dict)

    def value(self, name: str) -> ResultValue | None:
        """The value of that name, or None."""
        return next((value for value in self.values if value.name == name), None)


class EvidenceMethod(ABC):
    """One way to evaluate evidence. `files` gives the path of a raw file by its SHA-256."""

    id: ClassVar[str]
    version: ClassVar[int]
    title: ClassVar[str]
    input_model: ClassVar[type[BaseModel]]
    basis: ClassVar[Basis]
    tolerance: ClassVar[float] = 1e-6

    @abstractmethod
    def run(self, given: Any, files: RawFiles) -> Evaluated:
        """Evaluate. Raises ValueError or UnreadableFile naming file, line and remedy."""

    @abstractmethod
    def working(self, given: Any, found: Evaluated) -> Working:
        """The working, as data."""


def group_values(name: str, values: Sequence[float], unit: str, budget: Sequence[BudgetIn]) -> list[ResultValue]:
    """Mean with ±U against a limit (systematic lines count in full), spread and count of one group.

    A single value carries the budget only: its scatter between parts is unknown, which is said by n = 1.
    """
    from dossier.evidence.single import describe, uncertainty_of_mean
    from dossier.evidence.uncertainty import Contribution, budget_against_limit

    sample = describe(values)
    counting = [line for line in budget if sample.count == 1 or line.kind != REPEATABILITY]
    others = [
        Contribution(line.cause, line.standard(abs(sample.mean), sample.count), systematic=line.systematic) for line in counting
    ]
    if sample.count > 1:
        found = uncertainty_of_mean(values, others, CONFIDENCE)
    else:
        found = budget_against_limit(others, CONFIDENCE)
    half = found.expanded
    lines = [
        BandLine(cause=line.name, minus=-found.factor * line.standard, plus=found.factor * line.standard)
        for line in found.contributions
        if line.standard
    ]
    mean = ResultValue(name=name, value=sample.mean, unit=unit, low=sample.mean - half, high=sample.mean + half, lines=lines)
    return [
        mean,
        ResultValue(name=f"n_{name}", value=float(sample.count), unit="1"),
        ResultValue(name=f"spread_{name}", value=sample.deviation or 0.0, unit=unit),
        ResultValue(name=f"smallest_{name}", value=sample.smallest, unit=unit),
        ResultValue(name=f"largest_{name}", value=sample.largest, unit=unit),
        *_between_parts(name, sample.mean, sample.deviation, unit, budget),
    ]


def _between_parts(
    name: str, mean: float, deviation: float | None, unit: str, budget: Sequence[BudgetIn]
) -> list[ResultValue]:
    """Spread of the parts themselves where the repeatability of one part is known: √(s² − s_r²), at least 0."""
    again = math.fsum(line.standard(abs(mean), 1) ** 2 for line in budget if line.kind == REPEATABILITY)
    if not again or deviation is None:
        return []
    between = math.sqrt(max(deviation**2 - again, 0.0))
    return [ResultValue(name=f"spread_parts_{name}", value=between, unit=unit)]


def survived_values(name: str, samples: Sequence[SampleIn], unit: str) -> list[ResultValue]:
    """What a group shows of which parts were stopped without failure: the least value, no mean and no band of it."""
    values = [sample.value for sample in samples if sample.value is not None]
    return [
        ResultValue(name=name, value=min(values), unit=unit),
        ResultValue(name=f"n_{name}", value=float(len(values)), unit="1"),
        ResultValue(name=f"survived_{name}", value=float(sum(bool(s.survived) for s in samples)), unit="1"),
        ResultValue(name=f"smallest_{name}", value=min(values), unit=unit),
        ResultValue(name=f"largest_{name}", value=max(values), unit=unit),
    ]


def specimen_values(samples: Sequence[SampleIn], values: Sequence[float], unit: str, part: str = "specimen") -> list[ResultValue]:
    """One value per specimen, named "specimen:<id>"."""
    return [ResultValue(name=f"{part}:{s.specimen}", value=float(v), unit=unit) for s, v in zip(samples, values, strict=True)]


def compared_groups(given: GroupsInput, means: dict[str, list[float]]) -> tuple[RatioComparison | None, list[str]]:
    """Variant against reference part, and what limits the verdict. None where a group has fewer than two parts."""
    from dossier.evidence.equivalence import compare_minimum, compare_ratio
    from dossier.evidence.errors import EvaluationError

    variant, reference = means.get("variant", []), means.get("reference", [])
    if len(variant) < 2 or len(reference) < 2:
        told = f"no ratio: {len(variant)} of the variant and {len(reference)} of the reference part; 2 of each are needed"
        return None, [told] if variant and reference else []
    margin = given.margin or ANY_MARGIN
    try:
        batches: dict[str, Any] = {
            f"{name}_batches": [sample.batch for sample in getattr(given, name)] for name in ("variant", "reference")
        }
        batches["batch_deviation"] = given.batch_scatter
        if margin.high is None:
            found = compare_minimum(variant, reference, margin.low, **batches)
        else:
            found = compare_ratio(variant, reference, margin.low, margin.high, **batches)
    except EvaluationError as error:
        return None, [f"ratio: {error}"]
    told = [f"{LIMITED}: {found.scope}"] if found.limited else []
    if found.way in ("measured", "assumed"):
        told = [f"{ACROSS_BATCHES}: {found.scope}"]
    return found, [*found.notes, *told]


def ratio_values(given: GroupsInput, found: RatioComparison | None) -> list[ResultValue]:
    """Ratio with its 90 % interval and the ratio of the spreads; p of the two one-sided tests where a margin is agreed."""
    if found is None:
        return []
    values = [
        ResultValue(name="ratio", value=found.ratio, unit="-", low=found.low, high=found.high),
        ResultValue(name="spread_ratio", value=found.spread_ratio, unit="-"),
    ]
    if given.margin:
        values.insert(1, ResultValue(name="ratio_p", value=found.p, unit="-"))
    return values
