"""Hands on the app without a terminal."""

from __future__ import annotations

from typing import Any

from textual import events
from textual.pilot import Pilot

from tests.screens.look import text_of
from tests.whole_path.hands import Hands


class PilotHands(Hands):
    """Keys through the pilot; texts are pasted, which is what a terminal tells of a pasted text."""

    def __init__(self, app: Any, pilot: Pilot) -> None:
        self.app, self.pilot = app, pilot

    async def press(self, *keys: str) -> None:
        for key in keys:
            await self.pilot.press(key)
            await self.pilot.pause()

    async def text(self, text: str) -> None:
        target = self.app.focused
        assert target is not None
        target.post_message(events.Paste(text))
        await self.pilot.pause()

    async def rows(self) -> list[str]:
        return [row.rstrip() for row in text_of(self.app)]
