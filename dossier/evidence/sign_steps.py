"""From plateaus, steps and drops to slip of the joint, play of the fixture or a broken metal part."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from dossier.evidence.sign_events import FELL, Event
from dossier.evidence.sign_finding import Finding
from dossier.evidence.sign_middle import binned, peaks
from dossier.evidence.sign_strokes import Prepared
from dossier.evidence.sign_thresholds import SignThresholds

SAW_TEETH = 3
NEAR_ZERO = 0.25
OFTEN = 0.5
KEPT, WHOLLY = 0.4, 0.6


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
    ends = [event for event in events if event.at_end]
    if ends and (_repeated(ends, curve) or max(_excess(event) for event in ends) > 3):
        return [*found, _finding("slip", ends, "load missing at the plateau, of the load range")]
    return [*found, *_single(curve, events, settings)]


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
    if event.fell < FELL * event.deficit or drop < settings.load_drop or event.level <= 0:
        return [slip]
    told = (slip.kind, slip.row, slip.cycle, slip.figure, slip.measured, slip.limit, slip.excess)
    broken = Finding(
        "metal_break", event.row, event.stroke.cycle, "sudden drop, of the load before it", drop, settings.load_drop,
        max(drop / settings.load_drop, _excess(event)),
    )  # fmt: skip
    if shift is not None and loss is not None and shift > WHOLLY * expected and loss < 0.5 * drop:
        return [slip]
    return [broken, Finding(*told, weight=0.4)]


def _shift(curve: Prepared, event: Event) -> float | None:
    """By how much the travel at zero load (in the event's own sense, over the travel range) moved with the event, by
    strokes of the same sense before and behind it; None if they do not pass zero load."""
    def zero(strokes: Sequence) -> float | None:
        places = [_at_zero(*binned(stroke)) for stroke in strokes]
        known = [place for place in places if place is not None]
        return float(np.median(known)) if known else None

    same = [stroke for stroke in curve.strokes if stroke.sign == event.stroke.sign]
    start = event.stroke.rows[0]
    before = zero([stroke for stroke in same if stroke.rows[0] <= start and (stroke.rows[0] < start or event.level > 0)][-2:])
    behind = zero([stroke for stroke in same if stroke.rows[0] > start][:2])
    return None if before is None or behind is None else behind - before


def _at_zero(x: np.ndarray, f: np.ndarray) -> float | None:
    if not f[0] <= 0 <= f[-1]:
        low = f[0] if f[0] > 0 else None
        return float(x[0]) if low is not None and low < 0.08 else None
    return float(np.interp(0.0, f, x))


def _loss(curve: Prepared, event: Event) -> float | None:
    """Share of the slope of the event's side that is gone behind it; None without a stroke behind."""
    same = [stroke for stroke in curve.strokes if stroke.sign == event.stroke.sign]
    start = event.stroke.rows[0]
    before, behind = ([s for s in same if s.rows[0] < start][-1:], [s for s in same if s.rows[0] > start][:1])
    if not behind:
        return None
    slopes = []
    for stroke in (before[0] if before else event.stroke, behind[0]):
        x, f = binned(stroke)
        inside = (f >= 0.2 * event.level) & (f <= 0.9 * event.level)
        if inside.sum() < 3:
            return None
        slopes.append(float(np.polyfit(x[inside], f[inside], 1)[0]))
    return 1 - slopes[1] / slopes[0] if slopes[0] > 0 else None
