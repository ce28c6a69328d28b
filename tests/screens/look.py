"""What an app shows, as text and as styled segments, and how a test drives it."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable

from rich.segment import Segment
from textual.app import App
from textual.pilot import Pilot

SIZES = ((80, 24), (120, 40))


def rows_of(app: App) -> list[list[Segment]]:
    """The segments of each row before any filter for the terminal."""
    strips = app.screen._compositor.render_strips()
    return [[segment for segment in strip if segment.control is None] for strip in strips]


def text_of(app: App) -> list[str]:
    """The characters of each row."""
    return ["".join(segment.text for segment in row) for row in rows_of(app)]


async def settled(pilot: Pilot) -> None:
    """Until the app rests and two looks one after the other find nothing that waits to be laid out or drawn."""
    quiet = 0
    for _ in range(100):
        await pilot.pause()
        screen = pilot.app.screen
        waiting = screen._dirty_widgets or screen._layout_required or screen._repaint_required
        quiet = 0 if waiting else quiet + 1
        if quiet == 2:
            return


def drive(app: App, size: tuple[int, int], script: Callable[[Pilot], Awaitable[None]]) -> None:
    """Run an app without a terminal at a size, let it settle, and let `script` drive it."""

    async def run() -> None:
        async with app.run_test(size=size) as pilot:
            await settled(pilot)
            await script(pilot)

    asyncio.run(run())
