"""Working shown: ordered lines as data, each the value of its printed formula with the printed numbers."""

from __future__ import annotations

from dataclasses import dataclass, field

from dossier import units
from dossier.methods import formula as formulas

DIGITS = 5
RESULT_DIGITS = 3
MASS_DIGITS = 4


@dataclass(frozen=True)
class Line:
    """One line: what a reader needs to follow it by hand.

    `numbers` are the printed values of the formula's symbols; `value` is what the formula gives with them,
    rounded to the printed digits.
    """

    symbol: str
    meaning: str
    formula: str
    numbers: dict[str, float]
    value: float
    unit: str
    source: str = ""
    digits: int = DIGITS

    @property
    def printed(self) -> str:
        """The value as printed."""
        return units.show(self.value, self.digits)

    @property
    def printed_numbers(self) -> dict[str, str]:
        """The numbers put in, as printed."""
        return {symbol: units.show(number, DIGITS) for symbol, number in self.numbers.items()}


@dataclass
class Working:
    """Builds the lines of a working: `given` puts a number in, `line` derives one, `fact` states in words."""

    lines: list[Line] = field(default_factory=list)
    givens: list[Line] = field(default_factory=list)
    facts: list[tuple[str, str]] = field(default_factory=list)

    @property
    def values(self) -> dict[str, float]:
        """Printed value of every symbol so far."""
        return {line.symbol: line.value for line in (*self.givens, *self.lines)}

    def given(self, symbol: str, meaning: str, value: float, unit: str, source: str = "") -> None:
        """An input of the method."""
        self.givens.append(Line(symbol, meaning, "", {}, _rounded(value, DIGITS), unit, source))

    def line(
        self, symbol: str, meaning: str, formula: str, unit: str, source: str = "", *, result: bool = False
    ) -> float:
        """Derive `symbol` from the lines before; returns its printed value.

        A result is printed with three digits, a mass with four as parts are weighed to the gram, lines on the way with five.
        """
        known = self.values
        numbers = {name: known[name] for name in formulas.symbols(formula) if name in known}
        digits = DIGITS if not result else MASS_DIGITS if unit == "kg" else RESULT_DIGITS
        value = _rounded(formulas.evaluate(formula, numbers), digits)
        self.lines.append(Line(symbol, meaning, formula, numbers, value, unit, source, digits))
        return value

    def fact(self, what: str, words: str) -> None:
        """Something that belongs to the working but is no formula: model, mesh, boundary conditions."""
        self.facts.append((what, words))


def _rounded(value: float, digits: int) -> float:
    return float(f"{value:.{digits - 1}e}")
