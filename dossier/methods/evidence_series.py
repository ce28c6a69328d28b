"""Values of a series in the order made: capability with its lower bound, and a tolerance interval."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dossier.methods.base import Basis
from dossier.methods.evidence_base import Evaluated, EvidenceMethod, RawFiles, group_values, specimen_values
from dossier.methods.evidence_statistics import JudgedInput, values_of
from dossier.methods.working import Working
from dossier.records.base import q
from dossier.records.calculation import ResultValue

if TYPE_CHECKING:
    from dossier.evidence.capability import Capability
    from dossier.evidence.tolerance import ToleranceInterval


class SeriesInput(JudgedInput):
    """Limits of the series in the item's unit and the share of parts that may lie beyond the tolerance interval."""

    share: float = q("-", "share of parts that may lie beyond", 0.05, above=0, below=1)
    lower: float | None = None
    upper: float | None = None


class SeriesCapability(EvidenceMethod):
    """Cp and Cpk with lower confidence bounds, stability and normality told, tolerance interval beside."""

    id = "evidence.capability"
    version = 1
    title = "Capability of a series"
    input_model = SeriesInput
    basis = Basis(
        "library",
        "bounds from χ² and the noncentral t for normal values, normal tolerance interval (ISO 16269-6 as commonly stated); "
        "from memory, checked against published numbers",
        left_out=("measurement scatter is part of the spread", "values that are not normal: told, not corrected"),
        valid_for=("a stable series of normal values in the order made",),
    )

    def run(self, given: SeriesInput, files: RawFiles) -> Evaluated:
        from dossier.evidence.capability import evaluate_capability
        from dossier.evidence.tolerance import normal_interval

        if not given.variant:
            raise ValueError("no value of the variant is recorded yet")
        values = values_of(given.variant, given.unit)
        found = evaluate_capability(values, given.lower, given.upper, confidence=given.confidence)
        side = "both" if given.lower is not None and given.upper is not None else "low" if given.lower is not None else "high"
        interval = normal_interval(values, 1 - given.share, given.confidence, side=side)
        results = [
            *group_values("variant", values, given.unit, given.budget),
            ResultValue(name="cpk_variant", value=found.cpk, unit="-", low=found.cpk_low, high=found.cpk),
        ]
        if found.cp is not None and found.cp_low is not None:
            results.append(ResultValue(name="cp_variant", value=found.cp, unit="-", low=found.cp_low, high=found.cp))
        ends = (("tolerance_low_variant", interval.low, side != "high"), ("tolerance_high_variant", interval.high, side != "low"))
        results += [ResultValue(name=name, value=end, unit=given.unit) for name, end, shown in ends if shown]
        results += specimen_values(given.variant, values, given.unit)
        outside = [note for note in found.notes if "not stable" in note]
        warnings = [note for note in found.notes if note not in outside] + [f"tolerance interval: {interval.words}"]
        return Evaluated(results, warnings, outside, detail={"capability": found, "interval": interval})

    def working(self, given: SeriesInput, found: Evaluated) -> Working:
        working = Working()
        capability: Capability = found.detail["capability"]
        interval: ToleranceInterval = found.detail["interval"]
        unit = given.unit
        working.given("m", f"mean of {capability.count} values", capability.mean, unit)
        working.given("s", "standard deviation of all values", capability.deviation, unit)
        gaps = []
        for symbol, words, limit, gap in (("L", "lower limit", given.lower, "m − L"), ("U", "upper limit", given.upper, "U − m")):
            if limit is not None:
                working.given(symbol, words, limit, unit)
                gaps.append(f"({gap})/(3·s)")
        if len(gaps) == 2:
            working.line("Cp", "capability of the spread", "(U − L)/(6·s)", "-", result=True)
        formula = f"min({', '.join(gaps)})" if len(gaps) == 2 else gaps[0]
        working.line("Cpk", "capability towards the nearer limit", formula, "-", result=True)
        words = f"its lower bound at {100 * given.confidence:.3g} % (one-sided)"
        working.given("Cpk_low", words, capability.cpk_low, "-", "noncentral t; on the safe side with two limits")
        words = f"tolerance factor, {100 * (1 - given.share):.4g} % of the parts"
        working.given("k", words, interval.factor or 0.0, "-", "exact, normal values")
        if found.value("tolerance_low_variant"):
            working.line("t_low", "lower end of the tolerance interval", "m − k·s", unit, result=True)
        if found.value("tolerance_high_variant"):
            working.line("t_high", "upper end of the tolerance interval", "m + k·s", unit, result=True)
        p = "not tested" if capability.normal_p is None else f"Shapiro–Wilk p = {capability.normal_p:.2g}"
        working.fact("normality", f"{p}; no such test can show that the tails are normal")
        chart = "; ".join(capability.unstable) or "no signal"
        working.fact("stability", f"chart of individual values (2.66 and 3.267 of the mean moving range, 8 on one side): {chart}")
        return working
