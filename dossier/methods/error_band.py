"""The accepted prediction error of a method as one more line in the bands of a calculation's values."""

from __future__ import annotations

import math
from typing import Any

from dossier.records.assumption import Assumption
from dossier.records.calculation import Calculation, ErrorBand
from dossier.store.project import Project


def error_band_of(project: Project, calculation: Calculation) -> tuple[ErrorBand | None, str]:
    """The band the calculation names today, and what is wrong with it."""
    name = calculation.prediction_error
    if not name:
        return None, ""
    found = project.find(name)
    if not isinstance(found, Assumption) or found.low is None or found.high is None or found.low <= 0:
        return None, f"prediction_error = {name} is no assumption with a band above 0; name one of assumptions.toml"
    if not found.accepted_by:
        return None, f"prediction_error = {name} is not accepted; let a person accept the assumption first"
    served = sorted({served.value for served in calculation.serves})
    return ErrorBand(assumption=name, values=served, low=found.low, high=found.high), ""


def banded(entries: list[dict[str, Any]], band: ErrorBand | None) -> list[dict[str, Any]]:
    """Stored values; those the band names and above 0 with its line added to theirs by root of squares."""
    if band is None:
        return entries
    return [_with_line(entry, band) if entry["name"] in band.values and entry["value"] > 0 else entry for entry in entries]


def _with_line(entry: dict[str, Any], band: ErrorBand) -> dict[str, Any]:
    value = entry["value"]
    minus, plus = min(value * (band.low - 1), 0.0), max(value * (band.high - 1), 0.0)
    low, high = entry.get("low", value), entry.get("high", value)
    line = {"cause": f"prediction error so far ({band.assumption})", "minus": minus, "plus": plus}
    ends = {"low": value - math.hypot(value - low, minus), "high": value + math.hypot(high - value, plus)}
    return entry | ends | {"lines": [*entry.get("lines", []), line]}
