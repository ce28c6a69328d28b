"""Lives of specimens, some stopped without failure: Weibull with bounds, or reliability by success run."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from pydantic import Field

from dossier.methods.base import Basis
from dossier.methods.evidence_base import (
    Evaluated,
    EvidenceMethod,
    RawFiles,
    SampleIn,
    compared_groups,
    ratio_values,
    specimen_values,
    survived_values,
)
from dossier.methods.evidence_statistics import JudgedInput, values_of
from dossier.methods.working import Working
from dossier.records.base import q
from dossier.records.calculation import ResultValue

if TYPE_CHECKING:
    from dossier.evidence.success_run import Reliability
    from dossier.evidence.weibull import WeibullFit

WORDS = {"variant": "v", "reference": "r"}


class LifeInput(JudgedInput):
    """Share that may fail, the life asked for, and bounds of the shape known from elsewhere."""

    share: float = q("-", "share that may fail", 0.10, above=0, below=1)
    required: float | None = None
    slope_low: float | None = q("-", "low bound of the Weibull shape", None, above=0)
    slope_high: float | None = q("-", "high bound of the Weibull shape", None, above=0)
    lives_from: str | None = Field(None, description="endurance items whose lives were taken")


class LifeStatistics(EvidenceMethod):
    """Life that a stated share does not reach, with its bounds, and the reliability at the required life."""

    id = "evidence.life"
    version = 1
    title = "Statistics of lives"
    input_model = LifeInput
    basis = Basis(
        "library",
        "two-parameter Weibull by maximum likelihood with likelihood-profile bounds; success run by the binomial distribution; "
        "both as textbooks give them, from memory, checked against published numbers",
        left_out=("a life below which nothing fails", "causes of failure that differ from part to part"),
        valid_for=("lives of one cause of failure, every started test among them",),
    )

    def run(self, given: LifeInput, files: RawFiles) -> Evaluated:
        found = Evaluated([], detail={"means": {}, "unit": given.unit, "fits": {}, "runs": {}})
        for name in WORDS:
            samples: list[SampleIn] = getattr(given, name)
            if samples:
                self._group(given, name, samples, found)
        if not found.values:
            raise ValueError("no life is recorded yet")
        compared, notes = compared_groups(given, found.detail["means"])
        found.values += ratio_values(given, compared)
        found.detail["compared"] = compared
        found.warnings += notes
        return found

    def _group(self, given: LifeInput, name: str, samples: list[SampleIn], found: Evaluated) -> None:
        from dossier.evidence.errors import EvaluationError
        from dossier.evidence.weibull import fit_weibull

        lives = values_of(samples, given.unit)
        stopped = [bool(sample.survived) for sample in samples]
        if not any(stopped):
            found.detail["means"][name] = lives
        try:
            fit = fit_weibull(lives, stopped)
        except EvaluationError as error:
            if min(lives) <= 0:
                raise
            found.warnings.append(f"{name}: {error}")
            found.values += survived_values(name, samples, given.unit)
        else:
            found.detail["fits"][name] = fit
            found.warnings += [f"{name}: {note}" for note in fit.notes]
            found.values += _weibull_values(given, name, fit)
        found.values += specimen_values(samples, lives, given.unit)
        found.values += specimen_values(samples, [float(stop) for stop in stopped], "1", "stopped")
        self._reliability(given, name, lives, stopped, found)

    def _reliability(
        self, given: LifeInput, name: str, lives: list[float], stopped: list[bool], found: Evaluated
    ) -> None:
        """What the group shows at the required life; without one, what a run without failure shows at its least life."""
        fit = found.detail["fits"].get(name)
        if fit is not None:
            if given.required:
                bounds = fit.survival_bounds(given.required, 2 * given.confidence - 1) if given.confidence > 0.5 else None
                value = fit.survival(given.required)
                low, high = (bounds.low, bounds.high) if bounds else (value, value)
                found.values.append(ResultValue(name=f"reliability_{name}", value=value, unit="-", low=low, high=high))
            return
        run, short = _success_run(given, lives, stopped)
        if short:
            found.warnings.append(f"{name}: {short}")
        if run is not None:
            found.detail["runs"][name] = run
            found.warnings.append(f"{name}: {run.words}")
            found.values.append(ResultValue(name=f"reliability_{name}", value=run.value, unit="-", low=run.value, high=1.0))

    def working(self, given: LifeInput, found: Evaluated) -> Working:
        working = Working()
        if given.lives_from:
            working.fact("lives", f"cycles to the end criterion of {given.lives_from}, or where a part was stopped before it")
        for name, mark in WORDS.items():
            fit, run = found.detail["fits"].get(name), found.detail["runs"].get(name)
            if fit is not None:
                _weibull_working(working, given, name, mark, fit, found)
            elif run is not None:
                _run_working(working, given, name, mark, run)
        return working


def _weibull_values(given: LifeInput, name: str, fit: WeibullFit) -> list[ResultValue]:
    two_sided = max(2 * given.confidence - 1, 1e-6)
    bounds, shape, scale = fit.life_bounds(given.share, two_sided), fit.shape_bounds(two_sided), fit.scale_bounds(two_sided)
    high = bounds.high if math.isfinite(bounds.high) else None
    return [
        ResultValue(name=name, value=fit.life(given.share), unit=given.unit, low=bounds.low, high=high),
        ResultValue(name=f"n_{name}", value=float(len(fit.lives)), unit="1"),
        ResultValue(name=f"failures_{name}", value=float(fit.failures), unit="1"),
        ResultValue(name=f"weibull_shape_{name}", value=fit.shape, unit="-", low=shape.low, high=shape.high),
        ResultValue(name=f"weibull_scale_{name}", value=fit.scale, unit=given.unit, low=scale.low,
                    high=scale.high if math.isfinite(scale.high) else None),
        ResultValue(name=f"mean_life_{name}", value=fit.mean, unit=given.unit),
        *([ResultValue(name=f"reduced_bias_shape_{name}", value=fit.reduced_bias_shape, unit="-")]
          if fit.reduced_bias_shape else []),
    ]  # fmt: skip


def _success_run(given: LifeInput, lives: list[float], stopped: list[bool]) -> tuple[Reliability | None, str]:
    """Reliability at the required life (without one: at the least life), and what could not be counted."""
    from dossier.evidence.success_run import reliability_of_lives, reliability_shown

    failures = sum(not stop for stop in stopped)
    required = given.required or (min(lives) if not failures else 0.0)
    if not required:
        return None, "no reliability without statistics.required, the life that every part is asked to reach"
    if given.slope_low:
        slope = (given.slope_low, given.slope_high or given.slope_low)
        if min(lives) < required and not given.slope_high:
            return None, "tests stopped before the required life count by the high bound of the shape; state slope_high too"
        return reliability_of_lives(lives, [not s for s in stopped], required, slope, len(lives), given.confidence), ""
    reached = [life >= required for life in lives]
    failed = sum(not r and not s for r, s in zip(reached, stopped, strict=True))
    count = sum(reached) + failed
    short = len(lives) - count
    told = f"{short} stopped before the required life {required:g} {given.unit}: not counted" if short else ""
    return (reliability_shown(count, failed, given.confidence) if count else None), told


def _weibull_working(
    working: Working, given: LifeInput, name: str, mark: str, fit: WeibullFit, found: Evaluated
) -> None:
    unit, value = given.unit, found.value(name)
    working.fact(f"lives of the {name}", f"{fit.failures} failed, {fit.censored} stopped without failure")
    working.given(f"b_{mark}", f"shape, {name}", fit.shape, "-", "maximum likelihood, stopped parts by their survival")
    working.given(f"T_{mark}", f"scale, {name}", fit.scale, unit, "the same")
    working.given(f"F_{mark}", "share that may fail", given.share, "-")
    formula = f"T_{mark}·(ln(1/(1 − F_{mark})))^(1/b_{mark})"
    working.line(f"t_{mark}", f"life that {100 * given.share:.3g} % do not reach, {name}", formula, unit, result=True)
    if value is not None and value.low is not None:
        words = f"its lower bound at {100 * given.confidence:.3g} % (one-sided)"
        working.given(f"l_{mark}", words, value.low, unit, "likelihood profile; the lowest life not rejected by χ²")
    if given.required:
        working.given(f"L_{mark}", "life asked for", given.required, unit)
        working.line(f"R_{mark}", f"share that reaches it, {name}", f"exp(0 − (L_{mark}/T_{mark})^(b_{mark}))", "-", result=True)


def _run_working(working: Working, given: LifeInput, name: str, mark: str, run: Reliability) -> None:
    working.fact(f"success run of the {name}", run.words)
    working.given(f"C_{mark}", "confidence", given.confidence, "-")
    if run.failures == 0:
        counted = "specimens without failure" if run.slope is None else "specimens of one required life the tests stand for"
        working.given(f"n_{mark}", counted, run.effective, "1")
        formula = f"(1 − C_{mark})^(1/n_{mark})"
        working.line(f"R_{mark}", f"reliability shown, {name}", formula, "-", result=True)
    else:
        source = "least share at which so few failures keep a chance of 1 − C"
        working.given(f"R_{mark}", f"reliability shown, {name}, {run.failures} of {run.count} failed", run.value, "-", source)
