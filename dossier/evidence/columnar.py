"""Clean blocks of rows read by the columnar reader of the extra `big`, where it is installed."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from dossier.evidence.numbers import GROUPED, MARKS_OF_GROUPS

if TYPE_CHECKING:
    from dossier.evidence.numbers import RowForm

_LONG = r"\A[+\-]?[0-9]{4,}([.,][0-9]*)?\z"
_STRAY_QUOTE = re.compile(rb'[^\n;,\t|]"[^\n;,\t|]')


class Columns(NamedTuple):
    """Columns (rows,) float64, and of fields that show it whether their thousands are grouped."""

    columns: list[np.ndarray]
    grouped: dict[int, bool] = {}


@cache
def _reader() -> Any:
    try:
        import polars
    except ImportError:
        return None
    return polars


def parse_columnar(text: bytes, delimiter: bytes, form: RowForm, needed: list[int]) -> Columns | None:
    """The columns `needed` (rows,) float64 of whole lines ended by a line feed; None where the reader is not installed,
    the form is not one it reads, or any field of a needed column is no finite number.

    Each line must have as many fields as the form: the reader refuses longer ones as long as it is asked for all
    columns; a shorter or blank one has no number in a needed last column, and where that is not needed the number of
    delimiters of the block shows it. Where fields stand in quotes, line ends among them would leave fewer rows than lines.
    """
    polars = _reader()
    if polars is None or delimiter == b" " or not form.thousands and delimiter.decode("ascii") == form.decimal:
        return None
    quotes = form.thousands and b'"' in text
    if (form.fields - 1 not in needed and (quotes or not _all_delimited(text, delimiter, form.fields))) or (
        quotes and _STRAY_QUOTE.search(text)
    ):
        return None
    number = polars.String if form.thousands else polars.Float64
    names, grouped = [f"c{place}" for place in range(form.fields)], {}
    try:
        frame = polars.read_csv(
            text, has_header=False, separator=delimiter.decode("ascii"), quote_char='"' if quotes else None,
            decimal_comma=form.decimal == "," and not form.thousands,
            schema={name: number if place in needed else polars.String for place, name in enumerate(names)},
        )  # fmt: skip
        if form.thousands:
            found = _without_groups(polars, frame, [names[place] for place in needed], form.decimal)
            if found is None:
                return None
            frame, grouped = found[0], {int(name[1:]): shown for name, shown in found[1].items()}
        columns = [frame.get_column(names[place]).to_numpy() for place in needed]
    except (polars.exceptions.PolarsError, ValueError):
        return None
    whole = not quotes or len(frame) == text.count(b"\n")
    clean = whole and all(np.isfinite(column).all() for column in columns)
    return Columns(columns, grouped) if clean else None


def _all_delimited(text: bytes, delimiter: bytes, fields: int) -> bool:
    """Whether the text has as many delimiters as that many lines of `fields` fields have."""
    characters = np.frombuffer(text, np.uint8)
    lines = np.count_nonzero(characters == ord("\n"))
    return bool(np.count_nonzero(characters == ord(delimiter)) == lines * (fields - 1))


def _without_groups(polars: Any, frame: Any, names: list[str], decimal: str) -> tuple[Any, dict[str, bool]] | None:
    """The columns of texts as numbers, null where one is none (`numbers.value` with thousands), and whether they are grouped
    by thousands where they show it; None where one is so in part."""
    marks = "[" + ("." if decimal == "," else ",") + MARKS_OF_GROUPS.pattern[1:]
    frame = frame.select(polars.col(name).str.strip_chars() for name in names)
    texts = {name: polars.col(name) for name in names}
    found = frame.select(
        polars.concat_list(text.str.contains(marks).any(), text.str.contains(_LONG).any()).alias(name)
        for name, text in texts.items()
    ).row(0)  # fmt: skip
    if any(all(each) for each in found):
        return None
    shown = {name: each[0] for name, each in zip(names, found, strict=True) if any(each)}
    for name, text in texts.items():
        if shown.get(name):
            grouped = text.str.contains(_whole(GROUPED[decimal]))
            texts[name] = polars.when(grouped).then(text.str.replace_all(marks, "")).otherwise(text)
    return frame.select(
        text.str.replace(",", ".", literal=True).cast(polars.Float64, strict=False).alias(name) for name, text in texts.items()
    ), shown  # fmt: skip


def _whole(pattern: re.Pattern[str]) -> str:
    r"""The pattern for the whole of a text; \d stands for the ten ASCII digits, as in the pattern given."""
    return rf"\A(?:{pattern.pattern})\z".replace(r"\d", "[0-9]")
