"""Piece cost of variant and reference part on the same basis, investment, break-even, levers."""

from __future__ import annotations

from dossier import units
from dossier.economics.breakeven import break_even, level_flows, present_value
from dossier.economics.piece import PieceCost, paid_once, piece_cost
from dossier.methods.base import Basis, Contribution, InputError, Method, MethodInput, Outcome, ResultField, Value
from dossier.methods.cost_in import CostIn, SideIn, plan_of
from dossier.methods.working import Working
from dossier.records.base import q

LINES = (
    ("material", "material"),
    ("material_overhead", "material overhead"),
    ("process", "own processes"),
    ("outside", "bought work"),
    ("scrap", "scrap, yields chained"),
    ("tooling", "tools counted per piece"),
    ("administration_sales", "administration and sales"),
    ("development", "development and tests counted per piece"),
)
WORTHS = ("low", "mid", "high")


class CostInput(MethodInput):
    """The cost sheet."""

    cost: CostIn = q("-", "cost sheet", link="cost")


class PieceCostMethod(Method):
    """Self cost per piece, difference, investment, break-even for three worths of a saved kilogram."""

    id = "cost.piece"
    version = 1
    title = "Piece cost against the reference part, investment and break-even"
    step = "5"
    input_model = CostInput
    results = (
        ResultField("change", "-", "change of the self cost per piece", "%", "q"),
        ResultField("manufacturing_change", "-", "change of the manufacturing cost per piece", "%", "q_m"),
        ResultField("difference", "EUR", "variant less reference part, per piece", symbol="Δ", tolerance=1e-6),
        ResultField("variant", "EUR", "self cost of the variant", symbol="k_V"),
        ResultField("reference", "EUR", "self cost of the reference part", symbol="k_R"),
        ResultField("investment", "EUR", "paid once, variant less reference part", "kEUR", "I"),
        ResultField("saved_mass", "kg", "mass saved per piece", "g", "Δm"),
        ResultField("worth_needed", "EUR/kg", "worth of a kilogram at which the piece costs as much as before"),
        *(ResultField(f"gain_{w}", "EUR", f"gain per piece, worth of a kilogram {w}") for w in WORTHS),
        *(ResultField(f"present_value_{w}", "EUR", f"net present value, worth {w}", "kEUR") for w in WORTHS),
        *(ResultField(f"variant_{name}", "EUR", f"variant: {words}") for name, words in LINES),
        *(ResultField(f"reference_{name}", "EUR", f"reference part: {words}") for name, words in LINES),
    )
    basis = Basis(
        "library",
        "surcharge calculation with gross masses and chained yields, common practice, no source; break-even and present "
        "value by elementary interest formulas, checked against published tables",
        left_out=("taxes, currency, warranty, double stocks", "prices that move with volume"),
        valid_for=("both parts on the same volume, currency, price date, plant and overheads",),
    )

    def run(self, given: CostInput) -> Outcome:
        cost = given.cost
        _refuse_different_basis(cost)
        plans = {"variant": plan_of(cost, cost.variant), "reference": plan_of(cost, cost.reference)}
        pieces = {name: piece_cost(plan) for name, plan in plans.items()}
        difference = pieces["variant"].self_cost - pieces["reference"].self_cost
        saved = cost.reference.mass - cost.variant.mass
        investment = paid_once(plans["variant"]) - paid_once(plans["reference"])
        volume = cost.variant.basis.annual_volume
        made = pieces["variant"].manufacturing - pieces["reference"].manufacturing
        lines = _uncertainty(cost, "self_cost")
        values: dict[str, Value | float] = {
            "change": _relative(difference, pieces["reference"].self_cost, lines),
            "manufacturing_change": _relative(
                made, pieces["reference"].manufacturing, _uncertainty(cost, "manufacturing")
            ),
            "difference": Value(difference, lines),
            "variant": pieces["variant"].self_cost,
            "reference": pieces["reference"].self_cost,
            "investment": investment,
            "saved_mass": saved,
            "worth_needed": max(0.0, difference / saved) if saved > 0 else 0.0,
        }
        notes = []
        for name in WORTHS:
            worth = getattr(cost.worth, name)
            gain = worth * saved - difference
            values[f"gain_{name}"] = gain
            values[f"present_value_{name}"] = present_value(cost.interest, level_flows(investment, gain * volume, cost.years))
            notes.append(f"worth {worth:g} EUR/kg: {break_even(investment, gain, volume)}")
        for side, piece in pieces.items():
            values |= {f"{side}_{name}": getattr(piece, name) for name, _ in LINES}
        detail = {"pieces": pieces, "plans": plans}
        return Outcome(values, [*notes, *_levers(cost, difference)], _not_lighter(cost), detail)

    def working(self, given: CostInput, outcome: Outcome) -> Working:
        working = Working()
        pieces: dict[str, PieceCost] = outcome.detail["pieces"]
        for mark, side in (("V", "variant"), ("R", "reference")):
            for number, (name, words) in enumerate(LINES, start=1):
                working.given(f"{mark}_{number}", f"{side}: {words}", getattr(pieces[side], name), "EUR", "cost sheet")
            total = " + ".join(f"{mark}_{number}" for number in range(1, len(LINES) + 1))
            working.line(f"k_{mark}", f"self cost of the {side}", total, "EUR")
        lines = " + ".join(f"(V_{number} − R_{number})" for number in range(1, len(LINES) + 1))
        working.line("Δ", "difference per piece", lines, "EUR")
        working.line("q", "change of the self cost per piece", "Δ/k_R", "-", result=True)
        working.given("m_R", "mass of the reference part", given.cost.reference.mass, "kg")
        working.given("m_V", "mass of the variant", given.cost.variant.mass, "kg")
        for name in WORTHS:
            symbol = {"low": "w_l", "mid": "w_m", "high": "w_h"}[name]
            working.given(symbol, f"worth of a kilogram, {name}", getattr(given.cost.worth, name), "EUR/kg")
            formula = f"{symbol}·(m_R − m_V) − Δ"
            working.line(f"g_{name[0]}", f"gain per piece, worth {name}", formula, "EUR")
        return working


def _refuse_different_basis(cost: CostIn) -> None:
    for name in ("currency", "price_date", "annual_volume", "plant"):
        first, second = getattr(cost.reference.basis, name), getattr(cost.variant.basis, name)
        if first != second:
            raise InputError(
                f"variant.basis.{name} = {second} must equal reference.basis.{name} = {first}: costs on different bases "
                "cannot be compared; bring both to one basis"
            )


def _not_lighter(cost: CostIn) -> list[str]:
    if cost.variant.mass < cost.reference.mass:
        return []
    return [
        f"variant.mass = {cost.variant.mass:g} kg is not below reference.mass = {cost.reference.mass:g} kg: no worth of a "
        "kilogram pays for it, worth_needed says nothing; correct the masses or drop the worth of weight"
    ]


def _difference(cost: CostIn, factors: dict[str, float], total: str = "self_cost") -> float:
    """Variant less reference part of one total of PieceCost, in EUR per piece."""

    def of(side: SideIn) -> float:
        return getattr(piece_cost(plan_of(cost, side, factors)), total)

    return of(cost.variant) - of(cost.reference)


def _uncertainty(cost: CostIn, total: str) -> tuple[Contribution, ...]:
    """Each line's ± share alone; a line that both sides carry under one name moves both."""
    nominal = _difference(cost, {}, total)
    shares: dict[str, float] = {}
    for line in (*cost.reference.lines, *cost.variant.lines):
        if line.uncertainty:
            shares[line.name] = max(shares.get(line.name, 0.0), line.uncertainty)
    lines = []
    for name, share in shares.items():
        ends = [_difference(cost, {name: factor}, total) - nominal for factor in (1 - share, 1 + share)]
        if any(abs(end) > 1e-9 for end in ends):
            lines.append(Contribution(name, min(0.0, *ends), max(0.0, *ends)))
    return tuple(lines)


def _relative(difference: float, reference: float, lines: tuple[Contribution, ...]) -> Value:
    """The difference over the reference part's cost, taken as fixed for the band."""
    scaled = tuple(Contribution(line.cause, line.minus / reference, line.plus / reference) for line in lines)
    return Value(difference / reference, scaled)


def _levers(cost: CostIn, difference: float) -> list[str]:
    """The effect of each lever on the difference, largest first."""
    effects = []
    for lever in cost.lever:
        effect = _difference(cost, {lever.line: 1 + lever.change}) - difference
        change, moved = units.show_signed(100 * lever.change, 0), units.show_signed(effect)
        effects.append((abs(effect), f"lever: {lever.name} ({change} %): {moved} EUR per piece"))
    return [text for _, text in sorted(effects, reverse=True)]


METHODS: tuple[Method, ...] = (PieceCostMethod(),)
