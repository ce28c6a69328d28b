"""The demo project as it grows: each change is recorded by the person whose work it is, on its day."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
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
from dossier.records.evidence import Document
from dossier.store.change import Change
from dossier.store.folder import ProjectFolder
from dossier.store.tomlfile import dump_document
from tests.demo.papers import Paper, register
from tests.demo.people import PASSPHRASE

SOURCE = Path(__file__).parent / "records"
TODAY = date(2026, 11, 25)


@dataclass(frozen=True)
class Scene:
    """What one demo is made of: its folder's name, its first day, who acts (person → role), what they answer to the
    personal checks, the documents that come in, and `tell`, what happened in order."""

    name: str
    begins: str
    roles: dict[str, str]
    answers: dict[str, str]
    papers: tuple[Paper, ...]
    tell: Callable[[Builder], None]

    def person(self, role: str) -> str:
        """Who holds a role."""
        return next(name for name, held in self.roles.items() if held == role)


class Builder:
    """The project as it grows; `on` sets the day, changes of one day follow each other by minutes."""

    def __init__(self, scene: Scene, target: Path) -> None:
        self.scene, self.target = scene, target
        self.time = datetime.fromisoformat(f"{scene.begins}T08:00:00+00:00").astimezone(UTC)
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
        header = self.source("project.toml")
        if self.target.exists():
            shutil.rmtree(self.target)
        self.target.mkdir(parents=True)
        change = Change(f'project "{header["title"]}" begun', self.scene.person("PE"), {"project.toml": dump_document(header)})
        ProjectFolder(self.target).commit(replace(change, when=self.time), None)
        self.opened = Opened(self.target, today=TODAY)

    def register_keys(self, keys: dict[str, Any]) -> None:
        """Everybody's public key, registered by its owner."""
        for name in self.scene.roles:
            self.record(register_key(self.opened.project, name, keys[name].hexadecimal))

    def take(self, author: str, message: str, paths: Iterable[str]) -> None:
        """Record source files as they are."""
        files = {path: dump_document(self.source(path)) for path in paths}
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
                person = self.scene.person(text.role)
                change = answer_check(self.opened.view, text.id, "met", person, self.scene.answers[text.id], self.time)
                self.opened.record(replace(change, when=self.time))

    def as_made(self, specimens: Iterable[str]) -> None:
        """The laboratory states that these parts have today's shape."""
        self.record(as_made(self.opened.project, list(specimens), self.scene.person("TL")))

    def concede(self, target: str, reason: str, limit: str, until: str, document: str) -> None:
        """The releaser permits a deviation; `document` holds the customer's acceptance."""
        self.time += timedelta(minutes=5)
        kind = "concession after manufacture" if target.startswith("R") else "deviation before manufacture"
        releaser = self.scene.person("RL")
        change = concede(self.opened.view, target, kind, reason, limit, until, releaser, document=document, now=self.time)
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
            change = sign_step(self.opened, step, person, self.scene.roles[person], PASSPHRASE, now=self.time)
            self.opened.record(change)

    def source(self, path: str) -> dict[str, Any]:
        """A source file."""
        return tomllib.loads((SOURCE / self.scene.name / path).read_text("utf-8"))

    def sources(self, pattern: str) -> list[str]:
        """Source files of a pattern, in order."""
        root = SOURCE / self.scene.name
        return sorted(path.relative_to(root).as_posix() for path in root.glob(pattern))

    def register_documents(self, day: str) -> None:
        """The register with what came in since its last state."""
        self.on(day)
        came = [paper.id for paper in self.scene.papers if paper.registered <= day]
        known = {record.id for record in self.opened.project.of_kind(Document)}
        told = ", ".join(dict.fromkeys(name for name in came if name not in known)) or "new index"
        engineer = self.scene.person("PE")
        self.put(engineer, f"documents registered: {told}", "documents.toml",
                 {"document": register(self.scene.papers, day, engineer, self.target)})  # fmt: skip

    def take_assumptions(self, day: str, message: str) -> None:
        """The assumptions as they were on a day: accepted are those accepted by then."""
        self.on(day)
        entries = []
        for entry in self.source("assumptions.toml")["assumption"]:
            accepted = entry.get("accepted_on", "9") <= day
            entries.append(entry if accepted else {k: v for k, v in entry.items() if not k.startswith("accepted_")})
        self.put(self.scene.person("PE"), message, "assumptions.toml", {"assumption": entries})


def without(document: dict[str, Any], key: str, *fields: str) -> dict[str, Any]:
    """The records of a file without some of their fields."""
    return document | {key: [{k: v for k, v in entry.items() if k not in fields} for entry in document[key]]}
