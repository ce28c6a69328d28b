"""The list of terms: what a word of the trade means, its symbol and unit (data/glossary.toml)."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources

from screens.finding import Facts
from screens.paint import LineLike, Piece, line


@dataclass(frozen=True)
class Term:
    """One word of the trade. Symbol and unit are empty where it has none."""

    name: str
    meaning: str
    symbol: str = ""
    unit: str = ""

    @property
    def line(self) -> LineLike:
        """As a hit of a search."""
        signs = ", ".join(part for part in (self.symbol, self.unit) if part and part != "-")
        return line(Piece("word   ", "quiet"), self.name + (f" {signs}" if signs else ""), Piece(f"  {self.meaning}", "quiet"))

    @property
    def sentence(self) -> str:
        """As it is told in the message row."""
        symbol = f"; symbol {self.symbol}" if self.symbol else ""
        unit = f"; unit {self.unit}" if self.unit else ""
        return f"{self.name}: {self.meaning}{symbol}{unit}."

    @property
    def facts(self) -> Facts:
        """What a search looks at."""
        return Facts(self.name, f"{self.name} {self.meaning} {self.symbol}".casefold())

    @property
    def words(self) -> tuple[str, ...]:
        """What names the term in a text: each of its names, and the hyphenated words of them."""
        names = [part.strip() for part in re.split(r"[/,(]", self.name.replace(")", "")) if part.strip()]
        hyphenated = [word for name in names for word in name.split() if "-" in word]
        return tuple(name.casefold() for name in (*names, *hyphenated))


@cache
def terms() -> tuple[Term, ...]:
    """All terms, in the order of the file."""
    raw = tomllib.loads(resources.files("dossier").joinpath("data/glossary.toml").read_text("utf-8"))
    return tuple(Term(**entry) for entry in raw["term"])


def terms_in(text: str) -> list[Term]:
    """Terms whose name stands in a text as whole words, those named by more letters first."""
    folded = text.casefold()
    found = []
    for term in terms():
        sizes = [len(word) for word in term.words if re.search(rf"(?<!\w){re.escape(word)}(?!\w)", folded)]
        if sizes:
            found.append((max(sizes), term))
    return [term for _, term in sorted(found, key=lambda pair: -pair[0])]
