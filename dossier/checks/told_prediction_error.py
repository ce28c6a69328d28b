"""Prediction error so far: every calculated value beside what tests showed, by method, in one project or several."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from dossier import units
from dossier.checks.evidence_support import measurement_doubts
from dossier.checks.told_agreement import comparisons
from dossier.checks.verdict import DECIDED
from dossier.checks.view import View
from dossier.evidence.prediction import PredictionError, prediction_error
from dossier.records.calculation import Calculation
from dossier.records.evidence import EvidenceItem


@dataclass(frozen=True)
class Pair:
    """A predicted value and what a test or inspection showed of it: measured over predicted. `doubt` is why the measurement is
    not proven, so that the pair is told and not counted."""

    project: str
    method: str
    requirement: str
    calculation: str
    item: str
    ratio: float
    doubt: str = ""


def pairs_of(view: View) -> list[Pair]:
    """The pairs of one project: results and tests that stand, values above 0; outside analyses measure nothing."""
    found = []
    for one in comparisons(view):
        calculation, item = view.project.find(one.calculated.record), view.project.find(one.shown.record)
        if not isinstance(calculation, Calculation) or not isinstance(item, EvidenceItem):
            continue
        stands = one.calculated.state in DECIDED and one.shown.state in DECIDED and not one.shown.older_shape
        predicted, measured = one.calculated.value or 0.0, one.shown.value or 0.0
        if item.way in ("test", "inspection") and stands and predicted > 0 and measured > 0:
            name, doubt = view.project.header.title, "; ".join(measurement_doubts(view.project, item))
            ratio = measured / predicted
            found.append(Pair(name, calculation.method, one.requirement.id, calculation.id, item.id, ratio, doubt))
    return found


def errors_by_method(pairs: Iterable[Pair]) -> dict[str, PredictionError]:
    """The prediction error of each method that has pairs whose measurement is proven, by its id."""
    ratios: dict[str, list[float]] = {}
    for pair in (pair for pair in pairs if not pair.doubt):
        ratios.setdefault(pair.method, []).append(pair.ratio)
    return {method: prediction_error(found) for method, found in sorted(ratios.items())}


def error_words(error: PredictionError) -> str:
    """ "measured +3.2 % of predicted, scatter 4.1 %, n = 5; the next: −8.5 % to +16.4 %"."""
    bias = units.show_signed(100 * (error.bias - 1), 1)
    if error.scatter is None or error.low is None or error.high is None:
        return f"measured {bias} % off predicted, n = 1; one pair has no scatter"
    ends = [units.show_signed(100 * (end - 1), 1) for end in (error.low, error.high)]
    return (
        f"measured {bias} % off predicted, scatter {units.show(100 * error.scatter, 2)} %, n = {error.count}; "
        f"the next: {ends[0]} % to {ends[1]} %"
    )


def own_errors_sentence(view: View) -> str:
    """Prediction error so far of this project's methods, or nothing without pairs."""
    pairs = pairs_of(view)
    told = [f"{name}: {error_words(error)}" for name, error in errors_by_method(pairs).items()]
    doubted = ", ".join(dict.fromkeys(pair.item for pair in pairs if pair.doubt))
    tail = f" Not counted, the measurement is in doubt: {doubted}." if doubted else ""
    return f"Prediction error so far, this project. {'. '.join(told)}.{tail}" if told else ""


def item_error_words(view: View, item: EvidenceItem) -> list[str]:
    """What each calculation beside an item predicted, and its method's prediction error so far in this project."""
    pairs = pairs_of(view)
    errors = errors_by_method(pairs)
    return [
        f"{pair.calculation} {pair.method}: measured {units.show_signed(100 * (pair.ratio - 1), 1)} % off predicted "
        f"({pair.requirement}){_counted(pair, errors)}"
        for pair in pairs
        if pair.item == item.id
    ]


def _counted(pair: Pair, errors: dict[str, PredictionError]) -> str:
    so_far = f"; so far {error_words(errors[pair.method])}" if pair.method in errors else ""
    return f", not counted: the measurement is in doubt{so_far}" if pair.doubt else so_far
