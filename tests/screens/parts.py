"""An invented joint as plain polygons: a solid reference and a variant with a filled bore and a lighter ring."""

from __future__ import annotations

import numpy as np

from screens.widgets.section_shape import CallOut, Region, Section, Span

BALL, RUBBER, FIT, EYE, NECK, HALF_LENGTH = 29.0, 34.0, 38.0, 46.0, 18.0, 62.0
BORE, BORE_END = 9.0, 26.0


def _arc(radius: float, low: float, high: float, count: int = 40) -> np.ndarray:
    z = np.linspace(low, high, count)
    return np.stack([z, np.sqrt(radius**2 - z**2)], axis=1)


def pin() -> np.ndarray:
    """Outline of the pin with its ball and turned-down ends."""
    foot = float(np.sqrt(BALL**2 - NECK**2))
    ends = [(HALF_LENGTH, NECK), (HALF_LENGTH, 0.0), (-HALF_LENGTH, 0.0), (-HALF_LENGTH, NECK)]
    return np.concatenate([_arc(BALL, -foot, foot), np.array(ends)])


def bore() -> np.ndarray:
    """Outline of the filled bore."""
    return np.array([(-BORE_END, 0.0), (BORE_END, 0.0), (BORE_END, BORE), (-BORE_END, BORE)])


def rubber() -> np.ndarray:
    """Outline of the rubber shell."""
    return np.concatenate([_arc(BALL, -15.0, 15.0), _arc(RUBBER, 15.0, -15.0)])


def ring() -> np.ndarray:
    """Outline of the ring around the rubber."""
    flat = [(21.0, 29.0), (21.0, FIT), (-21.0, FIT), (-21.0, 29.0), (-16.0, 29.0)]
    return np.concatenate([_arc(RUBBER, -15.0, 15.0), np.array([(16.0, 29.0), *flat])])


def eye() -> np.ndarray:
    """Outline of the mating eye."""
    return np.array([(-18.0, FIT), (18.0, FIT), (18.0, EYE), (-18.0, EYE)])


def reference() -> list[Region]:
    """The solid reference part."""
    return [Region("E", [eye()]), Region("A", [pin()]), Region("D", [ring()]), Region("C", [rubber()])]


def variant() -> list[Region]:
    """The variant: bore filled with core material, the ring of another material."""
    return [
        Region("E", [eye()]), Region("A", [pin(), bore()]), Region("B", [bore()]),
        Region("D", [ring()], changed=True), Region("C", [rubber()]),
    ]


def section() -> Section:
    """Both halves with call-outs and a span."""
    call_outs = (
        CallOut("E", "E eye, bore 76", 15, 44), CallOut("D", "D ring, wall 4.0", 18, 36),
        CallOut("C", "C rubber, 29 .. 34", 12, 30), CallOut("A", "A pin, neck 36.0", 60, 10),
        CallOut("B", "B core, bore 18.0 (ref -)", 20, 5, upper=False),
        CallOut("D", "D ring, aluminium", 18, 36, upper=False),
    )
    return Section(reference(), variant(), ("reference", "V2"), call_outs, (Span(-21, 21, "42.0 ring"),))
