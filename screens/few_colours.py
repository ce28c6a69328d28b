"""The appearances for terminals that know 256 colours: the nearest of them that keep the promised contrast.

The toolkit's own rounding lets brown become red and drops text below a readable contrast; here each colour is
chosen by its distance in CIELAB among those that hold, and sent by its number.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from textual.color import Color as BackColour
from textual.filter import LineFilter

from screens.palette import AREAS, TEXT_ROLES, Appearance, Utilisation, contrast, lightness

CUBE = (0, 95, 135, 175, 215, 255)
READABLE, VISIBLE = 4.5, 3.0
WHITE = (0.95047, 1.0, 1.08883)


@lru_cache(maxsize=1)
def terminal_colours() -> tuple[str, ...]:
    """The 240 colours whose values every such terminal shares: a cube of 6 x 6 x 6 and 24 greys."""
    cube = [f"#{red:02X}{green:02X}{blue:02X}" for red in CUBE for green in CUBE for blue in CUBE]
    return (*cube, *(f"#{level:02X}{level:02X}{level:02X}" for level in range(8, 248, 10)))


@lru_cache(maxsize=1024)
def lab(colour: str) -> tuple[float, float, float]:
    """CIELAB of an sRGB hex colour (D65)."""
    levels = [int(colour[start:start + 2], 16) / 255 for start in (1, 3, 5)]
    red, green, blue = (level / 12.92 if level <= 0.04045 else ((level + 0.055) / 1.055) ** 2.4 for level in levels)
    xyz = (0.4124 * red + 0.3576 * green + 0.1805 * blue, 0.2126 * red + 0.7152 * green + 0.0722 * blue,
           0.0193 * red + 0.1192 * green + 0.9505 * blue)
    x, y, z = (_root(value / white) for value, white in zip(xyz, WHITE, strict=True))
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def _root(value: float) -> float:
    return value ** (1 / 3) if value > 216 / 24389 else (24389 / 27 * value + 16) / 116


def distance(one: str, other: str) -> float:
    """Colour difference in CIELAB with lightness counted three times, because lightness is what keeps things apart."""
    light, green, blue = (a - b for a, b in zip(lab(one), lab(other), strict=True))
    return (9 * light**2 + green**2 + blue**2) ** 0.5


def nearest(colour: str, holds: Callable[[str], bool] = lambda candidate: True) -> str:
    """The nearest of the 240 colours for which `holds`. Raises ValueError when none does."""
    return min((candidate for candidate in terminal_colours() if holds(candidate)),
               key=lambda candidate: distance(candidate, colour))


def _reduce(appearance: Appearance) -> Appearance:
    areas: dict[str, str] = {}
    for area in AREAS:
        differs = set(areas.values()) if area == "focus" else set()
        areas[area] = nearest(appearance.area(area), lambda candidate, taken=differs: candidate not in taken)
    texts: dict[str, str] = {}
    for role in TEXT_ROLES:
        wanted = appearance.text(role)
        taken = {found for other, found in texts.items() if appearance.text(other) != wanted}
        texts[role] = nearest(wanted, lambda candidate, taken=taken: candidate not in taken and min(
            contrast(candidate, area) for area in areas.values()) >= READABLE)
    fills: dict[str, str] = {}
    for key, fill in appearance.fills.items():
        taken = {*fills.values(), areas["ground"]}
        fills[key] = nearest(fill, lambda candidate, taken=taken: candidate not in taken and contrast(
            candidate, texts["ink"]) >= VISIBLE)
    return replace(
        appearance, **areas, **texts, rule=nearest(appearance.rule), fills=fills,
        utilisation=_scale(appearance, {"ink": texts["ink"], "ground": areas["ground"]}),
    )


def _scale(appearance: Appearance, digits: dict[str, str]) -> tuple[Utilisation, ...]:
    """The utilisation classes, still in strict order of lightness, digits still readable in ink or ground."""
    scale: list[Utilisation] = []
    sign = 1 if appearance.dark else -1

    def digit_of(area: str) -> str:
        return max(digits, key=lambda role: contrast(area, digits[role]))

    for entry in appearance.utilisation:
        least = sign * lightness(scale[-1].area) if scale else -1000.0
        area = nearest(entry.area, lambda candidate, least=least: (
            sign * lightness(candidate) > least + 1 and contrast(candidate, digits[digit_of(candidate)]) >= READABLE))
        scale.append(Utilisation(area, digit_of(area)))
    return tuple(scale)


_KNOWN: dict[str, Appearance] = {}


def reduced(appearance: Appearance) -> Appearance:
    """The appearance in colours of a 256-colour terminal."""
    if appearance.name not in _KNOWN:
        _KNOWN[appearance.name] = _reduce(appearance)
    return _KNOWN[appearance.name]


@lru_cache(maxsize=4096)
def numbered(colour: Color | None) -> Color | None:
    """A true colour as the number of the nearest of the 240; other colours as they are."""
    if colour is None or colour.triplet is None:
        return colour
    return Color.from_ansi(16 + terminal_colours().index(nearest(colour.triplet.hex.upper())))


class ByNumber(LineFilter):
    """Sends colours by their number in the table of 256, so that nobody rounds them again."""

    def apply(self, segments: list[Segment], background: BackColour) -> list[Segment]:
        """The segments with numbered colours."""
        return [Segment(text, style and _by_number(style), control) for text, style, control in segments]


@lru_cache(maxsize=4096)
def _by_number(style: Style) -> Style:
    return style + Style.from_color(numbered(style.color), numbered(style.bgcolor))
