"""The three appearances: slate (dark), paper (light) and ink (high contrast), and how contrast is computed.

Colours are sRGB in hex. Text roles hold a contrast of at least 4.5 on every area, outlines on material fills
at least 3 (WCAG 2 relative luminance). A colour only repeats what a word or a glyph already says.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

# Upper ends of the utilisation classes; the last class is everything above 1.
UTILISATION_ENDS = (0.10, 0.20, 0.40, 0.60, 0.80, 0.90, 1.00)
AREAS = ("ground", "lifted", "focus")
# States without a hue of their own borrow one: undecided is, like outdated, neither good nor bad.
_BORROWED = {"undecided": "outdated", "not met": "notmet", "heading": "ink", "struck": "quiet", "caret": "ink"}


@dataclass(frozen=True)
class Utilisation:
    """One class of the utilisation scale: its area colour and the role of the digit on it."""

    area: str
    digit: str


@dataclass(frozen=True)
class Appearance:
    """One set of colours. `fills` maps the balloon letters A to E; F (small parts) stands on the lifted area."""

    name: str
    dark: bool
    ground: str
    lifted: str
    focus: str
    rule: str
    ink: str
    quiet: str
    key: str
    met: str
    notmet: str
    open: str
    outdated: str
    conceded: str
    fills: Mapping[str, str]
    utilisation: tuple[Utilisation, ...]

    def text(self, role: str) -> str:
        """Colour of a role: ink, quiet, key, rule, heading, struck, caret, a state word, or a digit's use0 to use7."""
        if role.startswith("use") and role[3:].isdigit():
            return getattr(self, self.utilisation[int(role[3:])].digit)
        return getattr(self, _BORROWED.get(role, role))

    def area(self, name: str) -> str:
        """Colour of an area: ground, lifted, focus, a balloon letter A to F, or a utilisation class u0 to u7."""
        if name in self.fills:
            return self.fills[name]
        if name == "F":
            return self.lifted
        if name[0] == "u" and name[1:].isdigit():
            return self.utilisation[int(name[1:])].area
        return getattr(self, name)


TEXT_ROLES = ("ink", "quiet", "key", "met", "notmet", "open", "outdated", "conceded")


def _scale(*classes: str) -> tuple[Utilisation, ...]:
    return tuple(Utilisation(*entry.split()) for entry in classes)


def grey(lightness: float) -> str:
    """Neutral grey of CIE lightness L* (0 black to 100 white, D65) as hex."""
    y = ((lightness + 16) / 116) ** 3 if lightness > 8 else lightness / 903.3
    channel = 1.055 * y ** (1 / 2.4) - 0.055 if y > 0.0031308 else 12.92 * y
    level = round(255 * channel)
    return f"#{level:02X}{level:02X}{level:02X}"


SLATE = Appearance(
    name="slate", dark=True, ground="#121919", lifted="#1D2525", focus="#213D48", rule="#606D6D", ink="#ECE8DD",
    quiet="#AAB2AE", key="#E0BC73", met="#70CBBF", notmet="#FA9774", open="#DCDDD8", outdated="#D7ADE2",
    conceded="#D8D58F",
    fills={"A": "#48677B", "B": "#977742", "C": "#31221A", "D": "#395346", "E": "#3B3743"},
    utilisation=_scale("#0F2954 ink", "#0E4068 ink", "#2A5774 ink", "#466B74 ink", "#8C8E67 ground",
                       "#BCA767 ground", "#E2C37B ground", "#F6F0E1 ground"),
)
PAPER = Appearance(
    name="paper", dark=False, ground="#F6F3EC", lifted="#E9E5DC", focus="#B7DAE9", rule="#8B9899", ink="#1E2A2F",
    quiet="#4B5757", key="#744C1D", met="#035A56", notmet="#9C331F", open="#3D3E38", outdated="#6E3C7D",
    conceded="#565117",
    fills={"A": "#95B5CB", "B": "#BA955C", "C": "#9C8173", "D": "#ACCEBC", "E": "#E0DAEB"},
    utilisation=_scale("#F5F0E5 ink", "#E5D9BC ink", "#D1BF98 ink", "#C1A47A ink", "#B385AC ink",
                       "#6C639C ground", "#415191 ground", "#1C223E ground"),
)
# The scale of ink has no hue: greys of the lightness that slate's classes have.
INK = Appearance(
    name="ink", dark=True, ground="#000000", lifted="#000000", focus="#014A75", rule="#FFFFFF", ink="#FFFFFF",
    quiet="#E2E2E2", key="#FCE26C", met="#8FEDE6", notmet="#FEB59C", open="#FFFFFF", outdated="#EFC7F9",
    conceded="#EFEC93",
    fills={"A": "#5E5E5E", "B": "#777777", "C": "#303030", "D": "#474747", "E": "#1B1B1B"},
    utilisation=tuple(Utilisation(grey(lightness), digit) for lightness, digit in (
        (17, "ink"), (26, "ink"), (35, "ink"), (43, "ink"), (58, "ground"), (69, "ground"), (80, "ground"),
        (95, "ground"))),
)
APPEARANCES: dict[str, Appearance] = {entry.name: entry for entry in (SLATE, PAPER, INK)}


def utilisation_class(value: float) -> int:
    """Class 0 to 7 of a utilisation; the upper end belongs to the next class, only above 1 is class 7."""
    for index, end in enumerate(UTILISATION_ENDS[:-1]):
        if value < end:
            return index
    return 6 if value <= 1.0 else 7


def _channels(colour: str) -> tuple[float, float, float]:
    levels = (int(colour[start:start + 2], 16) / 255 for start in (1, 3, 5))
    red, green, blue = (level / 12.92 if level <= 0.04045 else ((level + 0.055) / 1.055) ** 2.4 for level in levels)
    return red, green, blue


@lru_cache(maxsize=2048)
def luminance(colour: str) -> float:
    """Relative luminance of an sRGB hex colour, 0 to 1 (following WCAG 2, from memory)."""
    red, green, blue = _channels(colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def lightness(colour: str) -> float:
    """CIE lightness L* of an sRGB hex colour, 0 to 100."""
    y = luminance(colour)
    return 116 * y ** (1 / 3) - 16 if y > 216 / 24389 else 903.3 * y


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21 (following WCAG 2, from memory)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)
