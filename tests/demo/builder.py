"""The demo project as it grows: each change is recorded by the person whose work it is, on its day."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from dossier.actions.answer import answer_check, concede
from dossier.actions.edit import set_field
from dossier.actions.freeze import freeze_revision
from dossier.actions.opened import Opened
from dossier.actions.people import register_key
from dossier.actions.run import outdated_calculations, run_calculations
from dossier.actions.shape import as_made
from dossier.actions.sign import sign_step
from dossier.checks.base import check_texts
from dossier.checks.standing import standing
from dossier.store.change import Change
from dossier.store.folder import ProjectFolder
from dossier.store.tomlfile import dump_document
from tests.demo.answers import ANSWERS
from tests.demo.people import BY_ROLE, PASSPHRASE, ROLES

SOURCE = Path(__file__).parent / "records"
TODAY = date(2026, 11, 25)


class Builder:
    """The project as it grows; `on` sets the day, changes of one day follow each other by minutes."""

    def __init__(self, target: Path) -> None:
        self.target = target
        self.time = datetime(2026, 3, 18, 8, 0, tzinfo=UTC)
        self.opened: Opened

    def on(self, day: str, hour: int = 8) -> None:
        """Go on to a day and hour; later on the same day the story just goes on."""
        moment = datetime.fromisoformat(f"{day}T{hour:02d}:00:00+00:00")
        if moment.date() < self.time.date():
            raise ValueError(f"{day} {hour}:00 lies before {self.time}; the story goes forward")
        self.time = max(moment, self.time)

    def record(self, change: Change) -> None:
        """Record a change at the story's time."""
        self.time += timedelta(minutes=7)
        self.opened.record(replace(change, when=self.time))

    def begin(self) -> None:
        """project.toml, then everybody's key."""
        header = read_source("project.toml")
        if self.target.exists():
            shutil.rmtree(self.target)
        self.target.mkdir(parents=True)
        change = Change(f'project "{header["title"]}" begun', "M. Olsen", {"project.toml": dump_document(header)})
        ProjectFolder(self.target).commit(replace(change, when=self.time), None)
        self.opened = Opened(self.target, today=TODAY)

    def register_keys(self, keys: dict[str, Any]) -> None:
        """Everybody's public key, registered by its owner."""
        for name in ROLES:
            self.record(register_key(self.opened.project, name, keys[name].hexadecimal))

    def take(self, author: str, message: str, paths: Iterable[str]) -> None:
        """Record source files as they are."""
        files = {path: dump_document(read_source(path)) for path in paths}
        self.record(Change(message, author, files))

    def calculate(self, person: str, *but: str) -> None:
        """Run everything outdated but what waits for its inputs."""
        ids = [record.id for record in outdated_calculations(self.opened.project) if record.id not in but]
        self.record(run_calculations(self.opened.project, ids, person, self.time))

    def set(self, record: str, field: str, typed: str, author: str) -> None:
        """Set one field."""
        self.record(set_field(self.opened.project, record, field, typed, author))

    def put(self, author: str, message: str, path: str, document: dict[str, Any]) -> None:
        """Record one file."""
        self.record(Change(message, author, {path: dump_document(document)}))

    def answer(self, step: str, only: str = "") -> None:
        """Everybody answers the personal checks of a step, or one of them again."""
        for text in check_texts().values():
            if text.step == step and text.kind != "computed" and only in ("", text.id):
                self.time += timedelta(minutes=3)
                person = BY_ROLE[text.role]
                change = answer_check(self.opened.view, text.id, "met", person, ANSWERS[text.id], self.time)
                self.opened.record(replace(change, when=self.time))

    def as_made(self, specimens: Iterable[str]) -> None:
        """The laboratory states that these parts have today's shape."""
        self.record(as_made(self.opened.project, list(specimens), "T. Lindqvist"))

    def concede(self, target: str, reason: str, limit: str, until: str, document: str) -> None:
        """The releaser permits a deviation; `document` holds the customer's acceptance."""
        self.time += timedelta(minutes=5)
        kind = "concession after manufacture" if target.startswith("R") else "deviation before manufacture"
        change = concede(self.opened.view, target, kind, reason, limit, until, "R. Hale", document=document, now=self.time)
        self.opened.record(replace(change, when=self.time))

    def freeze(self, person: str) -> None:
        """Freeze the revision, issued on the story's day."""
        self.opened.today = self.time.date()
        self.opened.reload()
        print(freeze_revision(self.opened, person, PASSPHRASE))

    def sign_if_ready(self, step: str, *people: str) -> None:
        """Sign, telling on stdout why not while the step is not ready."""
        found = next(entry for entry in standing(self.opened.view).steps if entry.number == step)
        missing = [f"{check.check.id} {check.state}: {'; '.join(map(str, check.findings[:3]))}" for check in found.checks
                   if check.state not in ("met", "conceded")]  # fmt: skip
        if missing:
            print(f"step {step} is not signed:", *missing, sep="\n  ")
            return
        self.sign(step, *people)

    def sign(self, step: str, *people: str) -> None:
        """Everybody signs in turn."""
        for person in people:
            self.time += timedelta(minutes=11)
            change = sign_step(self.opened, step, person, ROLES[person], PASSPHRASE, now=self.time)
            self.opened.record(change)


def read_source(path: str) -> dict[str, Any]:
    """A source file."""
    return tomllib.loads((SOURCE / path).read_text("utf-8"))


def source_files(pattern: str) -> list[str]:
    """Source files of a pattern, in order."""
    return sorted(path.relative_to(SOURCE).as_posix() for path in SOURCE.glob(pattern))


