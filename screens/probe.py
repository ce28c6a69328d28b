"""Asks the terminal how wide it draws a symbol of doubtful width, before the first sheet is shown."""

from __future__ import annotations

import os
import re
import select
import time

SYMBOL = "°"
ASK_PLACE = "\x1b[6n"
_PLACE = re.compile(rb"\x1b\[(\d+);(\d+)R")
PATIENCE = 0.2


def draws_wide(read_from: int, write_to: int, patience: float = PATIENCE) -> bool | None:
    """Whether the symbol takes two columns there; None when the terminal does not answer within `patience` seconds.

    Both are file descriptors of a terminal. Its modes and its line are left as they were. Off POSIX always None.
    """
    try:
        import termios
        import tty
    except ImportError:
        return None
    if not (os.isatty(read_from) and os.isatty(write_to)):
        return None
    before = termios.tcgetattr(read_from)
    try:
        tty.setcbreak(read_from)
        os.write(write_to, f"\r{SYMBOL}{ASK_PLACE}".encode())
        column = _answered_column(read_from, patience)
        os.write(write_to, b"\r\x1b[K")
    except OSError:
        return None
    finally:
        termios.tcsetattr(read_from, termios.TCSADRAIN, before)
    return None if column is None else column > 2


def _answered_column(read_from: int, patience: float) -> int | None:
    """Column of the cursor from the terminal's answer; anything before it is passed over."""
    received, end = b"", time.monotonic() + patience
    while (left := end - time.monotonic()) > 0:
        if not select.select([read_from], [], [], left)[0]:
            return None
        received += os.read(read_from, 64)
        found = _PLACE.search(received)
        if found:
            return int(found.group(2))
    return None
