"""Hatches of the regions, following the habit of drawing offices: neighbours differ in direction or closeness.

pin `/` wide, core dots, rubber `%` both ways and close, ring `\\` the other way, eye `-` wide. A changed material
keeps its direction and doubles the spacing; a second ring beside the first flips its direction.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from screens.widgets.raster_canvas import Mask


@dataclass(frozen=True)
class Hatch:
    """One region's hatch: its kind, its spacing in dots, and its letter in plain glyphs."""

    kind: str
    spacing: int
    letter: str


HATCHES: dict[str, Hatch] = {
    "A": Hatch("rising", 8, "/"),
    "B": Hatch("dots", 4, "."),
    "C": Hatch("cross", 4, "%"),
    "D": Hatch("falling", 6, "\\"),
    "E": Hatch("level", 6, "-"),
    "F": Hatch("upright", 4, "="),
}
_FLIPPED = {"rising": "falling", "falling": "rising"}
_FLIPPED_LETTER = {"/": "\\", "\\": "/"}


def hatch_of(key: str) -> Hatch:
    """Hatch of a balloon letter. Raises KeyError for letters other than A to F."""
    return HATCHES[key]


def letter_of(key: str, flip: bool = False) -> str:
    """Character of a region in plain glyphs."""
    letter = hatch_of(key).letter
    return _FLIPPED_LETTER.get(letter, letter) if flip else letter


def hatch_mask(
    key: str, height: int, width: int, changed: bool = False, flip: bool = False, origin: tuple[int, int] = (0, 0)
) -> Mask:
    """Dots of a region's hatch over a whole canvas; `origin` (x, y) is the dot the pattern is tied to."""
    hatch = hatch_of(key)
    kind = _FLIPPED.get(hatch.kind, hatch.kind) if flip else hatch.kind
    spacing = hatch.spacing * (2 if changed else 1)
    x = np.arange(width)[None, :] - origin[0]
    y = np.arange(height)[:, None] - origin[1]
    rising, falling = (x + y) % spacing == 0, (x - y) % spacing == 0
    if kind == "rising":
        return rising
    if kind == "falling":
        return falling
    if kind == "cross":
        return rising | falling
    if kind == "level":
        return np.broadcast_to(y % spacing == spacing // 2, (height, width))
    if kind == "upright":
        return np.broadcast_to(x % spacing == spacing // 2, (height, width))
    half = spacing // 2
    return ((x % spacing == 0) & (y % spacing == 0)) | ((x % spacing == half) & (y % spacing == half))
