"""A program in a real pseudo-terminal."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import struct
import subprocess
import sys
import termios
import time

WAIT_S = 30.0  # far above the second a first frame takes, so that a busy machine fails nothing


class Terminal:
    """A process in a terminal of 24 rows and 80 columns."""

    def __init__(self, arguments: list[str], environment: dict[str, str] | None = None) -> None:
        self.master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        given = {**os.environ, "TERM": "xterm-256color", "COLORTERM": "truecolor", **(environment or {})}
        command = [sys.executable, "-m", "screens", *arguments]
        self.process = subprocess.Popen(command, stdin=slave, stdout=slave, stderr=slave, env=given, close_fds=True)
        os.close(slave)
        self.seen = b""

    def until(self, *texts: str) -> str:
        """Read until all of `texts` were drawn, in whatever order; returns everything drawn since the last call."""
        began, start = time.monotonic(), len(self.seen)
        while time.monotonic() - began < WAIT_S:
            ready, _, _ = select.select([self.master], [], [], 0.1)
            if ready:
                try:
                    self.seen += os.read(self.master, 65536)
                except OSError:
                    break
            drawn = self.seen[start:].decode("utf-8", "replace")
            if all(text in bare(drawn) for text in texts):
                return drawn
        raise AssertionError(f"{texts} were not drawn: {bare(self.seen[start:].decode('utf-8', 'replace'))[-2000:]}")

    def press(self, keys: str) -> None:
        """Send keys."""
        os.write(self.master, keys.encode())

    def ended(self) -> int:
        """Exit code, after reading what is still drawn."""
        began = time.monotonic()
        while self.process.poll() is None and time.monotonic() - began < WAIT_S:
            if select.select([self.master], [], [], 0.1)[0]:
                try:
                    self.seen += os.read(self.master, 65536)
                except OSError:
                    break
        return self.process.wait(WAIT_S)

    def close(self) -> None:
        """End it, whatever happened."""
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        os.close(self.master)


def bare(drawn: str) -> str:
    """What was drawn, without the sequences of the terminal."""
    return re.sub(r"\x1b\[[0-9;?<>=]*[ -/]*[@-~]|\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)|\x1b[@-Z\\-_=>]", "", drawn)
