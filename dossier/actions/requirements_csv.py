"""Requirements from a CSV file: columns by their headers, a preview, rows held back with reasons, all or none recorded."""

from __future__ import annotations

import copy
import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from dossier import units
from dossier.actions.edit import ids_in_files, refuse_unreadable
from dossier.actions.refusal import Refusal
from dossier.actions.told import first_of
from dossier.checks.margin import limit_in_words
from dossier.evidence.encoding import detect
from dossier.evidence.errors import UnreadableFile
from dossier.records.problems import problems_in_words
from dossier.records.requirement import Requirement
from dossier.store.change import Change
from dossier.store.project import Project
from dossier.store.tomlfile import dump_document
from dossier.units import amount

TARGET = "requirements/imported.toml"
LARGEST = 10_000_000
FIELDS = (
    "id", "title", "statement", "chapter", "quantity", "unit", "kind", "min", "max", "nominal", "criterion", "source",
    "source_kind", "verification", "priority", "owner", "region", "remark",
)  # fmt: skip
NEEDED = ("id", "statement", "quantity", "unit")
FILLED = ("id", "statement", "quantity")  # an empty unit is that of a bare number


@dataclass
class Preview:
    """What an import would take, and why it holds the other rows back."""

    taken: list[dict[str, Any]] = field(default_factory=list)
    held_back: list[str] = field(default_factory=list)

    def rows(self) -> list[list[str]]:
        """A table of what would be taken."""
        found = []
        for raw in self.taken:
            requirement = Requirement.model_validate(raw)
            limit = limit_in_words(requirement.limit, requirement.unit)
            found.append([requirement.id, requirement.title[:40], limit, ", ".join(requirement.verification)])
        return found


def preview_requirements(project: Project, file: Path, columns: Sequence[str] = ()) -> Preview:
    """Read the file and validate each row. Raises Refusal when the file or its headers cannot be used."""
    rows = _read(file)
    headers = [header.strip() for header in rows[0]]
    places = _places(headers, columns)
    preview = Preview()
    seen = ids_in_files(project)
    for number, row in enumerate(rows[1:], start=2):
        if not any(cell.strip() for cell in row):
            continue
        problem = _row(number, row, headers, places, seen, preview)
        if problem:
            preview.held_back.append(problem)
    return preview


def take_requirements(project: Project, preview: Preview, author: str) -> Change:
    """One change with every row of the preview that could be taken. Raises Refusal when there is none."""
    if not preview.taken:
        raise Refusal("no row could be taken; correct the rows that are held back")
    refuse_unreadable(project, TARGET)
    document = copy.deepcopy(project.documents.get(TARGET, {}))
    document.setdefault("requirement", []).extend(preview.taken)
    names = first_of([raw["id"] for raw in preview.taken])
    message = f"{amount(len(preview.taken), 'requirement')} imported: {names}"
    return Change(message, author, {TARGET: dump_document(document)})


def _read(file: Path) -> list[list[str]]:
    try:
        data = file.read_bytes()
    except OSError as error:
        raise Refusal(f"{file} cannot be read: {error.strerror or error}") from error
    if not data.strip() or len(data) > LARGEST:
        raise Refusal(f"{file.name} has {amount(len(data), 'byte')}; expected a table of at most {LARGEST} bytes")
    try:
        form = detect(data[:262_144], file.name)
        text = data.decode(form.encoding)
    except UnreadableFile as error:
        raise Refusal(str(error)) from error
    except UnicodeDecodeError as error:
        raise Refusal(f"{file.name}: {error}; save it as UTF-8") from error
    text = text.removeprefix("\ufeff")
    first = text.splitlines()[0]
    delimiter = max(";,\t", key=first.count)
    try:
        rows = list(csv.reader(io.StringIO(text), delimiter=delimiter, strict=True))
    except csv.Error as error:
        raise Refusal(f"{file.name}: {error}; expected one requirement per line, texts with {delimiter!r} in quotes") from error
    if len(rows) < 2:
        raise Refusal(f"{file.name} holds a header and no row; expected one requirement per line")
    return rows


def _places(headers: list[str], columns: Sequence[str]) -> dict[str, int]:
    lowered = {header.lower(): number for number, header in enumerate(headers)}
    places = {name: lowered[name] for name in FIELDS if name in lowered}
    for entry in columns:
        name, sign, header = entry.partition("=")
        if not sign or name not in FIELDS or header.lower() not in lowered:
            raise Refusal(f'"{entry}" must be FIELD=HEADER; fields are {", ".join(FIELDS)}; headers are {", ".join(headers)}')
        places[name] = lowered[header.lower()]
    missing = [name for name in NEEDED if name not in places]
    if missing:
        raise Refusal(f"no column for {', '.join(missing)}; name it by --column {missing[0]}=HEADER ({', '.join(headers)})")
    return places


def _row(
    number: int, row: list[str], headers: list[str], places: dict[str, int], seen: set[str], preview: Preview
) -> str:
    """Take a row into the preview, or say why not."""
    if len(row) > len(headers):
        return f"line {number}: {amount(len(row), 'field')}, the header has {len(headers)}"
    cells = {name: row[place].strip() if place < len(row) else "" for name, place in places.items()}
    empty = [f"{name} ({headers[places[name]]})" for name in FILLED if not cells[name]]
    if empty:
        return f"line {number}: {', '.join(empty)} is empty; fill it"
    try:
        raw = _raw(cells)
    except units.UnitError as error:
        return f"line {number}: {error}"
    name = raw.get("id", "")
    if name in seen:
        return f"line {number}: id {name} is used already; renumber it"
    try:
        Requirement.model_validate(raw)
    except ValidationError as error:
        return f"line {number}: {'; '.join(problems_in_words(error, Requirement))}"
    seen.add(name)
    preview.taken.append(raw)
    return ""


def _raw(cells: dict[str, str]) -> dict[str, Any]:
    unit = cells["unit"] or "-"
    limit: dict[str, Any] = {}
    for name in ("min", "max", "nominal"):
        if cells.get(name):
            limit[name] = units.parse(_number(cells[name]), unit)
    if cells.get("criterion"):
        limit["criterion"] = cells["criterion"]
    limit["kind"] = cells.get("kind") or _kind(limit)
    raw: dict[str, Any] = {"id": cells["id"], "title": cells.get("title") or cells["statement"][:60]}
    raw |= {name: cells[name] for name in ("statement", "chapter", "quantity") if cells.get(name)}
    raw |= {"unit": unit, "limit": limit}
    if cells.get("verification"):
        words = cells["verification"].replace("+", ",").replace("/", ",").split(",")
        raw["verification"] = [word.strip().lower() for word in words if word.strip()]
    others = ("source", "source_kind", "priority", "owner", "region", "remark")
    return raw | {name: cells[name] for name in others if cells.get(name)}


def _number(text: str) -> str:
    """A decimal comma is accepted in a table: the file's own dialect, never a thousands mark."""
    return text.replace(",", ".", 1) if text.count(",") == 1 and "." not in text else text


def _kind(limit: dict[str, Any]) -> str:
    if "min" in limit and "max" in limit:
        return "range"
    return "max" if "max" in limit else "min" if "min" in limit else "target" if "nominal" in limit else "pass_fail"
