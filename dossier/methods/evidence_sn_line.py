"""Lives at several loads: S–N line of finite life, and the life at the load asked for with its lower bound."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dossier.methods.base import Basis
from dossier.methods.evidence_base import Evaluated, EvidenceMethod, RawFiles, specimen_values
from dossier.methods.evidence_statistics import JudgedInput, values_of
from dossier.methods.working import Working
from dossier.records.base import q
from dossier.records.calculation import ResultValue

if TYPE_CHECKING:
    from dossier.evidence.sn_line import SnLine


class SnLineInput(JudgedInput):
    """Share that may fail and the load asked for, in `load_unit`; lives in `unit`."""

    share: float = q("-", "share that may fail", 0.10, above=0, at_most=0.5)
    load: float | None = None
    load_unit: str = "kN"


class SnLineLives(EvidenceMethod):
    """Exponent and scatter of the line; the life at one load that all but a stated share reach, with its lower bound."""

    id = "evidence.sn_line"
    version = 1
    title = "S–N line"
    input_model = SnLineInput
    basis = Basis(
        "library",
        "censored maximum likelihood of lognormal lives; lower line exact (noncentral t) without survivors, else likelihood "
        "profile; from memory, checked against least squares and by simulation",
        left_out=("the bend to the endurance limit", "a scatter that grows at low loads"),
        valid_for=("loads of finite life; every started test among them",),
    )

    def run(self, given: SnLineInput, files: RawFiles) -> Evaluated:
        from dossier.evidence.sn_line import fit_sn_line

        if not given.variant:
            raise ValueError("no life of the variant is recorded yet")
        lives = values_of(given.variant, given.unit)
        for sample in given.variant:
            if sample.load is None:
                raise ValueError(f"{sample.specimen} has no load level; enter it in {given.load_unit}")
        loads = [sample.load or 0.0 for sample in given.variant]
        fit = fit_sn_line(loads, lives, [bool(sample.survived) for sample in given.variant])
        two_sided = max(2 * given.confidence - 1, 1e-6)
        slope = fit.exponent_bounds(two_sided)
        values = [
            ResultValue(name="exponent_variant", value=fit.exponent, unit="-", low=slope.low, high=slope.high),
            ResultValue(name="log10_deviation_variant", value=fit.log10_deviation, unit="-"),
            ResultValue(name="n_variant", value=float(len(lives)), unit="1"),
            ResultValue(name="failures_variant", value=float(fit.failed.sum()), unit="1"),
            *specimen_values(given.variant, lives, given.unit),
            *specimen_values(given.variant, loads, given.load_unit, "load"),
        ]
        warnings = list(fit.notes)
        if given.load is None:
            warnings.append("no life: state statistics.load, the load at which it is asked for")
        else:
            survival = 1 - given.share
            life = fit.life(given.load, survival)
            low = fit.least_life(given.load, survival, max(given.confidence, 0.5))
            high = fit.life(given.load)
            values.insert(0, ResultValue(name="variant", value=life, unit=given.unit, low=low, high=max(high, life)))
            if not min(loads) <= given.load <= max(loads):
                told = f"{given.load:g} {given.load_unit} lies outside the loads tested, {min(loads):g} to {max(loads):g}"
                warnings.append(f"{told}: the line is prolonged")
        return Evaluated(values, warnings, detail={"line": fit})

    def working(self, given: SnLineInput, found: Evaluated) -> Working:
        working = Working()
        fit: SnLine = found.detail["line"]
        working.fact("tests", f"{int(fit.failed.sum())} failed, {int((~fit.failed).sum())} stopped without failure")
        middle = float((fit.loads.min() * fit.loads.max()) ** 0.5)
        working.given("S_m", "load in the middle of those tested", middle, given.load_unit)
        working.given("N_m", "life there that half reach", fit.life(middle), given.unit, "maximum likelihood")
        working.given("k", "exponent of the line", fit.exponent, "-", "maximum likelihood")
        working.given("s", "standard deviation of ln N", fit.deviation, "-", "maximum likelihood")
        working.line("s_lg", "standard deviation of lg N", "s/ln(10)", "-", result=True)
        value = found.value("variant")
        if given.load is not None and value is not None and value.low is not None:
            from scipy.special import ndtri

            working.given("S", "load asked for", given.load, given.load_unit)
            words = f"normal quantile of the share {1 - given.share:.4g} that reaches the life"
            working.given("z", words, float(ndtri(1 - given.share)), "-", "scipy.special.ndtri")
            words = f"life that {100 * (1 - given.share):.4g} % reach"
            working.line("N", words, "N_m·(S/S_m)^(0 − k)·exp(0 − z·s)", given.unit, result=True)
            way = "noncentral t, exact" if fit.failed.all() else "likelihood profile"
            words = f"its lower bound at {100 * given.confidence:.3g} % (one-sided)"
            working.given("N_low", words, value.low, given.unit, way)
        return working
