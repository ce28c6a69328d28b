"""Half sections and curves for the sample document; all invented."""

from __future__ import annotations

import numpy as np

from dossier.release.curves import Series
from dossier.release.outlines import Half, Region

BALL, LAYER, NECK, EYE, LENGTH = 29.0, 34.0, 18.0, 38.0, 75.0


def _arc(radius: float, first: float, last: float, count: int = 40) -> list[tuple[float, float]]:
    angles = np.radians(np.linspace(first, last, count))
    return [(radius * float(np.cos(a)), radius * float(np.sin(a))) for a in angles]


def pin(bore: float = 0.0) -> list[tuple[float, float]]:
    ball_end = float(np.sqrt(BALL**2 - NECK**2))
    left = [(-LENGTH, bore / 2), (-LENGTH, 12), (-73, 14), (-40, 14), (-36, 18), (-ball_end - 1.5, 18)]
    start = float(np.degrees(np.arccos((ball_end - 0.9) / BALL)))
    return left + _arc(BALL, 180 - start, start) + [(-z, r) for z, r in reversed(left)]


def layer() -> list[tuple[float, float]]:
    return _arc(BALL, 130, 50) + _arc(LAYER, 50, 130)


def ring(side: int) -> list[tuple[float, float]]:
    inner = [
        (34 * float(np.cos(a)), 34 * float(np.sin(a))) for a in np.arccos(np.linspace(0.6, 22.2, 20) / 34)
    ]
    outline = [(0.6, EYE), *inner, (22.5, 26.5), (22.5, 36.5), (21, EYE)]
    return [(side * z, r) for z, r in outline]


def _box(z0: float, z1: float, r0: float, r1: float) -> list[tuple[float, float]]:
    return [(z0, r0), (z1, r0), (z1, r1), (z0, r1)]


def half(label: str, notes: tuple[str, ...], *, bore: float = 0.0, light_ring: bool = False) -> Half:
    holes = [_box(s * 56 - 8.75, s * 56 + 8.75, 0, 14) for s in (-1, 1)]
    regions = [
        Region("E", [_box(-22.5, 22.5, EYE, 47.5)]),
        Region("D", [ring(-1), ring(1)], changed=light_ring),
        Region("A", [pin(bore)], changed=bore > 0),
        Region("C", [layer()]),
        Region("F", [_box(s * 22.5, s * 24.7, 34.6, 38.9) for s in (-1, 1)]),
    ]
    if bore:
        regions.append(Region("B", [_box(s * 67.5, s * 75, 0, bore / 2) for s in (-1, 1)]))
    return Half(label, [*regions, Region("", holes)], notes)


REFERENCE = half("reference S-1", ("1234 g, solid pin",))
VARIANT = half("variant S-2", ("1000 g, bored pin, light rings",), bore=18, light_ring=True)


def loop(slope: float, loss: float, count: int = 1500) -> tuple[np.ndarray, np.ndarray]:
    t = np.linspace(0, 2 * np.pi, count)
    x = 11 / slope * np.sin(t)
    return x, slope * x * (0.92 + 3.6 * x**2) + loss * np.cos(t)


def loops() -> list[Series]:
    return [
        Series("variant S-2, no. 7, cycle 4", *loop(54.8, 0.7)),
        Series("reference S-1, no. 3, cycle 4", *loop(55.2, 0.62), reference=True),
    ]


def difference() -> Series:
    x = np.linspace(-0.2, 0.2, 60)
    return Series("largest gap 0.12 kN", x, -0.4 * x + 0.05 * np.cos(15 * x))
