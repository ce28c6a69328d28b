"""What the program remembers for one person about one project, outside the project: seen up to where, review ticks.

A small JSON file in the user's state folder (DOSSIER_STATE names another one). Losing it loses no record.
"""

from __future__ import annotations

import json
import os
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from dossier.store.atomic import write_atomic
from dossier.store.paths import file_stem

SEEN, TICKS = "seen", "ticks"


@dataclass(frozen=True)
class Tick:
    """A reviewer's answer to an item: met or not met, remark, when (UTC), digest of what was read."""

    answer: str
    remark: str
    on: str
    basis: str


@dataclass(frozen=True)
class Seen:
    """The newest entry of the history a person has looked at, and when."""

    head: str = ""
    on: str = ""


def state_folder() -> Path:
    """Where the states of all projects lie."""
    named = os.environ.get("DOSSIER_STATE")
    if named:
        return Path(named)
    from platformdirs import user_state_path

    return user_state_path("joint-dossier", appauthor=False)


class UserState:
    """The state of `person` for the project of that random identity. Every change is written at once."""

    def __init__(self, project_id: str, person: str, folder: Path | None = None) -> None:
        base = folder if folder is not None else state_folder()
        self._file = base / project_id[:32] / f"{file_stem(person)}.json"
        self._data = _read(self._file)

    @property
    def seen(self) -> Seen:
        """Up to where the changes were looked at."""
        kept = self._data.get(SEEN)
        return Seen(str(kept.get("head", "")), str(kept.get("on", ""))) if isinstance(kept, dict) else Seen()

    def look(self, head: str, on: str) -> str:
        """Remember that everything up to `head` was looked at; returns why it could not be kept, or nothing."""
        self._data[SEEN] = {"head": head, "on": on}
        return self._write()

    def ticks(self, step: str) -> dict[str, Tick]:
        """The person's answers to the items of a step, by check."""
        kept = self._data.get(TICKS)
        entries = kept.get(step) if isinstance(kept, dict) else None
        found = {}
        for check, entry in (entries if isinstance(entries, dict) else {}).items():
            try:
                found[str(check)] = Tick(**{name: str(entry[name]) for name in Tick.__dataclass_fields__})
            except (KeyError, TypeError):
                continue
        return found

    def tick(self, step: str, check: str, tick: Tick) -> str:
        """Keep an answer at once; returns why it could not be kept, or nothing."""
        kept = self._data.setdefault(TICKS, {})
        kept.setdefault(step, {})[check] = asdict(tick)
        return self._write()

    def _write(self) -> str:
        try:
            write_atomic(self._file, json.dumps(self._data, indent=1, ensure_ascii=True).encode())
        except OSError as error:
            return f"{self._file} cannot be written ({error.strerror or error}); name another folder in DOSSIER_STATE"
        return ""


def _read(file: Path) -> dict[str, Any]:
    try:
        data = json.loads(file.read_bytes())
    except (OSError, ValueError, RecursionError):
        return {}
    if not isinstance(data, dict):
        return {}
    ticks = data.get(TICKS)
    if not isinstance(ticks, dict) or not all(isinstance(entry, dict) for entry in ticks.values()):
        data.pop(TICKS, None)
    return data
