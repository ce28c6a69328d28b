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
SOFTENS = 0.2
MOST_PLAY = 0.4


def step_findings(
    curve: Prepared, events: Sequence[Event], settings: SignThresholds, *, knee: bool = False, stop: bool = False
) -> list[Finding]:
    """What the events of all strokes mean together. Where the middle line has a `knee` on both sides, flat ends of strokes
    are the knee's, for slip leaves the middle line straight; before a `stop` the long soft middle of a stroke is sound."""
    fallen = [event for event in events if event.fell >= FELL * event.deficit]
    if knee:
        events = [event for event in events if not event.at_end or event in fallen]
    if stop:
        events = [event for event in events if event.travel <= MOST_PLAY or event.at_end or event in fallen]
    teeth = _close_teeth(curve, settings)
    if not events:
        return teeth
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
    if teeth:
        return [*found, *teeth]
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
    small = event.travel <= MOST_PLAY
    return abs(event.level) <= NEAR_ZERO * peak and small and not event.at_end and event.fell < 0.5 * event.deficit


def _repeated(events: Sequence[Event], curve: Prepared) -> bool:
    strokes = {int(event.stroke.rows[0]) for event in events}
    return len(strokes) >= 2 and len(strokes) >= OFTEN * max(len(curve.strokes) - 1, 1)


def _saw_tooth(events: Sequence[Event]) -> list[Event]:
    by_stroke: dict[int, list[Event]] = defaultdict(list)
    for event in events:
        if event.fell > 0.3 * event.deficit:
            by_stroke[int(event.stroke.rows[0])].append(event)
    return next((group for group in by_stroke.values() if len(group) >= SAW_TEETH), [])


def _close_teeth(curve: Prepared, settings: SignThresholds) -> list[Finding]:
    """Drops from one point to the next that follow each other too closely for a sound piece between them."""
    for stroke in curve.strokes:
        rise = np.diff(stroke.f)
        noise = 2**0.5 * settings.noises * curve.noise_of(stroke)
        limit = max(settings.slip_travel, noise + 2 * curve.resolution)
        drops = np.where((stroke.f[:-1] > LOADED) & ~stroke.after_hold[1:] & (rise < 0), float(np.median(rise)) - rise, 0.0)
        places = np.flatnonzero(drops > limit)
        if len(places) >= SAW_TEETH:
            figure = f"load drops in one stroke, {len(places)}, largest of the load range"
            largest = float(drops.max())
            return [Finding("slip", int(stroke.rows[places[0]]), stroke.cycle, figure, largest, limit, 1.3 * largest / limit)]
    return []


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
    unsure = SOFTENS if event.stroke.first else LOSS_UNSURE
    if kept_slope or shifted and (loss is None or loss < max(0.5 * drop, unsure)):
        return [slip]
    return [broken, Finding(*told, weight=0.4)]


def _compared(curve: Prepared, event: Event) -> list[tuple[Stroke, Stroke]]:
    """Pairs of strokes of one sense whose difference the event made: its own and the next, the ways back before and
    behind it."""
    start = event.stroke.rows[0]
    own = [stroke for stroke in curve.strokes if stroke.sign == event.stroke.sign and stroke.rows[0] > start]
    back = [stroke for stroke in curve.strokes if stroke.sign != event.stroke.sign]
    before = [stroke for stroke in back if stroke.rows[0] < start]
    behind = [stroke for stroke in back if stroke.rows[0] > start]
    return [*((event.stroke, stroke) for stroke in own[:1]), *zip(before[-1:], behind[:1], strict=False)]


def _shift(curve: Prepared, event: Event) -> float | None:
    """By how much the travel at zero load (in the event's own sense, over the travel range) moved across the event; None
    if one of the strokes compared does not pass zero load in time."""
    if event.level <= 0:
        return None
    if event.stroke.first and (moved := _middle_moved(curve, event)) is not None:
        return moved
    for pair in _compared(curve, event):
        before, after = (_at_zero(*binned(stroke)) for stroke in pair)
        if before is not None and after is not None:
            return (after - before) * pair[0].sign * event.stroke.sign
    return None


def _middle_moved(curve: Prepared, event: Event) -> float | None:
    """By how much the middle of the loop at zero load lies off where the part began from rest; None if unknown."""
    begin = _at_zero(*binned(event.stroke))
    behind = [stroke for stroke in curve.strokes if stroke.rows[0] > event.stroke.rows[0]]
    ways = [next((stroke for stroke in behind if stroke.sign == sign), None) for sign in (1, -1)]
    crossed = [None if way is None else _at_zero(*binned(way)) for way in ways]
    if begin is None or None in crossed:
        return None
    return (crossed[0] - crossed[1]) / 2 * event.stroke.sign - begin


def _at_zero(x: np.ndarray, f: np.ndarray) -> float | None:
    """Travel at zero load; a stroke that begins at a small load is carried on straight to zero."""
    if f[0] <= 0 <= f[-1]:
        return float(np.interp(0.0, f, x))
    if not 0 < f[0] < NEARLY_ZERO:
        return None
    behind = min(3, len(f) - 1)
    return float(x[0] - f[0] * (x[behind] - x[0]) / (f[behind] - f[0]))


def _loss(curve: Prepared, event: Event) -> float | None:
    """Share of the slope on the event's side, below its load, that is gone across the event; None if unknown."""
    for pair in _compared(curve, event):
        slopes = [_slope(stroke, event) for stroke in pair]
        if None not in slopes and slopes[0] > 0:
            return 1 - slopes[1] / slopes[0]
    return None


def _slope(stroke: Stroke, event: Event) -> float | None:
    """Slope of the stroke between 20 and 90 % of the event's load, None where it has too few points there."""
    x, f = binned(stroke)
    load = f * stroke.sign * event.stroke.sign
    inside = (load >= 0.2 * event.level) & (load <= 0.9 * event.level)
    return float(np.polyfit(x[inside], f[inside], 1)[0]) if inside.sum() >= 3 else None
