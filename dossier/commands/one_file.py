"""The command that judges one measured file without a project."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from dossier.actions.refusal import Refusal
from dossier.commands.common import add_json, number_name, print_json, say, told_progress, warn
from dossier.evidence.one_file import DIRECTIONS, KINDS, OPERATIONS

_NUMBERS = {
    "fixture-compliance": "travel of the fixture per load, in displacement unit per force unit",
    "channel-delay-s": "by how much later than the displacement the force was recorded",
    "moving-mass-kg": "mass between the specimen and the force transducer",
    "nominal-stiffness": "expected stiffness, in force unit per displacement unit",
    "reference-cycles": "cycles at which the stiffness counts as undamaged",
    "loss": "share of the stiffness whose loss ends the test, such as 0.2",
    "sn-range": "range of the S–N lines' common point, in the force unit",
    "sn-cycles": "cycles at that point",
    "press-length": "length over which the parts are pressed, in the displacement unit",
}


def add_to(verbs: Any) -> None:
    """Add the parser."""
    judge = verbs.add_parser("evaluate", help="evaluate one measured file without a project")
    judge.add_argument("file", type=Path)
    judge.add_argument("--kind", required=True, choices=KINDS)
    judge.add_argument("--direction", choices=DIRECTIONS)
    judge.add_argument("--operation", choices=OPERATIONS)
    judge.add_argument("--force-window", nargs=2, type=float, metavar=("LOW", "HIGH"), help="ends of the secant")
    judge.add_argument("--force-unit", help="unit of the answer and of numbers given here (default N, or N·m)")
    judge.add_argument("--displacement-unit", help="default mm, or °")
    judge.add_argument("--cycle", type=int, help="cycle that is evaluated (default the 4th, or the last complete one)")
    judge.add_argument(
        "--exponent", "--exponents", dest="exponents", action="extend", nargs="+", type=float,
        help="of the S–N lines, one or more",
    )
    judge.add_argument("--margin", nargs="+", type=float, help="of the ratio: 0.1, or 0.9 1.1")
    for name, text in _NUMBERS.items():
        judge.add_argument(f"--{name}", type=float, help=text)
    add_json(judge)
    judge.set_defaults(run=_evaluate)


def _evaluate(given: argparse.Namespace) -> int:
    from dossier.evidence.errors import RefusedFile
    from dossier.evidence.one_file import evaluate_file

    asked = {name.replace("-", "_"): getattr(given, name.replace("-", "_")) for name in _NUMBERS}
    margin = given.margin
    if margin is not None and len(margin) > 2:
        raise Refusal(f"--margin has {len(margin)} numbers; give one, or the lower and the upper one")
    try:
        found = evaluate_file(
            given.file, kind=given.kind, direction=given.direction, force_window=given.force_window,
            force_unit=given.force_unit, displacement_unit=given.displacement_unit, cycle=given.cycle,
            exponents=given.exponents, margin=margin[0] if margin and len(margin) == 1 else margin,
            operation=given.operation, progress=told_progress(), **asked,
        )  # fmt: skip
    except RefusedFile as error:
        raise Refusal(str(error)) from error
    if given.json:
        print_json(found)
        return 0
    for text in found.pop("warnings", []):
        warn(f"doubt: {text}")
    for name, value in found.items():
        say(f"{name.replace('_', ' ')}: {_shown(value)}")
    return 0


def _shown(value: Any) -> str:
    if value is None:
        return "none"
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, dict):
        return ", ".join(f"{name.replace('_', ' ') if isinstance(name, str) else number_name(name)} {_shown(one)}"
                         for name, one in value.items())  # fmt: skip
    if isinstance(value, (list, tuple)):
        nested = any(isinstance(one, dict) for one in value)
        return ("\n  " if nested else "") + ("\n  " if nested else ", ").join(map(_shown, value)) if value else "none"
    return str(value)
