"""A load that is lost from one row to the next, also where the machine turns just behind it."""

from __future__ import annotations

import numpy as np

from dossier.evidence.sign_finding import Finding
from dossier.evidence.sign_strokes import Prepared, Stroke, noise_of_values
from dossier.evidence.sign_thresholds import SignThresholds

BESIDE = 4
OVER_NEIGHBOURS = 2.5
LEAST_LEVEL = 0.12
STAYS = 0.6
STIFFNESS_GONE = 0.5
WHOLE = 0.8
LEAST_DROP = 0.1


def break_findings(curve: Prepared, load: np.ndarray, settings: SignThresholds) -> list[Finding]:
    """The largest sudden loss of load in load (n,) behind which the part stays softer: a broken metal part."""
    f = np.asarray(load, float) / curve.load_range * (-1 if curve.turned else 1)
    least = settings.noises * noise_of_values(f)
    drops = np.where(np.sign(f[:-1]) == np.sign(f[1:]), np.abs(f[:-1]) - np.abs(f[1:]), 0.0)
    share = drops / np.maximum(np.abs(f[:-1]), LEAST_LEVEL)
    good = (np.abs(f[:-1]) > LEAST_LEVEL) & (drops > least) & (share > max(settings.load_drop, LEAST_DROP))
    for row in sorted(np.flatnonzero(good), key=lambda place: -drops[place])[:8]:
        if _sudden(f, int(row)) and _stays_softer(curve, int(row), float(share[row])):
            stroke = next((one for one in reversed(curve.strokes) if one.rows[0] <= row), curve.strokes[0])
            return [Finding(
                "metal_break", int(row) + 1, stroke.cycle, "sudden drop, of the load before it", float(share[row]),
                settings.load_drop, float(min(share[row] / settings.load_drop, drops[row] / least if least else np.inf)),
            )]  # fmt: skip
    return []


def _sudden(f: np.ndarray, row: int) -> bool:
    """Whether the step behind `row` is far larger than those beside it, and the load does not come back at once."""
    steps = np.abs(np.diff(f[max(row - BESIDE, 0) : row + 2 + BESIDE]))
    here = min(row, BESIDE)
    others = np.delete(steps, here)
    behind = np.abs(f[row + 1 : row + 1 + BESIDE])
    if len(others) < BESIDE or len(behind) < 2:
        return False
    stays = float(np.median(behind)) < abs(f[row]) - STAYS * steps[here]
    return bool(steps[here] > OVER_NEIGHBOURS * others.max() and stays)


def _stays_softer(curve: Prepared, row: int, share: float) -> bool:
    """Whether load over travel of the whole strokes behind `row` is lower than of those before it by what was lost."""
    usual = float(np.median([np.ptp(stroke.x) for stroke in curve.strokes]))
    whole = [stroke for stroke in curve.strokes if np.ptp(stroke.x) > WHOLE * usual]
    before = [_slope(stroke) for stroke in whole if stroke.rows[-1] < row]
    behind = [_slope(stroke) for stroke in whole if stroke.rows[0] > row]
    if not before or not behind:
        return False
    return 1 - float(np.median(behind)) / float(np.median(before[-2:])) > STIFFNESS_GONE * share


def _slope(stroke: Stroke) -> float:
    return float(np.ptp(stroke.f) / np.ptp(stroke.x))
