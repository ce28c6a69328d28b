"""How a static curve is evaluated: kind of stiffness, zero, cycles; from a reading scheme or the input of an evaluation."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from dossier import units
from dossier.methods.evidence_base import REPEATABILITY, BudgetIn
from dossier.methods.evidence_working import window_in_words

if TYPE_CHECKING:
    import numpy as np

    from dossier.evidence.static import StaticEvaluation, StaticSettings

# What a scheme or an input may state beside its range; nothing of it is written where the usual way is taken.
FURTHER = ("last_cycle", "tangent_at", "zero")
TANGENT_LINE = "line through the rows within 6 % of the load range around its load, the nearest five where they are fewer"
ZEROS = {
    "start": "zero of both channels at the first rows",
    "loop": "travel counted from the middle of the loop at zero load",
    "none": "zero as recorded",
}


def further_of(scheme: Any) -> dict[str, Any]:
    """The fields of FURTHER that a scheme states and that are not the usual way."""
    usual = {"last_cycle": None, "tangent_at": None, "zero": "start"}
    return {name: getattr(scheme, name) for name in FURTHER if getattr(scheme, name) != usual[name]}


def cycles_of(way: Any) -> tuple[int, ...]:
    """Numbers of the cycles whose mean is taken."""
    return tuple(range(way.cycle, (way.last_cycle or way.cycle) + 1))


def settings_of_cycle(way: Any, cycle: int, rotational: bool) -> StaticSettings:
    """Settings of the evaluation of one cycle."""
    from dossier.evidence.static import StaticSettings

    return StaticSettings(
        way.low, way.high, between=way.between, cycle=cycle, fixture_compliance=way.fixture_compliance, zero=way.zero or "start",
        rotational=rotational,
    )  # fmt: skip


def evaluated_cycles(travel: np.ndarray, load: np.ndarray, way: Any, rotational: bool) -> list[StaticEvaluation]:
    """The evaluation of every cycle whose mean is taken. Raises EvaluationError."""
    from dossier.evidence.static import evaluate_static

    return [evaluate_static(travel, load, settings_of_cycle(way, cycle, rotational)) for cycle in cycles_of(way)]


def stiffness_of(way: Any, found: StaticEvaluation, rotational: bool) -> tuple[float, float]:
    """Stiffness of one cycle in N/mm or N·mm/rad, and of a tangent the standard error of its line (else 0).

    Raises EvaluationError where the branch does not come to the load of the tangent.
    """
    if way.stiffness != "tangent":
        return (found.slope if way.stiffness == "least squares" else found.stiffness), 0.0
    from dossier.evidence.tangent import tangent_at

    tangent = tangent_at(*found.branch, way.tangent_at, rotational=rotational)
    return tangent.slope, tangent.error


def of_tangents(way: Any, relative: Sequence[float]) -> list[BudgetIn]:
    """The line of the budget for the straight lines of the tangents, the largest of the parts; in the scatter of several."""
    worst = max(relative, default=0.0) if way.stiffness == "tangent" else 0.0
    return [BudgetIn(cause="line of the tangent", relative=worst, systematic=False, kind=REPEATABILITY)] if worst > 1e-6 else []


def cycles_in_words(way: Any) -> str:
    """ "cycle 4", "the mean of cycles 4 to 6"."""
    return f"the mean of cycles {way.cycle} to {way.last_cycle}" if way.last_cycle else f"cycle {way.cycle}"


def stiffness_in_words(way: Any, rotational: bool) -> str:
    """ "secant over −11 .. 11 kN", "tangent at 5 kN (range −11 .. 11 kN)"."""
    window = window_in_words(way.low, way.high, way.between, rotational)
    if way.stiffness != "tangent":
        return f"{way.stiffness} over {window}"
    return f"{tangent_in_words(way, rotational)} (range {window})"


def tangent_in_words(way: Any, rotational: bool) -> str:
    """ "tangent at 5 kN"."""
    at = f"{way.tangent_at / 1000:g} {'N·m' if rotational else 'kN'}".replace("-", units.MINUS)
    return f"tangent at {at}"


def zero_in_words(way: Any) -> str:
    """Where travel and load are counted from."""
    return ZEROS[way.zero or "start"]
