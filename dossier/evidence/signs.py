"""Signs of trouble in a measured curve: slip, crack, loss of pre-stress, end stop, metal break, play of the fixture.

Hysteresis of rubber, first-cycle softening, progressive stiffening, creep at holds, noise, converter steps, slow drift,
single spikes and small differences between the sides are no signs. What each sign looks like is common practice; how
often the search errs on a project's own sampling and noise is simulated (`sign_rates`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier.evidence.sign_bends import bend_findings
from dossier.evidence.sign_breaks import break_findings
from dossier.evidence.sign_events import find_events
from dossier.evidence.sign_finding import Finding
from dossier.evidence.sign_steps import step_findings
from dossier.evidence.sign_strokes import prepare
from dossier.evidence.sign_thresholds import SignThresholds
from dossier.evidence.sign_trends import trend_findings
from dossier.evidence.sign_words import CONFIRMATIONS, MEANINGS, TITLES

EXPLAINED = {
    "metal_break": ("slip", "crack", "preload_loss", "bottoming"),
    "fixture_slip": ("preload_loss", "bottoming", "crack"),
    "slip": ("preload_loss", "crack", "bottoming"),
    "preload_loss": ("crack",),
    "bottoming": ("crack",),
}
SECOND = 0.5
LIKELY = 0.6


@dataclass(frozen=True)
class Sign:
    """One sign: `kind`, where it begins (`row` of the arrays given, `travel`, `load` there in their units, `cycle`
    counted from 1), `figure` with what was `measured` against `threshold`, both relative; `words` and `confirm`.

    confidence: 0.5 where the figure just reaches its threshold, 0.88 at twice, 0.94 at three times of it, less where
    another sign explains the same picture. It orders the signs; it is no probability, the error rates are simulated.
    """

    kind: str
    row: int
    travel: float
    load: float
    cycle: int
    confidence: float
    figure: str
    measured: float
    threshold: float
    words: str
    confirm: str


def find_signs(
    travel: np.ndarray, load: np.ndarray, *, settings: SignThresholds | None = None, direction: int = 1,
    rotational: bool = False,
) -> tuple[Sign, ...]:  # fmt: skip
    """Signs in travel (n,) in mm or °, load (n,) in N or N·mm, in order of time, most certain first.

    `direction` ±1: in which direction loading counts; `rotational` says torque over angle (in words only). From 30 to
    100 000 rows and more, one stroke or many cycles, any sampling. Raises EvaluationError for fewer rows, gaps, or a
    channel that does not move.
    """
    settings = settings or SignThresholds()
    curve = prepare(travel, load, direction)
    events = find_events(curve, settings)
    breaks = break_findings(curve, load, settings)
    bends = bend_findings(curve, settings)
    bent = {each.kind for each in bends}
    steps = step_findings(curve, events, settings, knee="preload_loss" in bent, stop="bottoming" in bent)
    if breaks:
        steps = [each for each in steps if each.kind != "metal_break" or abs(each.row - breaks[0].row) > curve.rows_in_stroke]
    found = [*breaks, *steps, *bends, *trend_findings(curve, settings)]
    return tuple(_told(each, travel, load, rotational) for each in _weighed(found))


def _weighed(found: list[Finding]) -> list[Finding]:
    """The best finding of each kind, those that another one explains behind it and less certain."""
    best: dict[str, Finding] = {}
    for each in found:
        if each.kind not in best or each.confidence > best[each.kind].confidence:
            best[each.kind] = each
    for kind, others in EXPLAINED.items():
        if kind not in best:
            continue
        for other in others:
            explains = best[kind].weight == 1.0 and other in best
            if explains and best[kind].confidence >= LIKELY * best[other].confidence:
                one = best[other]
                weight = min(one.weight, SECOND * best[kind].confidence)
                best[other] = Finding(
                    one.kind, one.row, one.cycle, one.figure, one.measured, one.limit, one.excess, weight
                )
    return sorted(best.values(), key=lambda each: -each.confidence)


def _told(found: Finding, travel: np.ndarray, load: np.ndarray, rotational: bool) -> Sign:
    place = f"{float(load[found.row]):.4g} {'N·mm' if rotational else 'N'} and {float(travel[found.row]):.4g} " + (
        "°" if rotational else "mm"
    )
    words = (
        f"{TITLES[found.kind]} in cycle {found.cycle} from {place} (row {found.row}): {MEANINGS[found.kind]}; "
        f"{found.figure} {found.measured:.3g}, limit {found.limit:.3g}"
    )
    return Sign(
        found.kind, found.row, float(travel[found.row]), float(load[found.row]), found.cycle, found.confidence,
        found.figure, found.measured, found.limit, words, CONFIRMATIONS[found.kind],
    )  # fmt: skip
