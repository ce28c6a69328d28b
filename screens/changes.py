"""Changes told in words: field by field, and what each touched."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from dossier.actions.told import in_words
from dossier.records.calculation import Calculation
from dossier.records.collections import Collection, collection_of_path
from dossier.records.fields import NoField, spot_at
from dossier.records.requirement import Requirement
from dossier.records.step import StepRecord
from dossier.store.authors import changed_ids
from dossier.store.errors import StoreError
from dossier.store.history import Entry
from dossier.store.tomlfile import parse_document
from dossier.store.words import FieldChange, differences
from dossier.units import show
from screens.session import Session

MOST_NAMED = 4
# What a result keeps beside its values so that it can be recomputed; no reader looks for it in a list of changes.
KEPT_BESIDE = tuple(
    f"result.{name}" for name in ("inputs", "sources", "libraries", "computed_at", "computed_by", "method_version")
)


@dataclass(frozen=True)
class ToldField:
    """One field of a change: the record, the field, its old and new value in words, and by how much it moved."""

    record: str
    field: str
    was: str
    now: str
    share: str = ""


@dataclass(frozen=True)
class Touched:
    """What a change touched: records, results that are outdated now, requirements served, steps with a void sign-off.

    `signed` are steps that were answered or signed by it.
    """

    records: tuple[str, ...]
    outdated: tuple[str, ...] = ()
    requirements: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    signed: tuple[str, ...] = ()

    @property
    def short(self) -> str:
        """In the column of the list."""
        told = [named(self.outdated or self.requirements or self.records, 2)]
        told[0] += " ∆" if self.outdated else ""
        told += [f"step {step}{' ∆' if step in self.steps else ''}" for step in sorted({*self.steps, *self.signed})]
        return ", ".join(part for part in told if part)


def named(ids: tuple[str, ...] | list[str], most: int = MOST_NAMED) -> str:
    """Some ids, the rest counted."""
    return " ".join(ids[:most]) + (f" +{len(ids) - most}" if len(ids) > most else "")


def when_in_words(time: str, today: datetime) -> str:
    """"today 07:41", "yest. 18:22", "11-20 14:15", "2025-11-20", from UTC in the machine's own time."""
    moment = datetime.fromisoformat(time.replace("Z", "+00:00")).astimezone()
    days = (today.astimezone().date() - moment.date()).days
    if days == 0:
        return f"today {moment:%H:%M}"
    if days == 1:
        return f"yest. {moment:%H:%M}"
    near = timedelta(days=300) > today.astimezone() - moment > timedelta()
    return f"{moment:%m-%d %H:%M}" if near and moment.year == today.astimezone().year else f"{moment:%Y-%m-%d}"


class ChangeReader:
    """Reads entries of the history for a sheet; each is read once for each reading of the project."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.history = session.opened.folder.history()
        self._view = session.opened.view
        self._touched: dict[str, Touched] = {}

    def _renew(self) -> None:
        if self._view is not self.session.opened.view:
            self._view = self.session.opened.view
            self.history = self.session.opened.folder.history()
            self._touched = {}

    def ids(self, entry: Entry) -> list[str]:
        """Records that an entry changed."""
        return [name for name in changed_ids(self.history, entry.parent, entry.id, entry.paths) if name]

    def touched(self, entry: Entry) -> Touched:
        """What an entry touched."""
        self._renew()
        if entry.id not in self._touched:
            stems = {path.rpartition("/")[2].rpartition(".")[0] for path in entry.paths if path.startswith("signoffs/")}
            signed = {s.signoff.step for s in self._view.signoffs if s.signoff.id in stems}
            found = self.touched_by(self.ids(entry))
            self._touched[entry.id] = replace(found, signed=tuple(sorted({*found.signed, *signed})))
        return self._touched[entry.id]

    def touched_by(self, ids: list[str]) -> Touched:
        """What a change of these records touches, as the records are now."""
        project, view = self.session.opened.project, self.session.opened.view
        answered = [step.step for name in ids if isinstance(step := project.find(name), StepRecord)]
        wanted = set(ids)
        ids = [name for name in ids if not isinstance(project.find(name), StepRecord)]
        above = list(dict.fromkeys([*ids, *(upper for name in ids for upper in project.serves(name))]))
        results = [name for name in above if isinstance(project.find(name), Calculation)]
        outdated = [name for name in results if view.freshness[name].state == "outdated"]
        served = [upper for name in results for upper in project.serves(name)]
        demands = [n for n in dict.fromkeys((*above, *served)) if isinstance(project.find(n), Requirement)]
        steps = {s.signoff.step for s in view.signoffs if wanted & set(s.changed)}
        return Touched(tuple(ids), tuple(outdated), tuple(demands), tuple(sorted(steps)), tuple(answered))

    def fields(self, entry: Entry) -> list[ToldField]:
        """Every field that an entry changed."""
        told: list[ToldField] = []
        for path in entry.paths:
            before = self.history.read_at(entry.parent, path) if entry.parent else None
            told += told_fields(path, before, self.history.read_at(entry.id, path))
        return told

    def outside_fields(self, path: str) -> list[ToldField]:
        """Every field of a file that differs from the history."""
        opened = self.session.opened
        before = self.history.read_at(opened.snapshot.head, path) if opened.snapshot.head else None
        return told_fields(path, before, opened.snapshot.data(path))


def told_fields(path: str, before: bytes | None, now: bytes | None) -> list[ToldField]:
    """The fields of a file that differ between two states of its bytes; None: the file was not there."""
    try:
        old, new = (_document(data, path) for data in (before, now))
    except StoreError as error:
        return [ToldField(path, "", "", str(error))]
    if old is None or new is None:
        word = "added" if before is None else "deleted" if now is None else "changed"
        if not path.endswith(".toml") or word == "deleted":
            return [ToldField(path, "", "", word)]
        old = old or {}
    collection = collection_of_path(path)
    if before is None and collection is not None and not collection.key:
        return _added(path, new or {}, collection)
    found = [_told(path, change, collection, old, new or {}) for change in differences(old, new or {})]
    telling = [entry for entry in found if not entry.field.startswith(KEPT_BESIDE)]
    if found and not telling:
        return [ToldField(found[0].record, "result", "", "calculated again, with the same values")]
    return telling or [ToldField(path, "", "", "comments, spacing or order of fields")]


def _added(path: str, new: dict[str, Any], collection: Collection) -> list[ToldField]:
    """A new file that is a record: one line with its title, then its fields."""
    record = str(new.get("id", path))
    title = next(iter(_titles(new)), collection.kind)
    told = [_told(path, change, collection, {}, new) for change in differences({}, new)]
    return [ToldField(record, "", "", f"added  {title}")] + [
        ToldField(record, entry.field, "", entry.now) for entry in told if entry.field not in ("id", "title")
    ]


def _document(data: bytes | None, path: str) -> dict[str, Any] | None:
    return parse_document(data, path) if data is not None and path.endswith(".toml") else None


def _told(
    path: str, change: FieldChange, collection: Collection | None, old: dict[str, Any], new: dict[str, Any]
) -> ToldField:
    keyed = bool(collection and collection.key)
    inside = change.path[2:] if keyed else change.path
    record = (change.path[1] if len(change.path) > 1 else path) if keyed else str(new.get("id", old.get("id", path)))
    unit = _unit(collection, record, keyed, inside, new, old)
    was, now = (_result_words(inside, value) or _value(value, unit) for value in (change.old, change.new))
    if not inside:
        title = next((v for side in (change.new, change.old) if isinstance(side, dict) for v in _titles(side)), "")
        now = "added" if change.old is None else "removed" if change.new is None else now
        return ToldField(record, "", "", f"{now}  {title}".strip())
    return ToldField(record, _field_name(inside, new, old), was, now, _share(change.old, change.new))


def _field_name(inside: tuple[str, ...], new: dict[str, Any], old: dict[str, Any]) -> str:
    """The dotted field; a value of a result by its own name."""
    if inside[:2] == ("result", "values") and len(inside) > 2 and inside[2].startswith("["):
        number = int(inside[2][1:-1]) - 1
        for side in (new, old):
            values = side.get("result", {}).get("values", []) if isinstance(side.get("result"), dict) else []
            if number < len(values) and isinstance(values[number], dict):
                end = [part for part in inside[3:] if part != "value"]
                return ".".join(["result", str(values[number].get("name", inside[2])), *end])
    return ".".join(inside)


def _result_words(inside: tuple[str, ...], value: Any) -> str:
    """The first value of a whole result, which is too long to be told in full."""
    values = value.get("values") if inside == ("result",) and isinstance(value, dict) else None
    first = values[0] if isinstance(values, list) and values and isinstance(values[0], dict) else None
    if first is None or not isinstance(first.get("value"), int | float):
        return ""
    unit = first.get("unit", "")
    return f"{first.get('name', '')} {show(float(first['value']), 4)}{'' if unit == '-' else f' {unit}'}"


def _titles(side: dict[str, Any]) -> list[str]:
    return [str(side[name]) for name in ("title", "name", "number") if side.get(name)]


def _value(value: Any, unit: str) -> str:
    if not isinstance(value, int | float) or isinstance(value, bool):
        return in_words(value)
    return (show(value, 6) if len(in_words(value)) > 8 else in_words(value)) + (f" {unit}" if unit else "")


def _share(old: Any, new: Any) -> str:
    numbers = [value for value in (old, new) if isinstance(value, int | float) and not isinstance(value, bool)]
    if len(numbers) < 2 or not old:
        return ""
    return f"{100 * (new - old) / abs(old):+.1f} %"


def _unit(
    collection: Collection | None, record: str, keyed: bool, inside: tuple[str, ...], new: dict[str, Any], old: dict[str, Any]
) -> str:
    if collection is None:
        return ""
    dotted = ".".join(str(int(part[1:-1]) - 1) if part.startswith("[") else part for part in inside)
    for document in (new, old):
        entries = document.get(collection.key, []) if keyed else [document]
        listed = entries if isinstance(entries, list) else []
        raw = next((e for e in listed if isinstance(e, dict) and (not keyed or e.get("id") == record)), None)
        if raw is None:
            continue
        try:
            unit = spot_at(collection.model, raw, dotted).unit
        except NoField:
            continue
        return "" if unit == "-" else unit
    return ""
