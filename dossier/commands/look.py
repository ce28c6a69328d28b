"""Commands that only look: status, methods, compute, show."""

from __future__ import annotations

import argparse
from typing import Any

from dossier.commands.common import add_json, add_project, opened, print_json, print_table, say


def add_to(verbs: Any) -> None:
    """Add the parsers of this group."""
    status = verbs.add_parser("status", help="where the project stands and what stops the next step")
    add_project(status)
    add_json(status)
    status.set_defaults(run=_status)
    methods = verbs.add_parser("methods", help="list the calculation methods and their inputs")
    methods.add_argument("method", nargs="?", help="one method, with inputs, results and basis")
    add_json(methods)
    methods.set_defaults(run=_methods)
    compute = verbs.add_parser("compute", help="run one method without a project")
    compute.add_argument("method")
    compute.add_argument("inputs", nargs="*", metavar="name=value", help='such as force="118 kN" or force=118000')
    add_json(compute)
    compute.set_defaults(run=_compute)


def _status(given: argparse.Namespace) -> int:
    from dossier.checks.standing import standing

    project = opened(given)
    found = standing(project.view)
    if given.json:
        print_json(found.as_plain())
        return 0
    say(found.title)
    say(found.answer)
    print_table([["step", "state", "met", "not met", "open", "outdated", "conceded"], *found.step_rows()],
                right=(2, 3, 4, 5, 6))  # fmt: skip
    print(found.requirements_line)
    for cause in found.causes:
        say(f"  {cause.state:<9} {cause.where:<6} {cause.text}")
    return 0


def _methods(given: argparse.Namespace) -> int:
    from dossier.methods.listing import method_facts
    from dossier.methods.registry import all_methods, method_of

    if not given.method:
        facts = [method_facts(method) for method in all_methods().values()]
        if given.json:
            print_json(facts)
        else:
            print_table([[fact["id"], str(fact["version"]), f"step {fact['step']}", fact["title"]] for fact in facts])
        return 0
    fact = method_facts(method_of(given.method))
    if given.json:
        print_json(fact)
        return 0
    print(f"{fact['id']} {fact['version']}: {fact['title']}")
    for title in ("inputs", "results"):
        print(f"\n{title}")
        rows = [[f"  {f['name']}", f["unit"], f["meaning"], f.get("limits", "")] for f in fact[title]]
        print_table(rows)
    print(f"\nbasis: {fact['basis']['kind']}: {fact['basis']['text']}")
    for label in ("valid_for", "left_out"):
        for text in fact["basis"][label]:
            print(f"{label.replace('_', ' ')}: {text}")
    return 0


def _compute(given: argparse.Namespace) -> int:
    from dossier.actions.compute import compute_values

    answer = compute_values(given.method, given.inputs)
    if given.json:
        print_json(answer.as_plain())
        return 0
    print_table(answer.rows(), right=(1,))
    for note in answer.notes:
        say(note)
    return 0
