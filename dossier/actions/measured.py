"""Measured files and values into evidence items: preview, reading schemes, import of all or none, states."""

from __future__ import annotations

import copy
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from dossier import units
from dossier.actions.edit import add_record, replace_record
from dossier.actions.refusal import Refusal
from dossier.evidence.errors import UnreadableFile
from dossier.evidence.form import ChannelReading, FileForm, ReadingScheme
from dossier.evidence.reading import read_curve
from dossier.evidence.sniff import sniff
from dossier.records.evidence import EvidenceItem, SchemeRecord, Specimen
from dossier.store.change import UNDOABLE, Change
from dossier.store.digest import sha256_of_file
from dossier.store.project import Project
from dossier.store.rawfiles import store_raw

ROTATIONAL = ("torsional", "conical")


@dataclass(frozen=True)
class ToldForm:
    """A file's form in words, its first rows, and what is doubtful."""

    form: FileForm

    @property
    def lines(self) -> list[str]:
        """Form and columns."""
        form = self.form
        delimiter = {"\t": "tab", " ": "blanks"}.get(form.delimiter, form.delimiter)
        head = (
            f"{form.file}: {form.size} bytes, {form.rows} rows, {form.encoding}, delimiter {delimiter}, decimal "
            f"{form.decimal}, {form.header_lines} header lines ({form.confidence})"
        )
        columns = [f"  column {c.number} {c.label} [{c.unit or '?'}]: {c.channel or 'not mapped'}" for c in form.columns]
        return [head, *columns]

    @property
    def preview(self) -> list[list[str]]:
        """The first rows as text, all of one length."""
        width = max((len(row) for row in self.form.preview), default=0)
        return [[*row, *[""] * (width - len(row))] for row in self.form.preview[:5]]

    @property
    def doubts(self) -> tuple[str, ...]:
        """What a person should look at."""
        return self.form.doubts

    def as_plain(self) -> dict[str, Any]:
        """Plain data."""
        return asdict(self.form)


def told_form(file: Path) -> ToldForm:
    """What sniffing finds. Raises Refusal with line, column and what was expected."""
    return ToldForm(_sniffed(file))


def new_scheme(
    project: Project, scheme_id: str, file: Path, title: str, low: str, high: str, author: str, *,
    between: str = "load", cycle: int = 4, columns: Sequence[str] = (), fixture_compliance: float = 0.0,
    fixture_source: str = "",
) -> Change:  # fmt: skip
    """A reading scheme from a file's form, with columns mapped by hand where given. Raises Refusal."""
    form = _sniffed(file)
    try:
        reading = ReadingScheme.from_form(form, _channels(form, columns), cycle)
    except ValueError as error:
        raise Refusal(f"{form.file}: {error}") from error
    rotational = any(channel.channel in ("torque", "angle") for channel in reading.channels)
    unit = {("load", False): "N", ("load", True): "N·mm", ("travel", False): "mm", ("travel", True): "°"}[between, rotational]
    try:
        ends = [units.parse(text, unit) for text in (low, high)]
    except units.UnitError as error:
        raise Refusal(f"evaluated range: {error}") from error
    raw = {
        "id": scheme_id, "title": title, "reading": reading.to_dict(), "between": between, "low": ends[0], "high": ends[1],
        "cycle": cycle, "fixture_compliance": fixture_compliance, "fixture_source": fixture_source,
    }  # fmt: skip
    return add_record(project, "reading scheme", raw, author)


def preview_curves(project: Project, item_id: str, pairs: Sequence[str]) -> list[str]:
    """Read every file by the item's scheme and tell what it holds. Raises Refusal at the first that cannot be read."""
    item, scheme = _item_with_scheme(project, item_id)
    told = []
    for specimen, path in _pairs(project, item, pairs):
        try:
            curve = read_curve(path, scheme)
        except UnreadableFile as error:
            raise Refusal(f"{error} Nothing was imported.") from error
        if curve.problems:
            raise Refusal(f"{curve.problems[0]} Nothing was imported.")
        spans = ", ".join(f"{name} {values.min():.4g} .. {values.max():.4g}" for name, values in curve.channels.items())
        told.append(f"{specimen}: {path.name}, {curve.rows} points, {spans}")
    return told


def import_curves(project: Project, item_id: str, pairs: Sequence[str], author: str) -> Change:
    """Store the raw files under their SHA-256 and enter them as samples: all or none.

    A specimen that has a file already gets the next run; its first run stays the one that counts.
    """
    preview_curves(project, item_id, pairs)
    item = _item(project, item_id)
    raw = copy.deepcopy(project.raw[item_id])
    samples = raw.setdefault("samples", [])
    known = {sample.file: sample.specimen for sample in item.samples if sample.file}
    found = _pairs(project, item, pairs)
    for specimen, path in found:
        digest = sha256_of_file(path)
        if digest in known:
            raise Refusal(f"{path.name} is imported already for {known[digest]}; one file cannot belong to two samples")
        known[digest] = specimen
    for specimen, path in found:
        stored = store_raw(project.folder, path)
        run = 1 + max((s.get("run", 1) for s in samples if s["specimen"] == specimen), default=0)
        sample = {"specimen": specimen, "run": run, "file": stored.sha256, "file_name": path.name, "imported_by": author}
        samples.append(sample)
    raw.pop("result", None)
    return replace_record(project, item_id, raw, f"{item_id} {len(found)} curves imported", author)


def record_value(
    project: Project, item_id: str, specimen: str, value: str, author: str, observation: str = ""
) -> Change:
    """A single value in the item's unit, or passed / failed, for one specimen. A repetition becomes the next run."""
    item = _item(project, item_id)
    _specimen(project, item, specimen)
    raw = copy.deepcopy(project.raw[item_id])
    samples = raw.setdefault("samples", [])
    run = 1 + max((s.get("run", 1) for s in samples if s["specimen"] == specimen), default=0)
    sample: dict[str, Any] = {"specimen": specimen, "run": run}
    word = value.strip().lower()
    if item.quantity == "yes_no":
        if word not in ("passed", "failed"):
            raise Refusal(f'{item_id} is a yes-or-no item; value = "{value}" must be passed or failed')
        sample["passed"] = word == "passed"
    elif item.quantity == "single":
        try:
            sample["value"] = units.parse(value, item.unit)
        except units.UnitError as error:
            raise Refusal(f"{item_id} {specimen}: {error}") from error
    else:
        raise Refusal(f"{item_id} is evaluated from curves; `dossier import-curves` takes its files")
    if observation:
        sample["observation"] = observation
    samples.append(sample)
    return replace_record(project, item_id, raw, f"{item_id} {specimen} {value.strip()}", author)


def set_state(project: Project, item_id: str, state: str, author: str, on: str, reason: str = "") -> Change:
    """Change the state of an item. A started test is never deleted; aborted and invalid need a reason."""
    item = _item(project, item_id)
    if state == "planned" and item.state != "planned":
        raise Refusal(f"{item_id} was begun; it cannot become planned again (abort it with a reason)")
    raw = copy.deepcopy(project.raw[item_id])
    raw["state"] = state
    if reason:
        raw["reason"] = reason
    if state != "planned":
        raw.setdefault("started_on", on)
    if state in ("finished", "aborted", "invalid"):
        raw["done_on"] = on
    change = replace_record(project, item_id, raw, f"{item_id} {item.state} → {state}", author)
    return Change(change.message, author, change.files, {UNDOABLE: "no"} if state in ("aborted", "invalid") else {})


def _sniffed(file: Path) -> FileForm:
    try:
        return sniff(file)
    except UnreadableFile as error:
        raise Refusal(str(error)) from error
    except OSError as error:
        raise Refusal(f"{file} cannot be read: {error.strerror or error}") from error


def _channels(form: FileForm, columns: Sequence[str]) -> tuple[ChannelReading, ...]:
    found = []
    for entry in columns:
        channel, sign, rest = entry.partition("=")
        number, _, unit = rest.partition(":")
        if not sign or not number.isdigit() or not 1 <= int(number) <= len(form.columns):
            raise Refusal(f'column "{entry}" must be CHANNEL=NUMBER[:UNIT] with a number from 1 to {len(form.columns)}')
        column = form.columns[int(number) - 1]
        found.append(ChannelReading(channel, column.number, column.name, unit or column.unit))
    return tuple(found)


def _item(project: Project, item_id: str) -> EvidenceItem:
    item = project.get(item_id)
    if not isinstance(item, EvidenceItem):
        raise Refusal(f"{item_id} is no evidence item; name one of {', '.join(i.id for i in project.evidence)}")
    return item


def _item_with_scheme(project: Project, item_id: str) -> tuple[EvidenceItem, ReadingScheme]:
    item = _item(project, item_id)
    scheme = project.find(item.scheme)
    if not isinstance(scheme, SchemeRecord):
        raise Refusal(f"{item_id}.scheme names no reading scheme; `dossier scheme` makes one from a file")
    try:
        return item, ReadingScheme.from_dict(scheme.reading)
    except (ValueError, TypeError) as error:
        raise Refusal(f"{scheme.id}.reading: {error}") from error


def _pairs(project: Project, item: EvidenceItem, pairs: Sequence[str]) -> list[tuple[str, Path]]:
    found = []
    for pair in pairs:
        specimen, sign, file = pair.partition("=")
        if not sign:
            raise Refusal(f'"{pair}" must be SPECIMEN=FILE, such as P-201=radial-201.csv')
        _specimen(project, item, specimen)
        if not Path(file).is_file():
            raise Refusal(f"{file} is not there; nothing was imported")
        found.append((specimen, Path(file)))
    return found


def _specimen(project: Project, item: EvidenceItem, name: str) -> None:
    specimen = project.find(name)
    if not isinstance(specimen, Specimen):
        raise Refusal(f"{name} is no specimen of this project; add it to specimens.toml first")
    if specimen.design not in (item.variant, item.reference):
        named = " and ".join(filter(None, (item.variant, item.reference))) or "no design"
        raise Refusal(f"{name} is a part of {specimen.design}, {item.id} tests {named}; correct one of the two")
