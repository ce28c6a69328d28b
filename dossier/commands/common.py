"""What the commands share: opening a project, tables, JSON."""

from __future__ import annotations

import argparse
import getpass
import json
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from dossier.actions.opened import Opened


def add_project(parser: argparse.ArgumentParser) -> None:
    """The argument naming the project's folder."""
    parser.add_argument("project", type=Path, help="the project's folder")


def add_person(parser: argparse.ArgumentParser) -> None:
    """The option naming who acts."""
    parser.add_argument("--person", default="", help="who acts (else the environment's DOSSIER_PERSON)")


def add_json(parser: argparse.ArgumentParser) -> None:
    """The option for machine-readable output."""
    parser.add_argument("--json", action="store_true", help="print JSON instead of text")


def opened(given: argparse.Namespace) -> Opened:
    """Open the project, telling on stderr what could not be read or was changed outside the tool."""
    project = Opened(given.project)
    for problem in project.project.problems:
        print(f"unreadable: {problem}", file=sys.stderr)
    for edit in project.snapshot.foreign:
        print(f"{edit.path} was {edit.kind} outside the tool; `dossier changes` shows it", file=sys.stderr)
    return project


def print_json(value: Any) -> None:
    """Indented JSON with all characters as they are."""
    print(json.dumps(value, indent=1, ensure_ascii=False))


def print_table(rows: Sequence[Sequence[str]], *, right: Sequence[int] = ()) -> None:
    """Rows in columns as wide as their longest cell; the columns in `right` stand flush right."""
    if not rows:
        return
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    for row in rows:
        cells = [
            cell.rjust(width) if column in right else cell.ljust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        print("  ".join(cells).rstrip())


def passphrase_of(person: str) -> str:
    """The passphrase of a person's key: DOSSIER_PASSPHRASE, else asked without echo."""
    return os.environ.get("DOSSIER_PASSPHRASE") or getpass.getpass(f"passphrase of {person}: ")
