"""Adhesion of rubber to metal: strength, and where the bond failed by shares of its area."""

from __future__ import annotations

import math

from dossier.methods.base import Basis
from dossier.methods.evidence_base import (
    BudgetIn,
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
from dossier.methods.evidence_working import groups_working
from dossier.methods.working import Working
from dossier.records.calculation import ResultValue
from dossier.records.evidence import FAILURE_CODES


class AdhesionInput(GroupsInput):
    """Strength in the item's unit and shares of the failure codes, per specimen."""

    unit: str


class Adhesion(EvidenceMethod):
    """Mean strength with its band, and of each failure code the mean share and the least share in rubber (R).

    The budget is that of the strength; where none was measured, that of the areas that were read.
    """

    id = "evidence.adhesion"
    version = 2
    title = "Adhesion with shares of the failure codes"
    input_model = AdhesionInput
    basis = Basis(
        "memory",
        "failure codes R (in the rubber), RC (rubber-cement), CP (cement-primer), M (primer-metal) by share of the area, as "
        "ISO 813 and ISO 814 use them, from memory; mean with expanded uncertainty following JCGM 100, from memory",
        left_out=("uncertainty of the areas that were read by eye, where the budget is that of a strength",),
    )

    def run(self, given: AdhesionInput, files: RawFiles) -> Evaluated:
        values: list[ResultValue] = []
        strengths: dict[str, list[float]] = {}
        for name in ("variant", "reference"):
            samples: list[SampleIn] = getattr(given, name)
            missing = [sample.specimen for sample in samples if not sample.shares]
            if missing:
                raise ValueError(f"{missing[0]} has no shares of the failure codes; enter them, such as R=95 RC=5")
            if samples and all(sample.value is not None for sample in samples):
                strengths[name] = [sample.value for sample in samples]
                values += group_values(name, strengths[name], given.unit, given.budget)
                values += specimen_values(samples, strengths[name], given.unit)
            elif any(sample.value is not None for sample in samples):
                lacking = next(sample.specimen for sample in samples if sample.value is None)
                raise ValueError(f"{lacking} has no strength; enter it in {given.unit}, or leave it out with the reason")
            areas = [] if name in strengths else given.budget
            values += _shares(samples, "" if name == "variant" else "_reference", areas)
        if not values:
            raise ValueError("no failure picture is recorded yet")
        compared, notes = compared_groups(given, strengths)
        values += ratio_values(given, compared)
        return Evaluated(values, notes, detail={"means": strengths, "compared": compared})

    def working(self, given: AdhesionInput, found: Evaluated) -> Working:
        working = Working()
        groups_working(working, given, given.unit, found)
        shares = [sample.shares or {} for sample in given.variant]
        for code in FAILURE_CODES:
            if not any(share.get(code) for share in shares):
                continue
            symbols = []
            for number, share in enumerate(shares, start=1):
                symbols.append(f"a_{code}{number}")
                working.given(symbols[-1], f"share {code}, part {number}", share.get(code, 0.0), "-")
            working.line(f"A_{code}", f"mean share {code}", f"({' + '.join(symbols)})/{len(symbols)}", "-", result=True)
        return working


def _shares(samples: list[SampleIn], suffix: str, budget: list[BudgetIn]) -> list[ResultValue]:
    """Mean share of each code, with the band of a mean for R where several parts were read, and the least share R with the
    band of one reading."""
    if not samples:
        return []
    found = []
    for code in FAILURE_CODES:
        shares = [(sample.shares or {}).get(code, 0.0) for sample in samples]
        if code == "R":
            found += _in_rubber(shares, suffix, budget)
        else:
            found.append(ResultValue(name=f"share_{code}{suffix}", value=math.fsum(shares) / len(shares), unit="-"))
    return found


def _in_rubber(shares: list[float], suffix: str, budget: list[BudgetIn]) -> list[ResultValue]:
    mean, *rest = group_values(f"share_R{suffix}", shares, "-", budget)
    least, *_ = group_values(f"least_share_R{suffix}", [min(shares)], "-", budget)
    if not budget:
        least = ResultValue(name=least.name, value=least.value, unit="-")
    return [_within_area(mean), _within_area(least), *(value for value in rest if value.name.startswith("n_"))]


def _within_area(found: ResultValue) -> ResultValue:
    """The same with its band inside 0 to 1."""
    ends = {"low": found.low, "high": found.high}
    return found.model_copy(update={end: None if at is None else min(max(at, 0.0), 1.0) for end, at in ends.items()})
