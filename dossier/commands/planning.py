"""Commands before a test: plan it, print the order of what is planned."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from dossier.commands.common import add_json, add_person, add_project, opened, print_json, record, say, warn

QUANTITIES = (
    "radial", "axial", "torsional", "conical", "dynamic", "durability", "load_history", "press_in", "push_out", "single", "life",
    "adhesion", "capability", "staircase", "sn_line", "yes_no",
)  # fmt: skip


def add_to(verbs: Any) -> None:
    """Add the parsers of this group."""
    plan = verbs.add_parser("plan-test", help="plan a test, inspection, demonstration or outside analysis")
    add_project(plan)
    plan.add_argument("--title", required=True)
    plan.add_argument("--id", default="", help="such as E-070 (default: the next free one)")
    plan.add_argument("--way", choices=("test", "inspection", "demonstration", "analysis"), default="test")
    plan.add_argument("--quantity", choices=QUANTITIES, default="single")
    plan.add_argument("--unit", default="", help="unit of single values, such as kN")
    plan.add_argument("--variant", default="", help="design that is tested, such as V2")
    plan.add_argument("--reference", default="", help="design it is compared with, such as REF")
    plan.add_argument("--count", type=int, default=0, help="number of parts of the variant")
    plan.add_argument("--reference-count", type=int, default=0, help="number of reference parts")
    plan.add_argument("--serves", action="append", default=[], metavar="R-007=variant",
                      help="requirement, and the value that decides it: variant, ratio, …")  # fmt: skip
    plan.add_argument("--scheme", default="", help="reading scheme of the files")
    plan.add_argument("--equipment", action="append", default=[], metavar="Q-001")
    plan.add_argument("--procedure", default="")
    plan.add_argument("--lives-from", action="append", default=[], metavar="E-023",
                      help="of an item of lives: endurance item whose lives it takes, stopped parts as stopped")  # fmt: skip
    plan.add_argument("--repeats", default="", help="item that this one repeats")
    plan.add_argument("--margin", type=float, nargs=2, default=(), metavar=("LOW", "HIGH"), help="of the ratio, such as 0.9 1.1")
    plan.add_argument("--least-ratio", type=float, default=None, help="instead of a margin: least ratio, where more is as good")
    plan.add_argument("--scatter", type=float, default=None, metavar="SHARE",
                      help="expected standard deviation of single parts, such as 0.04, for the power")  # fmt: skip
    plan.add_argument("--batch-scatter", default="", metavar="A-001",
                      help="accepted assumption: scatter between compound batches")  # fmt: skip
    plan.add_argument("--agreed-by", default="", help="who agreed to the margin")
    plan.add_argument("--agreed-on", default="", help="day, such as 2026-05-04")
    plan.add_argument("--agreed-document", default="")
    add_person(plan)
    plan.set_defaults(run=_plan)
    errors = verbs.add_parser("prediction-error", help="how far predictions were off so far, over all projects of the folder")
    add_project(errors)
    errors.add_argument("--accept", default="", metavar="METHOD",
                        help="record the band of the next prediction of this method as an accepted assumption")  # fmt: skip
    add_person(errors)
    add_json(errors)
    errors.set_defaults(run=_errors)
    order = verbs.add_parser("test-order", help="print the order of the planned tests")
    add_project(order)
    order.add_argument("--out", type=Path, required=True, help="PDF file, or text for a name that ends in .txt")
    order.add_argument("--seed", type=int, default=1, help="seed of the drawn order of specimens")
    order.add_argument("--record", action="store_true", help="write the drawn order with its seed into the planned items")
    add_person(order)
    order.set_defaults(run=_order)


def _plan(given: argparse.Namespace) -> int:
    from dossier.actions.opened import acting_person
    from dossier.actions.plan_test import plan_test
    from dossier.checks.told_power import power_sentence
    from dossier.checks.told_reach import plan_words

    project = opened(given)
    raw = {
        "id": given.id, "title": given.title, "way": given.way, "quantity": given.quantity, "unit": given.unit,
        "variant": given.variant, "reference": given.reference, "planned_variant": given.count or None,
        "planned_reference": given.reference_count or None, "scheme": given.scheme, "equipment": given.equipment,
        "procedure": given.procedure, "repeats": given.repeats, "lives_from": given.lives_from,
        "expected_scatter": given.scatter, "batch_scatter": given.batch_scatter,
    }  # fmt: skip
    agreed = {"by": given.agreed_by, "on": given.agreed_on, "document": given.agreed_document}
    author = acting_person(project.project.header, given.person)
    margin = given.margin if given.least_ratio is None else (given.least_ratio,)
    planned = plan_test(project.project, raw, given.serves, author, margin, agreed)
    record(project, planned)
    for words in plan_words(project.view, project.project.get(planned.message.split(" ", 1)[0])):
        say(words)
    if margin and (power := power_sentence(project.view)):
        say(power)
    return 0


def _errors(given: argparse.Namespace) -> int:
    from dataclasses import asdict

    from dossier.actions.opened import acting_person
    from dossier.actions.prediction_folder import accept_error, folder_errors
    from dossier.checks.told_prediction_error import error_words

    project = opened(given)
    if given.accept:
        record(project, accept_error(project, given.accept, acting_person(project.project.header, given.person)))
        return 0
    found = folder_errors(project)
    if given.json:
        print_json({
            "projects": found.projects, "unread": found.unread, "pairs": [asdict(pair) for pair in found.pairs],
            "methods": {name: asdict(error) for name, error in found.errors.items()},
        })  # fmt: skip
        return 0
    for text in found.unread:
        warn(f"not read: {text}")
    for method, error in found.errors.items():
        say(f"{method}: {error_words(error)}")
        for pair in (pair for pair in found.pairs if pair.method == method):
            say(f"  {pair.project}, {pair.requirement}: {pair.item} over {pair.calculation} = {pair.ratio:.3f}"
                + (f", not counted: {pair.doubt}" if pair.doubt else ""))  # fmt: skip
    if not found.errors:
        say(f"no prediction has been tested yet in {', '.join(found.projects)}")
    return 0


def _order(given: argparse.Namespace) -> int:
    from dossier.actions.opened import acting_person
    from dossier.actions.test_order import print_test_order, record_order

    project = opened(given)
    if given.record:
        record(project, record_order(project, given.seed, acting_person(project.project.header, given.person)))
    pages, items = print_test_order(project, given.out, given.seed)
    say(f"{given.out}: {items} planned tests" + (f" on {pages} pages" if pages else ""))
    return 0
