"""Commands that change a project: new, set, clear, add, withdraw, calculate, undo, redo."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from dossier.commands.common import add_person, add_project, opened, record, say, warn


def add_to(verbs: Any) -> None:
    """Add the parsers of this group."""
    new = verbs.add_parser("new", help="begin a project in an empty folder")
    new.add_argument("project", type=Path)
    new.add_argument("--title", required=True)
    new.add_argument("--person", required=True, help="your name as it will be signed")
    new.add_argument("--role", action="append", default=[], help="PE, RV, TL, PR, PU, SF, RL or AU (default PE)")
    new.set_defaults(run=_new)
    set_field = verbs.add_parser("set", help="set one field of a record")
    add_project(set_field)
    set_field.add_argument("record", help="id, such as R-018")
    set_field.add_argument("field", help="dotted field, such as limit.min or pin.bores.0.diameter")
    set_field.add_argument("value", help="value, a quantity may carry its unit; lists are split at ;, tables as in TOML")
    add_person(set_field)
    set_field.set_defaults(run=_set)
    clear = verbs.add_parser("clear", help="empty an optional field of a record, or take out one entry of a list")
    add_project(clear)
    clear.add_argument("record", help="id, such as R-018")
    clear.add_argument("field", help="dotted field, such as agreed or serves.0")
    add_person(clear)
    clear.set_defaults(run=_clear)
    add = verbs.add_parser("add", help="add a record from a TOML file or standard input")
    add_project(add)
    add.add_argument("kind", help="requirement, design, calculation, material, assumption, ...")
    add.add_argument("file", help="TOML file with the record's fields, - for standard input")
    add_person(add)
    add.set_defaults(run=_add)
    withdraw = verbs.add_parser("withdraw", help="take a record out; it stays in the history")
    add_project(withdraw)
    withdraw.add_argument("record")
    add_person(withdraw)
    withdraw.set_defaults(run=_withdraw)
    calculate = verbs.add_parser("calculate", help="run the named calculations, or all outdated ones")
    add_project(calculate)
    calculate.add_argument("calculations", nargs="*", metavar="C-001")
    add_person(calculate)
    calculate.set_defaults(run=_calculate)
    for verb, text in (("undo", "take back your newest change"), ("redo", "bring back what was taken back")):
        back = verbs.add_parser(verb, help=text)
        add_project(back)
        add_person(back)
        back.set_defaults(run=_back)


def _new(given: argparse.Namespace) -> int:
    from dossier.actions.create import new_project
    from dossier.store.folder import ProjectFolder

    change = new_project(given.project, given.title, given.person, given.role or ["PE"])
    given.project.mkdir(parents=True, exist_ok=True)
    ProjectFolder(given.project).commit(change, None)
    say(f"{change.message} in {given.project}")
    return 0


def _set(given: argparse.Namespace) -> int:
    from dossier.actions.edit import set_field
    from dossier.actions.opened import acting_person

    project = opened(given)
    author = acting_person(project.project.header, given.person)
    change = set_field(project.project, given.record, given.field, given.value, author)
    record(project, change)
    return 0


def _clear(given: argparse.Namespace) -> int:
    from dossier.actions.edit import clear_field
    from dossier.actions.opened import acting_person

    project = opened(given)
    author = acting_person(project.project.header, given.person)
    record(project, clear_field(project.project, given.record, given.field, author))
    return 0


def _add(given: argparse.Namespace) -> int:
    from dossier.actions.edit import add_record
    from dossier.actions.opened import acting_person
    from dossier.store.tomlfile import parse_document

    raw = sys.stdin.buffer.read() if given.file == "-" else Path(given.file).read_bytes()
    project = opened(given)
    author = acting_person(project.project.header, given.person)
    change = add_record(project.project, given.kind, parse_document(raw, given.file), author)
    record(project, change)
    return 0


def _withdraw(given: argparse.Namespace) -> int:
    from dossier.actions.edit import withdraw_record
    from dossier.actions.opened import acting_person

    project = opened(given)
    change = withdraw_record(project.project, given.record, acting_person(project.project.header, given.person))
    record(project, change)
    return 0


def _calculate(given: argparse.Namespace) -> int:
    from dossier.actions.calculate import NOTHING, calculate, outdated_runs
    from dossier.actions.opened import acting_person

    project = opened(given)
    author = acting_person(project.project.header, given.person)
    ids = given.calculations or outdated_runs(project.project)
    if ids:
        record(project, calculate(project.project, ids, author, progress=_tell))
    else:
        say(NOTHING)
    return 0


def _tell(record_id: str, number: int, total: int) -> None:
    warn(f"{number} of {total}: {record_id}")


def _back(given: argparse.Namespace) -> int:
    from dossier.actions.opened import acting_person

    project = opened(given)
    author = acting_person(project.project.header, given.person)
    change = project.undo(author) if given.verb == "undo" else project.redo(author)
    say(change.message)
    return 0
