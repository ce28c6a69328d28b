"""TOML documents: reading with file and line in every error, writing in one stable layout.

The layout keeps the given order of fields, puts scalars and arrays before tables (TOML needs that), writes each
table under its own header and each list of tables as `[[name]]`. A table therefore never changes its form when
a field is added, and a difference of two versions shows the changed lines only.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from dossier.store.errors import BrokenFile

LINE_WIDTH = 100
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_STRINGS = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}(?!")'
    r"|'''.*?'{3,5}(?!')"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_SHORT_ESCAPES = {"\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r", '"': '\\"', "\\": "\\\\"}
_ESCAPED = re.compile(r'[\x00-\x1f"\\\x7f]')
_ESCAPED_IN_TEXT_BLOCK = re.compile(r'[\x00-\x08\x0b-\x1f"\\\x7f]')


def read_document(path: Path, name: str | None = None) -> tuple[dict[str, Any], bytes]:
    """The parsed document of a file and its exact bytes.

    `name` is how errors call the file (default: its path). Raises BrokenFile with file, line and reason.
    """
    shown = name if name is not None else str(path)
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise BrokenFile(shown, None, f"cannot be read: {error.strerror or error}") from error
    return parse_document(raw, shown), raw


def parse_document(raw: bytes, name: str) -> dict[str, Any]:
    """Parse TOML bytes (UTF-8, byte order mark and CRLF tolerated). Raises BrokenFile."""
    try:
        text = raw.removeprefix(b"\xef\xbb\xbf").decode("utf-8")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        reason = f"byte 0x{error.object[error.start]:02X} is not UTF-8 text; save the file as UTF-8"
        raise BrokenFile(name, line, reason) from error
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise BrokenFile(name, None, "arrays or tables are nested too deeply to be read") from error
    except ValueError as error:
        line, reason = _line_and_reason(str(error), text)
        raise BrokenFile(name, line, f"not readable as TOML: {reason}") from error


def dump_document(document: Mapping[str, Any]) -> bytes:
    """UTF-8 TOML of a document; reading it back gives an equal document, dumping that gives the same bytes.

    Values: text, bool, int, float, date, time, datetime, lists and tables with text keys. Raises TypeError or
    ValueError that names the field for anything else (None, numpy numbers, lone surrogates, ...).
    """
    lines: list[str] = []
    _write_table(document, "", "", False, lines)
    return "".join(f"{line}\n" for line in lines).encode()


def has_comments(raw: bytes) -> bool:
    """Whether the file carries a hand-written comment, which a save by the tool would drop."""
    text = raw.decode("utf-8", "replace").replace("\r\n", "\n")
    position = 0
    while True:
        comment = text.find("#", position)
        if comment < 0:
            return False
        quotes = [at for at in (text.find(mark, position, comment) for mark in "\"'") if at >= 0]
        if not quotes:
            return True
        string = _STRINGS.match(text, min(quotes))
        position = string.end() if string else min(quotes) + 1


def _line_and_reason(message: str, text: str) -> tuple[int | None, str]:
    match = re.fullmatch(r"(.*?) \(at (?:line (\d+), column (\d+)|end of document)\)", message, re.DOTALL)
    if match is None:
        return None, message
    if match[2] is None:
        return text.count("\n") + (not text.endswith("\n")), f"{match[1]} at the end of the file"
    return int(match[2]), f"{match[1]} at column {match[3]}"


def _write_table(table: Mapping[str, Any], header: str, where: str, in_list: bool, lines: list[str]) -> None:
    values, tables = [], []
    for key, value in table.items():
        if not isinstance(key, str):
            raise TypeError(f"{where or 'document'}: key {key!r} must be text")
        (tables if isinstance(value, Mapping) or _is_table_list(value) else values).append((key, value))
    if header and (values or in_list or not tables):
        if lines:
            lines.append("")
        lines.append(f"[[{header}]]" if in_list else f"[{header}]")
    for key, value in values:
        field = f"{where}.{key}" if where else key
        lines.append(_assignment(_key(key, field), value, field))
    for key, value in tables:
        field = f"{where}.{key}" if where else key
        below = f"{header}.{_key(key, field)}" if header else _key(key, field)
        if isinstance(value, Mapping):
            _write_table(value, below, field, False, lines)
        else:
            for number, item in enumerate(value):
                _write_table(item, below, f"{field}[{number}]", True, lines)


def _is_table_list(value: object) -> bool:
    return isinstance(value, list | tuple) and bool(value) and all(isinstance(v, Mapping) for v in value)


def _assignment(key: str, value: object, field: str) -> str:
    if isinstance(value, str) and "\n" in value:
        return f'{key} = """\n{_escaped(value, _ESCAPED_IN_TEXT_BLOCK, field)}"""'
    line = f"{key} = {_literal(value, field)}"
    if isinstance(value, list | tuple) and len(line) > LINE_WIDTH:
        items = "".join(f"    {_literal(item, f'{field}[{i}]')},\n" for i, item in enumerate(value))
        return f"{key} = [\n{items}]"
    return line


def _literal(value: object, field: str) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return int.__repr__(value)
    if isinstance(value, float):
        return float.__repr__(value)
    if isinstance(value, str):
        return f'"{_escaped(value, _ESCAPED, field)}"'
    if isinstance(value, datetime | date | time):
        return _date_literal(value, field)
    if isinstance(value, list | tuple):
        return f"[{', '.join(_literal(item, f'{field}[{i}]') for i, item in enumerate(value))}]"
    if isinstance(value, Mapping):
        pairs = [f"{_key(k, field)} = {_literal(v, f'{field}.{k}')}" for k, v in value.items()]
        return f"{{ {', '.join(pairs)} }}" if pairs else "{}"
    raise TypeError(
        f"{field} = {value!r} has no TOML form ({type(value).__name__}); "
        "give text, a plain number, true/false, a date, a list or a table, or leave the field out"
    )


def _date_literal(value: datetime | date | time, field: str) -> str:
    if isinstance(value, time) and value.tzinfo is not None:
        raise ValueError(f"{field} = {value} has a time zone, which TOML allows with a date only; add the date")
    offset = value.utcoffset() if isinstance(value, datetime) else None
    if offset is not None and offset.total_seconds() % 60:
        raise ValueError(f"{field} = {value} has an offset of broken minutes; convert it to UTC")
    return value.isoformat()


def _key(key: object, field: str) -> str:
    if not isinstance(key, str):
        raise TypeError(f"{field}: key {key!r} must be text")
    return key if _BARE_KEY.fullmatch(key) else f'"{_escaped(key, _ESCAPED, field)}"'


def _escaped(text: str, pattern: re.Pattern[str], field: str) -> str:
    try:
        text.encode("utf-8")
    except UnicodeEncodeError as error:
        raise ValueError(f"{field} holds the lone surrogate U+{ord(text[error.start]):04X}; remove it") from error
    return pattern.sub(lambda m: _SHORT_ESCAPES.get(m[0]) or f"\\u{ord(m[0]):04X}", text)
