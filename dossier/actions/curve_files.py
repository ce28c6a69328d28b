"""Measured files named for an evidence item: patterns, the specimen in a file's name, the size its curve should have."""

from __future__ import annotations

import glob
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from dossier import units
from dossier.actions.refusal import Refusal
from dossier.actions.told import first_of
from dossier.evidence.errors import UnreadableFile
from dossier.evidence.form import FileForm, ReadingScheme
from dossier.evidence.open_table import open_table
from dossier.evidence.plausibility import Expected, questions
from dossier.evidence.reading import Curve, Progress, read_curve
from dossier.methods.evidence_links import CURVES
from dossier.methods.evidence_plots import SHOWN
from dossier.records.evidence import EvidenceItem, SchemeRecord, Specimen
from dossier.records.requirement import Requirement
from dossier.store.project import Project

ROTATIONAL = ("torsional", "conical")
CHANNEL_UNITS = {**SHOWN, "time": (1.0, "s"), "temperature": (1.0, "°C")}
Cancel = Callable[[], bool]


@dataclass(frozen=True)
class Preview:
    """What the files hold, a line each, and what a person must confirm before they are taken in."""

    told: list[str]
    questions: list[str]


def preview_of(
    project: Project, item: EvidenceItem, scheme: SchemeRecord, reading: ReadingScheme, pairs: Sequence[tuple[str, Path]],
    progress: Progress | None = None, cancel: Cancel | None = None,
) -> Preview:  # fmt: skip
    """Read every file. Raises Refusal at the first that cannot be taken, Cancelled when `cancel` answered True."""
    expected = expected_size(project, item, scheme)
    told, asked, rows = [], [], 0
    for number, (specimen, path) in enumerate(pairs):
        curve = _read(path, reading, _of_all(progress, number, len(pairs), rows), cancel)
        rows += curve.rows
        spans = ", ".join(_span(name, values) for name, values in curve.channels.items())
        told.append(f"{specimen}: {path.name}, {curve.rows} points, {spans}")
        asked += [f"{path.name} ({specimen}): {text}" for text in _asked(item, curve, expected)]
    return Preview(told, asked)


def _span(name: str, values: np.ndarray) -> str:
    """ "force -16.6 .. 16.6 kN": what a channel holds, in the unit it is read in."""
    factor, unit = CHANNEL_UNITS.get(name, (1.0, ""))
    return f"{name} {factor * values.min():.4g} .. {factor * values.max():.4g} {unit}".strip()


def _of_all(progress: Progress | None, number: int, count: int, before: int) -> Progress | None:
    """Tells of one file as of a part of all, `before` rows being read already."""
    return progress and (lambda share, rows: progress((number + share) / count, before + rows))


def _read(path: Path, reading: ReadingScheme, progress: Progress | None, cancel: Cancel | None) -> Curve:
    try:
        curve = read_curve(path, reading, progress, cancel)
    except UnreadableFile as error:
        raise Refusal(f"{error}. Nothing was imported.") from error
    if curve.problems:
        raise Refusal(f"{path.name}: {curve.problems[0]}. Nothing was imported.")
    return curve


def _asked(item: EvidenceItem, curve: Curve, expected: Expected) -> list[str]:
    load, travel = ("torque", "angle") if expected.rotational else ("force", "displacement")
    if item.quantity not in CURVES or load not in curve.channels or travel not in curve.channels:
        return []
    return questions(curve.channels[travel], curve.channels[load], expected)


def asked_of_file(file: Path, progress: Progress | None = None) -> list[str]:
    """What a person should be asked about a file read without a scheme: why it cannot be, its time stamps, and the size
    and the ends of range of load over travel, where it holds both."""
    try:
        curve = open_table(file, progress=progress)
    except UnreadableFile as error:
        return [f"cannot be read without a scheme: {error}"]
    asked = [text for text in curve.problems if text.startswith("time ")]
    for load, travel in (("force", "displacement"), ("torque", "angle")):
        if load in curve.channels and travel in curve.channels:
            expected = Expected(rotational=load == "torque")
            asked += questions(curve.channels[travel], curve.channels[load], expected)
    return asked


def expected_size(project: Project, item: EvidenceItem, scheme: SchemeRecord) -> Expected:
    """The size from the scheme's evaluated range and from the stiffness that the served requirements demand."""
    rotational = item.quantity in ROTATIONAL
    reach = max(abs(scheme.low), abs(scheme.high)) if scheme.low is not None and scheme.high is not None else None
    stiffness = next(filter(None, (_demanded(project, serves.requirement, rotational) for serves in item.serves)), None)
    return Expected(
        load=reach if scheme.between == "load" else None, travel=reach if scheme.between == "travel" else None,
        stiffness=stiffness, rotational=rotational,
    )  # fmt: skip


def _demanded(project: Project, requirement_id: str, rotational: bool) -> float | None:
    """The middle of a demanded stiffness in N/mm or N·mm/°; None where the requirement is about something else."""
    requirement = project.find(requirement_id)
    if not isinstance(requirement, Requirement):
        return None
    limit = requirement.limit
    ends = [value for value in (limit.min, limit.max) if value is not None]
    value = limit.nominal if limit.nominal is not None else sum(ends) / len(ends) if ends else None
    if not value:
        return None
    try:
        return units.convert(value, requirement.unit, "N·mm/°" if rotational else "N/mm")
    except units.UnitError:
        return None


def fitting_schemes(project: Project, form: FileForm) -> list[SchemeRecord]:
    """The saved reading schemes by whose names, units and marks a file of this form can be read, in their order."""
    return [scheme for scheme in project.of_kind(SchemeRecord) if _fits(scheme, form)]


def _fits(scheme: SchemeRecord, form: FileForm) -> bool:
    try:
        reading = ReadingScheme.from_dict(scheme.reading)
    except (ValueError, TypeError):
        return False
    if (reading.delimiter, reading.decimal, reading.thousands) != (form.delimiter, form.decimal, form.thousands):
        return False
    if not reading.names_line:
        return not form.names_line and (reading.fields, reading.header_lines) == (len(form.columns), form.header_lines)
    there = {(column.name, column.unit) for column in form.columns}
    return all((channel.name, channel.unit) in there for channel in reading.channels)


def named_files(project: Project, item: EvidenceItem, pairs: Sequence[str]) -> list[tuple[str, Path]]:
    """Specimen and file for each of `pairs`: SPECIMEN=FILE, FILE alone, or a pattern such as folder/*.csv whose files
    each name their specimen. Raises Refusal naming what is missing."""
    found = []
    for pair in (one for given in pairs for one in _matching(project, given)):
        specimen, sign, file = pair.partition("=")
        if not sign or (project.find(specimen) is None and Path(pair).is_file()):
            specimen, file = _named_in(project, item, Path(pair)), pair
        check_specimen(project, item, specimen)
        if not Path(file).is_file():
            raise Refusal(f"{file} is not there; nothing was imported")
        found.append((specimen, Path(file)))
    twice = sorted({specimen for specimen, _ in found if [other for other, _ in found].count(specimen) > 1})
    if twice and any(glob.has_magic(given) for given in pairs):
        files = ", ".join(path.name for specimen, path in found if specimen == twice[0])
        raise Refusal(f"{twice[0]} is named by {files}; name the file that counts first. Nothing was imported")
    return found


def _matching(project: Project, given: str) -> list[str]:
    """The files a pattern stands for, by name; `given` itself where it is a file or no pattern."""
    head, sign, rest = given.partition("=")
    if not glob.has_magic(given) or Path(given).is_file() or (sign and Path(rest).is_file()):
        return [given]
    if sign and project.find(head) is not None:
        raise Refusal(f'"{given}": a pattern stands for files of several specimens; write it without {head}=')
    files = [path for path in sorted(glob.glob(str(Path(given).expanduser()), recursive=True)) if Path(path).is_file()]
    if not files:
        raise Refusal(f'no file is called "{given}"; nothing was imported')
    return files


def _named_in(project: Project, item: EvidenceItem, file: Path) -> str:
    """The one specimen of the item's designs whose id stands as a whole in the file's name."""
    parts = [s.id for s in project.of_kind(Specimen) if s.design in (item.variant, item.reference)]
    inside = [part for part in parts if re.search(rf"(?<![^\W_]){re.escape(part)}(?![^\W_])", file.stem, re.IGNORECASE)]
    if len(inside) != 1:
        told = f"names {' and '.join(inside)}" if inside else f"names no specimen that {item.id} tests"
        known = f"it tests {first_of(parts)}" if parts else f"no specimen of {item.variant or item.reference} is registered yet"
        such = f"such as {(inside or parts or ['P-201'])[0]}={file.name}"
        raise Refusal(f"{file.name} {told} ({known}); write SPECIMEN=FILE, {such}. Nothing was imported")
    return inside[0]


def check_specimen(project: Project, item: EvidenceItem, name: str) -> None:
    """Raise Refusal for what is no specimen of the designs that the item tests."""
    specimen = project.find(name)
    if not isinstance(specimen, Specimen):
        raise Refusal(f"{name} is no specimen of this project; add it to specimens.toml first")
    if specimen.design not in (item.variant, item.reference):
        named = " and ".join(filter(None, (item.variant, item.reference))) or "no design"
        raise Refusal(f"{name} is a part of {specimen.design}, {item.id} tests {named}; correct one of the two")
