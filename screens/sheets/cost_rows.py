"""The lines of the cost sheet as data: both amounts, and the entries of the cost record behind each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from dossier.methods.cost import LINES
from dossier.records.calculation import Result
from dossier.records.cost import Cost, CostSide, Priced

SHORT = {"quote": "quote", "own calculation": "own", "estimate": "estimate"}
RATES = ("material_overhead", "administration_sales")
_BEHIND: dict[str, Callable[[CostSide], Sequence[Priced]]] = {
    "material": lambda side: [*side.material, *side.bought],
    "process": lambda side: [step for step in side.step if step.cycle_time or step.setup_time],
    "outside": lambda side: [step for step in side.step if step.outside],
    "scrap": lambda side: [step for step in side.step if step.good_share < 1],
    "tooling": lambda side: [item for item in side.one_off if item.per_piece and item.kind == "tool"],
    "development": lambda side: [item for item in side.one_off if item.per_piece and item.kind != "tool"],
}


@dataclass(frozen=True)
class CostLine:
    """One line: its name in the result, in words, and both amounts in EUR per piece."""

    name: str
    words: str
    reference: float
    variant: float

    @property
    def difference(self) -> float:
        """Variant less reference."""
        return self.variant - self.reference


def cost_lines(result: Result) -> list[CostLine]:
    """The lines of the sheet in its order."""

    def amount(name: str) -> float:
        value = result.value(name)
        return value.value if value and value.value is not None else 0.0

    return [CostLine(name, words, amount(f"reference_{name}"), amount(f"variant_{name}")) for name, words in LINES]


def behind(cost: Cost | None, name: str) -> Sequence[Priced]:
    """Entries of the variant's cost sheet that a line is made of."""
    return _BEHIND[name](cost.variant) if cost is not None and name in _BEHIND else ()


def from_words(cost: Cost | None, name: str) -> str:
    """Where the entries of a line come from, counted: "4 quote, 1 own"."""
    if name in RATES:
        return "rates" if cost is not None and cost.rates.source else "rates, no source"
    counted = Counter(SHORT.get(entry.origin, entry.origin) for entry in behind(cost, name))
    return ", ".join(f"{number} {word}" for word, number in counted.items()) or "-"


def source_words(cost: Cost | None, name: str) -> str:
    """Every entry behind a line with its source and uncertainty."""
    if cost is not None and name in RATES:
        return f"rates: {cost.rates.source or 'no source'}"
    told = [f"{entry.name}: {entry.source or f'{entry.origin}, no source'} ± {100 * entry.uncertainty:.0f} %"
            for entry in behind(cost, name)]  # fmt: skip
    return "; ".join(told)
