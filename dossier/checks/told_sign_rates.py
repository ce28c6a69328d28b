"""Simulated error rates of the search for signs, as kept in the reading schemes, in words and rows."""

from __future__ import annotations

from collections.abc import Sequence

from dossier.checks.view import View
from dossier.evidence.sign_words import TITLES
from dossier.methods.evidence_links import CURVES
from dossier.records.evidence import EvidenceItem, SchemeRecord
from dossier.records.signs import SignLimits, SimulatedRates

CONFIDENCE = 0.95
ASSUMED = (
    "Assumed: parts with random stiffening, first-cycle softening, friction and relaxation, whose laws the search does not "
    "know; one fault of the stated size at a time, at a fixed place; noise of the load and the travel independent from row to "
    "row. A smaller fault, or drift and play that no part here has, is found less often or takes the sign of another."
)


def schemes_with_rates(view: View) -> list[SchemeRecord]:
    """Reading schemes whose error rates were simulated."""
    return [scheme for scheme in view.project.of_kind(SchemeRecord) if scheme.sign_rates is not None]


def schemes_without_rates(view: View) -> list[str]:
    """Schemes of evaluated stiffness curves whose error rates were not simulated."""
    used = dict.fromkeys(item.scheme for item in view.project.evidence if item.quantity in CURVES and item.result)
    found = (view.project.find(name) for name in used)
    return [scheme.id for scheme in found if isinstance(scheme, SchemeRecord) and scheme.sign_rates is None]


def rates_sentence(scheme: SchemeRecord, rates: SimulatedRates) -> str:
    """What was simulated, the false alarms at the stated limits with their upper bound, and whether the limits still hold."""
    told = (
        f"SIMULATED, not measured: {rates.count} curves a cell, seed {rates.seed}, on the recording of {rates.item} "
        f"{rates.specimen}: {rates.sampling}. Any sign on a sound curve at the limits of {scheme.id}: {rates.any_false} of "
        f"{rates.count}, at most {100 * upper_bound(rates.any_false, rates.count):.2g} % at {100 * CONFIDENCE:.0f} % "
        f"confidence (binomial). {rates.by}, {rates.on}."
    )
    if rates.limits != (scheme.signs or SignLimits()):
        told += f" The limits of {scheme.id} have changed since: simulate again."
    return told


def missing_words(view: View, schemes: Sequence[str] = ()) -> str:
    """Of the schemes (empty: of all) those whose error rates nobody simulated, why they are not known, and what gives them."""
    missing = [name for name in schemes_without_rates(view) if not schemes or name in schemes]
    if not missing:
        return ""
    first = next(i.id for i in view.project.evidence if i.scheme == missing[0] and i.quantity in CURVES and i.result)
    return (
        f"Not simulated for {', '.join(missing)}: rates hold for one sampling and noise only, so how often signs are missed or "
        f"raised in error there is not known; `dossier sign-rates {first} --keep` simulates them."
    )


def item_rates_words(view: View, item: EvidenceItem) -> str:
    """What is known of the error rates of the search for signs in the curves of an item, or nothing without such a search."""
    scheme = view.project.find(item.scheme)
    if item.quantity not in CURVES or item.result is None or not isinstance(scheme, SchemeRecord):
        return ""
    return rates_sentence(scheme, scheme.sign_rates) if scheme.sign_rates else missing_words(view, (scheme.id,))


def rates_rows(rates: SimulatedRates) -> tuple[list[float], list[tuple[str, ...]]]:
    """Factors on the limits, rising, and for each sign its title, fault, and "found / false" in % at each factor."""
    factors = sorted({rate.factor for rate in rates.rates})
    cells = {(rate.sign, rate.factor): _cell(rate.found, rate.false, rates.count) for rate in rates.rates}
    rows = [
        (TITLES[sign], fault, *(cells.get((sign, factor), "–") for factor in factors)) for sign, fault in rates.faults.items()
    ]
    return factors, rows


def upper_bound(false: int, count: int) -> float:
    """Upper bound of a rate of which `false` of `count` were seen."""
    from dossier.evidence.success_run import reliability_shown

    return 1.0 - reliability_shown(count, false, CONFIDENCE).value


def _cell(found: int, false: int, count: int) -> str:
    return f"{100 * found / count:.0f} / {100 * false / count:.0f}"
