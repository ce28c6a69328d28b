"""SHA-256 of bytes, files and plain documents.

The digest of a document is taken over its canonical JSON (RFC 8785, through the `rfc8785` package), so that the
order of keys, spacing and the writing of a number (1, 1.0, 1e0) cannot matter.
"""

from __future__ import annotations

import hashlib
import math
import re
from collections.abc import Mapping
from datetime import date, time
from pathlib import Path
from typing import Any

CHUNK = 1 << 20
_SURROGATE = re.compile("[\ud800-\udfff]")
LARGEST_EXACT_INTEGER = 2**53 - 1


def sha256_of_bytes(data: bytes) -> str:
    """Lower-case hexadecimal SHA-256."""
    return hashlib.sha256(data).hexdigest()


def sha256_of_file(path: Path) -> str:
    """SHA-256 of a file, read in pieces. Raises OSError."""
    digest = hashlib.sha256()
    with open(path, "rb") as file:
        while chunk := file.read(CHUNK):
            digest.update(chunk)
    return digest.hexdigest()


def canonical_json(document: Any) -> bytes:
    """Canonical JSON bytes of a plain value. Raises ValueError that names the field it cannot hold."""
    import rfc8785

    _check(document, "")
    return rfc8785.dumps(_plain(document))


def sha256_of_document(document: Any) -> str:
    """SHA-256 of the canonical JSON of a plain value. Raises ValueError that names the field."""
    return sha256_of_bytes(canonical_json(document))


def _check(value: Any, field: str) -> None:
    if value is None or isinstance(value, bool):
        return
    if isinstance(value, int):
        if abs(value) > LARGEST_EXACT_INTEGER:
            _refuse(field, value, "lies beyond ±(2^53 − 1), which JSON cannot keep exactly; give it as text")
    elif isinstance(value, float):
        if not math.isfinite(value):
            _refuse(field, value, "is not a finite number; correct it or leave the field out")
    elif isinstance(value, str):
        if not value.isascii() and _SURROGATE.search(value):
            _refuse(field, value, "holds a lone surrogate, which is no text; remove it")
    elif isinstance(value, date | time):
        _refuse(field, value, f'is a date or time object; write it as text, "{value.isoformat()}"')
    elif isinstance(value, Mapping):
        for key, item in value.items():
            if not isinstance(key, str):
                _refuse(field, key, "is a key that is not text")
            _check(key, f"{field}.{key!r}" if field else repr(key))
            _check(item, f"{field}.{key}" if field else key)
    elif isinstance(value, list | tuple):
        for number, item in enumerate(value):
            _check(item, f"{field}[{number}]")
    else:
        _refuse(field, value, f"is of type {type(value).__name__}, which has no JSON form; give a plain value")


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value


def _refuse(field: str, value: object, reason: str) -> None:
    raise ValueError(f"{field or 'document'} = {value!r} {reason}")
