"""Static stiffness and signs of trouble of one curve."""

from __future__ import annotations

from typing import Any

import numpy as np

from dossier.evidence.cycles import split_cycles
from dossier.evidence.errors import EvaluationError
from dossier.evidence.kinds.curve_in import Shown, extremes, load_and_travel, read, shown_units, wrong_size
from dossier.evidence.one_file import Asked
from dossier.evidence.signs import find_signs
from dossier.evidence.static import StaticEvaluation, StaticSettings, evaluate_static

USUAL_CYCLE = 4
KEPT = 0.5  # what another sign explains better stays below
_INNER = 0.1


def answer(asked: Asked) -> dict[str, Any]:
    """The answer of kind static (one_file.evaluate_file)."""
    shown = shown_units(asked)
    curve = read(asked, shown)
    load, travel = load_and_travel(curve, shown)
    for name, channel in (("load", load), ("travel", travel)):
        if not np.ptp(channel) > 0:
            raise EvaluationError(f"{curve.file}: the {name} stands still at {channel[0]:g}; check the channel")
    warnings = [*curve.problems, *wrong_size(travel, load, asked, shown)]
    cycle, cycles = _cycle(load, asked, warnings)
    window = _window(load, cycle, asked, shown, warnings)
    _reached(load, cycle, window, shown)
    whole = evaluate_static(travel, load, StaticSettings(*window, cycle=cycle))
    part = whole
    if asked.fixture_compliance:
        compliance = asked.fixture_compliance * shown.force / shown.displacement
        part = evaluate_static(travel, load, StaticSettings(*window, cycle=cycle, fixture_compliance=compliance))
    if whole.stiffness <= 0:
        raise EvaluationError(
            f"{curve.file}: the load falls while the travel rises ({whole.stiffness:.4g}): one channel has the opposite "
            "sign; turn it round"
        )
    if part.stiffness <= 0:
        raise EvaluationError(
            f"fixture_compliance = {asked.fixture_compliance:g} {shown.displacement_unit}/{shown.force_unit} is more than "
            f"the whole travel over load of the curve, {1 / (whole.stiffness * shown.stiffness):.4g}; check its unit"
        )
    return {
        **extremes(load, travel, shown), **_stiffness(whole, part, shown), "cycle": cycle, "cycles": cycles,
        "signs": [_sign(sign, shown) for sign in find_signs(travel, load) if sign.confidence >= KEPT],
        "notes": [*curve.notes, *whole.notes], "warnings": warnings,
    }  # fmt: skip


def _stiffness(whole: StaticEvaluation, part: StaticEvaluation, shown: Shown) -> dict[str, Any]:
    return {
        "stiffness": whole.stiffness * shown.stiffness,
        "stiffness_part": part.stiffness * shown.stiffness,
        "energy": None if whole.energy is None else whole.energy * shown.joule,
        "residual": None if whole.residual is None else whole.residual * shown.displacement,
    }


def _cycle(load: np.ndarray, asked: Asked, warnings: list[str]) -> tuple[int, int]:
    """The evaluated cycle and how many there are: the one asked for, else the 4th, else the last that closes."""
    cycles = split_cycles(load)
    if asked.cycle is not None or not cycles:
        return asked.cycle or 1, len(cycles)
    if len(cycles) >= USUAL_CYCLE:
        return USUAL_CYCLE, len(cycles)
    closed = [cycle.number for cycle in cycles if cycle.closed]
    chosen = closed[-1] if closed else cycles[-1].number
    warnings.append(
        f"{len(cycles)} cycle{'' if len(cycles) == 1 else 's'} found, fewer than three for conditioning and one to evaluate; "
        f"cycle {chosen} is evaluated"
    )
    return chosen, len(cycles)


def _window(load: np.ndarray, cycle: int, asked: Asked, shown: Shown, warnings: list[str]) -> tuple[float, float]:
    """Ends of the secant in stored units."""
    if asked.force_window:
        return asked.force_window[0] / shown.force, asked.force_window[1] / shown.force
    cycles = split_cycles(load)
    rows = cycles[cycle - 1].loading if cycle <= len(cycles) else slice(None)
    low, high = float(load[rows].min()), float(load[rows].max())
    ends = low + _INNER * (high - low), high - _INNER * (high - low)
    told = " to ".join(f"{end * shown.force:.4g}" for end in ends)
    warnings.append(f"no force_window given; the secant is taken over the inner 80 % of the loads, {told} {shown.force_unit}")
    return ends


def _reached(load: np.ndarray, cycle: int, window: tuple[float, float], shown: Shown) -> None:
    """EvaluationError, in the units of the answer, where the loading branch of the cycle does not come to both ends."""
    cycles = split_cycles(load)
    if cycle > len(cycles):
        return
    branch = load[cycles[cycle - 1].loading] * shown.force
    low, high = float(branch.min()), float(branch.max())
    beyond = [end for end in (window[0] * shown.force, window[1] * shown.force) if not low <= end <= high]
    if beyond:
        raise EvaluationError(
            f"the loading branch of cycle {cycle} covers {low:.5g} to {high:.5g} {shown.force_unit}, "
            f"force_window = {beyond[0]:g} {shown.force_unit} is not reached; state a smaller force_window or another cycle"
        )


def _sign(sign: Any, shown: Shown) -> dict[str, Any]:
    return {
        "kind": sign.kind, "row": int(sign.row), "displacement": float(sign.travel) * shown.displacement,
        "cycle": int(sign.cycle), "confidence": float(sign.confidence), "words": sign.words, "confirm": sign.confirm,
    }  # fmt: skip
