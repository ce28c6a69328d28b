"""Channels of a measured file: what a column is, its unit, and the factor to the stored unit."""

from __future__ import annotations

import re

from dossier import units

STORED = {
    "time": "s", "force": "N", "displacement": "mm", "angle": "°", "torque": "N·mm", "temperature": "°C",
    "cycles": "cycles", "stiffness": "N/mm", "loss_angle": "°",
}  # fmt: skip
_COUNTS = ("", "-", "1")

_WORDS = {
    "time": ("time", "zeit", "temps"),
    "cycles": ("cycle", "zyklen", "zyklus", "lastspiel", "schwingspiel", "lastwechsel"),
    "stiffness": ("stiffness", "steifigkeit", "raideur"),
    "loss_angle": ("loss angle", "verlustwinkel", "phase"),
    "torque": ("torque", "moment", "couple"),
    "force": ("force", "kraft", "load", "last"),
    "temperature": ("temp",),
    "angle": ("angle", "winkel", "verdreh", "rotation"),
    "displacement": ("displacement", "weg", "travel", "verschieb", "verform", "deflection", "déplacement", "stroke"),
}  # fmt: skip

_SPELLINGS = {
    "kn": "kN", "KN": "kN", "n": "N", "Newton": "N", "newton": "N", "Grad": "°", "grad": "°", "Deg": "°", "DEG": "°",
    "sec": "s", "Sec": "s", "sek": "s", "Sek": "s", "S": "s", "MM": "mm", "Mm": "mm", "NM": "N·m", "NMM": "N·mm",
    "KNM": "kN·m", "°c": "°C", "º": "°", "ºC": "°C", "grd": "°", "μm": "µm", "Sekunden": "s",
}  # fmt: skip
_MACHINE_UNITS = {"ms": ("s", 1e-3), "daN": ("N", 10.0), "lbf": ("N", 4.4482216152605), "in": ("mm", 25.4)}
_ENCLOSED = re.compile(r"^(.*?)\s*[\[(]\s*([^\[\]()]*(?:\([^()]*\))?[^\[\]()]*)\s*[\])]\s*$")
_SLASHED = re.compile(r"^(.+?)\s*/\s*(\S+)$")
_IN = re.compile(r"^(.+?)\s+in\s+(\S+)$")
_TRAILING = re.compile(r"^(.{2,}?)_([^_\W\d]+)$")


def factor(unit: str, channel: str) -> tuple[float, float]:
    """(factor, offset) with stored value = factor·written + offset for a column of `channel` written in
    `unit`.

    Raises dossier.units.UnitError for a unit that is not accepted or belongs to another quantity.
    """
    stored = STORED[channel]
    if channel == "cycles" and unit in _COUNTS:
        return 1.0, 0.0
    if unit in _MACHINE_UNITS:
        base, scale = _MACHINE_UNITS[unit]
        return scale * units.convert(1.0, base, stored), 0.0
    spelled = _SPELLINGS.get(unit, unit)
    offset = units.convert(0.0, spelled, stored)
    return units.convert(1.0, spelled, stored) - offset, offset


def is_unit(text: str) -> bool:
    """Whether `text` is the spelling of a unit a measured channel can have."""
    return any(_accepted(text, channel) for channel in STORED) or text in ("-", "%", "V", "mV", "1", "Hz")


def _accepted(unit: str, channel: str) -> bool:
    if not unit:
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
    """Column name and unit: "Force [kN]", "Kraft (N)", "s/mm", "Kraft in kN", "force_kN" → name, unit ("" if none)."""
    text = name.strip()
    for pattern in (_ENCLOSED, _SLASHED, _IN, _TRAILING):
        match = pattern.match(text)
        if match and is_unit(match.group(2).strip()):
            return match.group(1).strip(), match.group(2).strip()
    return text, ""


def guess_channel(name: str, unit: str) -> str:
    """The channel a column probably is, "" if neither its name nor its unit tells.

    The unit decides when name and unit disagree, because only it can be converted.
    """
    lowered = name.lower()
    named = next((channel for channel, words in _WORDS.items() if any(word in lowered for word in words)), "")
    if not unit:
        return named
    fitting = [channel for channel in STORED if _accepted(unit, channel)]
    if named in fitting:
        return named
    return fitting[0] if fitting else ""
