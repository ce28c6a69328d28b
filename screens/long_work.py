"""Long work beside the sheets: a process that tells progress and outcome in JSON lines (dossier/worker.py)."""

from __future__ import annotations

import asyncio
import contextlib
import json
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
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


@dataclass(frozen=True)
class Progress:
    """How far work is: the share done, if it is known, seconds left, and in words what is being done."""

    share: float | None = None
    seconds_left: float | None = None
    words: str = ""


Told = Callable[[Progress], None]


@dataclass
class Work:
    """One piece of running work: verb of the worker, what it is about, how it is told, the process once it runs.

    `about` ("C-002, C-003", "revision B") and `doing` ("being calculated") make the sentence that tells it, plural where
    `many`. `then` is given the outcome when it is recorded or told, `refused` the reason when the process refused.
    """

    verb: str
    about: str
    doing: str
    ids: list[str] = field(default_factory=list)
    many: bool = False
    then: Callable[[dict[str, Any]], None] | None = None
    refused: Callable[[str], None] | None = None
    secret: str = ""
    process: asyncio.subprocess.Process | None = None
    stopped: bool = False

    @property
    def told(self) -> str:
        """What is being done, as a sentence without its end."""
        return f"{self.about} {'are' if self.many else 'is'} {self.doing}"

    def stop(self) -> None:
        """End the process; nothing it computed is recorded."""
        self.stopped = True
        if self.process is not None:
            with contextlib.suppress(ProcessLookupError):
                self.process.terminate()


def calculation(ids: list[str]) -> Work:
    """The work of running these calculations and evaluations."""
    about = ", ".join(ids[:4]) + (f" and {len(ids) - 4} more" if len(ids) > 4 else "")
    return Work("run", about, "being calculated", list(ids), many=len(ids) > 1)


async def outcome(root: Path, person: str, work: Work, told: Told) -> dict[str, Any] | None:
    """Do the work in a process; the last thing it told, or None when it was stopped.

    Raises Refusal with the reason of the process.
    """
    command = (sys.executable, "-m", "dossier.worker", "--person", person, "--", work.verb, str(root), *work.ids)
    pipe, nothing = asyncio.subprocess.PIPE, asyncio.subprocess.DEVNULL
    began = monotonic()
    process = await asyncio.create_subprocess_exec(
        *command, stdin=pipe if work.secret else nothing, stdout=pipe, stderr=pipe, limit=MOST_LINE
    )
    work.process = process
    if work.stopped:
        work.stop()
    if process.stdin is not None:
        with contextlib.suppress(BrokenPipeError, ConnectionResetError):
            process.stdin.write(f"{work.secret}\n".encode())
            await process.stdin.drain()
        process.stdin.close()
    errors = asyncio.create_task(process.stderr.read())  # type: ignore[union-attr]
    last: dict[str, Any] = {}
    try:
        async for raw in process.stdout:  # type: ignore[union-attr]
            last = _fact(raw) or last
            if "progress" in last:
                told(_progress(last["progress"], monotonic() - began))
    finally:
        if process.returncode is None and (work.stopped or "progress" in last or not last):
            with contextlib.suppress(ProcessLookupError):
                process.terminate()
        await process.wait()
    said = (await errors).decode("utf-8", "replace").strip().splitlines()
    if work.stopped and not ("change" in last and work.verb == "take"):
        return None
    if not last or "progress" in last or "refused" in last:
        reason = said[-1] if said else f"exit code {process.returncode}"
        raise Refusal(last.get("refused", f"the work ended without a result: {reason}"))
    return last


def _progress(fact: dict[str, Any], seconds: float) -> Progress:
    """What one progress line of the process tells, `seconds` after its beginning."""
    if "page" in fact:
        return Progress(words=f"page {fact['page']}")
    share = fact["share"] if "share" in fact else (fact["number"] - 1) / fact["of"]
    left = seconds * (1 - share) / share if share else None
    return Progress(share, left, f"{fact['rows']} rows read" if "rows" in fact else "")


def change_of(last: dict[str, Any]) -> tuple[Change, dict[str, str]]:
    """The change that was calculated, with the digests of the files it was made from."""
    change = last["change"]
    files = {path: text.encode() for path, text in change["files"].items()}
    return Change(change["message"], change["author"], files), last["read"]


def _fact(raw: bytes) -> dict[str, Any] | None:
    try:
        fact = json.loads(raw)
    except ValueError:
        return None
    return fact if isinstance(fact, dict) else None


def changed_since(session: Session, change: Change, read: dict[str, str]) -> str:
    """The first file of the change that is no longer as it was read, or nothing."""
    files = session.opened.snapshot.files
    return next((path for path in change.paths if path not in files or files[path].sha256 != read.get(path)), "")


def outrun(session: Session, change: Change, read: dict[str, str]) -> str:
    """Why a computed change no longer fits the project as it is now, or nothing.

    A file of the change must be as it was read, and each result must follow from today's records.
    """
    if path := changed_since(session, change, read):
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
