"""Moduli of rubber from its hardness, and back, by relations that are named: Lindley's table, Gent 1958, Ruess.

The relations differ by up to 35 % at one hardness and more outside it; none replaces a measured modulus. Moduli in MPa,
hardness in IRHD (Lindley) or Shore A (Gent, Ruess).

Sources: P. B. Lindley, Engineering Design with Natural Rubber, table of moduli, from memory (data/rubber.toml);
A. N. Gent, Rubber Chem. Technol. 31 (1958) 896, constants from memory, lower end of the range from its abstract as read
(from about 40 upwards), upper end from memory; Ruess's relation and its range 30 to 60 as quoted at
https://josephborrello.com/shore-a-to-modulus, read there, not in the original.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from itertools import pairwise

IRHD, SHORE = "IRHD", "Shore A"


class RubberRangeError(ValueError):
    """A hardness or modulus that a relation does not cover; the message names field, limit, value and remedy."""


@dataclass(frozen=True)
class Row:
    """One row of a table of moduli: hardness in IRHD, moduli in MPa."""

    hardness: float
    youngs_modulus: float
    shear_modulus: float
    bulk_modulus: float


@dataclass(frozen=True)
class Relation:
    """One published relation: its name in words, the scale of hardness it reads and the range it covers."""

    name: str
    words: str
    scale: str
    low: float
    high: float
    youngs_modulus: Callable[[float], float]
    inverse: Callable[[float], float]

    def require(self, hardness: float, given: str = "") -> None:
        """Raise RubberRangeError for a hardness outside the range; `given` says it in the words of the user's input."""
        if not self.low <= hardness <= self.high:
            others = [other for other in RELATIONS.values() if other is not self and other.low <= hardness <= other.high]
            offered = " or ".join(f"relation {other.name} ({other.low:g} to {other.high:g} {other.scale})" for other in others)
            remedy = f"take {offered}, or" if offered else "no relation here reaches it:"
            said = given or f"hardness = {hardness:g} {self.scale}"
            raise RubberRangeError(
                f"{said} must lie from {self.low:g} to {self.high:g} {self.scale} for {self.words}; {remedy} measure the modulus"
            )


@dataclass(frozen=True)
class Moduli:
    """Young's modulus, shear modulus and bulk modulus in MPa by one relation."""

    relation: str
    youngs_modulus: float
    shear_modulus: float
    bulk_modulus: float

    @property
    def poisson_ratio(self) -> float:
        """Poisson's ratio of the shear and the bulk modulus."""
        return poisson_ratio(self.shear_modulus, self.bulk_modulus)


@cache
def lindley_table() -> tuple[Row, ...]:
    """The rows of Lindley's table, by rising hardness."""
    return tuple(Row(**{name: float(value) for name, value in row.items()}) for row in _register()["rows"])


def lindley_source() -> str:
    """Where Lindley's table comes from, whether it was read, and its scatter."""
    found = _register()
    return f"{found['source']}, {found['read']}; {found['title']}; {found['scatter']}"


def _register() -> dict:
    return tomllib.loads(resources.files("dossier").joinpath("data/rubber.toml").read_text("utf-8"))["lindley"]


def rows_around(hardness: float) -> tuple[Row, Row]:
    """The two rows of Lindley's table between which a hardness in IRHD lies. Raises RubberRangeError outside the table."""
    RELATIONS["lindley"].require(hardness)
    return next((low, high) for low, high in pairwise(lindley_table()) if hardness <= high.hardness)


def lindley(hardness: float) -> Row:
    """Lindley's moduli at a hardness in IRHD, linear between rows. Raises RubberRangeError outside the table."""
    low, high = rows_around(hardness)
    share = (hardness - low.hardness) / (high.hardness - low.hardness)

    def between(name: str) -> float:
        return getattr(low, name) + share * (getattr(high, name) - getattr(low, name))

    return Row(hardness, between("youngs_modulus"), between("shear_modulus"), between("bulk_modulus"))


def lindley_hardness(youngs_modulus: float) -> float:
    """Hardness in IRHD at which Lindley's table has this Young's modulus, linear between rows."""
    rows = lindley_table()
    low, high = next(
        ((low, high) for low, high in pairwise(rows) if low.youngs_modulus <= youngs_modulus <= high.youngs_modulus),
        (rows[-2], rows[-1]),
    )
    share = (youngs_modulus - low.youngs_modulus) / (high.youngs_modulus - low.youngs_modulus)
    return low.hardness + share * (high.hardness - low.hardness)


def gent_youngs_modulus(hardness: float) -> float:
    """Young's modulus at a Shore A hardness, Gent 1958: a flat-ended cone pressed into an elastic half space."""
    return 0.0981 * (56 + 7.62336 * hardness) / (0.137505 * (254 - 2.54 * hardness))


def gent_hardness(youngs_modulus: float) -> float:
    """Shore A hardness of a Young's modulus, Gent's relation solved for the hardness."""
    scaled = 0.137505 * youngs_modulus
    return (254 * scaled - 0.0981 * 56) / (0.0981 * 7.62336 + 2.54 * scaled)


def ruess_youngs_modulus(hardness: float) -> float:
    """Young's modulus at a Shore A hardness, Ruess: lg E = 0.0235 S − 0.6403, logarithm of base 10."""
    return 10 ** (0.0235 * hardness - 0.6403)


def ruess_hardness(youngs_modulus: float) -> float:
    """Shore A hardness of a Young's modulus, Ruess's relation solved for the hardness."""
    return (math.log10(youngs_modulus) + 0.6403) / 0.0235


RELATIONS = {
    relation.name: relation
    for relation in (
        Relation("lindley", "Lindley's table", IRHD, 30.0, 75.0, lambda h: lindley(h).youngs_modulus, lindley_hardness),
        Relation("gent", "Gent's relation of 1958", SHORE, 40.0, 80.0, gent_youngs_modulus, gent_hardness),
        Relation("ruess", "Ruess's relation", SHORE, 30.0, 60.0, ruess_youngs_modulus, ruess_hardness),
    )
}


def moduli_of_hardness(relation: str, hardness: float, bulk_modulus: float | None = None) -> Moduli:
    """The moduli by one relation at a hardness on its scale.

    Lindley's table gives E and G, E being 3.1 to 4.3 times G. Gent and Ruess give E; G follows from E and the bulk
    modulus as in an isotropic solid. The bulk modulus is Lindley's at the same number where none is given. Raises
    RubberRangeError outside the relation's range.
    """
    found = RELATIONS[relation]
    found.require(hardness)
    bulk = bulk_modulus if bulk_modulus is not None else _bulk_modulus(hardness)
    if relation == "lindley":
        row = lindley(hardness)
        return Moduli(relation, row.youngs_modulus, row.shear_modulus, bulk)
    young = found.youngs_modulus(hardness)
    return Moduli(relation, young, shear_modulus(young, bulk), bulk)


def _bulk_modulus(hardness: float) -> float:
    table = RELATIONS["lindley"]
    if not table.low <= hardness <= table.high:
        raise RubberRangeError(
            f"bulk_modulus is missing, and Lindley's table, which would give it, goes from {table.low:g} to {table.high:g} IRHD "
            f"and does not reach hardness = {hardness:g}; give bulk_modulus"
        )
    return lindley(hardness).bulk_modulus


def hardness_of_modulus(relation: str, youngs_modulus: float) -> float:
    """Hardness, on the relation's scale, at which it gives this Young's modulus. Raises RubberRangeError outside its range."""
    found = RELATIONS[relation]
    low, high = found.youngs_modulus(found.low), found.youngs_modulus(found.high)
    if not low * (1 - 1e-12) <= youngs_modulus <= high * (1 + 1e-12):
        raise RubberRangeError(
            f"youngs_modulus = {youngs_modulus:g} MPa must lie from {low:.3g} to {high:.3g} MPa for {found.words}; "
            "take another relation, or measure the hardness"
        )
    return found.inverse(youngs_modulus)


def others_at(relation: str, hardness: float) -> Sequence[Relation]:
    """The other relations that cover a hardness of the same number."""
    return [other for name, other in RELATIONS.items() if name != relation and other.low <= hardness <= other.high]


def poisson_ratio(shear_modulus: float, bulk_modulus: float) -> float:
    """Poisson's ratio of an isotropic solid."""
    return (3 * bulk_modulus - 2 * shear_modulus) / (6 * bulk_modulus + 2 * shear_modulus)


def shear_modulus(youngs_modulus: float, bulk_modulus: float) -> float:
    """Shear modulus of an isotropic solid from Young's modulus and bulk modulus.

    Raises ValueError when Young's modulus reaches three times the bulk modulus, where no Poisson's ratio above 0 is left.
    """
    if not 0 < youngs_modulus < 3 * bulk_modulus:
        raise ValueError(
            f"youngs_modulus = {youngs_modulus:g} MPa must exceed 0 and be below three times bulk_modulus = "
            f"{bulk_modulus:g} MPa; correct one of them"
        )
    return 3 * bulk_modulus * youngs_modulus / (9 * bulk_modulus - youngs_modulus)
