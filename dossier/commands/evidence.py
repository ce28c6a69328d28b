"""Commands of the evidence: look at a measured file, import curves, record values, states, requirements from a table."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from dossier.actions.refusal import Refusal
from dossier.commands.common import (
    add_json,
    add_person,
    add_project,
    opened,
    print_json,
    print_table,
    record,
    say,
    told_progress,
)  # fmt: skip
from dossier.evidence.sign_words import KINDS


def add_to(verbs: Any) -> None:
    """Add the parsers of this group."""
    look = verbs.add_parser("look", help="what a measured file looks like: form, columns, first rows, doubts, odd sizes")
    look.add_argument("file", type=Path)
    add_json(look)
    look.set_defaults(run=_look)
    scheme = verbs.add_parser("scheme", help="save a reading scheme from a measured file")
    add_project(scheme)
    scheme.add_argument("id", help="such as RS-01")
    scheme.add_argument("file", type=Path)
    scheme.add_argument("--title", required=True)
    scheme.add_argument("--low", default="", help='lower end of the evaluated range of static curves, such as "-11 kN"')
    scheme.add_argument("--high", default="")
    scheme.add_argument("--kind", choices=("dynamic", "durability", "load_history", "press"), default="",
                        help="kind of other records, with --settings")  # fmt: skip
    scheme.add_argument("--settings", nargs="+", default=[], metavar="FIELD=VALUE",
                        help='such as "frequency=10 Hz" "amplitude=0.2 mm"; of press curves "window=10 .. 20 mm: 5 .. 20 kN", '
                             "once for each window")  # fmt: skip
    scheme.add_argument("--between", choices=("load", "travel"), default="load")
    scheme.add_argument("--cycle", default="4", help="cycle that is evaluated, or 4-6 for the mean of cycles 4 to 6")
    scheme.add_argument("--stiffness", choices=("secant", "least squares", "tangent"), default="",
                        help="secant unless --tangent-at is given")  # fmt: skip
    scheme.add_argument("--tangent-at", default="", metavar="LOAD", help='load of a tangent, such as "5 kN"')
    scheme.add_argument("--zero", choices=("start", "loop", "none"), default="start",
                        help="zero at the first rows, travel from the middle of the loop, or as recorded")  # fmt: skip
    scheme.add_argument("--column", action="append", default=[], metavar="CHANNEL=NUMBER[:UNIT]",
                        help="map a column by hand, such as force=3:kN")  # fmt: skip
    scheme.add_argument("--blank", type=Path, help="file of a blank test with a steel dummy: its slope is the compliance")
    scheme.add_argument("--fixture-compliance", type=float, default=0.0, help="mm/N or °/(N·mm) from a blank test")
    scheme.add_argument("--fixture-source", default="")
    add_person(scheme)
    scheme.set_defaults(run=_scheme)
    curves = verbs.add_parser("import-curves", help="import measured files into an evidence item, all or none")
    add_project(curves)
    curves.add_argument("item", help="such as E-009")
    curves.add_argument("files", nargs="+", metavar="SPECIMEN=FILE",
                        help="or FILE alone, or a pattern such as 'folder/*.csv', the names holding the specimens")  # fmt: skip
    curves.add_argument("--scheme", default="", help="reading scheme, such as RS-01, of an item that names none yet")
    curves.add_argument("--confirm", action="store_true", help="the sizes the preview asks about are right")
    curves.add_argument("--preview", action="store_true", help="read and tell, record nothing")
    add_person(curves)
    curves.set_defaults(run=_import)
    attach = verbs.add_parser("attach", help="keep the file of a document under its SHA-256")
    add_project(attach)
    attach.add_argument("document", help="such as B-001")
    attach.add_argument("file", type=Path)
    add_person(attach)
    attach.set_defaults(run=_attach)
    value = verbs.add_parser("value", help="record a single value, or passed / failed, of one specimen")
    add_project(value)
    value.add_argument("item")
    value.add_argument("specimen")
    value.add_argument("value", help='a number with unit, "passed" or "failed"')
    value.add_argument("--observation", default="")
    value.add_argument("--shares", nargs="+", default=[], metavar="CODE=PERCENT",
                       help="adhesion: shares of the failure codes R, RC, CP, M, such as R=95 RC=5")  # fmt: skip
    value.add_argument("--survived", action="store_true", help="the part was stopped at this load or life without failure")
    value.add_argument("--load", default="", help="load level of a life of an S–N test, such as 20 kN")
    add_person(value)
    value.set_defaults(run=_value)
    state = verbs.add_parser("test-state", help="running, finished, aborted or invalid (the last two with a reason)")
    add_project(state)
    state.add_argument("item")
    state.add_argument("state", choices=("planned", "running", "finished", "aborted", "invalid"))
    state.add_argument("--reason", default="")
    state.add_argument("--on", default="", help="day, such as 2026-10-06 (default today)")
    add_person(state)
    state.set_defaults(run=_state)
    made = verbs.add_parser("as-made", help="state that specimens were made to today's shape of their design")
    add_project(made)
    made.add_argument("specimens", nargs="+", metavar="P-201")
    add_person(made)
    made.set_defaults(run=_as_made)
    carry = verbs.add_parser("carry-over", help="state why results hold for today's shape, though the parts had another")
    add_project(carry)
    carry.add_argument("items", nargs="+", metavar="E-001")
    carry.add_argument("--reason", required=True, help="why the change does not touch what was measured")
    add_person(carry)
    carry.set_defaults(run=_carry_over)
    answer = verbs.add_parser("answer-sign", help="say what was found of a sign of trouble, and why the result stands")
    add_project(answer)
    answer.add_argument("item", metavar="E-001")
    answer.add_argument("specimen", metavar="P-201")
    answer.add_argument("sign", choices=KINDS)
    answer.add_argument("--reason", required=True, help="what was looked at, and why the result stands")
    add_person(answer)
    answer.set_defaults(run=_answer_sign)
    rates = verbs.add_parser("sign-rates", help="simulate how often the search for signs errs on an item's own sampling")
    add_project(rates)
    rates.add_argument("item", metavar="E-001")
    rates.add_argument("--count", type=int, default=100, help="simulated curves of each kind (default 100)")
    rates.add_argument("--seed", type=int, default=1)
    rates.add_argument("--keep", action="store_true", help="keep them in the reading scheme, for the release document")
    add_person(rates)
    add_json(rates)
    rates.set_defaults(run=_sign_rates)
    requirements = verbs.add_parser("import-requirements", help="requirements from a CSV file, previewed first")
    add_project(requirements)
    requirements.add_argument("file", type=Path)
    requirements.add_argument("--take", action="store_true", help="record what the preview shows")
    requirements.add_argument("--column", action="append", default=[], metavar="FIELD=HEADER",
                              help="which column holds a field, where the names differ")  # fmt: skip
    add_person(requirements)
    requirements.set_defaults(run=_requirements)


def _look(given: argparse.Namespace) -> int:
    from dossier.actions.curve_files import asked_of_file
    from dossier.actions.measured import told_form

    form = told_form(given.file)
    asked = asked_of_file(given.file, told_progress())
    if given.json:
        print_json({**form.as_plain(), "questions": asked})
        return 0
    for text in form.lines:
        say(text)
    print_table(form.preview)
    for doubt in form.doubts:
        say(f"doubt: {doubt}")
    for text in asked:
        say(f"to ask: {text}")
    return 0


def _scheme(given: argparse.Namespace) -> int:
    from dossier.actions.blank_test import compliance_of_blank
    from dossier.actions.measured import new_scheme

    project, author = _opened(given)
    compliance, source = given.fixture_compliance, given.fixture_source
    if given.blank:
        if compliance:
            raise Refusal("--blank and --fixture-compliance both state the compliance; give one of the two")
        compliance, source = compliance_of_blank(given.blank, given.column)
        say(source)
    change = new_scheme(
        project.project, given.id, given.file, given.title, given.low, given.high, author,
        between=given.between, columns=given.column,
        static={"cycle": given.cycle, "stiffness": given.stiffness, "tangent_at": given.tangent_at, "zero": given.zero},
        fixture_compliance=compliance, fixture_source=source,
        kind=given.kind, settings=given.settings,
    )  # fmt: skip
    record(project, change)
    return 0


def _import(given: argparse.Namespace) -> int:
    from dossier.actions.measured import import_curves, preview_curves

    project = opened(given)
    progress = told_progress()
    found = preview_curves(project.project, given.item, given.files, given.scheme, progress)
    for text in found.told:
        say(text)
    for text in found.questions:
        say(f"to confirm: {text}")
    if given.preview:
        return 0
    if project.read_only:
        raise Refusal(project.read_only)
    if found.questions and not given.confirm:
        raise Refusal("nothing was imported; --confirm takes the files as they are, `dossier scheme` makes another scheme")
    record(project, import_curves(project.project, given.item, given.files, _author(project, given), given.scheme,
                                  confirmed=given.confirm, progress=progress))  # fmt: skip
    return 0


def _attach(given: argparse.Namespace) -> int:
    from dossier.actions.attach import attach_file

    project, author = _opened(given)
    record(project, attach_file(project.project, given.document, given.file, author))
    return 0


def _value(given: argparse.Namespace) -> int:
    from dossier.actions.measured import record_value

    project, author = _opened(given)
    change = record_value(
        project.project, given.item, given.specimen, given.value, author, given.observation, given.survived, given.load,
        given.shares,
    )
    record(project, change)
    return 0


def _state(given: argparse.Namespace) -> int:
    from dossier.actions.measured import set_state

    project, author = _opened(given)
    change = set_state(project.project, given.item, given.state, author, given.on, given.reason, today=project.today)
    record(project, change)
    return 0


def _as_made(given: argparse.Namespace) -> int:
    from dossier.actions.shape import as_made

    project, author = _opened(given)
    record(project, as_made(project.project, given.specimens, author))
    return 0


def _carry_over(given: argparse.Namespace) -> int:
    from dossier.actions.shape import carry_over

    project, author = _opened(given)
    record(project, carry_over(project.project, given.items, given.reason, author, project.today.isoformat()))
    return 0


def _answer_sign(given: argparse.Namespace) -> int:
    from dossier.actions.answer_sign import answer_sign

    project, author = _opened(given)
    day = project.today.isoformat()
    record(project, answer_sign(project.project, given.item, given.specimen, given.sign, given.reason, author, day))
    return 0


def _sign_rates(given: argparse.Namespace) -> int:
    from dataclasses import asdict

    from dossier.actions.sign_rates import keep_rates, rates_of_item
    from dossier.evidence.sign_rates import rates_in_words

    project = opened(given)
    author = _author(project, given) if given.keep else ""
    found = rates_of_item(project.project, given.item, given.count, given.seed)
    if given.keep:
        project.record(keep_rates(project.project, given.item, found, author, project.today.isoformat()))
    if given.json:
        print_json({"simulated": True, **asdict(found)})
    else:
        for line in rates_in_words(found):
            say(line)
    return 0


def _requirements(given: argparse.Namespace) -> int:
    from dossier.actions.requirements_csv import preview_requirements, take_requirements

    project = opened(given)
    found = preview_requirements(project.project, given.file, given.column)
    print_table(found.rows())
    for text in found.held_back:
        say(f"held back: {text}")
    if not given.take:
        print(f"{len(found.taken)} would be taken, {len(found.held_back)} held back; --take records them")
        return 0 if found.taken else 1
    change = take_requirements(project.project, found, _author(project, given))
    project.record(change)
    print(change.message.splitlines()[0])
    return 0


def _opened(given: argparse.Namespace) -> tuple[Any, str]:
    project = opened(given)
    return project, _author(project, given)


def _author(project: Any, given: argparse.Namespace) -> str:
    from dossier.actions.opened import acting_person

    return acting_person(project.project.header, given.person)
