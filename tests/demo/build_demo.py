"""Builds the demo project in `projects/` from the records beside this file, through the product's own actions.

    python -m tests.demo.build_demo [TARGET]

Persons, dates and numbers are invented. Each change is recorded by the person whose work it is, on its day.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
import tomllib
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from dossier.actions.opened import Opened
from dossier.actions.people import register_key
from dossier.actions.run import outdated_calculations, run_calculations
from dossier.actions.sign import sign_step
from dossier.store.change import Change
from dossier.store.folder import ProjectFolder
from dossier.store.tomlfile import dump_document
from tests.demo.people import PASSPHRASE, ROLES, place_keys

HERE = Path(__file__).parent
SOURCE = HERE / "records"
TARGET = HERE.parent.parent / "projects" / "axle-link"
TODAY = date(2026, 11, 25)


class Builder:
    """The project as it grows; `on` sets the day, changes of one day follow each other by minutes."""

    def __init__(self, target: Path) -> None:
        self.target = target
        self.time = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
        self.opened: Opened

    def on(self, day: str, hour: int = 8) -> None:
        """Go on to a day."""
        moment = datetime.fromisoformat(f"{day}T{hour:02d}:00:00+00:00")
        if moment < self.time:
            raise ValueError(f"{day} {hour}:00 lies before {self.time}; the story goes forward")
        self.time = moment

    def record(self, change: Change) -> None:
        """Record a change at the story's time."""
        self.time += timedelta(minutes=7)
        self.opened.record(replace(change, when=self.time))

    def begin(self) -> None:
        """project.toml, then everybody's key."""
        header = _read("project.toml")
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
        files = {path: dump_document(_read(path)) for path in paths}
        self.record(Change(message, author, files))

    def calculate(self, person: str) -> None:
        """Run everything outdated."""
        ids = [record.id for record in outdated_calculations(self.opened.project)]
        self.record(run_calculations(self.opened.project, ids, person, self.time))

    def sign(self, step: str, *people: str) -> None:
        """Everybody signs in turn."""
        for person in people:
            self.time += timedelta(minutes=11)
            change = sign_step(self.opened, step, person, ROLES[person], PASSPHRASE, now=self.time)
            self.opened.record(change)


def _read(path: str) -> dict[str, Any]:
    return tomllib.loads((SOURCE / path).read_text("utf-8"))


def _files(pattern: str) -> list[str]:
    return sorted(path.relative_to(SOURCE).as_posix() for path in SOURCE.glob(pattern))


def build(target: Path = TARGET) -> Path:
    """Build the demo; returns its folder."""
    with tempfile.TemporaryDirectory() as keys:
        os.environ["DOSSIER_KEYS"] = keys
        public = place_keys(Path(keys))
        story = Builder(target)
        story.begin()
        story.register_keys(public)
        tell(story)
    shutil.rmtree(target / ".locks", ignore_errors=True)
    return target


def tell(story: Builder) -> None:
    """What happened, in order."""
    story.on("2026-03-30")
    story.take("M. Olsen", "idea: problem, weighed baseline and four concepts", ["concepts.toml"])
    story.on("2026-04-20")
    story.take("M. Olsen", "standards of the project with their editions", ["standards.toml"])
    for path in _files("requirements/*.toml"):
        chapter = Path(path).stem[2:].replace("-", " ")
        story.take("M. Olsen", f"requirements: {chapter}", [path])
    story.take("M. Olsen", "load cases L-01 to L-07", ["loads.toml"])
    story.on("2026-06-15")
    story.take("R. Iyer", "materials with bands and sources", ["materials.toml"])
    story.take("M. Olsen", "assumptions A-001 to A-012", ["assumptions.toml"])
    story.on("2026-08-18")
    story.take("M. Olsen", "designs of the reference part and of V2", ["designs/REF.toml", "designs/V2.toml"])
    story.take("M. Olsen", "calculations planned", _files("calculations/*.toml"))
    story.calculate("M. Olsen")


if __name__ == "__main__":
    print(build(Path(sys.argv[1]) if len(sys.argv) > 1 else TARGET))
