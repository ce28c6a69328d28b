"""Tables of the records: requirements with their margins, inputs, workings, masses."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from dossier.release.kit import Kit
from dossier.release.marks import MarginBar, ShareBar, state
from dossier.release.tables import CellContent, Column, Row, Table, table
from dossier.release.text import Content, bold, dec, join, plain, signed, text


@dataclass(frozen=True)
class MatrixRow:
    """One requirement. `nominal`, `worst` and `best` are margins of the value and of the ends of its band, None
    where there is none; `rests_on` ids of what verifies it; `reason` a second line in small type, for a concession or
    an open point."""

    identifier: str
    statement: Content
    limit: str
    value: str
    uncertainty: str
    unit: str
    nominal: float | None
    worst: float | None
    best: float | None
    decision: str
    rests_on: Sequence[str] = ()
    reason: Content = ""


@dataclass(frozen=True)
class MatrixGroup:
    """Requirements of one chapter."""

    title: Content
    rows: Sequence[MatrixRow]


def matrix_table(kit: Kit, groups: Iterable[MatrixGroup], *, digits: int = 2) -> Table:
    """The requirement matrix over the full width (put it into Wide); each row is the place of its record.

    A yes-or-no requirement has no bar: a bar at zero would look like a pass at the limit.
    """
    columns = [
        Column("id", 34), Column("the joint shall keep"), Column("limit", 58, "r"), Column("value", 33, "r"),
        Column("± U or band", 34, "r", 4), Column("unit", 32, gap=2), Column("margin", 64, gap=2), Column("worst", 28, "r"),
        Column("decision", 50), Column("rests on", 30, gap=1), Column("page", 18, "r", 0),
    ]  # fmt: skip
    rows: list[Row] = []
    for group in groups:
        rows.append(Row((group.title,), kind="group"))
        for requirement in group.rows:
            rows.extend(_matrix_rows(kit, requirement, digits))
    return table(kit, columns, rows, size=7.3, pad=1.55)


def _matrix_rows(kit: Kit, row: MatrixRow, digits: int) -> list[Row]:
    calm = row.decision == "met"
    has_margin = row.nominal is not None and row.worst is not None
    pages = [kit.trace.page_of(identifier) for identifier in row.rests_on]
    cells: list[CellContent] = [
        row.identifier if calm else bold(row.identifier), row.statement, row.limit, row.value, row.uncertainty,
        row.unit, MarginBar(row.nominal, row.worst, row.best) if has_margin else None,
        signed(row.worst, digits) if has_margin else None, state(row.decision),
        join((kit.ref(identifier, page=False) for identifier in row.rests_on), ", "),
        ", ".join(dict.fromkeys(page for page in pages if page)),
    ]  # fmt: skip
    title = f"{row.identifier} {plain(row.statement)}"
    rows = [Row(cells, anchor=row.identifier, anchor_title=title)]
    if row.reason:
        rows.append(Row((row.reason,), kind="note", start=1))
    return rows


@dataclass(frozen=True)
class Input:
    """An input of a calculation as printed; `source` says where it comes from."""

    symbol: Content
    name: Content
    value: str
    unit: str
    band: str = "–"
    source: Content = ""


def input_table(kit: Kit, inputs: Iterable[Input], *, wide: bool = False) -> Table:
    """Inputs with symbol, value, unit, band and source over the main column, or in small type over the full width."""
    columns = [
        Column("symbol", 38), Column("input"), Column("value", 70 if wide else 48, "d", 3), Column("unit", 42 if wide else 36),
        Column("± band", 88 if wide else 48), Column("from", 128 if wide else 118),
    ]  # fmt: skip
    look = {"size": 6.9, "pad": 1.1} if wide else {}
    return table(kit, columns, [(i.symbol, i.name, i.value, i.unit, i.band, i.source) for i in inputs], **look)


@dataclass(frozen=True)
class Step:
    """A line of a working as printed."""

    symbol: Content
    meaning: Content
    formula: Content
    numbers: Content
    value: str
    unit: str
    source: Content = ""
    result: bool = False


def working_table(kit: Kit, steps: Sequence[Step], *, wide: bool = False) -> Table:
    """A working over the main column, or in small type over the full width with the source beside the meaning:
    numbered lines, results bold on tint."""
    if wide:
        columns = [
            Column("", 15, gap=2), Column("symbol", 30), Column("meaning", 128), Column("formula"),
            Column("numbers put in", 128), Column("value", 48, "r", 3), Column("unit", 46),
        ]  # fmt: skip
        rows = [
            Row(
                (str(number), s.symbol, join([s.meaning, s.source], "; ") if s.source else s.meaning, s.formula,
                 s.numbers, value, s.unit),
                kind="result" if s.result else "body",
            )
            for number, (s, value) in enumerate(zip(steps, dec([s.value for s in steps]), strict=True), 1)
        ]  # fmt: skip
        return table(kit, columns, rows, size=6.9, pad=1.2)
    columns = [
        Column("", 15, gap=2), Column("symbol", 30), Column("meaning", 92), Column("formula"),
        Column("numbers put in", 82), Column("value", 36, "r", 3), Column("unit", 30), Column("source", 50),
    ]  # fmt: skip
    values = dec([step.value for step in steps])
    rows = [
        Row(
            (
                str(number),
                step.symbol,
                step.meaning,
                step.formula,
                step.numbers,
                value,
                step.unit,
                step.source,
            ),
            kind="result" if step.result else "body",
        )
        for number, (step, value) in enumerate(zip(steps, values, strict=True), 1)
    ]
    return table(kit, columns, rows, pad=2.3)


@dataclass(frozen=True)
class MassRow:
    """Mass of one region in reference and variant; None where the part does not have it."""

    key: str
    region: Content
    reference: float | None
    variant: float | None


def mass_table(
    kit: Kit, rows: Sequence[MassRow], *, variant: Content, total: Content, unit: str = "g", digits: int = 0
) -> Table:
    """Masses by region over the main column, their differences as bars, the total from the rows.

    Bars to the right save mass, hollow bars to the left add it, as shares of the saving.
    """
    reference_sum = sum(row.reference or 0 for row in rows)
    variant_sum = sum(row.variant or 0 for row in rows)
    saved = reference_sum - variant_sum
    scale = max((abs(_saving(row)) for row in rows), default=0.0)
    low, high = min((_saving(row) for row in rows), default=0.0), scale
    columns = [
        Column("", 16), Column("region"), Column("reference", 52, "d"), Column(variant, 52, "d"),
        Column("difference", 52, "d", 3), Column("unit", 26), Column(text(["saved"]), 76),
    ]  # fmt: skip
    body = [
        Row((
            bold(row.key), row.region, _mass(row.reference, digits), _mass(row.variant, digits),
            _difference(-_saving(row), digits), unit, ShareBar(_saving(row), low, high),
        ))
        for row in rows
    ]  # fmt: skip
    share = f"{signed(-100 * saved / reference_sum, 1)} %" if reference_sum else ""
    last = Row(
        (
            "",
            total,
            _mass(reference_sum, digits),
            _mass(variant_sum, digits),
            _difference(-saved, digits),
            unit,
            share,
        ),
        kind="total",
    )
    return table(kit, columns, [*body, last] if body else [])


def _saving(row: MassRow) -> float:
    return (row.reference or 0) - (row.variant or 0)


def _mass(value: float | None, digits: int) -> str:
    return "–" if value is None else f"{value:.{digits}f}"


def _difference(value: float, digits: int) -> str:
    return signed(value, digits) if round(value, digits) else f"{0:.{digits}f}"
