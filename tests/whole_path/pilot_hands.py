"""Hands on the app without a terminal."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

from textual import events
from textual.pilot import Pilot

from tests.screens.look import text_of
from tests.whole_path.hands import Hands

FRAME_S = 1 / 50  # the app draws sixty times a second at most


class PilotHands(Hands):
    """Keys as the driver of a terminal posts them; texts are pasted, which is what a terminal tells of a pasted text."""

    def __init__(self, app: Any, pilot: Pilot, files: Path) -> None:
        self.app, self.pilot, self.files = app, pilot, files

    async def press(self, *keys: str) -> None:
        for key in keys:
            self.app.post_message(events.Key(key, key if len(key) == 1 else None))
            await self._settled()

    async def text(self, text: str) -> None:
        while self.app.focused is None:
            await asyncio.sleep(FRAME_S)
        self.app.focused.post_message(events.Paste(text))
        await self._settled()

    async def rows(self) -> list[str]:
        await self._drawn()
        return [row.rstrip() for row in text_of(self.app)]

    async def _settled(self) -> None:
        """Until app and screen have taken every message in, and those that these led to."""
        for _ in range(3):
            await self.pilot._wait_for_screen()
            await asyncio.sleep(0)

    async def _drawn(self) -> None:
        """Until nothing waits to be laid out or drawn."""
        for _ in range(100):
            await asyncio.sleep(FRAME_S / 2)
            screen = self.app.screen
            if not (screen._dirty_widgets or screen._layout_required or screen._repaint_required):
                return
