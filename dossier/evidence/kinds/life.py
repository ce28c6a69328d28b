"""Weibull fit of lives from a table, with the specimens that were stopped before failure."""

from __future__ import annotations

from typing import Any

import numpy as np

from dossier.evidence.columns import read_named
from dossier.evidence.kinds.lives import Lives, lives_of
from dossier.evidence.one_file import Asked
from dossier.evidence.weibull import WeibullFit, checked_lives, fit_weibull

CONFIDENCE = 0.90
_FEWEST = 2
_EARLY = 0.10


def answer(asked: Asked) -> dict[str, Any]:
    """The answer of kind life (one_file.evaluate_file); no Weibull figures where fewer than two specimens failed."""
    table = read_named(asked.path)
    lives = lives_of(table)
    values, failed = checked_lives(np.array(lives.values), np.array(lives.censored))
    found = {
        "rows": table.rows, "failures": int(failed.sum()), "censored": int((~failed).sum()), "unit": lives.unit,
        "shortest": float(values.min()), "longest": float(values.max()),
    }  # fmt: skip
    if failed.sum() < _FEWEST:
        return {**found, **_no_fit(int(failed.sum()), lives)}
    fit = fit_weibull(values, ~failed)
    return {**found, **_figures(fit), "warnings": [*lives.warnings, *fit.notes]}


def _figures(fit: WeibullFit) -> dict[str, Any]:
    shape, scale, early = fit.shape_bounds(CONFIDENCE), fit.scale_bounds(CONFIDENCE), fit.life_bounds(_EARLY, CONFIDENCE)
    return {
        "weibull_shape": fit.shape, "weibull_shape_bounds": (shape.low, shape.high),
        "weibull_scale": fit.scale, "weibull_scale_bounds": (scale.low, scale.high),
        "b10": fit.life(_EARLY), "b10_bounds": (early.low, early.high), "mean": fit.mean, "confidence": CONFIDENCE,
        "log_likelihood": fit.log_likelihood,
    }  # fmt: skip


def _no_fit(failures: int, lives: Lives) -> dict[str, Any]:
    told = f"{failures} of {len(lives.values)} specimens failed, a Weibull fit needs two; state the reliability by success run"
    return {"weibull_shape": None, "weibull_scale": None, "warnings": [*lives.warnings, told]}
