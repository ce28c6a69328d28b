"""Commands of trust: keys, answers, concessions, sign-off, verification, changes."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from dossier.commands.common import (
    add_json,
    add_person,
    add_project,
    at_least_one,
    opened,
    passphrase_of,
    print_json,
    print_table,
    record,
    say,
)


def add_to(verbs: Any) -> None:
    """Add the parsers of this group."""
    key = verbs.add_parser("key", help="make your signing key, or register its public part in a project")
    key.add_argument("what", choices=("new", "register"))
    key.add_argument("person")
    key.add_argument("project", type=Path, nargs="?", help="project to register the key in")
    key.set_defaults(run=_key)
    person = verbs.add_parser("person", help="add a person to the project, or roles to one who is there")
    add_project(person)
    person.add_argument("name")
    person.add_argument("roles", nargs="+", help="PE, RV, TL, PR, PU, SF, RL or AU")
    add_person(person)
    person.set_defaults(run=_person)
    answer = verbs.add_parser("answer", help="answer a check as a person")
    add_project(answer)
    answer.add_argument("check", help="number of the check, such as 3.10")
    answer.add_argument("answer", choices=("met", "not-met"))
    answer.add_argument("--remark", default="")
    add_person(answer)
    answer.set_defaults(run=_answer)
    remark = verbs.add_parser("remark", help="put a remark on a record or check")
    add_project(remark)
    remark.add_argument("target", help="id of the record, or number of the check")
    remark.add_argument("text")
    remark.add_argument("--step", choices=tuple("123456"), required=True, help="step whose file keeps it")
    add_person(remark)
    remark.set_defaults(run=_remark)
    concede = verbs.add_parser("concede", help="permit a deviation of a requirement or check")
    add_project(concede)
    concede.add_argument("target", help="id of the requirement, or number of the check")
    concede.add_argument("--kind", choices=("before", "after"), required=True, help="before or after manufacture")
    concede.add_argument("--reason", required=True)
    concede.add_argument("--limit", required=True, help="quantity or range the permission is limited to")
    concede.add_argument("--until", required=True, help="date, such as 2027-03-31")
    concede.add_argument("--document", default="", help="registered document with the customer's acceptance, such as B-005")
    add_person(concede)
    concede.set_defaults(run=_concede)
    sign = verbs.add_parser("sign", help="sign a step (passphrase from DOSSIER_PASSPHRASE, else asked)")
    add_project(sign)
    sign.add_argument("step", choices=tuple("123456"))
    sign.add_argument("--role", required=True)
    sign.add_argument("--decision", choices=("released", "sent back", "withdrawn"), default="released")
    sign.add_argument("--statement", default="")
    sign.add_argument("--withdraws", default="", help="id of the sign-off, or letter of the revision, to withdraw")
    add_person(sign)
    sign.set_defaults(run=_sign)
    verify = verbs.add_parser("verify", help="was anything altered? exit code 1 if so")
    add_project(verify)
    verify.add_argument("--revision", default="", help="letter of a frozen revision (default: the work)")
    verify.add_argument("--trusted", type=Path, help="file with the fingerprints of the persons you trust")
    add_json(verify)
    verify.set_defaults(run=_verify)
    changes = verbs.add_parser("changes", help="the history, and what was changed outside the tool")
    add_project(changes)
    changes.add_argument("--limit", type=at_least_one, default=20, help="how many entries")
    changes.add_argument("--record-foreign", action="store_true", help="take the outside edits in under your name")
    changes.add_argument("--restore-foreign", action="store_true", help="put the files back, keeping the edits aside")
    changes.add_argument("--begin-history", action="store_true", help="begin a new history where there is none")
    add_person(changes)
    changes.set_defaults(run=_changes)


def _key(given: argparse.Namespace) -> int:
    from dossier.actions.refusal import Refusal
    from dossier.store import keys

    if given.what == "new":
        key = keys.new_key(given.person, passphrase_of(given.person))
        say(f"key of {given.person} in {keys.key_path(given.person)}")
        print(f"public key   {key.hexadecimal}")
        print(f"fingerprint  {key.fingerprint}")
        return 0
    if given.project is None:
        raise Refusal("name the project to register the key in: dossier key register PERSON PROJECT")
    from dossier.actions.people import register_key

    project = opened(given)
    _, key = keys.sign(given.person, passphrase_of(given.person), b"")
    change = register_key(project.project, given.person, key.hexadecimal)
    record(project, change)
    print(f"fingerprint  {key.fingerprint}")
    return 0


def _person(given: argparse.Namespace) -> int:
    from dossier.actions.opened import acting_person
    from dossier.actions.people import add_person as added

    project = opened(given)
    author = acting_person(project.project.header, given.person)
    change = added(project.project, given.name, given.roles, author)
    record(project, change)
    return 0


def _answer(given: argparse.Namespace) -> int:
    from dossier.actions.answer import answer_check
    from dossier.actions.opened import acting_person

    project = opened(given)
    person = acting_person(project.project.header, given.person)
    change = answer_check(project.view, given.check, given.answer.replace("-", " "), person, given.remark)
    record(project, change)
    return 0


def _remark(given: argparse.Namespace) -> int:
    from dossier.actions.answer import add_remark
    from dossier.actions.opened import acting_person

    project = opened(given)
    person = acting_person(project.project.header, given.person)
    record(project, add_remark(project.project, given.target, given.text, person, given.step))
    return 0


def _concede(given: argparse.Namespace) -> int:
    from dossier.actions.answer import concede
    from dossier.actions.opened import acting_person

    project = opened(given)
    kinds = {"before": "deviation before manufacture", "after": "concession after manufacture"}
    person = acting_person(project.project.header, given.person)
    change = concede(
        project.view, given.target, kinds[given.kind], given.reason, given.limit, given.until, person,
        document=given.document,
    )  # fmt: skip
    record(project, change)
    return 0


def _sign(given: argparse.Namespace) -> int:
    from dossier.actions.opened import acting_person
    from dossier.actions.sign import refuse_repeated, sign_step

    project = opened(given)
    person = acting_person(project.project.header, given.person)
    if given.decision == "released":
        refuse_repeated(project, given.step, person, given.role)
    change = sign_step(
        project, given.step, person, given.role, passphrase_of(person),
        decision=given.decision, statement=given.statement, withdraws=given.withdraws,
    )  # fmt: skip
    record(project, change)
    return 0


def _verify(given: argparse.Namespace) -> int:
    from dossier.actions.verify import read_trusted, verify_revision, verify_work

    trusted = read_trusted(given.trusted) if given.trusted else None
    if given.revision:
        found = verify_revision(given.project, given.revision, trusted)
    else:
        found = verify_work(given.project, trusted)
    if given.json:
        print_json(found.as_plain())
    else:
        say(f"{found.subject}. {found.answer}")
        print_table([[line.what, line.count, line.state] for line in found.lines])
        for line in found.lines:
            for text in (*line.faults, *([line.note] if line.note else [])):
                say(f"  {line.what}: {text}")
    return 0 if found.unaltered else 1


def _changes(given: argparse.Namespace) -> int:
    from dossier.actions.opened import acting_person
    from dossier.actions.refusal import Refusal

    project = opened(given)
    paths = [edit.path for edit in project.snapshot.foreign]
    if project.read_only and (given.begin_history or given.record_foreign or given.restore_foreign):
        raise Refusal(project.read_only)
    if given.begin_history:
        head = project.folder.restart_history(acting_person(project.project.header, given.person))
        print(f"new history begun at {head[:12]}")
        return 0
    if given.record_foreign or given.restore_foreign:
        if not paths:
            print("nothing was changed outside the tool")
            return 0
        if given.record_foreign:
            person = acting_person(project.project.header, given.person)
            say(project.folder.record_foreign(paths, person).message)
        else:
            for path, kept in project.folder.restore(paths).items():
                say(f"{path} restored; the edited file is kept as {kept}")
        return 0
    from dossier.actions.foreign import told_edits

    for text in told_edits(project):
        say(f"not taken in: {text}")
    entries = list(project.folder.history().log(limit=given.limit))
    print_table([[entry.time, entry.author, entry.message.splitlines()[0]] for entry in entries])
    return 0
