"""Fields of utilisation beside the sheets, from a process that stays warm (dossier/field_worker.py)."""

from __future__ import annotations

import asyncio
import contextlib
import json
import sys
import tempfile
from collections.abc import Callable, Coroutine
from typing import IO, Any

from dossier.methods.section_field import UtilisationField, field_of_plain
from dossier.methods.section_strength import SectionStrengthInput

MOST_LINE = 16 * 1024 * 1024
MOST_KNOWN = 16

Answer = UtilisationField | str
"""A field, or why there is none."""


class FieldProcess:
    """Answers by input, so that what was computed for another input is never taken for it.

    `start` runs a coroutine beside the caller; `told` is called after each answer that is still wanted. One field is
    computed at a time, and only for inputs that are still wanted when their turn comes.
    """

    def __init__(self, start: Callable[[Coroutine[Any, Any, None]], object], told: Callable[[], None]) -> None:
        self._start, self._told = start, told
        self._known: dict[str, Answer] = {}
        self._wanted: list[str] = []
        self._busy = False
        self._number = 0
        self._errors: IO[bytes] | None = None
        self.process: asyncio.subprocess.Process | None = None

    def find(self, given: SectionStrengthInput) -> Answer | None:
        """The answer for an input; None while there is none."""
        return self._known.get(given.model_dump_json())

    def want(self, *givens: SectionStrengthInput) -> None:
        """Compute these, in this order, and nothing that was wanted before."""
        keys = [given.model_dump_json() for given in givens]
        self._wanted = [key for key in dict.fromkeys(keys) if key not in self._known]
        if self._wanted and not self._busy:
            self._busy = True
            self._start(self._work())

    def forget(self) -> None:
        """Want nothing any more; what was refused is tried again when it is wanted."""
        self._wanted = []
        self._known = {key: answer for key, answer in self._known.items() if not isinstance(answer, str)}

    async def close(self) -> None:
        """End the process and wait for its end."""
        self._wanted = []
        process, self.process = self.process, None
        if process is not None and process.returncode is None:
            with contextlib.suppress(ProcessLookupError):
                process.terminate()
            await process.wait()

    async def _work(self) -> None:
        try:
            while self._wanted:
                key = self._wanted[0]
                answer = await self._answer(key)
                wanted = key in self._wanted
                if wanted or not isinstance(answer, str):
                    self._known[key] = answer
                for old in list(self._known)[:-MOST_KNOWN]:
                    del self._known[old]
                self._wanted = [other for other in self._wanted if other != key]
                if wanted:
                    self._told()
        finally:
            self._busy = False

    async def _answer(self, key: str) -> Answer:
        self._number += 1
        try:
            process = await self._running()
            assert process.stdin is not None and process.stdout is not None
            process.stdin.write(f'{{"number": {self._number}, "given": {key}}}\n'.encode())
            await process.stdin.drain()
            while raw := await process.stdout.readline():
                fact = json.loads(raw)
                if fact["number"] == self._number:
                    return fact["refused"] if "refused" in fact else field_of_plain(fact["field"])
        except (OSError, ValueError) as error:
            await self.close()
            return f"the computing process failed: {error}; l twice tries again"
        return await self._ended(process)

    async def _running(self) -> asyncio.subprocess.Process:
        """The process, started anew where there is none."""
        if self.process is None:
            pipe, self._errors = asyncio.subprocess.PIPE, tempfile.TemporaryFile()  # noqa: SIM115 read after its end
            self.process = await asyncio.create_subprocess_exec(
                sys.executable, "-m", "dossier.field_worker", stdin=pipe, stdout=pipe, stderr=self._errors, limit=MOST_LINE)
        return self.process

    async def _ended(self, process: asyncio.subprocess.Process) -> str:
        """What is told of a process that ended without an answer."""
        code, self.process = await process.wait(), None
        assert self._errors is not None
        self._errors.seek(0)
        said = self._errors.read().decode("utf-8", "replace").strip().splitlines()
        return f"the computing process ended without a result: {said[-1] if said else f'exit code {code}'}; l twice tries again"
