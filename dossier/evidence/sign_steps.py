"""From plateaus, steps and drops to slip of the joint, play of the fixture or a broken metal part."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from dossier.evidence.sign_events import FELL, LOADED, Event
from dossier.evidence.sign_finding import Finding
from dossier.evidence.sign_middle import binned, peaks
from dossier.evidence.sign_strokes import Prepared, Stroke
from dossier.evidence.sign_thresholds import SignThresholds

SAW_TEETH = 3
NEAR_ZERO = 0.25
OFTEN = 0.5
KEPT, WHOLLY = 0.4, 0.6
SAME_LOAD = 0.25
UNCHANGED = 0.15
NEARLY_ZERO = 0.08
CLEARLY = 3.0
LOSS_UNSURE = 0.04


def step_findings(curve: Prepared, events: Sequence[Event], settings: SignThresholds) -> list[Finding]:
    """What the events of all strokes mean together."""
    if not events:
        return []
    around_zero = [event for event in events if _near_zero(event, curve)]
    found = []
    if _repeated(around_zero, curve):
        found.append(_finding("fixture_slip", around_zero, "travel without load around zero, of the load range"))
        events = [event for event in events if event not in around_zero]
    if not events:
        return found
    saw = _saw_tooth(events)
    if saw:
        return [*found, _finding("slip", saw, f"load drops in one stroke, {len(saw)}, largest of the load range")]
    ends = [event for event in events if event.at_end and event.fell < FELL * event.deficit]
    if ends and (_repeated(ends, curve) or max(_excess(event) for event in ends) > CLEARLY):
        return [*found, _finding("slip", ends, "load missing at the plateau, of the load range")]
    again = [event for event in events if event.fell > FELL * event.deficit and event.level > LOADED]
    if _repeated(again, curve) and _spread(again) < SAME_LOAD:
        return [*found, _finding("slip", again, "load lost in stroke after stroke, largest of the load range")]
    return [*found, *_single(curve, events, settings)]


def _spread(events: Sequence[Event]) -> float:
    """Standard deviation of the loads before the events over their mean."""
    levels = np.array([event.level for event in events])
    return float(levels.std() / levels.mean())


def _near_zero(event: Event, curve: Prepared) -> bool:
    high, low = peaks(curve)
    peak = max(high, -low)
    return abs(event.level) <= NEAR_ZERO * peak and not event.at_end and event.fell < 0.5 * event.deficit


def _repeated(events: Sequence[Event], curve: Prepared) -> bool:
    strokes = {int(event.stroke.rows[0]) for event in events}
    return len(strokes) >= 2 and len(strokes) >= OFTEN * max(len(curve.strokes) - 1, 1)


def _saw_tooth(events: Sequence[Event]) -> list[Event]:
    by_stroke: dict[int, list[Event]] = defaultdict(list)
    for event in events:
        if event.fell > 0.3 * event.deficit:
            by_stroke[int(event.stroke.rows[0])].append(event)
    return next((group for group in by_stroke.values() if len(group) >= SAW_TEETH), [])


def _excess(event: Event) -> float:
    return event.deficit / event.limit


def _finding(kind: str, events: Sequence[Event], figure: str) -> Finding:
    first = min(events, key=lambda event: event.row)
    largest = max(events, key=_excess)
    return Finding(kind, first.row, first.stroke.cycle, figure, largest.deficit, largest.limit, _excess(largest) * 1.3)


def _single(curve: Prepared, events: Sequence[Event], settings: SignThresholds) -> list[Finding]:
    """One event or few: what remained of it tells a slip from a break, and both from a hiccup of the machine."""
    event = max(events, key=_excess)
    drop = event.deficit / max(abs(event.level), 1e-3)
    shift, loss = _shift(curve, event), _loss(curve, event)
    expected = event.deficit / max(event.before, 1e-6)
    if shift is not None and loss is not None and shift < KEPT * expected and loss < 0.4 * event.deficit:
        return []
    slip = Finding(
        "slip", event.row, event.stroke.cycle, "load missing at the step, of the load range", event.deficit, event.limit,
        _excess(event),
    )  # fmt: skip
    shifted = shift is not None and shift > WHOLLY * expected
    lost = event.end - event.start == 1 and loss is not None and loss > 0.5 * drop and not shifted
    fell = event.fell >= FELL * event.deficit or lost
    if not fell or drop < settings.load_drop or event.level < LOADED:
        return [slip] if event.deficit > settings.slip_travel else []
    told = (slip.kind, slip.row, slip.cycle, slip.figure, slip.measured, slip.limit, slip.excess)
    broken = Finding(
        "metal_break", event.row, event.stroke.cycle, "sudden drop, of the load before it", drop, settings.load_drop,
        max(drop / settings.load_drop, _excess(event)),
    )  # fmt: skip
    kept_slope = loss is not None and loss < UNCHANGED * drop and shift is not None and shift > KEPT * expected
    if kept_slope or shifted and (loss is None or loss < max(0.5 * drop, LOSS_UNSURE)):
        return [slip]
    return [broken, Finding(*told, weight=0.4)]


def _behind(curve: Prepared, event: Event) -> Stroke | None:
    """The next stroke of the same sense."""
    start = event.stroke.rows[0]
    return next((s for s in curve.strokes if s.sign == event.stroke.sign and s.rows[0] > start), None)


def _shift(curve: Prepared, event: Event) -> float | None:
    """By how much the travel at zero load (in the event's own sense, over the travel range) moved from the stroke of
    the event to the next of its sense; None if one of them does not pass zero load in time."""
    behind = _behind(curve, event)
    if behind is None or event.level <= 0:
        return None
    before, after = _at_zero(*binned(event.stroke)), _at_zero(*binned(behind))
    return None if before is None or after is None else after - before


def _at_zero(x: np.ndarray, f: np.ndarray) -> float | None:
    if not f[0] <= 0 <= f[-1]:
        return float(x[0]) if 0 < f[0] < NEARLY_ZERO else None
    return float(np.interp(0.0, f, x))


def _loss(curve: Prepared, event: Event) -> float | None:
    """Share of the slope below the event's load that is gone in the next stroke of its sense; None without one."""
    behind = _behind(curve, event)
    if behind is None:
        return None
    slopes = []
    for stroke in (event.stroke, behind):
        x, f = binned(stroke)
        inside = (f >= 0.2 * event.level) & (f <= 0.9 * event.level)
        if inside.sum() < 3:
            return None
        slopes.append(float(np.polyfit(x[inside], f[inside], 1)[0]))
    return 1 - slopes[1] / slopes[0] if slopes[0] > 0 else None
