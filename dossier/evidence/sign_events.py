"""Places of a stroke where travel went on without its load: plateaus, steps, drops."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from dossier.evidence.sign_strokes import Prepared, Stroke
from dossier.evidence.sign_thresholds import SignThresholds

MOST_EVENTS = 12
STRAIGHT = 0.2
FELL = 0.2
KNEE = 0.12
NEARLY = 0.75
STEEPEST = 1.5
LOADED = 0.12
ENDINGS = 12
NOISY = 0.003


@dataclass(frozen=True, eq=False)
class Event:
    """From point `start` to `end` of `stroke`: `deficit` the load that is missing (share of the load range), `fell`
    by how much the load really went down, `travel` how far it went, `level` the load before it over the load range,
    `before` and `after` the slopes beside it (`after` None at the end of a stroke); `limit` of the deficit."""

    stroke: Stroke
    start: int
    end: int
    deficit: float
    fell: float
    travel: float
    level: float
    before: float
    after: float | None
    limit: float

    @property
    def row(self) -> int:
        """Row at which it begins."""
        return int(self.stroke.rows[self.start])

    @property
    def at_end(self) -> bool:
        """Whether it goes on until the machine turns."""
        return self.after is None


def find_events(curve: Prepared, settings: SignThresholds) -> list[Event]:
    """Events of all strokes in order of time."""
    found: list[Event] = []
    for stroke in curve.strokes:
        found += sorted(_in_stroke(stroke, curve, settings), key=lambda event: event.start)
    return found


def _in_stroke(stroke: Stroke, curve: Prepared, settings: SignThresholds) -> list[Event]:
    noise = curve.noise_of(stroke)
    candidates = [*_inner(stroke, noise, curve, settings), *_ending(stroke, noise, curve, settings)]
    chosen: list[Event] = []
    left = sorted(candidates, key=lambda event: -event.deficit / event.limit)
    while left and len(chosen) < MOST_EVENTS:
        largest = max((e for e in left if _overlap(e, left[0])), key=lambda event: event.deficit)
        alike = [e for e in left if _overlap(e, largest) and e.deficit >= NEARLY * largest.deficit]
        best = min(alike, key=lambda event: (event.end - event.start, -event.deficit))
        chosen.append(replace(best, deficit=max(best.deficit, largest.deficit * min(1.0, best.limit / largest.limit))))
        left = [event for event in left if not _overlap(event, best) and not _overlap(event, largest)]
    return chosen


def _overlap(one: Event, other: Event) -> bool:
    return one.start < other.end and other.start < one.end


def _fits(x: np.ndarray, f: np.ndarray, width: int, noise: float) -> tuple[np.ndarray, ...]:
    """Slope, mean x, mean f and scatter about the line beyond `noise` of each window of `width` points,
    (n − width + 1,)."""
    def moving(values: np.ndarray) -> np.ndarray:
        total = np.concatenate(([0.0], np.cumsum(values)))
        return (total[width:] - total[:-width]) / width

    mean_x, mean_f = moving(x), moving(f)
    spread = moving(x * x) - mean_x**2
    slope = (moving(x * f) - mean_x * mean_f) / np.where(spread > 1e-12, spread, np.inf)
    scatter = moving(f * f) - mean_f**2 - slope**2 * np.maximum(spread, 0.0)
    return slope, mean_x, mean_f, np.sqrt(np.maximum(scatter - 1.5 * noise**2, 0.0))


def _inner(stroke: Stroke, noise: float, curve: Prepared, settings: SignThresholds) -> list[Event]:
    """Events with a piece of sound curve on both sides, a longer one where noise hides them."""
    widths = {max(4, len(stroke) // 20), max(5, len(stroke) // 8)}
    widths = sorted(widths | {max(6, len(stroke) // 5)}) if noise > NOISY else sorted(widths)
    return [event for width in widths for event in _beside(stroke, width, noise, curve, settings)]


def _beside(stroke: Stroke, width: int, noise: float, curve: Prepared, settings: SignThresholds) -> list[Event]:
    """Events between two straight pieces of `width` points each."""
    count, x, f = len(stroke), stroke.x, stroke.f
    slope, mean_x, mean_f, bent = _fits(x, f, width, noise)
    events: list[Event] = []
    usual = float(np.median(slope))
    for size in _sizes(count):
        starts = np.arange(width - 1, count - size - width + 1)
        if len(starts) == 0:
            break
        left, right = starts - width + 1, starts + size
        from_load = mean_f[left] + slope[left] * (x[starts] - mean_x[left])
        to_load = mean_f[right] + slope[right] * (x[right] - mean_x[right])
        way, rise = x[right] - x[starts], to_load - from_load
        reference = np.minimum(np.minimum(slope[left], slope[right]), STEEPEST * usual)
        deficit = reference * way - rise
        fell = (f[starts - 1] + f[starts] - f[right] - f[np.minimum(right + 1, count - 1)]) / 2
        fell = np.maximum(fell, f[starts] - f[right] - 4 * noise)
        falls = (fell > np.maximum(FELL * deficit, 3 * noise)) & (from_load > LOADED)
        sudden = falls | ((size == 1) & (from_load > LOADED))
        least = np.where(sudden, settings.load_drop * from_load, settings.slip_travel)
        limit = np.maximum(least, settings.noises * noise * (8 / width) ** 0.5 + 1.5 * curve.resolution)
        wide = np.maximum(np.minimum(x[starts] - x[left], x[np.minimum(right + width - 1, count - 1)] - x[right]), 1e-9)
        limit = limit + KNEE * np.abs(slope[left] - slope[right]) * (x[starts] - x[left])
        limit = limit + 0.5 * settings.noises * noise * (12 / width) ** 0.5 / wide * way
        flat = (rise < settings.plateau_slope * reference * way) | (size == 1)
        held = np.concatenate(([0], np.cumsum(stroke.after_hold)))
        standing = held[np.minimum(right + width, count)] - held[left + 1] > 0
        straight = np.maximum(bent[left], bent[right]) < STRAIGHT * deficit
        good = (deficit > limit) & flat & (reference > 0.05) & ~standing & straight
        for place in _tops(np.where(good, deficit, 0.0)):
            start, end = int(starts[place]), int(right[place])
            events.append(Event(
                stroke, start, end, float(deficit[place]), float(fell[place]),
                float(way[place]), float(from_load[place]), float(slope[left[place]]), float(slope[right[place]]),
                float(limit[place]),
            ))  # fmt: skip
    return events


def _ending(stroke: Stroke, noise: float, curve: Prepared, settings: SignThresholds) -> list[Event]:
    """A plateau that lasts until the machine turns."""
    count, x, f = len(stroke), stroke.x, stroke.f
    width = max(4, count // 12)
    slope, mean_x, mean_f, _ = _fits(x, f, width, noise)
    tail = max(2, count // 50)
    starts = np.arange(width - 1, count - max(3, count // 40))
    if len(starts) == 0 or stroke.after_hold[-tail:].any():
        return []
    left = starts - width + 1
    from_load = mean_f[left] + slope[left] * (x[starts] - mean_x[left])
    way, rise = x[-1] - x[starts], float(f[-tail:].mean()) - from_load
    reference = np.minimum(slope[left], float(np.median(slope)) * 1.5)
    deficit = reference * way - rise
    limit = max(
        settings.slip_travel * 1.5, settings.noises * noise * (4 / width + 1 / tail) ** 0.5 + 1.5 * curve.resolution
    )
    held = np.cumsum(stroke.after_hold[::-1])[::-1]
    good = (deficit > limit) & (rise < 0.7 * settings.plateau_slope * reference * way) & (reference > 0.05)
    good &= (from_load > LOADED) & (held[left + 1] == 0)
    places = [int(place) for place in np.flatnonzero(good)]
    places = sorted(places[:: -(-len(places) // ENDINGS) or 1], key=lambda place: -deficit[place])
    place = next((
        one for one in places
        if _stays_flat(x[starts[one] :], f[starts[one] :], settings.plateau_slope * float(reference[one]), noise)
    ), None)  # fmt: skip
    if place is None:
        return []
    start = int(starts[place])
    return [Event(
        stroke, start, count - 1, float(deficit[place]), float(from_load[place] - f[start:].min()), float(way[place]),
        float(from_load[place]), float(slope[left[place]]), None, limit,
    )]  # fmt: skip


def _stays_flat(x: np.ndarray, f: np.ndarray, slope: float, noise: float) -> bool:
    """Whether both halves of a plateau are flatter than `slope`, noise allowed for: a drop with a rise behind it is none."""
    middle = int(np.searchsorted(np.maximum.accumulate(x), (x[0] + x[-1]) / 2))
    if min(middle, len(x) - middle) < 3:
        return True
    for part in (slice(0, middle), slice(middle, None)):
        error = noise / max(float(x[part].std()) * (len(x[part]) ** 0.5), 1e-9)
        if float(np.polyfit(x[part], f[part], 1)[0]) > slope + 2 * error:
            return False
    return True


def _sizes(count: int) -> list[int]:
    sizes, size = [], 1
    while size <= count // 2:
        sizes.append(size)
        size = max(size + 1, int(size * 1.5))
    return sizes


def _tops(values: np.ndarray) -> list[int]:
    """Places of the highest value of each run above zero."""
    above = values > 0
    edges = np.flatnonzero(np.diff(np.concatenate(([0], above.view(np.int8), [0]))))
    return [int(a + np.argmax(values[a:b])) for a, b in zip(edges[::2], edges[1::2], strict=True)]
