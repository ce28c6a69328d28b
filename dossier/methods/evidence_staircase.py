"""Staircase test: load that half of the parts bear, by Dixon and Mood and by maximum likelihood."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from dossier.methods.base import Basis
from dossier.methods.evidence_base import Evaluated, EvidenceMethod, RawFiles, specimen_values
from dossier.methods.evidence_statistics import JudgedInput, values_of
from dossier.methods.working import Working
from dossier.records.calculation import ResultValue

if TYPE_CHECKING:
    from dossier.evidence.staircase import Staircase


class StaircaseInput(JudgedInput):
    """Loads in the order tested; `survived` is true where the part bore its load to the end of the test."""


class StaircaseStrength(EvidenceMethod):
    """Mean strength with the bounds of the likelihood, and its standard deviation."""

    id = "evidence.staircase"
    version = 1
    title = "Staircase test"
    input_model = StaircaseInput
    basis = Basis(
        "library",
        "Dixon and Mood, J. Am. Stat. Assoc. 43 (1948) 109, from memory; bounds from the likelihood of the same outcomes",
        left_out=("scatter is found too small from few parts",),
        valid_for=("one step throughout, between half and twice the standard deviation; 15 parts and more",),
    )

    def run(self, given: StaircaseInput, files: RawFiles) -> Evaluated:
        from dossier.evidence.errors import EvaluationError
        from dossier.evidence.staircase import evaluate_staircase, likely_strength

        if not given.variant:
            raise ValueError("no load of the variant is recorded yet")
        loads = values_of(given.variant, given.unit)
        failed = [not sample.survived for sample in given.variant]
        found = evaluate_staircase(loads, failed)
        warnings, values, low, high = list(found.notes), [], None, None
        try:
            likely = likely_strength(loads, failed, max(2 * given.confidence - 1, 1e-6))
        except EvaluationError as error:
            warnings.append(f"maximum likelihood: {error}")
        else:
            low, high = (end if math.isfinite(end) else None for end in (likely.low, likely.high))
            values = [
                ResultValue(name="likely_variant", value=likely.mean, unit=given.unit, low=low, high=high),
                ResultValue(name="likely_spread_variant", value=likely.deviation, unit=given.unit),
            ]
        bounded = low is not None and high is not None and low <= found.mean <= high
        band = {"low": low, "high": high} if bounded else {}
        results = [
            ResultValue(name="variant", value=found.mean, unit=given.unit, **band),
            ResultValue(name="n_variant", value=float(len(loads)), unit="1"),
            ResultValue(name="spread_variant", value=found.deviation, unit=given.unit),
            *values,
            *specimen_values(given.variant, loads, given.unit),
            *specimen_values(given.variant, [float(not each) for each in failed], "1", "stopped"),
        ]
        return Evaluated(results, warnings, detail={"staircase": found})

    def working(self, given: StaircaseInput, found: Evaluated) -> Working:
        working = Working()
        steps: Staircase = found.detail["staircase"]
        unit = given.unit
        working.fact("less frequent outcome", f"{steps.event}, counted from the lowest load at which they happened")
        working.given("S_0", f"lowest load of the {steps.event}", steps.first, unit)
        working.given("d", "step", steps.step, unit)
        for symbol, words, count in (("N", "their number", steps.N), ("A", "Σ i·n", steps.A), ("B", "Σ i²·n", steps.B)):
            working.given(symbol, words, float(count), "1")
        sign = "−" if steps.event == "failures" else "+"
        working.line("S_m", "mean strength", f"S_0 + d·(A/N {sign} 0.5)", unit, result=True)
        if (steps.N * steps.B - steps.A**2) / steps.N**2 < 0.3:
            working.line("s", "standard deviation, set and not measured", "0.53·d", unit, result=True)
        else:
            working.line("s", "standard deviation", "1.62·d·((N·B − A²)/N² + 0.029)", unit, result=True)
        return working
