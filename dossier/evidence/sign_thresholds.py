"""Where a sign of trouble begins: limits relative to the curve's own range, so that units do not matter."""

from __future__ import annotations

from dataclasses import dataclass, fields

from dossier.evidence.errors import EvaluationError


@dataclass(frozen=True)
class SignThresholds:
    """Limits of the detector, chosen on simulated curves (common practice where trade figures exist, no source).

    slip_travel: travel without its load, as a share of the load range it would have given; plateau_slope: slope in a
    plateau over the slope beside it; load_drop: sudden loss of load over the load before it; side_loss: slope lost on
    one side against the other; cycle_loss: slope lost over the cycles behind conditioning, not slowing down;
    loop_growth: growth of the energy per cycle; knee_ratio: slope beyond a knee over the slope before it;
    stop_ratio: slope beyond a rise over the slope before it; clearance: travel without load around zero, as a share
    of the travel range; noises: how many standard deviations of the curve's own noise a figure must exceed.
    """

    slip_travel: float = 0.015
    plateau_slope: float = 0.35
    load_drop: float = 0.04
    side_loss: float = 0.09
    cycle_loss: float = 0.05
    loop_growth: float = 0.15
    knee_ratio: float = 0.88
    stop_ratio: float = 1.7
    clearance: float = 0.01
    noises: float = 6.0

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            least, most = _LIMITS.get(field.name, (0.0, 1.0))
            if not least < value < most:
                raise EvaluationError(f"{field.name} = {value:g} must lie between {least:g} and {most:g}; correct it")


_LIMITS = {"stop_ratio": (1.0, 20.0), "noises": (2.0, 50.0), "loop_growth": (0.0, 10.0)}
