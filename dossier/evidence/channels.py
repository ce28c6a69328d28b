"""Channels of a measured file: what a column is, its unit, and the factor to the stored unit."""

from __future__ import annotations

import re

from dossier import units
from dossier.evidence.channel_words import named_channel

STORED = {
    "time": "s", "force": "N", "displacement": "mm", "angle": "°", "torque": "N·mm", "temperature": "°C",
    "cycles": "cycles", "stiffness": "N/mm", "loss_angle": "°",
}  # fmt: skip
_COUNTS = ("", "-", "1")

_SPELLINGS = {
    "kn": "kN", "KN": "kN", "n": "N", "Newton": "N", "newton": "N", "Grad": "°", "grad": "°", "Deg": "°", "DEG": "°",
    "sec": "s", "Sec": "s", "sek": "s", "Sek": "s", "S": "s", "MM": "mm", "Mm": "mm", "NM": "N·m", "NMM": "N·mm",
    "KNM": "kN·m", "°c": "°C", "º": "°", "ºC": "°C", "grd": "°", "μm": "µm", "Sekunden": "s", "seconds": "s",
    "second": "s", "degrees": "°", "degree": "°", "deg.": "°", "Degrees": "°", "grader": "°", "gradi": "°", "grados": "°",
    "degrés": "°", "radians": "rad", "Zyklen": "cycles", "Kn": "kN", "celsius": "°C", "min.": "min", "Nm ": "N·m",
}  # fmt: skip
_POUND, _INCH, _KILOPOND = 4.4482216152605, 25.4, 9.80665
_MACHINE_UNITS = {
    "ms": ("s", 1e-3), "µs": ("s", 1e-6), "us": ("s", 1e-6), "daN": ("N", 10.0), "mN": ("N", 1e-3), "MN": ("N", 1e6),
    "kgf": ("N", _KILOPOND), "kp": ("N", _KILOPOND), "gf": ("N", 1e-3 * _KILOPOND), "lbf": ("N", _POUND), "lb": ("N", _POUND),
    "lbs": ("N", _POUND), "klbf": ("N", 1e3 * _POUND), "kip": ("N", 1e3 * _POUND), "in": ("mm", _INCH), "inch": ("mm", _INCH),
    "mil": ("mm", 1e-3 * _INCH), "cm": ("mm", 10.0), "nm": ("mm", 1e-6), "ft": ("mm", 12 * _INCH), "mrad": ("rad", 1e-3),
    "µrad": ("rad", 1e-6), "in·lbf": ("N·mm", _INCH * _POUND), "lbf·in": ("N·mm", _INCH * _POUND),
    "ft·lbf": ("N·mm", 12 * _INCH * _POUND), "lbf·ft": ("N·mm", 12 * _INCH * _POUND), "N·cm": ("N·mm", 10.0),
    "mN·m": ("N·mm", 1.0), "kN·mm": ("N·mm", 1e3), "mdeg": ("°", 1e-3),
}
CLOCK = "time of day"
_ENCLOSED = re.compile(r"^(.*?)\s*[\[(]\s*([^\[\]()]*(?:\([^()]*\))?[^\[\]()]*)\s*[\])]\s*$")
_SLASHED = re.compile(r"^(.+?)\s*/\s*(\S+)$")
_IN = re.compile(r"^(.+?)\s+in\s+(\S+)$")
_BRACED = re.compile(r"^(.+?)\s*[{<]\s*(\S+?)\s*[}>]$")
_BEHIND = re.compile(r"^(.+?)(?:_|\s*,\s*|\s+-\s+|\s+)(\S+?)$")
_LAST_BEHIND = re.compile(r"^(.+?)(?:_|\s*,\s*|\s+-\s+|\s+)([^\s_,]+)$")
_PART = r"(?:k|M|m|µ|u|n|c|d|da|h|G)?(?:N|m|g|Pa|V|A|s|Hz|J|W|rad|in|ft|lbf?|gf|p|t|deg|°C?|K|%)\d?"
_LIKE_A_UNIT = re.compile(rf"{_PART}(?:[·*/⋅.\- ]?{_PART})*")


def factor(unit: str, channel: str) -> tuple[float, float]:
    """(factor, offset) with stored value = factor·written + offset for a column of `channel` written in
    `unit`.

    Raises dossier.units.UnitError for a unit that is not accepted or belongs to another quantity.
    """
    stored, unit = STORED[channel], _dotted(unit)
    if channel == "cycles" and unit in _COUNTS:
        return 1.0, 0.0
    if unit in _MACHINE_UNITS:
        base, scale = _MACHINE_UNITS[unit]
        return scale * units.convert(1.0, base, stored), 0.0
    if unit == CLOCK and channel == "time":
        return 1.0, 0.0
    spelled = _SPELLINGS.get(unit, unit)
    offset = units.convert(0.0, spelled, stored)
    return units.convert(1.0, spelled, stored) - offset, offset


def _dotted(unit: str) -> str:
    """N-m, N*m, N.m → N·m."""
    return re.sub(r"(?<=[A-Za-z])\s?[-*.⋅×](?=[A-Za-z])", "·", unit)


def is_unit(text: str) -> bool:
    """Whether `text` is the spelling of a unit a measured channel can have."""
    return any(_accepted(text, channel) for channel in STORED) or text in ("-", "%", "V", "mV", "1", "Hz")


def _accepted(unit: str, channel: str) -> bool:
    if not unit or not channel:
        return False
    try:
        factor(unit, channel)
    except units.UnitError:
        return False
    return True


def bare_unit(text: str) -> str:
    """A unit as written on a units line, without its brackets."""
    stripped = text.strip()
    match = re.fullmatch(r"[\[(]\s*(.*?)\s*[\])]", stripped)
    return match.group(1) if match else stripped


def split_unit(name: str) -> tuple[str, str]:
    """Column name and unit: "Force [kN]", "Kraft (N)", "s/mm", "Kraft in kN", "F_kN", "Force, kN" → name, unit
    ("" if none).

    What stands in brackets and is built like a unit is one, known or not, so that it is never read as another.
    """
    text = name.strip()
    for pattern in (_ENCLOSED, _BRACED, _SLASHED, _IN):
        match = pattern.match(text)
        if match and is_unit(match.group(2).strip()):
            return match.group(1).strip(), match.group(2).strip()
    for pattern in (_BEHIND, _LAST_BEHIND):
        match = pattern.match(text)
        if match and _accepted(match.group(2), named_channel(match.group(1))):
            return match.group(1), match.group(2)
    match = _ENCLOSED.match(text)
    if match and _LIKE_A_UNIT.fullmatch(match.group(2).strip()):
        return match.group(1).strip(), match.group(2).strip()
    return text, ""


def guess_channel(name: str, unit: str) -> str:
    """The channel a column probably is, "" if neither its name nor its unit tells.

    The unit decides when name and unit disagree, because only it can be converted.
    """
    named = named_channel(name)
    if not unit:
        return named
    fitting = [channel for channel in STORED if _accepted(unit, channel)]
    if named in fitting or not fitting:
        return named
    return fitting[0]
