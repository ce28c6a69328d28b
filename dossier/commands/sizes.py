"""The command that tells how many specimens a statement needs, before testing and without a project."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from typing import Any

from dossier.actions.refusal import Refusal
from dossier.commands.common import add_json, at_least_one, print_json, say

Answer = dict[str, Any]


def add_to(verbs: Any) -> None:
    """Add the parser."""
    many = verbs.add_parser("how-many", help="how many specimens a required statement needs")
    kinds = many.add_subparsers(dest="statement", metavar="STATEMENT", required=True)
    run = kinds.add_parser("success-run", help="a reliability, by specimens without failure or with few")
    run.add_argument("--reliability", type=float, default=0.90)
    run.add_argument("--confidence", type=float, default=0.90)
    run.add_argument("--failures", type=int, default=0, help="how many may fail (default none)")
    run.add_argument("--length", type=float, default=1.0, help="test length over required life; other than 1 needs --slope")
    run.add_argument("--slope", type=float, help="low bound of the Weibull shape")
    run.add_argument("--count", type=at_least_one, help="given so many specimens: how long each must run (needs --slope)")
    same = kinds.add_parser("equivalence", help="variant and reference equivalent, by two one-sided tests")
    same.add_argument("--ratio", type=float, default=0.95, help="true ratio variant / reference (default 0.95)")
    same.add_argument("--scatter", type=float, default=0.04, help="relative standard deviation within a batch (default 0.04)")
    same.add_argument("--power", type=float, default=0.80)
    same.add_argument("--margin", type=float, nargs=2, default=(0.90, 1.10), metavar=("LOW", "HIGH"))
    hold = kinds.add_parser("tolerance", help="a share of all parts within limits")
    hold.add_argument("--share", type=float, default=0.95)
    hold.add_argument("--confidence", type=float, default=0.95)
    hold.add_argument("--reach", type=float, help="nearer limit from the mean, in standard deviations (else any distribution)")
    hold.add_argument("--one-sided", action="store_true")
    for each in (run, same, hold):
        add_json(each)
        each.set_defaults(run=_told)


def _told(given: argparse.Namespace) -> int:
    from dossier.evidence.errors import EvaluationError

    try:
        answer, words = _STATEMENTS[given.statement](given)
    except EvaluationError as error:
        raise Refusal(str(error)) from error
    if given.json:
        print_json(answer)
    else:
        say(words)
    return 0


def _success_run(given: argparse.Namespace) -> tuple[Answer, str]:
    from dossier.evidence.errors import EvaluationError
    from dossier.evidence.success_run import VARIANT, length_needed, specimens_needed

    statement = f"R = {given.reliability:.4g} at {given.confidence:.4g} confidence"
    if given.count:
        if given.slope is None:
            raise EvaluationError("--count needs --slope, the low bound of the Weibull shape; state it with its source")
        length = length_needed(given.reliability, given.confidence, given.count, given.slope)
        words = f"{statement}: {given.count} specimens without failure, each to {length:.3g} times the required life"
        return {"length": length, "specimens": given.count}, f"{words} (slope {given.slope:g})"
    count = specimens_needed(given.reliability, given.confidence, given.failures, length=given.length, slope=given.slope)
    failed = "without failure" if not given.failures else f"of which {given.failures} may fail"
    longer = "" if given.length == 1 else f", each to {given.length:g} times the required life (slope {given.slope:g})"
    return {"specimens": count}, f"{statement}: {count} specimens {failed}{longer} ({VARIANT})"


def _equivalence(given: argparse.Namespace) -> tuple[Answer, str]:
    from dossier.evidence.power import specimens_needed, tost_power

    low, high = given.margin
    if not 0 < low < 1 < high or not given.ratio > 0:
        raise Refusal(f"margin {low:g} to {high:g} must hold the ratio 1, and ratio = {given.ratio:g} be above 0")
    count = specimens_needed(given.ratio, given.scatter, given.power, low, high)
    power = tost_power(given.ratio, given.scatter, count, count, low, high)
    words = (
        f"true ratio {given.ratio:g}, scatter {100 * given.scatter:.3g} %, margin {low:g} to {high:g}: {count} specimens of each "
        f"give a power of {power:.2f}, all of one batch or of batches in pairs"
    )
    return {"specimens": count, "power": power}, words


def _tolerance(given: argparse.Namespace) -> tuple[Answer, str]:
    from dossier.evidence.tolerance import free_count, normal_count

    statement = f"{100 * given.share:.4g} % of all parts at {given.confidence:.4g} confidence"
    if given.reach is None:
        count = free_count(given.share, given.confidence, sides=1 if given.one_sided else 2)
        ends = "the extreme" if given.one_sided else "both extremes"
        return {"specimens": count}, f"{statement}: {count} values, {ends} of them as limits, any distribution"
    count = normal_count(given.reach, given.share, given.confidence, side="low" if given.one_sided else "both")
    return {"specimens": count}, f"{statement}: {count} values with limits {given.reach:g} standard deviations off, if normal"


_STATEMENTS: dict[str, Callable[[argparse.Namespace], tuple[Answer, str]]] = {
    "success-run": _success_run, "equivalence": _equivalence, "tolerance": _tolerance,
}  # fmt: skip
