"""Long work beside the sheets: a process that tells progress and outcome in JSON lines (dossier/worker.py)."""

from __future__ import annotations

import asyncio
import contextlib
import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from time import monotonic
from typing import Any

from dossier.actions.refusal import Refusal
from dossier.actions.run import with_changes
from dossier.checks.view import View
from dossier.methods.freshness import STANDS
from dossier.store.change import Change
from screens.session import Session

MOST_LINE = 64 * 1024 * 1024
Told = Callable[[float, float | None, str], None]


@dataclass
class Work:
    """One piece of running work: what it is about, and the process once it runs."""

    ids: list[str]
    process: asyncio.subprocess.Process | None = None
    stopped: bool = False

    @property
    def title(self) -> str:
        """What is being done."""
        return ", ".join(self.ids[:4]) + (f" and {len(self.ids) - 4} more" if len(self.ids) > 4 else "")

    def stop(self) -> None:
        """End the process; nothing it computed is recorded."""
        self.stopped = True
        if self.process is not None:
            with contextlib.suppress(ProcessLookupError):
                self.process.terminate()


async def calculated(root: Path, person: str, work: Work, told: Told) -> tuple[Change, dict[str, str]] | None:
    """Calculate and evaluate in a process; the change with the digests of the files it was made from, None when stopped.

    `told(fraction, seconds_left, id)` is called before each run. Raises Refusal with the reason of the process.
    """
    command = (sys.executable, "-m", "dossier.worker", "run", str(root), *work.ids, "--person", person)
    pipe, nothing = asyncio.subprocess.PIPE, asyncio.subprocess.DEVNULL
    began = monotonic()
    process = await asyncio.create_subprocess_exec(*command, stdin=nothing, stdout=pipe, stderr=pipe, limit=MOST_LINE)
    work.process = process
    if work.stopped:
        work.stop()
    errors = asyncio.create_task(process.stderr.read())  # type: ignore[union-attr]
    outcome: dict[str, Any] = {}
    try:
        async for raw in process.stdout:  # type: ignore[union-attr]
            outcome = _fact(raw) or outcome
            if "progress" in outcome:
                done = (outcome["progress"]["number"] - 1) / outcome["progress"]["of"]
                left = (monotonic() - began) * (1 - done) / done if done else None
                told(done, left, outcome["progress"]["id"])
    finally:
        if process.returncode is None and (work.stopped or "change" not in outcome):
            with contextlib.suppress(ProcessLookupError):
                process.terminate()
        await process.wait()
    said = (await errors).decode("utf-8", "replace").strip().splitlines()
    if work.stopped:
        return None
    if "change" not in outcome:
        reason = said[-1] if said else f"exit code {process.returncode}"
        raise Refusal(outcome.get("refused", f"the calculation ended without a result: {reason}"))
    change = outcome["change"]
    files = {path: text.encode() for path, text in change["files"].items()}
    return Change(change["message"], change["author"], files), outcome["read"]


def _fact(raw: bytes) -> dict[str, Any] | None:
    try:
        fact = json.loads(raw)
    except ValueError:
        return None
    return fact if isinstance(fact, dict) else None


def outrun(session: Session, change: Change, read: dict[str, str]) -> str:
    """Why a computed change no longer fits the project as it is now, or nothing.

    A file of the change must be as it was read, and each result must follow from today's records.
    """
    files = session.opened.snapshot.files
    for path in change.paths:
        if path not in files or files[path].sha256 != read.get(path):
            return f"{path} was changed while it was calculated; the result is dropped, c calculates again"
    after = View(with_changes(session.opened.project, change), session.opened.today)
    places = {place.path: name for name, place in after.project.places.items()}
    for path in change.paths:
        name = places.get(path, "")
        fresh = after.freshness.get(name) or after.evaluations.get(name)
        result = getattr(after.project.find(places.get(path, "")), "result", None)
        failed = getattr(result, "validity", "") == "failed"
        if fresh is None or (fresh.state not in STANDS and not failed):
            return f"an input of {places.get(path, path)} changed while it was calculated; the result is dropped"
    return ""
