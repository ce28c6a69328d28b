"""Static stiffness of reference part and variant from their measured curves, and the ratio of both."""

from __future__ import annotations

from typing import Any, Literal

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
from dossier.methods.evidence_left_out import left_out_values
from dossier.methods.evidence_signs import limits_in_words, search, sign_values, sign_words
from dossier.methods.evidence_working import groups_working, window_in_words
from dossier.methods.working import Working
from dossier.records.base import q
from dossier.records.calculation import ResultValue
from dossier.records.signs import SignLimits

ROTATIONAL = ("torsional", "conical")


class StaticInput(GroupsInput):
    """Reading scheme, window and groups."""

    quantity: Literal["radial", "axial", "torsional", "conical"]
    reading: dict[str, Any]
    between: Literal["load", "travel"]
    low: float
    high: float
    cycle: int = q("1", "cycle whose loading branch is evaluated", at_least=1)
    stiffness: Literal["secant", "least squares"]
    fixture_compliance: float = q("-", "mm/N or °/(N·mm), from a blank test", 0.0, at_least=0)
    signs: SignLimits | None = None


class StaticStiffness(EvidenceMethod):
    """Secant (or least-squares) stiffness of the evaluated cycle's loading branch, per specimen and group."""

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
            evaluated = [_evaluate(given, sample, files) for sample in samples]
            found, signs = [one for one, _, _ in evaluated], [signs for _, _, signs in evaluated]
            extents += [extent for _, extent, _ in evaluated]
            branches[name] = [one.branch for one in found]
            stiffness = [_stiffness(given, one) for one in found]
            means[name] = stiffness
            values += group_values(name, stiffness, unit, given.budget)
            for part, unit_of in (("energy", "N·mm"), ("residual", "°" if given.quantity in ROTATIONAL else "mm")):
                numbers = [getattr(f, part) for f in found]
                if all(number is not None for number in numbers):
                    values.append(ResultValue(name=f"{part}_{name}", value=sum(numbers) / len(numbers), unit=unit_of))
            values += specimen_values(samples, stiffness, unit) + sign_values(name, samples, signs)
            warnings += sign_words(samples, signs)
            warnings += [f"{s.specimen}: {note}" for s, f in zip(samples, found, strict=True) for note in f.notes[-1:]]
        if not means:
            raise ValueError("no specimen has a measured file; import the files of this item")
        compared, notes = compared_groups(given, means)
        values += ratio_values(given, compared)
        values += left_out_values(
            given, means, unit, lambda sample: _stiffness(given, _evaluate(given, sample, files)[0]), warnings
        )
        values += extent_values(extents, given.quantity in ROTATIONAL)
        values += deviation_values(branches, given.quantity in ROTATIONAL, warnings)
        return Evaluated(values, notes + warnings, detail={"means": means, "unit": unit, "compared": compared})

    def working(self, given: StaticInput, found: Evaluated) -> Working:
        working = Working()
        window = window_in_words(given.low, given.high, given.between, given.quantity in ROTATIONAL)
        working.fact("evaluated", f"loading branch of cycle {given.cycle}, {given.stiffness} over {window}")
        working.fact("signs looked for", limits_in_words(given.signs))
        for name in ("variant", "reference"):
            if (count := found.value(f"signs_{name}")) is not None:
                working.fact(f"signs in the curves of the {name}", f"{count.value:g}" if count.value else "none")
        groups_working(working, given, found.detail["unit"], found)
        return working


def _stiffness(given: StaticInput, found: Any) -> float:
    return found.slope if given.stiffness == "least squares" else found.stiffness


def _evaluate(given: StaticInput, sample: SampleIn, files: RawFiles) -> tuple[Any, Extents, Any]:
    """What the curve shows, how far its channels went as recorded, and its signs of trouble (None if too short)."""
    from dossier.evidence.form import ReadingScheme
    from dossier.evidence.reading import read_curve
    from dossier.evidence.static import StaticSettings, evaluate_static

    if not sample.file:
        raise ValueError(f"{sample.specimen} has no measured file; import it or say why it is left out")
    name = sample.file_name or sample.file[:16]
    curve = read_curve(files(sample.file), ReadingScheme.from_dict(given.reading), name=name)
    if curve.problems:
        raise ValueError(f"{name}: {curve.problems[0]}")
    rotational = given.quantity in ROTATIONAL
    load, travel = ("torque", "angle") if rotational else ("force", "displacement")
    settings = StaticSettings(
        given.low, given.high, between=given.between, cycle=given.cycle, fixture_compliance=given.fixture_compliance,
        zero="start", rotational=rotational,
    )  # fmt: skip
    extents = tuple((float(c.min()), float(c.max())) for c in (curve.channel(load), curve.channel(travel)))
    try:
        found = evaluate_static(curve.channel(travel), curve.channel(load), settings)
    except ValueError as error:
        raise ValueError(f"{name} ({sample.specimen}): {error}") from error
    try:
        return found, extents, search(curve.channel(travel), curve.channel(load), given.signs, rotational)
    except ValueError:
        return found, extents, None
