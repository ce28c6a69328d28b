"""Blocks of whole lines → float64 columns, many rows at once; what is not clean is left to the exact reading."""

from __future__ import annotations

import io
from dataclasses import dataclass, field, replace

import numpy as np

from dossier.evidence.clock import clock_column
from dossier.evidence.columnar import Columns, parse_columnar
from dossier.evidence.field_places import FieldPlaces, field_places
from dossier.evidence.numbers import RowForm

_UNIT_SEPARATOR = b"\x1f"
_PADDING = (ord(" "), ord('"'))
_MOST_PADDING = 24
_SIGNS = np.isin(np.arange(256), [ord("+"), ord("-")])
_OPENING = np.isin(np.arange(256), [ord(character) for character in "0123456789.,"])


@dataclass(frozen=True)
class CleanRows:
    """`columns` (needed) of (rows,) float64; `is_row` (lines,) bool says which lines of the block are those rows, None =
    all; `grouped` says of fields that show it whether their thousands are grouped."""

    columns: list[np.ndarray]
    is_row: np.ndarray | None = None
    grouped: dict[int, bool] = field(default_factory=dict)


def clean_rows(block: bytes, form: RowForm) -> CleanRows | None:
    """The rows of a block whose other lines (repeated headers, remarks, blank lines, gaps) are seen not to be rows; None
    where the rows cannot be told from the rest or do not hold plain numbers."""
    rows = parse_fast(block, form)
    if rows is not None:
        return rows
    is_row = row_lines(block, form)
    if is_row.all() or not is_row.any():
        return None
    edges = line_edges(block).tolist()
    rows = parse_fast(b"".join(block[edges[start] : edges[end]] for start, end in line_runs(is_row).tolist()), form)
    return None if rows is None else replace(rows, is_row=is_row)


def parse_fast(block: bytes, form: RowForm) -> CleanRows | None:
    """The needed columns of a block of nothing but rows; None if any line needs a closer look."""
    text, delimiter = _plain(block, form)
    if b"\r" in text or not text or text.isspace():
        return None
    needed = [place for place in form.needed if place not in form.clocks]
    found = {}
    if form.clocks:
        if (read := _clocks(text, delimiter, form)) is None:
            return None
        found, text = read
    numbers = _numbers(text, delimiter, form, needed) if needed else Columns([])
    if numbers is None:
        return None
    found.update(zip(needed, numbers.columns, strict=True))
    return CleanRows([found[place] for place in form.needed], grouped=numbers.grouped)


def row_lines(block: bytes, form: RowForm) -> np.ndarray:
    """Whether each line (lines,) of `block` is built like a row: as many fields, and every needed one opens like a number."""
    text = _with_line_feeds(block, form)
    delimiter = form.delimiter.encode("ascii")
    if b'"' in text:
        text, delimiter = text.replace(b'"' + delimiter + b'"', _UNIT_SEPARATOR), _UNIT_SEPARATOR
    places = field_places(text, delimiter)
    built = places.count == form.fields
    if not built.any():
        return built
    characters, lines = places.characters, np.flatnonzero(built)
    for needed in form.needed:
        at = places.starts(lines, needed)
        for _ in range(_MOST_PADDING):
            padding = np.isin(characters[at], _PADDING)
            if not padding.any():
                break
            at = at + padding
        at = at + _SIGNS[characters[at]]
        built[lines] &= _OPENING[characters[at]]
    return built


def line_edges(block: bytes) -> np.ndarray:
    """Where each line of `block` begins, and the end of the last: (lines + 1,)."""
    ends = np.flatnonzero(np.frombuffer(block, np.uint8) == ord("\n")) + 1
    return np.concatenate(([0], ends, [] if block.endswith(b"\n") else [len(block)])).astype(np.int64)


def line_runs(wanted: np.ndarray) -> np.ndarray:
    """First line and the line behind the last of each run of lines that are `wanted` (lines,) bool: (runs, 2)."""
    return np.flatnonzero(np.diff(np.concatenate(([False], wanted, [False])))).reshape(-1, 2)


def _with_line_feeds(block: bytes, form: RowForm) -> bytes:
    """The text with \\n behind each line and no delimiter before it that opens no field."""
    text = block.replace(b"\r\n", b"\n") if b"\r" in block else block
    if not text.endswith(b"\n"):
        text += b"\n"
    return text.replace(form.delimiter.encode("ascii") + b"\n", b"\n") if form.trailing else text


def _plain(block: bytes, form: RowForm) -> tuple[bytes, bytes]:
    """The text and its delimiter; b"" for quotes that need a closer look."""
    text, delimiter = _with_line_feeds(block, form), form.delimiter.encode("ascii")
    if b'"' not in text or form.thousands:
        return text, delimiter
    return _unquoted(text, delimiter), _UNIT_SEPARATOR


def _unquoted(text: bytes, delimiter: bytes) -> bytes:
    """Rows in which every field is in quotes, with a delimiter of their own; b"" for any other text."""
    bare = text.replace(b'"' + delimiter + b'"', _UNIT_SEPARATOR).replace(b'"\n"', b"\n")
    if delimiter == b" " or _UNIT_SEPARATOR in text or not (text.startswith(b'"') and text.endswith(b'"\n')):
        return b""
    bare = bare[1:-2] + b"\n"
    return b"" if b'"' in bare else bare


def _clocks(text: bytes, delimiter: bytes, form: RowForm) -> tuple[dict[int, np.ndarray], bytes] | None:
    """The fields of time of day in seconds, by their place, and the text with zeros in their stead; None if one holds
    anything else."""
    places = field_places(text, delimiter)
    if not _all_rows(places, form):
        return None
    lines, found = np.arange(len(places.count)), {}
    rest = places.characters.copy()
    for place in form.clocks:
        starts, ends = places.starts(lines, place), places.ends(lines, place)
        column = clock_column(places.characters, starts, ends)
        if column is None:
            return None
        found[place] = column
        for step in range(int((ends - starts).max())):
            rest[(starts + step)[starts + step < ends]] = ord("0")
    return found, rest.tobytes()


def _all_rows(places: FieldPlaces, form: RowForm) -> bool:
    return bool((places.count == form.fields).all())


def _numbers(text: bytes, delimiter: bytes, form: RowForm, needed: list[int]) -> Columns | None:
    """The columns `needed` of numbers; None for a mark that is not the file's, and whatever else is no row of them."""
    other = b"." if form.decimal == "," else b","
    if not form.thousands and delimiter != other and other in text:
        return None
    found = parse_columnar(text, delimiter, form, needed)
    if found is not None or form.thousands or delimiter.decode("ascii") == form.decimal:
        return found
    if not _all_rows(field_places(text, delimiter), form):
        return None
    if form.decimal == ",":
        text = text.replace(b",", b".")
    try:
        rows = np.loadtxt(
            io.BytesIO(text), delimiter=None if delimiter == b" " else delimiter.decode("ascii"), usecols=needed,
            comments=None, ndmin=2,
        )  # fmt: skip
    except ValueError:
        return None
    return Columns(list(rows.T)) if len(rows) == text.count(b"\n") and np.isfinite(rows).all() else None
