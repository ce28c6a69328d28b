"""A terminal asked how wide it draws, played by the other end of a pseudo-terminal."""

import os
import pty
import threading

import pytest

from screens import base
from screens.probe import draws_wide
from tests.screens.sample import SampleApp


def ask(answer: bytes | None, patience: float = 1.0) -> tuple[bool | None, bytes]:
    """What comes out when the terminal answers so, and what it was sent."""
    outer, inner = pty.openpty()
    sent: list[bytes] = []

    def terminal() -> None:
        while b"\x1b[6n" not in b"".join(sent):
            sent.append(os.read(outer, 100))
        if answer is not None:
            os.write(outer, answer)

    thread = threading.Thread(target=terminal, daemon=True)
    thread.start()
    try:
        return draws_wide(inner, inner, patience), b"".join(sent)
    finally:
        thread.join(2)
        os.close(inner)
        os.close(outer)


@pytest.mark.parametrize(("answer", "expected"), [
    (b"\x1b[1;2R", False), (b"\x1b[24;3R", True), (b"typed ahead\x1b[7;2R", False),
])
def test_width_from_the_answer(answer: bytes, expected: bool) -> None:
    found, sent = ask(answer)
    assert found is expected
    assert "\r°\x1b[6n".encode() in sent


def test_terminal_that_does_not_answer() -> None:
    assert ask(None, 0.05)[0] is None
    assert ask(b"\x1b[unclear", 0.05)[0] is None


def test_no_terminal_is_asked_nothing() -> None:
    read_from, write_to = os.pipe()
    try:
        assert draws_wide(read_from, write_to) is None
        os.set_blocking(read_from, False)
        with pytest.raises(BlockingIOError):
            os.read(read_from, 1)
    finally:
        os.close(read_from)
        os.close(write_to)


@pytest.mark.parametrize(("chosen", "wide", "expected"), [
    (None, True, True), (None, False, False), (None, None, False), (False, True, False), (True, False, True),
])
def test_choice_goes_before_the_answer(
    chosen: bool | None, wide: bool | None, expected: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(base, "draws_wide", lambda read_from, write_to: wide)
    monkeypatch.setattr(base.App, "run", lambda app, **options: None)
    app = SampleApp(plain_glyphs=chosen)
    app.run()
    assert app.plain_glyphs is expected
