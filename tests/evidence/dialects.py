"""How machines write a record: delimiters, decimal marks, encodings, headings, repeated headers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np


@dataclass(frozen=True)
class Dialect:
    """`units`: "line" (a line below the names), "brackets", "parentheses", "slash" or "none"; `scales`
    multiply time, travel and load into `unit_names`; `block` repeats the header before each so many rows (0 =
    never)."""

    delimiter: str = ";"
    decimal: str = ","
    encoding: str = "utf-8"
    newline: str = "\r\n"
    header: tuple[str, ...] = ()
    names: tuple[str, ...] = ("Time", "Displacement", "Force")
    units: str = "line"
    unit_names: tuple[str, ...] = ("s", "mm", "kN")
    scales: tuple[float, ...] = (1.0, 1.0, 1e-3)
    formats: tuple[str, ...] = ("%.3f", "%.5f", "%.4f")
    trailing: bool = False
    quoted: bool = False
    block: int = 0
    footer: tuple[str, ...] = ()


GERMAN = Dialect(
    header=("Prüfprotokoll;Radiale Steifigkeit", "Prüfer;M. Muster", "Datum;12.03.2026 10:14", "Rate;10,0;mm/min", ""),
    names=("Prüfzeit", "Weg", "Kraft"), encoding="latin-1",
)  # fmt: skip
ENGLISH = Dialect(
    delimiter=",", decimal=".", newline="\n", units="brackets", encoding="utf-8-sig",
    header=("Radial stiffness", "Operator,A. Example"), names=("Time", "Displacement", "Force"),
)  # fmt: skip
WIDE = Dialect(
    delimiter="\t", encoding="utf-16", units="parentheses", names=("Zeit", "Weg Taster", "Kraft"),
    header=tuple(f"Kanal {n}:\tAufnehmer {n * 7}" for n in range(1, 30)), unit_names=("s", "µm", "N"),
    scales=(1.0, 1e3, 1.0), formats=("%.2f", "%.2f", "%.1f"),
)  # fmt: skip
COLUMNS = Dialect(
    delimiter=" ", decimal=".", newline="\n", units="slash", header=("# data file",), names=("t", "s", "F"),
    unit_names=("s", "mm", "N"), scales=(1.0, 1.0, 1.0), formats=("%10.3f", "%12.6E", "%12.5E"),
)  # fmt: skip
BLOCKS = Dialect(
    block=700, header=("Block", "Kommentar;Zyklus", ""), names=("Zeit", "Kraft", "Verformung"), trailing=True,
    unit_names=("s", "N", "mm"), scales=(1.0, 1.0, 1.0), formats=("%.3f", "%.1f", "%.5f"),
)  # fmt: skip
QUOTED = Dialect(delimiter=",", decimal=",", quoted=True, newline="\n", names=("Time", "Travel", "Load"))
OLD = Dialect(delimiter=";", decimal=".", encoding="utf-16-be", newline="\r", footer=("", "Ende der Prüfung"))
DIALECTS = {
    "german": GERMAN, "english": ENGLISH, "wide": WIDE, "columns": COLUMNS, "blocks": BLOCKS, "quoted": QUOTED,
    "old": OLD,
}  # fmt: skip


def write(path: Path, dialect: Dialect, time: np.ndarray, travel: np.ndarray, load: np.ndarray) -> Path:
    """Write the record to `path` in the dialect; columns follow the dialect's names (a name with F, force,
    Kraft or load holds the load, with time or Zeit the time, else the travel)."""
    text = content(dialect, time, travel, load)
    encoded = text.encode("utf-16-le" if dialect.encoding == "utf-16" else dialect.encoding)
    path.write_bytes(b"\xff\xfe" + encoded if dialect.encoding == "utf-16" else encoded)
    return path


def content(dialect: Dialect, time: np.ndarray, travel: np.ndarray, load: np.ndarray) -> str:
    """The text of the file."""
    columns = [_pick(name, time, travel, load) for name in dialect.names]
    scaled = [values * scale for values, scale in zip(columns, dialect.scales, strict=True)]
    write_row = _row_writer(dialect)
    rows = [write_row(row) for row in zip(*scaled, strict=True)]
    heading = [*dialect.header, *_heading(dialect)]
    size = dialect.block or len(rows)
    lines = [line for start in range(0, len(rows), size) for line in [*heading, *rows[start : start + size]]]
    return dialect.newline.join([*lines, *dialect.footer]) + dialect.newline


def _pick(name: str, time: np.ndarray, travel: np.ndarray, load: np.ndarray) -> np.ndarray:
    if name in ("F", "Force", "Kraft", "Load", "Torque", "Drehmoment"):
        return load
    return time if name in ("t", "Time", "Zeit", "Prüfzeit") else travel


def _row_writer(dialect: Dialect) -> Callable[[tuple[float, ...]], str]:
    def write_row(row: tuple[float, ...]) -> str:
        fields = [form % value for form, value in zip(dialect.formats, row, strict=True)]
        if dialect.decimal == ",":
            fields = [field.replace(".", ",") for field in fields]
        return _line(dialect, fields)

    return write_row


def _heading(dialect: Dialect) -> list[str]:
    names = list(dialect.names)
    marks = {"brackets": "%s [%s]", "parentheses": "%s (%s)", "slash": "%s/%s"}
    if dialect.units in marks:
        names = [marks[dialect.units] % pair for pair in zip(names, dialect.unit_names, strict=True)]
    lines = [_line(dialect, names)]
    return [*lines, _line(dialect, list(dialect.unit_names))] if dialect.units == "line" else lines


def _line(dialect: Dialect, fields: list[str]) -> str:
    if dialect.quoted:
        fields = [f'"{field}"' for field in fields]
    return dialect.delimiter.join(fields) + (dialect.delimiter if dialect.trailing else "")
