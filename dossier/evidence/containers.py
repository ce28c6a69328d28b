"""Measured files that are no text: workbooks (XLSX), TDMS and MAT files, turned into the text of one table.

The text is tab-separated with a decimal point, names and units in its first line and every number in full, so that form,
columns and reading scheme are found as in any other file; the raw file itself is kept as it came.
"""

from __future__ import annotations

import io
import math
import re
import zipfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

from dossier.evidence.errors import UnreadableFile

HEAD = 512
LARGEST = 2 << 30
_SHEET_PART = "xl/workbook.xml"
_SAMPLED = 400
_FIGURE = re.compile(r"[+\-]?\d[\d.,]*(?:[eE][+\-]?\d+)?")


def text_of_container(path: Path, name: str, head: bytes) -> bytes | None:
    """The table in the file at `path` as UTF-8 text, None if its first bytes `head` are of no known container.

    Raises UnreadableFile for a container without a table of numbers, a damaged one, or one whose reader is not
    installed.
    """
    reader = _reader(head)
    if reader is None:
        return None
    try:
        return reader(path, name)
    except (UnreadableFile, MemoryError):
        raise
    except ImportError as error:
        raise UnreadableFile(f"{name}: {_MISSING[reader]} ({error})") from error
    except Exception as error:  # every reader has its own ways to say that a file is damaged
        raise UnreadableFile(f"{name}: cannot be read ({type(error).__name__}: {error}); export the measurement again") from error


def _reader(head: bytes) -> Callable[[Path, str], bytes] | None:
    if head.startswith(b"PK\x03\x04"):
        return _workbook
    if head.startswith(b"TDSm"):
        return _tdms
    if head.startswith(b"MATLAB 5.0"):
        return _mat
    if head.startswith((b"MATLAB 7.3", b"\x89HDF\r\n\x1a\n")):
        return _mat_hdf
    return None


def _workbook(path: Path, name: str) -> bytes:
    with zipfile.ZipFile(path) as packed:
        if _SHEET_PART not in packed.namelist():
            raise UnreadableFile(f"{name} is a packed archive, no workbook; unpack it and give the measured file")
        size = sum(entry.file_size for entry in packed.infolist())
        if size > LARGEST:
            raise UnreadableFile(f"{name}: {size} bytes unpacked, at most {LARGEST} are read; export the sheet as CSV")
    from openpyxl import load_workbook

    with path.open("rb") as handle:
        book = load_workbook(handle, read_only=True, data_only=True)
        filled = {sheet.title: _numbers_of(sheet) for sheet in book.worksheets}
        best = max(filled, key=lambda title: filled[title], default="")
        if filled.get(best, 0) < 2:
            raise UnreadableFile(f"{name}: no sheet among {', '.join(filled) or 'none'} has rows of numbers")
        return _joined(book[best].iter_rows(values_only=True))


def _numbers_of(sheet: Any) -> int:
    """How many numbers the first rows hold, those stored as text too."""
    rows = sheet.iter_rows(max_row=_SAMPLED, values_only=True)
    return sum(_FIGURE.fullmatch(_cell(cell).strip()) is not None for row in rows for cell in row)


def _tdms(path: Path, name: str) -> bytes:
    from nptdms import TdmsFile

    file = TdmsFile.read(path)
    if file.file_status.incomplete_final_segment:
        raise UnreadableFile(f"{name}: its last segment is cut short; export the measurement again")
    groups = []
    for group in file.groups():
        channels = [channel for channel in group.channels() if len(channel) and channel.data_type.nptype is not None]
        length = max((len(channel) for channel in channels), default=0)
        groups.append([channel for channel in channels if len(channel) == length])
    largest = max(groups, key=lambda channels: sum(map(len, channels)), default=[])
    if not largest:
        raise UnreadableFile(f"{name}: no group has channels with values")
    columns: dict[str, Sequence[Any]] = {}
    for channel in largest:
        unit = channel.properties.get("unit_string", "")
        columns[f"{channel.name} [{unit}]" if unit else channel.name] = channel[:]
    return _of_columns({**_sample_times(largest, columns), **columns})


def _sample_times(channels: Sequence[Any], columns: dict[str, Sequence[Any]]) -> dict[str, Sequence[float]]:
    """The times of a waveform, where the file states them by their step only."""
    step = channels[0].properties.get("wf_increment")
    if not step or any("time" in title.casefold() for title in columns):
        return {}
    start = channels[0].properties.get("wf_start_offset", 0.0)
    return {"Time [s]": [start + step * number for number in range(len(channels[0]))]}


def _mat(path: Path, name: str) -> bytes:
    from scipy.io import loadmat

    found = loadmat(path, squeeze_me=True, struct_as_record=False)
    return _of_columns(_longest(name, _vectors({key: value for key, value in found.items() if not key.startswith("__")})))


def _vectors(values: dict[str, Any]) -> Iterator[tuple[str, Sequence[Any]]]:
    """Named columns: vectors, the columns of matrices, and those of one structure."""
    for title, value in values.items():
        if hasattr(value, "_fieldnames"):
            yield from _vectors({field: getattr(value, field) for field in value._fieldnames})
        elif getattr(value, "ndim", 0) == 1 and value.dtype.kind in "fiu" and value.size > 1:
            yield title, value
        elif getattr(value, "ndim", 0) == 2 and value.dtype.kind in "fiu":
            table = value if value.shape[0] >= value.shape[1] else value.T
            yield from ((f"{title} {number}", column) for number, column in enumerate(table.T, 1))


def _mat_hdf(path: Path, name: str) -> bytes:
    import h5py

    found: dict[str, Sequence[Any]] = {}

    def collect(title: str, entry: Any) -> None:
        if not isinstance(entry, h5py.Dataset) or title.startswith("#") or entry.dtype.kind not in "fiu":
            return
        for key, column in _vectors({title.rsplit("/", 1)[-1]: entry[()].squeeze()}):
            unit = entry.attrs.get("unit") or entry.attrs.get("units") or ""
            unit = unit.decode() if isinstance(unit, bytes) else str(unit)
            found[f"{key} [{unit}]" if unit else key] = column

    with h5py.File(path, "r") as file:
        file.visititems(collect)
    return _of_columns(_longest(name, found.items()))


def _longest(name: str, columns: Iterable[tuple[str, Sequence[Any]]]) -> dict[str, Sequence[Any]]:
    """The columns of the greatest common length."""
    listed = list(columns)
    length = max((len(column) for _, column in listed), default=0)
    found = {title: column for title, column in listed if len(column) == length}
    if len(found) < 2:
        there = ", ".join(f"{title} ({len(column)})" for title, column in listed) or "none"
        raise UnreadableFile(f"{name}: no two columns of numbers are equally long; found {there}")
    return found


def _of_columns(columns: dict[str, Sequence[Any]]) -> bytes:
    return _joined(_rows(columns))


def _rows(columns: dict[str, Sequence[Any]]) -> Iterator[Sequence[Any]]:
    yield list(columns)
    yield from zip(*(column.tolist() if hasattr(column, "tolist") else column for column in columns.values()), strict=True)


def _joined(rows: Iterable[Sequence[Any]]) -> bytes:
    text = io.StringIO()
    for row in rows:
        cells = [_cell(cell) for cell in row]
        if any(cells):
            text.write("\t".join(cells) + "\n")
    return text.getvalue().encode()


def _cell(value: Any) -> str:
    """One cell; numbers in full, times in seconds, text on one line."""
    if value is None:
        return ""
    if isinstance(value, float):
        return repr(value) if math.isfinite(value) else "nan"
    if isinstance(value, (datetime, date)):
        return value.isoformat(sep=" ") if isinstance(value, datetime) else value.isoformat()
    if isinstance(value, time):
        return value.isoformat()
    if isinstance(value, timedelta):
        return repr(value.total_seconds())
    return " ".join(str(value).split())


_MISSING = {
    _workbook: "workbooks need openpyxl; install it (pip install 'joint-dossier[xlsx]') or export the sheet as CSV",
    _tdms: "TDMS files need nptdms, which is not part of this program (licence LGPL); install it, or export as CSV",
    _mat: "MAT files need scipy; install it, or export as CSV",
    _mat_hdf: "MAT files of version 7.3 need h5py; install it (pip install 'joint-dossier[mat]') or save as version 7",
}
