"""Units a project may use: the whitelist, conversion, parsing of typed quantities, showing of numbers.

The register is data/units.toml. Every dimension has one stored unit; records and results hold plain
numbers in it. A unit may belong to several dimensions (N·mm is a moment and an energy).
"""

from __future__ import annotations

import difflib
import math
import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources

MINUS = "−"

_SPELLINGS = {
    "Nm": "N·m", "N*m": "N·m", "N m": "N·m", "N⋅m": "N·m", "Nmm": "N·mm", "N*mm": "N·mm", "N⋅mm": "N·mm",
    "kNm": "kN·m", "kN*m": "kN·m", "Nm/deg": "N·m/°", "N*m/deg": "N·m/°", "N·m/deg": "N·m/°",
    "Nm/°": "N·m/°", "Nmm/rad": "N·mm/rad", "N*mm/rad": "N·mm/rad", "Nm/rad": "N·m/rad", "deg": "°",
    "um": "µm", "μm": "µm", "degC": "°C", "C": "°C", "mm2": "mm²", "mm^2": "mm²", "mm3": "mm³",
    "mm^3": "mm³", "N/mm2": "N/mm²", "N/mm^2": "N/mm²", "kg/m3": "kg/m³", "kg/m^3": "kg/m³",
    "g/cm3": "g/cm³", "W/mK": "W/(m·K)", "": "-",
}  # fmt: skip


class UnitError(ValueError):
    """A unit that is not on the whitelist, or of the wrong dimension, or a number that cannot be read."""


@dataclass(frozen=True)
class Dimension:
    """One kind of quantity: its stored unit and the accepted units with factor and offset to it."""

    name: str
    stored: str
    factors: dict[str, float]
    offsets: dict[str, float]


@cache
def dimensions() -> dict[str, Dimension]:
    """The whitelist, dimension name → Dimension."""
    raw = tomllib.loads(resources.files("dossier").joinpath("data/units.toml").read_text("utf-8"))
    return {
        name: Dimension(name, entry["stored"], dict(entry["units"]), dict(entry.get("offsets", {})))
        for name, entry in raw.items()
    }


@cache
def canonical(unit: str) -> str:
    """The whitelisted spelling of `unit`.

    Raises UnitError naming near spellings if the unit is not on the whitelist.
    """
    spelled = _SPELLINGS.get(unit.strip(), unit.strip())
    if any(spelled in dimension.factors for dimension in dimensions().values()):
        return spelled
    every = {known for dimension in dimensions().values() for known in dimension.factors}
    near = sorted(known for known in every if _letters(known) == _letters(spelled))
    near = near or difflib.get_close_matches(spelled, sorted(every), n=4, cutoff=0.6)
    raise UnitError(f'unit "{unit}" not accepted' + (f"; accepted: {', '.join(near)}" if near else ""))


def _letters(unit: str) -> str:
    return "".join(character for character in unit.lower() if character.isalpha())


def dimensions_of(unit: str) -> tuple[str, ...]:
    """Names of the dimensions `unit` belongs to, in the order of the register."""
    spelled = canonical(unit)
    return tuple(name for name, dimension in dimensions().items() if spelled in dimension.factors)


def stored_unit(unit: str) -> str:
    """The stored unit for values given in `unit` (first dimension that has it)."""
    return dimensions()[dimensions_of(unit)[0]].stored


def convert(value: float, unit: str, target: str) -> float:
    """`value` in `unit`, expressed in `target`.

    Raises UnitError if the two units share no dimension.
    """
    source, wanted = canonical(unit), canonical(target)
    if source == wanted:
        return value
    for dimension in dimensions().values():
        if source in dimension.factors and wanted in dimension.factors:
            stored = value * dimension.factors[source] + dimension.offsets.get(source, 0.0)
            return (stored - dimension.offsets.get(wanted, 0.0)) / dimension.factors[wanted]
    raise UnitError(
        f'"{unit}" is {_words(source)}, but "{target}" is {_words(wanted)}; give a value in {target}'
    )


def same_dimension(unit: str, other: str) -> bool:
    """Whether values in the two units can be compared."""
    return bool(set(dimensions_of(unit)) & set(dimensions_of(other)))


def _words(unit: str) -> str:
    return " or ".join(name.replace("_", " ") for name in dimensions_of(unit))


_NUMBER = r"[+\-−]?(?:\d+(?:[ \u00a0\u202f]\d{3})+(?:\.\d*)?|\d*\.?\d+|\d+\.)(?:[eE][+\-]?\d+)?"
_QUANTITY = re.compile(rf"\s*({_NUMBER})\s*(.*?)\s*$")


def parse(text: str | float | int, unit: str) -> float:
    """A typed quantity ("12.5 kN", "12500", 12500) as a plain number in `unit`.

    A bare number is taken in `unit`. Raises UnitError naming what was given and what is accepted; a
    decimal comma is refused rather than guessed.
    """
    if isinstance(text, bool):
        raise UnitError(f"{text} is not a number; give a value in {unit}")
    if isinstance(text, (int, float)):
        value, given = float(text), unit
    else:
        if re.fullmatch(r"\s*[+\-−]?\d+,\d+.*", text):
            raise UnitError(f'"{text}" has a decimal comma; write {text.strip().replace(",", ".", 1)}')
        match = _QUANTITY.match(text)
        if not match:
            raise UnitError(f'"{text}" is not a number with a unit; expected for example "12.5 {unit}"')
        number, given = match.groups()
        value = float(re.sub(r"\s", "", number.replace(MINUS, "-")))
        given = given or unit
    if not math.isfinite(value):
        raise UnitError(f"{text} is not a finite number; give a value in {unit}")
    return convert(value, given, unit)


def show(value: float, digits: int = 3) -> str:
    """`value` with `digits` significant digits, never in exponent form below 10⁹, with a true minus."""
    if value != value or math.isinf(value):
        return "–"
    if value == 0:
        return "0"
    exponent = math.floor(math.log10(abs(value)))
    decimals = digits - 1 - exponent
    rounded = round(value, decimals)
    if rounded and math.floor(math.log10(abs(rounded))) > exponent:
        decimals -= 1
    if exponent >= 9 or exponent < -5:
        text = f"{value:.{digits - 1}e}"
    else:
        text = f"{rounded:.{max(0, decimals)}f}"
    return text.replace("-", MINUS)


def show_quantity(value: float, unit: str, shown: str | None = None, digits: int = 3) -> str:
    """`value` in `unit`, shown in `shown`: "53.9 kN/mm"; "-" as unit prints the number alone."""
    target = shown or unit
    number = show(convert(value, unit, target), digits)
    return number if target in ("-", "1") else f"{number} {target}"


def amount(number: int, one: str, many: str = "") -> str:
    """ "1 record", "3 records", "0 entries": a number with its noun; `many` where it is not `one` with an s."""
    return f"{number} {one if number == 1 else many or f'{one}s'}"


def show_signed(value: float, decimals: int = 2) -> str:
    """A margin or difference with its sign always printed and a true minus."""
    text = f"{value:+.{decimals}f}"
    return text.replace("-", MINUS)
