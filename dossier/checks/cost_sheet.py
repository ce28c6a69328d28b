"""Computed checks of step 5 that the cost sheet alone decides."""

from __future__ import annotations

from collections.abc import Iterator
from math import prod

from dossier import units
from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.view import View
from dossier.records.base import Banded
from dossier.records.cost import Cost, CostSide, Footprint, FuelUse, PayloadUse, Priced
from dossier.units import amount

_EFFORTS = ("development", "test")
NO_COST = Finding("cost", "", "", "does not exist yet; record the cost of reference part and variant in cost.toml")


def cost_of(view: View) -> Cost | None:
    """The cost sheet, or None."""
    found = view.project.find("cost")
    return found if isinstance(found, Cost) else None


def sides_of(cost: Cost) -> dict[str, CostSide]:
    """Both sides by name."""
    return {"reference": cost.reference, "variant": cost.variant}


@computed("5.1")
def same_basis(view: View) -> Computed:
    """Volume, price date and plant agree; overhead rates are one set for both sides."""
    cost = cost_of(view)
    if cost is None:
        return Computed("open", [NO_COST])
    findings = []
    mine, other = cost.variant.basis, cost.reference.basis
    for name in ("price_date", "annual_volume", "plant"):
        value, wanted = getattr(mine, name), getattr(other, name)
        if value != wanted:
            remedy = f"differs from cost.reference.basis.{name} = {_plain(wanted)}; put both sides on one basis"
            findings.append(Finding("cost", f"variant.basis.{name}", _plain(value), remedy))
    for side, lines in sides_of(cost).items():
        for line in lines.lines:
            if line.price_date and line.price_date != lines.basis.price_date:
                remedy = f"differs from the basis of {lines.basis.price_date}; bring the price to that date"
                findings.append(_of(side, line, "price_date", line.price_date, remedy))
    volume = view.project.header.annual_volume
    if volume is not None and volume != other.annual_volume:
        remedy = f"differs from project.annual_volume = {volume}; correct one of the two"
        findings.append(Finding("cost", "reference.basis.annual_volume", _plain(other.annual_volume), remedy))
    facts = [
        f"{other.annual_volume:g} pieces a year, {other.currency} of {other.price_date}, {other.plant}",
        f"overhead on material {_percent(cost.rates.material_overhead)}, administration and sales "
        f"{_percent(cost.rates.administration_sales)} for both",
    ]
    return verdict_of(findings, facts, data=True)


@computed("5.3")
def sourced(view: View) -> Computed:
    """Every line has a source and an uncertainty; its origin no line can lack."""
    cost = cost_of(view)
    if cost is None:
        return Computed("open", [NO_COST])
    findings, count = [], 0
    for side, lines in sides_of(cost).items():
        for line in lines.lines:
            count += 1
            if not line.source:
                findings.append(_of(side, line, "source", "", f"is empty; name the {line.origin} it comes from"))
            if line.uncertainty == 0:
                findings.append(_of(side, line, "uncertainty", "0 %", "is no uncertainty; give ± in percent"))
    for name, source in (("rates", cost.rates.source), ("worth", cost.worth.source)):
        if not source:
            findings.append(Finding("cost", f"{name}.source", "", "is empty; say who set it and when"))
    return verdict_of(findings, [f"{amount(count, 'line')} of both parts read"], data=True)


@computed("5.4")
def yields_chained(view: View) -> Computed:
    """Each step states its own yield; the sheet divides by one after another, so that late scrap carries more."""
    cost = cost_of(view)
    if cost is None:
        return Computed("open", [NO_COST])
    findings, facts = [], []
    for side, lines in sides_of(cost).items():
        stated = view.project.raw["cost"][side].get("step", [])
        for line, raw in zip(lines.step, stated, strict=True):
            if "good_share" not in raw:
                remedy = "is not stated; give the share of good pieces of this step, 1 if nothing is lost"
                findings.append(_of(side, line, "good_share", "", remedy))
        chained = 1 - prod(step.good_share for step in lines.step)
        added = sum(1 - step.good_share for step in lines.step)
        told = f"{_percent(chained)} scrap chained over {amount(len(lines.step), 'step')}, {_percent(added)} if added"
        facts.append(f"{side}: {told}")
        if chained == 0:
            remedy = "lose nothing at all; give the scrap of machining, bonding and assembly"
            findings.append(Finding("cost", f"{side}.step", amount(len(lines.step), "step"), remedy))
    return verdict_of(findings, facts, data=True)


@computed("5.6")
def effort_counted_once(view: View) -> Computed:
    """Development and tests of the variant are in the sheet; the record lets none count twice or nowhere."""
    cost = cost_of(view)
    if cost is None:
        return Computed("open", [NO_COST])
    findings, facts = [], []
    pieces = cost.variant.basis.annual_volume * cost.years
    for kind in _EFFORTS:
        items = [item for item in cost.variant.one_off if item.kind == kind]
        if not items:
            remedy = f"holds no {kind}; enter its effort, spread over the pieces or paid once"
            findings.append(Finding("cost", "variant.one_off", "", remedy))
        for item in items:
            way = f"spread over {pieces:g} pieces" if item.per_piece else "paid once"
            facts.append(f"{item.name}: {units.show(item.amount, 4)} {cost.variant.basis.currency}, {way}")
    return verdict_of(findings, facts, data=True)


_RANGE = "has no range; give low and high"


def footprint_gaps(footprint: Footprint) -> Iterator[Finding]:
    """Factors without a range, a use phase without a source."""
    for line in footprint.line:
        if not _ranged(line.factor):
            yield Finding("cost", f"footprint.line.{line.name}.factor", units.show(line.factor.value, 3), _RANGE)
    yield from _use_gaps(footprint.use)


def _use_gaps(use: object) -> Iterator[Finding]:
    if not isinstance(use, FuelUse | PayloadUse):
        return
    if not use.source:
        yield Finding("cost", "footprint.use.source", "", "is empty; name the source of distance and factors")
    for name in type(use).model_fields:
        value = getattr(use, name)
        if isinstance(value, Banded) and not _ranged(value):
            yield Finding("cost", f"footprint.use.{name}", units.show(value.value, 3), _RANGE)


def _ranged(banded: Banded) -> bool:
    low, high = banded.ends
    return low < high


def _of(side: str, line: Priced, field: str, value: str, remedy: str) -> Finding:
    return Finding("cost", f"{side}.{line.name}.{field}", value, remedy)


def _percent(share: float) -> str:
    return f"{units.show(100 * share, 3)} %"


def _plain(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)
