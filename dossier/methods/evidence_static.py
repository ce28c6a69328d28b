"""Static stiffness of reference part and variant from their measured curves, and the ratio of both."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from pydantic import Field

from dossier import units
from dossier.methods.base import Basis
from dossier.methods.evidence_base import (
    Evaluated,
    EvidenceMethod,
    GroupsInput,
    RawFiles,
    SampleIn,
    compared_groups,
    group_values,
    ratio_values,
    specimen_values,
)
from dossier.methods.evidence_curves import Extents, deviation_values, extent_values
from dossier.methods.evidence_files import curve_of, of_specimen
from dossier.methods.evidence_left_out import left_out_values
from dossier.methods.evidence_signs import limits_in_words, search, sign_values, sign_words
from dossier.methods.evidence_static_way import (
    TANGENT_LINE,
    cycles_in_words,
    cycles_of,
    evaluated_cycles,
    of_tangents,
    stiffness_in_words,
    stiffness_of,
    zero_in_words,
)
from dossier.methods.evidence_working import SHOWN, groups_working
from dossier.methods.working import Working
from dossier.records.base import q
from dossier.records.calculation import ResultValue
from dossier.records.reading_settings import Stiffness, Zero
from dossier.records.signs import SignLimits

if TYPE_CHECKING:
    from dossier.evidence.static import StaticEvaluation

ROTATIONAL = ("torsional", "conical")


class StaticInput(GroupsInput):
    """Reading scheme, window and groups."""

    quantity: Literal["radial", "axial", "torsional", "conical"]
    reading: dict[str, Any]
    between: Literal["load", "travel"]
    low: float
    high: float
    cycle: int = q("1", "cycle whose loading branch is evaluated", at_least=1)
    last_cycle: int | None = q("1", "last of the cycles whose mean is taken", None, at_least=2)
    stiffness: Stiffness
    tangent_at: float | None = Field(None, description="load of a tangent, in N or N·mm")
    zero: Zero | None = None
    fixture_compliance: float = q("-", "mm/N or °/(N·mm), from a blank test", 0.0, at_least=0)
    signs: SignLimits | None = None


class StaticStiffness(EvidenceMethod):
    """Stiffness of the evaluated cycles' loading branches (secant, least squares or tangent), per specimen and group."""

    id = "evidence.static"
    version = 2
    title = "Static stiffness from measured curves"
    input_model = StaticInput
    basis = Basis(
        "library",
        "own evaluation of the loading branch between two loads or travels, checked on curves of other laws; mean with "
        "expanded uncertainty following JCGM 100, from memory; ratio by two one-sided tests on the log scale",
        left_out=(
            "signs of trouble below the stated limits", "rate and temperature corrections", "a fixture that is not linear",
        ),
        valid_for=("conditioned cycles of the stated range",),
    )

    def run(self, given: StaticInput, files: RawFiles) -> Evaluated:
        unit = "N·mm/rad" if given.quantity in ROTATIONAL else "N/mm"
        values: list[ResultValue] = []
        warnings: list[str] = []
        means: dict[str, list[float]] = {}
        branches: dict[str, list[Any]] = {}
        extents: list[Extents] = []
        for name in ("variant", "reference"):
            samples: list[SampleIn] = getattr(given, name)
            if not samples:
                continue
            parts = [_evaluated(given, sample, files) for sample in samples]
            extents += [part.extents for part in parts]
            branches[name] = [part.cycles[0].branch for part in parts]
            stiffness = [part.stiffness for part in parts]
            means[name] = stiffness
            budget = [*given.budget, *of_tangents(given, [part.relative_error for part in parts])]
            values += group_values(name, stiffness, unit, budget)
            for what, unit_of in (("energy", "N·mm"), ("residual", "°" if given.quantity in ROTATIONAL else "mm")):
                numbers = [part.mean_of(what) for part in parts]
                if all(number is not None for number in numbers):
                    values.append(ResultValue(name=f"{what}_{name}", value=sum(numbers) / len(numbers), unit=unit_of))
            signs = [part.signs for part in parts]
            values += specimen_values(samples, stiffness, unit) + sign_values(name, samples, signs)
            warnings += sign_words(samples, signs)
            for sample, part in zip(samples, parts, strict=True):
                values += part.values(sample.specimen, unit)
                warnings += [f"{sample.specimen}: {note}" for note in part.notes]
        if not means:
            raise ValueError("no specimen has a measured file; import the files of this item")
        compared, notes = compared_groups(given, means)
        values += ratio_values(given, compared)
        values += left_out_values(
            given, means, unit, lambda sample: _evaluated(given, sample, files).stiffness, warnings
        )
        values += extent_values(extents, given.quantity in ROTATIONAL)
        values += deviation_values(branches, given.quantity in ROTATIONAL, warnings)
        return Evaluated(values, notes + warnings, detail={"means": means, "unit": unit, "compared": compared})

    def working(self, given: StaticInput, found: Evaluated) -> Working:
        working = Working()
        rotational = given.quantity in ROTATIONAL
        working.fact("evaluated", f"loading branch of {cycles_in_words(given)}, {stiffness_in_words(given, rotational)}")
        if given.stiffness == "tangent":
            working.fact("tangent", TANGENT_LINE)
        if given.zero:
            working.fact("zero", zero_in_words(given))
        working.fact("signs looked for", limits_in_words(given.signs))
        for name in ("variant", "reference"):
            if (count := found.value(f"signs_{name}")) is not None:
                working.fact(f"signs in the curves of the {name}", f"{count.value:g}" if count.value else "none")
        self._cycles(working, given, found)
        groups_working(working, given, found.detail["unit"], found)
        return working

    def _cycles(self, working: Working, given: StaticInput, found: Evaluated) -> None:
        """The cycles of every part whose mean is taken."""
        for sample in [*given.variant, *given.reference] if given.last_cycle else []:
            each = [found.value(f"cycle {number}:{sample.specimen}") for number in cycles_of(given)]
            shown = [units.show(units.convert(v.value or 0.0, v.unit, SHOWN[v.unit]), 4) for v in each if v is not None]
            if shown:
                working.fact(f"cycles of {sample.specimen}", f"{', '.join(shown)} {SHOWN[found.detail['unit']]}")


@dataclass(frozen=True)
class _Part:
    """The evaluated cycles of one curve with the stiffness of each (N/mm or N·mm/rad) and the standard error of a tangent's
    line, how far its channels went as recorded, and its signs of trouble (None if too short)."""

    cycles: list[StaticEvaluation]
    each: list[tuple[float, float]]
    extents: Extents
    signs: Any

    @property
    def stiffness(self) -> float:
        """Mean over the cycles."""
        return sum(value for value, _ in self.each) / len(self.each)

    @property
    def relative_error(self) -> float:
        """Standard error of the tangents over the stiffness, the largest of the cycles."""
        return max(abs(error / value) for value, error in self.each)

    def mean_of(self, name: str) -> float | None:
        """Mean of a quantity over the cycles; of what stays behind them, that of the last one."""
        found = [getattr(cycle, name) for cycle in self.cycles]
        if name == "residual" or None in found:
            return found[-1]
        return sum(found) / len(found)

    def values(self, specimen: str, unit: str) -> list[ResultValue]:
        """The stiffness of every cycle, where the mean of several is taken."""
        if len(self.cycles) == 1:
            return []
        return [
            ResultValue(name=f"cycle {cycle.cycle}:{specimen}", value=value, unit=unit)
            for cycle, (value, _) in zip(self.cycles, self.each, strict=True)
        ]

    @property
    def notes(self) -> list[str]:
        """What the evaluation told last; of several cycles how far they are apart."""
        if len(self.cycles) == 1:
            return list(self.cycles[0].notes[-1:])
        numbers = [value for value, _ in self.each]
        apart = 100 * (max(numbers) - min(numbers)) / abs(self.stiffness)
        return [f"mean of cycles {self.cycles[0].cycle} to {self.cycles[-1].cycle}, which differ by at most {apart:.2g} %"]


def _evaluated(given: StaticInput, sample: SampleIn, files: RawFiles) -> _Part:
    rotational = given.quantity in ROTATIONAL
    curve = curve_of(given.reading, sample, files)
    load, travel = (curve.channel(name) for name in (("torque", "angle") if rotational else ("force", "displacement")))
    extents = tuple((float(channel.min()), float(channel.max())) for channel in (load, travel))

    def evaluated() -> tuple[list[StaticEvaluation], list[tuple[float, float]]]:
        cycles = evaluated_cycles(travel, load, given, rotational)
        return cycles, [stiffness_of(given, cycle, rotational) for cycle in cycles]

    cycles, each = of_specimen(sample, evaluated)
    try:
        signs = search(travel, load, given.signs, rotational)
    except ValueError:
        signs = None
    return _Part(cycles, each, extents, signs)
