"""What the reading and evaluation of measured files raise; every message names place, finding and remedy."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np

SHOWN = 40


class UnreadableFile(Exception):
    """A measured file that cannot be taken; nothing of it was imported."""


class EvaluationError(ValueError):
    """A curve that was read but does not carry what the evaluation asks for."""


class RefusedFile(ValueError):
    """A file or an argument that `evaluate_file` does not evaluate; the message says why and what to do."""


class Cancelled(Exception):
    """The caller asked to stop."""


def quoted(text: str) -> str:
    """`text` as shown in a message: control characters made visible, cut after 40 characters."""
    plain = "".join(character if character.isprintable() else repr(character)[1:-1] for character in text)
    return f'"{plain[:SHOWN]}…"' if len(plain) > SHOWN else f'"{plain}"'


def line_list(lines: Sequence[int] | np.ndarray, shown: int = 5) -> str:
    """ "line 7" or "lines 7, 9, 12 and 40 more"."""
    head = ", ".join(str(line) for line in lines[:shown])
    more = f" and {len(lines) - shown} more" if len(lines) > shown else ""
    return f"{'line' if len(lines) == 1 else 'lines'} {head}{more}"


def where(name: str, line: int, column: int = 0) -> str:
    """ "E-014.csv line 812 column 3"."""
    return f"{name} line {line}" + (f" column {column}" if column else "")
