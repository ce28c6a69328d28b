"""Formulas of a working as text that a person reads and the tool evaluates.

Notation: + − · / and superscripts ² ³ ⁴ ⁵, or ^ with a number or parentheses; √( ), ln, exp, min, max, abs,
sin, cos, tan, arcsin, arccos, arctan. Angles are in degrees. π is known. Symbols are letters (also Greek),
digits, underscore and primes, beginning with a letter.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping

_LETTER = "A-Za-zα-ωΑ-ΩϑϕΔ"
_TOKEN = re.compile(rf"\s*(?:(\d+\.?\d*(?:e[+-]?\d+)?)|([{_LETTER}][{_LETTER}0-9_]*′?)|([²³⁴⁵])|(.))")
_POWERS = {"²": 2.0, "³": 3.0, "⁴": 4.0, "⁵": 5.0}

FUNCTIONS: dict[str, Callable[..., float]] = {
    "ln": math.log,
    "exp": math.exp,
    "min": min,
    "max": max,
    "abs": abs,
    "sin": lambda angle: math.sin(math.radians(angle)),
    "cos": lambda angle: math.cos(math.radians(angle)),
    "tan": lambda angle: math.tan(math.radians(angle)),
    "arcsin": lambda value: math.degrees(math.asin(value)),
    "arccos": lambda value: math.degrees(math.acos(value)),
    "arctan": lambda value: math.degrees(math.atan(value)),
    "√": math.sqrt,
}


class FormulaError(ValueError):
    """A formula that cannot be read, or a symbol without a value."""


def evaluate(formula: str, numbers: Mapping[str, float]) -> float:
    """The value of `formula` with `numbers` put in for its symbols. Raises FormulaError."""
    reader = _Reader(formula, numbers)
    value = reader.sum()
    if reader.kind != "end":
        raise FormulaError(f'"{formula}": "{reader.text}" is not expected here')
    return value


def symbols(formula: str) -> list[str]:
    """Symbols a formula uses, in order of appearance, without functions and π."""
    found = [match.group(2) for match in _TOKEN.finditer(formula) if match.group(2)]
    return list(dict.fromkeys(name for name in found if name not in FUNCTIONS and name != "π"))


class _Reader:
    def __init__(self, formula: str, numbers: Mapping[str, float]) -> None:
        self.formula, self.numbers, self.position = formula, numbers, 0
        self.advance()

    def advance(self) -> None:
        rest = self.formula[self.position :]
        match = _TOKEN.match(rest) if rest.strip() else None
        if match is None:
            self.kind, self.text = "end", ""
            return
        self.position += match.end()
        self.kind = ("number", "name", "power", "sign")[match.lastindex - 1 if match.lastindex else 3]
        self.text = match.group(match.lastindex or 0)

    def take(self, text: str) -> bool:
        if self.kind == "sign" and self.text == text:
            self.advance()
            return True
        return False

    def expect(self, text: str) -> None:
        if not self.take(text):
            raise FormulaError(f'"{self.formula}": "{text}" expected before "{self.text or "the end"}"')

    def sum(self) -> float:
        value = self.product()
        while True:
            if self.take("+"):
                value += self.product()
            elif self.take("−") or self.take("-"):
                value -= self.product()
            else:
                return value

    def product(self) -> float:
        value = self.signed()
        while True:
            if self.take("·") or self.take("×"):
                value *= self.signed()
            elif self.take("/"):
                value /= self.signed()
            else:
                return value

    def signed(self) -> float:
        if self.take("−") or self.take("-"):
            return -self.signed()
        return self.power()

    def power(self) -> float:
        value = self.atom()
        if self.kind == "power":
            value **= _POWERS[self.text]
            self.advance()
        elif self.take("^"):
            value **= self.signed()
        return value

    def atom(self) -> float:
        kind, text = self.kind, self.text
        if kind == "number":
            self.advance()
            return float(text)
        if self.take("("):
            value = self.sum()
            self.expect(")")
            return value
        if kind == "name" or text == "√":
            self.advance()
            return self.call(text) if text in FUNCTIONS else self.symbol(text)
        raise FormulaError(f'"{self.formula}": a value is expected before "{text or "the end"}"')

    def call(self, name: str) -> float:
        self.expect("(")
        arguments = [self.sum()]
        while self.take(","):
            arguments.append(self.sum())
        self.expect(")")
        try:
            return FUNCTIONS[name](*arguments)
        except (ValueError, TypeError) as error:
            raise FormulaError(f'"{self.formula}": {name} of {arguments}: {error}') from error

    def symbol(self, name: str) -> float:
        if name == "π":
            return math.pi
        if name not in self.numbers:
            raise FormulaError(f'"{self.formula}": symbol {name} has no value')
        return self.numbers[name]
