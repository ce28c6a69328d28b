"""Measured files and values into evidence items: preview, reading schemes, import of all or none, states."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from dossier import units
from dossier.actions.curve_files import Cancel, Preview, Progress, check_specimen, fitting_schemes, named_files, preview_of
from dossier.actions.edit import add_record, replace_record
from dossier.actions.refusal import Refusal
from dossier.actions.scheme_settings import parsed_settings, static_fields
from dossier.evidence.errors import UnreadableFile
from dossier.evidence.form import ChannelReading, FileForm, ReadingScheme
from dossier.evidence.sniff import sniff
from dossier.methods.shape import shape_sha256
from dossier.records.evidence import EvidenceItem, SchemeRecord, Specimen, Statistics
from dossier.store.change import UNDOABLE, Change
from dossier.store.digest import sha256_of_file
from dossier.store.project import Project
from dossier.store.rawfiles import drop_raw, raw_names, store_raw

STOPPABLE = ("single", "life", "staircase", "sn_line")  # a value may be a load or life that was survived
VALUED = (*STOPPABLE, "capability", "adhesion")


@dataclass(frozen=True)
class ToldForm:
    """A file's form in words, its first rows, and what is doubtful."""

    form: FileForm

    @property
    def lines(self) -> list[str]:
        """Form and columns."""
        form = self.form
        delimiter = {"\t": "tab", " ": "blanks"}.get(form.delimiter, form.delimiter)
        rows = f"about {float(f'{form.rows:.2g}'):.0f}" if form.rows_estimated else form.rows
        head = (
            f"{form.file}: {form.size} bytes, {rows} rows, {form.encoding}, delimiter {delimiter}, decimal "
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
    if file.is_dir():
        raise Refusal(f"{file} is a folder; name one measured file in it")
    if not file.exists():
        raise Refusal(f"{file} is not there; check the path of the measured file")
    return ToldForm(_sniffed(file))


def new_scheme(
    project: Project, scheme_id: str, file: Path, title: str, low: str, high: str, author: str, *,
    between: str = "load", static: Mapping[str, str] | None = None, columns: Sequence[str] = (), fixture_compliance: float = 0.0,
    fixture_source: str = "", kind: str = "", settings: Sequence[str] = (),
) -> Change:  # fmt: skip
    """A reading scheme from a file's form, with columns mapped by hand where given. Raises Refusal.

    `low` and `high` are the evaluated range of static curves, `static` their cycles, kind of stiffness and zero
    (`scheme_settings.static_fields`); without them `kind` and its `settings` say how dynamic, durability, load-history or press
    records are evaluated.
    """
    form = _sniffed(file)
    try:
        reading = ReadingScheme.from_form(form, channels_of(form, columns))
        rotational = any(channel.channel in ("torque", "angle") for channel in reading.channels)
        way = static_fields(rotational, static or {})
        reading = replace(reading, cycle=way["cycle"])
    except ValueError as error:
        raise Refusal(f"{form.file}: {error}") from error
    unit = {("load", False): "N", ("load", True): "N·mm", ("travel", False): "mm", ("travel", True): "°"}[between, rotational]
    raw: dict[str, Any] = {"id": scheme_id, "title": title, "reading": reading.to_dict()}
    if kind:
        raw[kind] = parsed_settings(kind, settings)
    if low or high or not kind:
        try:
            ends = [units.parse(text, unit) for text in (low, high)]
        except units.UnitError as error:
            raise Refusal(f"evaluated range: {error}") from error
        raw |= {"between": between, "low": ends[0], "high": ends[1], **way}
        raw |= {"fixture_compliance": fixture_compliance, "fixture_source": fixture_source}
    return add_record(project, "reading scheme", raw, author)


def preview_curves(
    project: Project, item_id: str, pairs: Sequence[str], scheme_id: str = "",
    progress: Progress | None = None, cancel: Cancel | None = None,
) -> Preview:  # fmt: skip
    """Read every file by the item's scheme and tell what it holds. Raises Refusal at the first that cannot be read.

    `pairs` are SPECIMEN=FILE, or FILE alone where the file's name holds the specimen, or a pattern of such files;
    `scheme_id` is the reading scheme of an item that names none yet. `progress` is given the share and the rows read,
    Cancelled is raised when `cancel` answered True.
    """
    item = _item(project, item_id)
    found = named_files(project, item, pairs)
    if not (scheme_id or item.scheme):
        _offer_schemes(project, item, found[0][1])
    scheme, reading = _scheme_of(project, item, scheme_id)
    return preview_of(project, item, scheme, reading, found, progress, cancel)


def import_curves(
    project: Project, item_id: str, pairs: Sequence[str], author: str, scheme_id: str = "", *, confirmed: bool = False,
    progress: Progress | None = None, cancel: Cancel | None = None,
) -> Change:  # fmt: skip
    """Store the raw files under their SHA-256 and enter them as samples: all or none. Arguments as `preview_curves`.

    A specimen that has a file already gets the next run; its first run stays the one that counts. Nothing is stored
    before every file was read and the record that results is accepted. What the preview asks must be `confirmed`,
    which the change tells.
    """
    asked = preview_curves(project, item_id, pairs, scheme_id, progress, cancel).questions
    if asked and not confirmed:
        raise Refusal(f"{asked[0]} Confirm that the sizes are right, or correct the scheme. Nothing was imported.")
    item = _begun(project, item_id)
    raw = copy.deepcopy(project.raw[item_id])
    if scheme_id:
        raw["scheme"] = scheme_id
    samples = raw.setdefault("samples", [])
    found = named_files(project, item, pairs)
    digests = _new_files(project, item, found)
    for (specimen, path), digest in zip(found, digests, strict=True):
        samples.append(
            {"specimen": specimen, "run": _next_run(samples, specimen), "file": digest, "file_name": path.name,
             "imported_by": author}
        )  # fmt: skip
    told = f"{item_id} {len(found)} curve{'s' if len(found) > 1 else ''} imported"
    told += "".join(f"\nconfirmed: {text}" for text in asked)
    change = replace_record(project, item_id, raw, told, author)
    _store(project, [path for _, path in found], digests)
    return change


def _store(project: Project, files: Sequence[Path], digests: Sequence[str]) -> None:
    """Store all files or, where one is refused or the work is ended, none."""
    before = raw_names(project.folder)
    try:
        for path, digest in zip(files, digests, strict=True):
            if store_raw(project.folder, path).sha256 != digest:
                raise Refusal(f"{path.name} changed while it was imported; nothing was recorded, import it again")
    except BaseException:
        drop_raw(project.folder, raw_names(project.folder) - before)
        raise


def record_value(
    project: Project, item_id: str, specimen: str, value: str, author: str, observation: str = "", survived: bool = False,
    load: str = "", shares: Sequence[str] = (),
) -> Change:  # fmt: skip
    """A single value in the item's unit, or passed / failed, for one specimen. A repetition becomes the next run.

    `survived`: the value is a load or life at which the part was stopped without failure. `load`: load level of a life of an
    S–N test, with its unit. `shares`: of an adhesion, "R=95" and so on in %, together 100.
    """
    item = _begun(project, item_id)
    if item.way != "analysis":
        check_specimen(project, item, specimen)
    raw = copy.deepcopy(project.raw[item_id])
    samples = raw.setdefault("samples", [])
    sample: dict[str, Any] = {"specimen": specimen, "run": _next_run(samples, specimen)}
    if not isinstance(project.find(specimen), Specimen) and (shape := shape_sha256(project, item.variant)):
        sample["shape_sha256"] = shape
    word = value.strip().lower()
    if item.quantity == "yes_no":
        if word not in ("passed", "failed"):
            raise Refusal(f'{item_id} is a yes-or-no item; value = "{value}" must be passed or failed')
        sample["passed"] = word == "passed"
    elif item.quantity in VALUED:
        try:
            sample["value"] = units.parse(value, item.unit)
        except units.UnitError as error:
            raise Refusal(f"{item_id} {specimen}: {error}") from error
    else:
        raise Refusal(f"{item_id} is evaluated from curves; `dossier import-curves` takes its files")
    if survived and item.quantity not in STOPPABLE:
        raise Refusal(f"{item_id} is no item of single values, lives or steps; only a load or life can be survived")
    if survived:
        sample["survived"] = True
    if load or item.quantity == "sn_line":
        sample["load"] = _load_level(item, load)
    if bool(shares) != (item.quantity == "adhesion"):
        needs = "needs the shares of the failure codes, such as R=95 RC=5"
        wanted = "is no adhesion; it takes no shares" if shares else needs
        raise Refusal(f"{item_id} {wanted}")
    if shares:
        sample["shares"] = dict(_share(text) for text in shares)
    if observation:
        sample["observation"] = observation
    samples.append(sample)
    return replace_record(project, item_id, raw, f"{item_id} {specimen} {value.strip()}", author)


def _load_level(item: EvidenceItem, load: str) -> float:
    if item.quantity != "sn_line":
        raise Refusal(f"{item.id} is no item of an S–N line; a load level belongs to those only")
    unit = (item.statistics or Statistics()).load_unit
    if not load:
        raise Refusal(f"{item.id} is an S–N line; state the load level of the part too, in {unit}")
    try:
        return units.parse(load, unit)
    except units.UnitError as error:
        raise Refusal(f"{item.id} load: {error}") from error


def _share(text: str) -> tuple[str, float]:
    code, _, number = text.partition("=")
    try:
        return code.strip().upper(), float(number.strip().removesuffix("%").replace(",", ".")) / 100
    except ValueError as error:
        raise Refusal(f'shares = "{text}" must be CODE=PERCENT, such as R=95') from error


def set_state(
    project: Project, item_id: str, state: str, author: str, on: str = "", reason: str = "", *, today: date | None = None
) -> Change:
    """Change the state of an item on a day (default: today). A started test is never deleted; aborted and invalid need a
    reason, and so does beginning again what was finished."""
    item = _item(project, item_id)
    if state == "planned" and item.state != "planned":
        raise Refusal(f"{item_id} was begun; it cannot become planned again (abort it with a reason)")
    if state == item.state:
        raise Refusal(f"{item_id} is {state} already; nothing to change")
    if item.state in ("aborted", "invalid"):
        raise Refusal(f"{item_id} is {item.state} ({item.reason}); plan a new test that names it in its field repeats")
    day = _day(on, today or datetime.now(UTC).date())
    raw = copy.deepcopy(project.raw[item_id])
    raw["state"] = state
    if state == "running" and item.state == "finished":
        _begin_again(raw, item, reason, day)
    elif reason:
        raw["reason"] = reason
    if on and state == "running" and item.started_on not in (None, day):
        raise Refusal(f"on = {on}: {item_id}.started_on = {item.started_on} already; set that field if it is wrong")
    if state != "planned":
        raw.setdefault("started_on", day)
    if state in ("finished", "aborted", "invalid"):
        raw["done_on"] = day
    change = replace_record(project, item_id, raw, f"{item_id} {item.state} → {state}", author)
    return Change(change.message, author, change.files, {UNDOABLE: "no"} if state in ("aborted", "invalid") else {})


def _day(on: str, today: date) -> str:
    """The day in ISO form. Raises Refusal for text that is no day, and for a day that has not come."""
    if not on:
        return today.isoformat()
    try:
        day = date.fromisoformat(on)
    except ValueError as error:
        raise Refusal(f'on = "{on}" is no day; write it as {today.isoformat()}') from error
    if day > today:
        raise Refusal(f"on = {on} lies after today, {today.isoformat()}; a test is told when it has happened")
    return day.isoformat()


def _begin_again(raw: dict[str, Any], item: EvidenceItem, reason: str, day: str) -> None:
    if not reason:
        raise Refusal(f"{item.id} is finished; say by a reason why it goes on")
    raw.pop("done_on", None)
    raw["deviations"] = "; ".join(filter(None, (item.deviations, f"gone on with on {day}: {reason}")))


def _sniffed(file: Path) -> FileForm:
    try:
        return sniff(file)
    except UnreadableFile as error:
        raise Refusal(str(error)) from error
    except OSError as error:
        raise Refusal(f"{file} cannot be read: {error.strerror or error}") from error


def channels_of(form: FileForm, columns: Sequence[str]) -> tuple[ChannelReading, ...]:
    """Columns mapped by hand, from CHANNEL=NUMBER[:UNIT]. Raises Refusal."""
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


def _begun(project: Project, item_id: str) -> EvidenceItem:
    """The item when results may be entered: its begin is dated, so that agreed margins can be held against it."""
    item = _item(project, item_id)
    if item.state == "planned":
        raise Refusal(f"{item_id} is planned; say first when it began: dossier test-state … {item_id} running --on DAY")
    if item.state in ("aborted", "invalid"):
        raise Refusal(f"{item_id} is {item.state} ({item.reason}); plan a new test that names it in its field repeats")
    return item


def _scheme_of(project: Project, item: EvidenceItem, scheme_id: str) -> tuple[SchemeRecord, ReadingScheme]:
    if scheme_id and item.scheme not in ("", scheme_id):
        raise Refusal(f"{item.id}.scheme = {item.scheme}, not {scheme_id}; all files of an item are read in one way")
    name = scheme_id or item.scheme
    scheme = project.find(name)
    if not isinstance(scheme, SchemeRecord):
        named = f"{item.id}.scheme = {name} is no reading scheme" if name else f"{item.id}.scheme is empty"
        raise Refusal(f"{named}; name one by --scheme, `dossier scheme` makes one from a file")
    try:
        return scheme, ReadingScheme.from_dict(scheme.reading)
    except (ValueError, TypeError) as error:
        raise Refusal(f"{scheme.id}.reading: {error}") from error


def _offer_schemes(project: Project, item: EvidenceItem, file: Path) -> None:
    """Raise Refusal naming the saved schemes that read such a file, where there are any."""
    fitting = fitting_schemes(project, _sniffed(file))
    if fitting:
        named = " or ".join(f"--scheme {scheme.id} ({scheme.title})" for scheme in fitting)
        raise Refusal(f"{item.id}.scheme is empty; files like {file.name} are read by {named}. Nothing was imported")


def _next_run(samples: list[dict[str, Any]], specimen: str) -> int:
    return 1 + max((s.get("run", 1) for s in samples if s["specimen"] == specimen), default=0)


def _new_files(project: Project, item: EvidenceItem, found: Sequence[tuple[str, Path]]) -> list[str]:
    """SHA-256 of each file. A file belongs to one specimen in the whole project, and once to an item."""
    owners = {s.file: (other.id, s.specimen) for other in project.evidence for s in other.samples if s.file}
    owners |= {s.file: (item.id, s.specimen) for s in item.samples if s.file}
    digests = []
    for specimen, path in found:
        digest = sha256_of_file(path)
        where, owner = owners.get(digest, ("", specimen))
        if where == item.id or owner != specimen:
            raise Refusal(
                f"{path.name} is imported already for {owner} in {where}; one file cannot belong to two samples"
            )
        owners[digest] = (item.id, specimen)
        digests.append(digest)
    return digests
