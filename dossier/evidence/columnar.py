"""Clean blocks of rows read by the columnar reader of the extra `big`, where it is installed."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from dossier.evidence.numbers import RowForm


@cache
def _reader() -> Any:
    try:
        import polars
    except ImportError:
        return None
    return polars


def parse_columnar(text: bytes, delimiter: bytes, form: RowForm) -> np.ndarray | None:
    """The needed columns (rows, needed) float64 of whole lines ended by a line feed; None where the reader is not
    installed, the form is not one it reads, or any field of a needed column is no finite number.

    Each line must have as many fields as the form: the reader refuses longer ones as long as it is asked for all
    columns; a shorter one has no number in a needed last column, and where that is not needed the number of delimiters of
    the block shows it.
    """
    polars = _reader()
    if polars is None or delimiter == b" " or form.clocks or delimiter.decode("ascii") == form.decimal:
        return None
    characters = np.frombuffer(text, np.uint8)
    lines = int(np.count_nonzero(characters == ord("\n")))
    if form.fields - 1 not in form.needed and np.count_nonzero(characters == ord(delimiter)) != lines * (form.fields - 1):
        return None
    names = [f"c{place}" for place in range(form.fields)]
    try:
        frame = polars.read_csv(
            text, has_header=False, separator=delimiter.decode("ascii"), decimal_comma=form.decimal == ",", quote_char=None,
            schema={name: polars.Float64 if place in form.needed else polars.String for place, name in enumerate(names)},
        )  # fmt: skip
        rows = frame.select([names[place] for place in form.needed]).to_numpy()
    except (polars.exceptions.PolarsError, ValueError):
        return None
    return rows if len(rows) == lines and np.isfinite(rows).all() else None
