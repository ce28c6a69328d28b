"""Lives of specimens from a table, and which of them were stopped before failure."""

from __future__ import annotations

import re
from dataclasses import dataclass

from dossier.evidence.columns import NamedColumn, NamedTable
from dossier.evidence.errors import EvaluationError

_FAILED = ("f", "fail", "failed", "failure", "broken", "break", "crack", "cracked", "yes", "ja", "true", "1", "event",
           "x", "dead", "y", "j", "ausfall", "ausgefallen", "bruch", "gebrochen", "defekt", "riss", "rupture", "rompu",
           "rompue", "oui", "fissure", "défaillance", "défaillant")  # fmt: skip
_STOPPED = ("s", "c", "suspended", "suspension", "censored", "runout", "run-out", "run out", "survived", "stopped", "no",
            "nein", "false", "0", "ok", "passed", "not", "without", "unfailed", "right", "alive", "n", "-", "", "durchläufer",
            "durchlaeufer", "kein", "keine", "ohne", "nicht", "zensiert", "abgebrochen", "non", "pas", "sans", "censuré",
            "suspendu", "arrêté")  # fmt: skip
_SAYS_STOPPED = ("cens", "susp", "runout", "run-out", "run_out", "surviv", "stopped", "unfailed", "intact", "zensiert",
                 "durchläufer", "durchlaeufer", "censur", "suspendu")
_SAYS_FAILED = ("fail", "event", "broken", "crack", "status", "state", "outcome", "result", "end", "delta", "δ", "died",
                "dead", "defekt", "ausfall", "ausgefallen", "bruch", "gebrochen", "ergebnis", "ruptur",
                "rompu", "statut", "état", "résultat", "défaill")
_YES_OR_NO = ("1", "yes", "ja", "oui", "true", "x", "y", "j", "0", "no", "nein", "non", "false", "n", "", "-")
_LIFE = ("life", "lives", "durée de vie", "lebensdauer", "cycles", "cycle", "schwing", "lastspiel", "lastwechsel", "zyklen",
         "hours", "stunden", "heures", "time", "km", "distance", "n")
_SPLIT = re.compile(r"[\s,;:(/]+")


@dataclass(frozen=True)
class Lives:
    """Lives (n,) and which of them ended without failure; what was assumed."""

    values: tuple[float, ...]
    censored: tuple[bool, ...]
    unit: str
    warnings: tuple[str, ...]


def lives_of(table: NamedTable) -> Lives:
    """The lives in `table`. Raises EvaluationError naming the column or the word that is not understood."""
    column = _life_column(table)
    marks = _mark_column(table, column)
    numbers = column.numbers
    if marks is not None:
        stopped = [_stopped(marks, place) for place in range(table.rows)]
        warnings: tuple[str, ...] = ()
    else:
        stopped = column.marked
        warnings = () if any(stopped) else (
            "no column says which specimens failed; all are taken as failed: add one named failed with yes or no",
        )  # fmt: skip
    kept = [(number, stop) for number, stop in zip(numbers, stopped, strict=True) if number is not None]
    gaps = len(numbers) - len(kept)
    if gaps:
        raise EvaluationError(f"{table.file}: {gaps} of {len(numbers)} specimens have no life; every started test counts")
    return Lives(tuple(number for number, _ in kept), tuple(stop for _, stop in kept), column.unit, warnings)


def _life_column(table: NamedTable) -> NamedColumn:
    numeric = [column for column in table.columns if column.numeric]
    for word in _LIFE:
        for column in numeric:
            named = word in column.name.casefold() if len(word) > 1 else column.name.strip().casefold() == word
            if named and not _marks(column):
                return column
    rest = [column for column in numeric if not _marks(column)]
    if len(rest) != 1:
        there = ", ".join(f'"{column.name}"' for column in table.columns)
        raise EvaluationError(f"{table.file}: no column of lives among {there}; name one cycles or life")
    return rest[0]


def _marks(column: NamedColumn) -> bool:
    """Whether the numbers of a column only say yes or no."""
    return set(column.numbers) <= {0.0, 1.0, None}


def _mark_column(table: NamedTable, life: NamedColumn) -> NamedColumn | None:
    for words in (_SAYS_STOPPED, _SAYS_FAILED):
        for column in table.columns:
            if column is not life and column.called(words) and _known(column):
                return column
    texts = [column for column in table.columns if column is not life and not column.numeric and _known(column)]
    return texts[0] if texts else None


def _known(column: NamedColumn) -> bool:
    return all(_word(text) in _FAILED or _word(text) in _STOPPED for text in column.texts)


def _word(text: str) -> str:
    plain = text.strip().casefold()
    return plain if plain in _FAILED or plain in _STOPPED else _SPLIT.split(plain)[0].removesuffix(".0")


def _stopped(column: NamedColumn, place: int) -> bool:
    """Whether the specimen of a row ended without failure; yes and 1 mean what the column's name says."""
    word = _word(column.texts[place])
    failed = word in _FAILED
    if column.called(_SAYS_STOPPED) and word in _YES_OR_NO:
        return failed
    return not failed
