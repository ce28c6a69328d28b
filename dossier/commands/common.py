"""What the commands share: opening a project, recording a change, tables, JSON."""

from __future__ import annotations

import argparse
import getpass
import json
import os
import re
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal

if TYPE_CHECKING:
    from dossier.store.change import Change

# Characters that steer a terminal or turn the reading direction; shown by their code instead.
_STEERING = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")


def add_project(parser: argparse.ArgumentParser) -> None:
    """The argument naming the project's folder."""
    parser.add_argument("project", type=Path, help="the project's folder")


def add_person(parser: argparse.ArgumentParser) -> None:
    """The option naming who acts."""
    parser.add_argument("--person", default="", help="who acts (else the environment's DOSSIER_PERSON)")


def add_json(parser: argparse.ArgumentParser) -> None:
    """The option for machine-readable output."""
    parser.add_argument("--json", action="store_true", help="print JSON instead of text")


def at_least_one(text: str) -> int:
    """A whole number from 1, as an option's type."""
    if not text.isascii() or not text.isdigit() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"{text} must be a whole number from 1")
    return int(text)


def opened(given: argparse.Namespace) -> Opened:
    """Open the project, telling on stderr what could not be read or was changed outside the tool."""
    project = Opened(given.project)
    for problem in project.project.problems:
        warn(f"unreadable: {problem}")
    for edit in project.snapshot.foreign:
        warn(f"{edit.path} was {edit.kind} outside the tool; `dossier changes` shows it")
    return project


def record(project: Opened, change: Change) -> None:
    """Record a change and tell it; warns before a save drops comments that were written into a file by hand."""
    from dossier.store.tomlfile import has_comments

    for path in change.paths:
        before = project.snapshot.data(path)
        if path.endswith(".toml") and before and has_comments(before):
            warn(f"{path}: its hand-written comments are not kept (use the field remark)")
    project.record(change)
    say(change.message)


def say(text: str) -> None:
    """Print text of a project; characters that would steer the terminal are shown by their code."""
    print(plain(text))


def warn(text: str) -> None:
    """Print to stderr, as `say`."""
    print(plain(text), file=sys.stderr)


def plain(text: str) -> str:
    """Text without characters that steer a terminal."""
    return _STEERING.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def print_json(value: Any) -> None:
    """Indented JSON, numbers as keys as one writes them ("3", "4.5"); characters that would steer the terminal are written by
    their code, which reads back the same."""
    text = json.dumps(_with_named_keys(value), indent=1, ensure_ascii=False, allow_nan=False)
    print(_STEERING.sub(lambda found: f"\\u{ord(found[0]):04x}", text))


def number_name(number: float) -> str:
    """ "3", "4.5": a number that names an entry, without a decimal it does not need."""
    return str(int(number)) if float(number).is_integer() else repr(number)


def _with_named_keys(value: Any) -> Any:
    if isinstance(value, dict):
        names = ((number_name(key) if isinstance(key, float) else key, one) for key, one in value.items())
        return {name: _with_named_keys(one) for name, one in names}
    return [_with_named_keys(one) for one in value] if isinstance(value, (list, tuple)) else value


def print_table(rows: Sequence[Sequence[str]], *, right: Sequence[int] = ()) -> None:
    """Rows in columns as wide as their longest cell; the columns in `right` stand flush right."""
    if not rows:
        return
    rows = [[plain(cell) for cell in row] for row in rows]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    for row in rows:
        cells = [
            cell.rjust(width) if column in right else cell.ljust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        say("  ".join(cells).rstrip())


def passphrase_of(person: str) -> str:
    """The passphrase of a person's key: DOSSIER_PASSPHRASE, else asked without echo."""
    named = os.environ.get("DOSSIER_PASSPHRASE")
    if named:
        return named
    try:
        return getpass.getpass(f"passphrase of {person}: ")
    except EOFError as error:
        raise Refusal("no passphrase was given; type it, or set DOSSIER_PASSPHRASE") from error


def told_progress() -> Callable[[float, int], None] | None:
    """A line on stderr that is written over, where stderr is a terminal."""
    if not sys.stderr.isatty():
        return None

    def told(share: float, rows: int) -> None:
        text = f"reading {share:.0%}, {rows} rows"
        print(f"\r{text}", end="\r" if share < 1 else f"\r{'':{len(text)}}\r", file=sys.stderr, flush=True)

    return told
