"""Two groups of values from a table: one column of group names, or one column for each group."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

from dossier.evidence.columns import NamedColumn, NamedTable
from dossier.evidence.errors import EvaluationError

REFERENCE = ("reference", "referenz", "ref", "original", "series", "serie", "baseline", "old", "current", "control",
             "temoin", "origine")
VARIANT = ("variant", "variante", "var", "light", "new", "candidate", "test", "leicht", "neu", "nouveau", "alleg")
_GROUP = ("group", "gruppe", "ausführung", "bauart", "design", "part", "variant", "type", "version", "sample", "specimen")
_BATCH = ("batch", "charge", "mix", "lot", "compound")


@dataclass(frozen=True)
class Groups:
    """Values of both groups of one quantity with their batches ("" where none is told)."""

    quantity: str
    unit: str
    variant: tuple[float, ...]
    reference: tuple[float, ...]
    variant_batches: tuple[str, ...]
    reference_batches: tuple[str, ...]


def groups_of(table: NamedTable) -> list[Groups]:
    """Every quantity of `table` for both groups. Raises EvaluationError where the groups are not told apart."""
    names = _group_column(table)
    return _long(table, names) if names else [_wide(table)]


def side_of(text: str) -> str:
    """"reference", "variant" or "" of a group's name."""
    plain = unaccented(text.strip().casefold())
    for side, words in (("reference", REFERENCE), ("variant", VARIANT)):
        if any(plain.startswith(word) for word in words) or plain in ("v", "r") and side[0] == plain:
            return side
    return "variant" if plain[:1] == "v" and plain[1:].isdigit() else ""


def unaccented(text: str) -> str:
    """`text` without accents: référence → reference."""
    return "".join(character for character in unicodedata.normalize("NFKD", text) if not unicodedata.combining(character))


def _group_column(table: NamedTable) -> NamedColumn | None:
    """The column of texts with two different ones of which at least one is known as a side."""
    named = [column for word in _GROUP for column in table.columns if column.called((word,))]
    for column in [*named, *table.columns]:
        different = {text.strip() for text in column.texts}
        if len(different) == 2 and not column.numeric and any(side_of(text) for text in different):
            return column
    return None


def _long(table: NamedTable, names: NamedColumn) -> list[Groups]:
    sides = _sides(table, names)
    batches = table.first(*_BATCH)
    numeric = [column for column in table.columns if column.numeric and column is not batches]
    measured = [column for column in numeric if not _counts(column)] if len(numeric) > 1 else numeric
    found = [_split(column, sides, batches) for column in measured]
    if not found:
        raise EvaluationError(f"{table.file}: no column of numbers beside {names.name}; add the measured values")
    return found


def _sides(table: NamedTable, names: NamedColumn) -> list[str]:
    different = sorted({text.strip() for text in names.texts})
    known = {text: side_of(text) for text in different}
    told = [side for side in known.values() if side]
    if len(set(told)) != len(told):
        raise EvaluationError(
            f'{table.file}: "{different[0]}" and "{different[1]}" both read as {told[0]}; name one reference, one variant'
        )
    if len(told) == 1:
        other = "variant" if told[0] == "reference" else "reference"
        known = {text: side or other for text, side in known.items()}
    return [known[text.strip()] for text in names.texts]


def _counts(column: NamedColumn) -> bool:
    """Whether a column only numbers the rows."""
    numbers = column.numbers
    running = all(number == float(place) for place, number in enumerate(numbers, 1))
    return running or column.name.strip().casefold() in ("no", "nr", "id", "#", "specimen", "sample", "run")


def _split(column: NamedColumn, sides: list[str], batches: NamedColumn | None) -> Groups:
    values: dict[str, list[float]] = {"variant": [], "reference": []}
    mixes: dict[str, list[str]] = {"variant": [], "reference": []}
    for place, (number, side) in enumerate(zip(column.numbers, sides, strict=True)):
        if number is not None:
            values[side].append(number)
            mixes[side].append(batches.texts[place].strip() if batches else "")
    return Groups(
        column.name, column.unit, tuple(values["variant"]), tuple(values["reference"]), tuple(mixes["variant"]),
        tuple(mixes["reference"]),
    )  # fmt: skip


def _wide(table: NamedTable) -> Groups:
    """One column of numbers for each group."""
    columns = {side: [c for c in table.columns if c.numeric and side_of(c.name) == side] for side in ("variant", "reference")}
    if any(len(found) != 1 for found in columns.values()):
        there = ", ".join(f'"{column.name}"' for column in table.columns)
        raise EvaluationError(
            f"{table.file}: the two groups are not told apart among {there}; give a column named group that says reference "
            "or variant in each row, or one column for each of the two"
        )
    variant, reference = columns["variant"][0], columns["reference"][0]
    batches = {"variant": "", "reference": ""}
    mixes = [column for column in table.columns if column.called(_BATCH)]
    shared = mixes[0] if len(mixes) == 1 else None
    values, named = {}, {}
    for side, column in (("variant", variant), ("reference", reference)):
        own = next((mix for mix in mixes if side_of(mix.name) == side), shared)
        pairs = [(number, own.texts[place].strip() if own else batches[side])
                 for place, number in enumerate(column.numbers) if number is not None]  # fmt: skip
        values[side], named[side] = tuple(n for n, _ in pairs), tuple(b for _, b in pairs)
    return Groups(variant.name, variant.unit, values["variant"], values["reference"], named["variant"], named["reference"])
