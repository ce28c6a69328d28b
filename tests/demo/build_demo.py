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

from dossier.actions import measured
from dossier.actions.answer import add_remark, answer_check, concede
from dossier.actions.edit import add_record, set_field
from dossier.actions.evaluate import evaluate_items, outdated_items
from dossier.actions.freeze import freeze_revision
from dossier.actions.opened import Opened
from dossier.actions.people import register_key
from dossier.actions.run import outdated_calculations, run_calculations
from dossier.actions.shape import as_made, carry_over
from dossier.actions.sign import sign_step
from dossier.checks.base import check_texts
from dossier.checks.standing import standing
from dossier.store.change import Change
from dossier.store.folder import ProjectFolder
from dossier.store.rawfiles import store_raw
from dossier.store.tomlfile import dump_document
from tests.demo import curves
from tests.demo import evidence_plan as plan
from tests.demo import records_of_evidence as of_evidence
from tests.demo.answers import ANSWERS
from tests.demo.people import BY_ROLE, PASSPHRASE, ROLES, place_keys

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

    def calculate_if_needed(self, person: str) -> None:
        """Run what is outdated, if anything is."""
        if outdated_calculations(self.opened.project):
            self.calculate(person)

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

    def concede(self, target: str, reason: str, limit: str, until: str, document: str = "") -> None:
        """The releaser permits a deviation."""
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
    tell_idea(story)
    tell_requirements(story)
    tell_design(story)
    tell_evidence(story)
    tell_cost(story)
    tell_release(story)
    tell_next(story)


def tell_idea(story: Builder) -> None:
    story.on("2026-03-28")
    story.put("M. Olsen", "register of documents", "documents.toml", {"document": _with_files(story)})
    story.take("R. Iyer", "materials with bands and sources", ["materials.toml"])
    story.take("M. Olsen", "designs of the reference part and of V2", ["designs/REF.toml", "designs/V2.toml"])
    story.on("2026-03-30")
    story.take("M. Olsen", "idea: problem, weighed baseline and four concepts", ["concepts.toml"])
    story.on("2026-04-02")
    story.answer("1")
    story.sign_if_ready("1", "M. Olsen", "J. Adeyemi")


def tell_requirements(story: Builder) -> None:
    story.on("2026-04-20")
    story.take("M. Olsen", "standards of the project with their editions", ["standards.toml"])
    for path in _files("requirements/*.toml"):
        chapter = Path(path).stem[2:].replace("-", " ")
        story.take("M. Olsen", f"requirements: {chapter}", [path])
    story.take("M. Olsen", "load cases L-01 to L-07", ["loads.toml"])
    story.on("2026-05-08")
    files = {f"evidence/{item['id']}.toml": dump_document(_planned(item)) for item in _items()}
    story.record(Change(f"{len(files)} tests and inspections planned", "T. Lindqvist", files))
    story.take("M. Olsen", "calculations planned", _files("calculations/*.toml"))
    story.on("2026-05-11")
    story.answer("2")
    story.concede(
        "2.12", "edition of ISO 2230 not confirmed: the publisher has a new edition in proof", "storage and marking only",
        "2027-03-31",
    )
    story.sign_if_ready("2", "M. Olsen", "J. Adeyemi")


def tell_design(story: Builder) -> None:
    story.on("2026-08-18")
    story.take("M. Olsen", "assumptions A-001 to A-013", ["assumptions.toml"])
    story.on("2026-08-28")
    story.take("P. Novak", "cost of reference part and V2", ["cost.toml"])
    story.calculate("M. Olsen")


def tell_evidence(story: Builder) -> None:
    story.on("2026-09-25")
    story.put("T. Lindqvist", "specimens with batch and heat", "specimens.toml", {"specimen": of_evidence.specimens()})
    story.as_made(entry["id"] for entry in of_evidence.specimens())
    story.put("T. Lindqvist", "machines and gauges", "equipment.toml", {"equipment": of_evidence.equipment()})
    with tempfile.TemporaryDirectory() as folder:
        for item in plan.CURVES:
            _measure(story, item, Path(folder))
    story.on("2026-11-13")
    for item in _items():
        if item.get("quantity") in ("single", "yes_no"):
            story.put("T. Lindqvist", f"{item['id']} {item['title']}: {item['state']}", f"evidence/{item['id']}.toml", item)
    ids = [item.id for item in outdated_items(story.opened.project)]
    story.record(evaluate_items(story.opened.project, ids, "T. Lindqvist", story.time))


def _measure(story: Builder, item: plan.Curves, folder: Path) -> None:
    story.on(item.day)
    found = curves.write_curves(item, folder)
    title, low, high, compliance, _ = of_evidence.WINDOWS[item.scheme]
    unit = "N" if item.quantity in ("radial", "axial") else "N·mm"
    change = measured.new_scheme(
        story.opened.project, item.scheme, found[0][1], title, f"{low} {unit}", f"{high} {unit}", "T. Lindqvist",
        fixture_compliance=compliance, fixture_source="blank test with a steel dummy, 2026-10-05",
    )  # fmt: skip
    story.record(change)
    story.put("T. Lindqvist", f"{item.id} {item.title}: tested", f"evidence/{item.id}.toml", of_evidence.curves_item(item))
    pairs = [f"{specimen}={path}" for specimen, path in found]
    story.record(measured.import_curves(story.opened.project, item.id, pairs, "T. Lindqvist"))
    story.record(evaluate_items(story.opened.project, [item.id], "T. Lindqvist", story.time))


def tell_cost(story: Builder) -> None:
    story.on("2026-11-14")
    story.calculate_if_needed("P. Novak")
    words = "the gain changes its sign within its uncertainty: it pays only if the customer names a worth of weight"
    story.record(add_remark(story.opened.project, "C-011", words, "P. Novak", "5", story.time))
    story.answer("5")
    story.sign_if_ready("5", "M. Olsen", "P. Novak", "J. Adeyemi")


def tell_release(story: Builder) -> None:
    story.on("2026-11-16")
    story.concede(
        "3.5", "at the least interference the cold and new push-out fall below their limits by calculation; the retaining "
        "ring holds 31 kN alone and the measured forces stand in E-013 to E-015", "first 5 000 joints", "2027-06-30",
    )  # fmt: skip
    story.answer("3")
    story.sign_if_ready("3", "M. Olsen", "J. Adeyemi", "S. Brandt")
    story.answer("4")
    story.sign_if_ready("4", "T. Lindqvist", "M. Olsen", "J. Adeyemi")
    story.on("2026-11-19")
    story.take("M. Olsen", "cautions K-01 to K-10", ["cautions.toml"])
    story.concede(
        "R-023", "push-out at −35 °C is 10.9 kN; the retaining ring alone holds 31 kN, and the axle load lies outside the "
        "cold range", "at least 10 kN, first 5 000 joints, vehicles without winter service", "2027-06-30", "B-010",
    )  # fmt: skip
    story.concede(
        "6.15", "A-012: the crossing of bore and bolt hole is watched in series until the bare pin is tested; the remark on "
        "C-011 is answered when the customer names the worth of a kilogram", "first 5 000 joints", "2027-06-30",
    )  # fmt: skip
    story.concede("6.5", "as 2.12: edition of ISO 2230 not confirmed", "storage and marking only", "2027-03-31")
    story.answer("2", only="2.13")
    story.sign_if_ready("2", "M. Olsen", "J. Adeyemi")
    story.answer("6")
    story.on("2026-11-20")
    story.sign_if_ready("6", "M. Olsen", "J. Adeyemi", "S. Brandt", "R. Hale")
    if standing(story.opened.view).steps[5].state == "closed":
        story.freeze("R. Hale")


def tell_next(story: Builder) -> None:
    """Work on B: more interference, tested hot; three parts do not decide it, and the calculations wait."""
    story.on("2026-11-24")
    change = set_field(story.opened.project, "V2", "carrier.outer_radius", "38.095 mm", "M. Olsen")
    story.record(change)
    story.record(set_field(story.opened.project, "V2", "drawing_index", "C", "M. Olsen"))
    parts = [f"P-26{number}" for number in (1, 2, 3)]
    for entry in of_evidence.specimens_of("V2", parts, "2248", "2026-11-17", "C"):
        story.record(add_record(story.opened.project, "specimen", entry, "T. Lindqvist"))
    story.put("T. Lindqvist", "E-055 push-out hot, more interference", "evidence/E-055.toml", of_evidence.values_item(plan.NEXT))
    story.record(evaluate_items(story.opened.project, ["E-055"], "T. Lindqvist", story.time))
    older = [name for name, fresh in story.opened.view.evidence_freshness.items() if fresh.older]
    kept = [name for name in older if name not in plan.OF_THE_FIT]
    words = "the rings grow by 5 µm in radius at the fit only; pin, rubber, bolts and bond are as they were"
    story.record(carry_over(story.opened.project, kept, words, "T. Lindqvist", "2026-11-24"))


def _with_files(story: Builder) -> list[dict[str, Any]]:
    """The register with a small file for each document, invented as all of it."""
    entries = of_evidence.documents()
    with tempfile.TemporaryDirectory() as folder:
        for entry in entries:
            path = Path(folder) / f"{entry['id']}.txt"
            path.write_text(f"DEMO, invented: {entry['title']}, index {entry['index']}, {entry['on']}\n", "utf-8")
            entry |= {"file": store_raw(story.target, path).sha256, "file_name": path.name}
    return entries


def _items() -> list[dict[str, Any]]:
    return [
        *(of_evidence.curves_item(item) for item in plan.CURVES),
        *(of_evidence.values_item(item) for item in (*plan.SINGLE, plan.ABORTED)),
        *(of_evidence.yes_no_item(item) for item in plan.YES_NO),
    ]


def _planned(item: dict[str, Any]) -> dict[str, Any]:
    """The item as it was before anything was tested."""
    later = ("samples", "started_on", "done_on", "operator", "reason", "order", "temperature", "conditioning", "rest", "scheme",
             "equipment", "documents", "statement", "budget")  # fmt: skip
    return {name: value for name, value in item.items() if name not in later} | {"state": "planned"}


if __name__ == "__main__":
    print(build(Path(sys.argv[1]) if len(sys.argv) > 1 else TARGET))
