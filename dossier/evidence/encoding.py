"""Bytes of a measured file → lines: encoding, line ends, blocks of whole lines."""

from __future__ import annotations

import codecs
import io
import stat
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import numpy as np

from dossier.evidence.containers import HEAD, text_of_container
from dossier.evidence.errors import UnreadableFile, where

CHUNK = 1 << 21
MAX_LINE = 100_000
TRUE_MINUS = "−".encode()
_PLACES, _PLACE = 32, 1 << 16
_BOMS = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))
_FOREIGN = (
    (b"\x1f\x8b", "packed (gzip)"), (b"BZh", "packed (bzip2)"), (b"\xfd7zXZ\x00", "packed (xz)"),
    (b"7z\xbc\xaf\x27", "packed (7z)"), (b"Rar!", "packed (rar)"), (b"\x28\xb5\x2f\xfd", "packed (zstd)"),
    (b"%PDF-", "a PDF document"), (b"\x89PNG", "a picture (PNG)"), (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"\xd0\xcf\x11\xe0", "a workbook or document of the older binary form"), (b"SQLite format 3", "a data base"),
)  # fmt: skip
_CONTROL = frozenset(range(32)) - frozenset(b"\t\n\v\f\r")


@dataclass(frozen=True)
class TextForm:
    """How the bytes of a file become lines: codec name, length of the byte order mark, line end."""

    encoding: str
    bom: int
    newline: str

    @property
    def wide(self) -> bool:
        """Whether a character takes two bytes."""
        return self.encoding.startswith("utf-16")

    @property
    def unicode(self) -> bool:
        """Whether the blocks are UTF-8."""
        return self.wide or self.encoding == "utf-8"


def opened(path: Path, name: str) -> BinaryIO:
    """The text of the file, open for reading bytes; UnreadableFile says why it is not.

    A container of tables (workbook, TDMS, MAT) is given as the text of its table.
    """
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise UnreadableFile(f"{name} is no file but a folder or a device; expected a text file; name one measured file")
        handle = path.open("rb")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise UnreadableFile(f"{name} cannot be opened: {reason}; expected a text file; check its path and rights") from error
    try:
        text = text_of_container(path, name, handle.read(HEAD))
    except BaseException:
        handle.close()
        raise
    if text is None:
        handle.seek(0)
        return handle
    handle.close()
    return io.BytesIO(text)


def size_of(handle: BinaryIO) -> int:
    """Number of bytes behind `handle`, which is left at its start."""
    size = handle.seek(0, io.SEEK_END)
    handle.seek(0)
    return size


def detect(head: bytes, name: str) -> TextForm:
    """Encoding and line end from the first bytes of the file.

    A byte order mark decides; without one the zero bytes of UTF-16 do, then valid UTF-8, else Latin-1
    (Windows-1252 when its extra characters occur). Raises UnreadableFile for an empty or binary file.
    """
    if not head:
        raise UnreadableFile(
            f"{name} is empty (0 bytes); expected a table of numbers; export the measurement again"
        )
    if head.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)):
        raise UnreadableFile(f"{name} is UTF-32; expected UTF-8, UTF-16 or Latin-1; export it as UTF-8")
    _refuse_foreign(head, name)
    encoding, bom = _marked(head) or (_unmarked(head), 0)
    text = head[bom:].decode(encoding, "replace")
    _refuse_binary(text, name)
    if "\r\n" in text:
        newline = "\r\n"
    else:
        newline = "\r" if "\r" in text and "\n" not in text else "\n"
    return TextForm(encoding, bom, newline)


def _marked(head: bytes) -> tuple[str, int] | None:
    return next(((encoding, len(mark)) for mark, encoding in _BOMS if head.startswith(mark)), None)


def _unmarked(head: bytes) -> str:
    even, odd = head[0::2], head[1::2]
    for encoding, zeros, others in (("utf-16-le", odd, even), ("utf-16-be", even, odd)):
        if zeros.count(0) > 0.7 * len(zeros) and others.count(0) < 0.05 * len(others):
            return encoding
    try:
        codecs.getincrementaldecoder("utf-8")().decode(head)
        return "utf-8"
    except UnicodeDecodeError:
        extra = [byte for byte in head if 0x80 <= byte <= 0x9F]
        return "cp1252" if extra and not set(extra) & {0x81, 0x8D, 0x8F, 0x90, 0x9D} else "latin-1"


def _refuse_foreign(head: bytes, name: str) -> None:
    """Raise UnreadableFile for a file whose first bytes say what else it is, whatever its name ends in."""
    found = next((words for mark, words in _FOREIGN if head.startswith(mark)), None)
    if found is not None:
        remedy = "unpack it and give the measured file" if found.startswith("packed") else "export the measurement as text (CSV)"
        raise UnreadableFile(f"{name} is {found}; expected a text file with a table of numbers; {remedy}")


def _refuse_binary(text: str, name: str) -> None:
    found = next((place for place, character in enumerate(text) if ord(character) in _CONTROL), None)
    if found is not None:
        line = text.count("\n", 0, found) + 1
        raise UnreadableFile(
            f"{where(name, line)}: byte {ord(text[found]):#04x} is no text; expected a text file with a table of "
            "numbers; export the measurement as text (CSV)"
        )


def head_lines(handle: BinaryIO, name: str, size: int, limit: int) -> tuple[TextForm, list[str]]:
    """Form of the file and its whole lines among the first `limit` bytes (all lines of a shorter file)."""
    handle.seek(0)
    head = handle.read(limit)
    form = detect(head, name)
    text = head[form.bom :].decode(form.encoding, "replace")
    lines = split_lines(text, form.newline)
    if len(head) < size and lines:
        lines.pop()
    if not lines and len(text) > MAX_LINE:
        refuse_long(name, 1)
    for number, line in enumerate(lines, 1):
        if len(line) > MAX_LINE:
            refuse_long(name, number)
    return form, lines


def refuse_long(name: str, line: int) -> None:
    """Raise UnreadableFile for a line that no table has."""
    raise UnreadableFile(
        f"{where(name, line)}: more than {MAX_LINE} characters without a line end; expected one row of numbers per "
        "line; export with line ends"
    )


def split_lines(text: str, newline: str) -> list[str]:
    """Lines of `text` without their ends; no empty line behind the last line end."""
    lines = text.split("\r" if newline == "\r" else "\n")
    if lines and lines[-1] == "":
        lines.pop()
    return [line.rstrip("\r") for line in lines]


@dataclass(frozen=True)
class Block:
    """Whole lines as bytes (UTF-8 or the single-byte encoding), each ended by \\n but perhaps the file's
    last."""

    data: bytes
    first_line: int
    fraction: float
    last: bool


def blocks(
    handle: BinaryIO, form: TextForm, name: str, size: int, cancel: Callable[[], None] = lambda: None
) -> Iterator[Block]:
    """The file in blocks of about 2 MB of whole lines; calls `cancel` before each, which may raise."""
    handle.seek(form.bom)
    decoder = codecs.getincrementaldecoder(form.encoding)("replace")
    pending, line, taken = b"", 1, form.bom
    while chunk := handle.read(CHUNK):
        cancel()
        taken += len(chunk)
        if form.wide:
            chunk = decoder.decode(chunk).encode("utf-8", "replace")
        if form.newline == "\r":
            chunk = chunk.replace(b"\r", b"\n")
        final, whole = taken >= size, chunk.rfind(b"\n") + 1
        cut = len(chunk) if final and len(chunk) - whole + (0 if whole else len(pending)) <= MAX_LINE else whole
        data = b"".join((pending, memoryview(chunk)[:cut])) if cut else b""
        pending = chunk[cut:] if cut else pending + chunk
        if len(pending) > MAX_LINE:
            refuse_long(name, line + line_feeds(data, len(data)))
        if data:
            yield Block(data, line, min(taken / size, 1.0), final)
            line += line_feeds(data, len(data))
    if pending:
        yield Block(pending, line, 1.0, True)


def line_feeds(data: bytes, end: int, mark: bytes = b"\n") -> int:
    """Number of line ends among the first `end` bytes."""
    return int(np.count_nonzero(np.frombuffer(data, np.uint8, end) == ord(mark)))


def estimate_lines(handle: BinaryIO, form: TextForm, size: int) -> int:
    """Number of lines of a large file from the line ends in places spread over it."""
    step = (size - form.bom) // _PLACES
    mark, found = form.newline[-1].encode("latin-1"), 0
    for place in range(_PLACES):
        handle.seek(form.bom + place * step)
        found += handle.read(_PLACE).count(mark)
    return round(found * (size - form.bom) / (_PLACES * _PLACE))


def count_lines(handle: BinaryIO, form: TextForm) -> int:
    """Number of lines of the whole file; trailing blank space counts for none."""
    handle.seek(form.bom)
    mark = form.newline[-1].encode("latin-1")
    count, tail = 0, b""
    while chunk := handle.read(CHUNK):
        count += line_feeds(chunk, len(chunk), mark)
        tail = (tail + chunk)[-4096:]
    spare = tail[len(tail.rstrip(b"\r\n\t \0")) :]
    return count - spare.count(mark) + 1
