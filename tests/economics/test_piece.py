"""Piece cost by hand, chained yields, one-off cost counted once, and what is refused."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.economics.piece import (
    Bought,
    Material,
    OneOff,
    Plan,
    Rates,
    Step,
    paid_once,
    piece_cost,
    scrap_share,
)

PLAN = Plan(
    volume=96_000,
    materials=[Material("bar", 2.0, 1.5, chip_mass=0.5, chip_price=0.2), Material("rubber", 0.1, 4.0, enters=1)],
    bought=[Bought("ring", 1.25, 2, enters=1)],
    steps=[
        Step("turning", cycle_time=90, setup_time=3600, lot=400, machine_rate=60, labour_rate=40, operators=0.5,
             good_share=0.98),
        Step("moulding", cycle_time=36, machine_rate=70, labour_rate=40, operators=0.25, outside=0.4, good_share=0.95),
    ],
    one_offs=[
        OneOff("mould", 30_000, per_piece=True, life=50_000),
        OneOff("tests", 48_000, per_piece=True, tool=False),
        OneOff("device", 20_000, per_piece=False),
    ],
    packaging=0.1, freight=0.2,
    rates=Rates(material_overhead=0.05, administration_sales=0.1, margin=0.08),
)  # fmt: skip


def test_every_line_by_hand():
    """2 kg at 1.5 less 0.5 kg chips at 0.2 is 2.90; 99 s at 80 EUR/h is 2.20; 36 s at 80 EUR/h is 0.80 …"""
    cost = piece_cost(PLAN)
    turned = (2.90 * 1.05 + 2.20) / 0.98
    moulded = (turned + (0.40 + 2.50) * 1.05 + 0.80 + 0.40) / 0.95
    assert cost.material == pytest.approx(5.80)
    assert cost.material_overhead == pytest.approx(0.29)
    assert cost.process == pytest.approx(3.00)
    assert cost.outside == pytest.approx(0.40)
    assert cost.scrap == pytest.approx(moulded - 5.80 - 0.29 - 3.00 - 0.40)
    assert cost.tooling == pytest.approx(0.60)
    assert cost.manufacturing == pytest.approx(moulded + 0.60)
    assert cost.administration_sales == pytest.approx(0.1 * (moulded + 0.60))
    assert cost.development == pytest.approx(0.50)
    assert cost.self_cost == pytest.approx(1.1 * (moulded + 0.60) + 0.50)
    assert cost.price == pytest.approx(1.08 * cost.self_cost + 0.30)


def test_yields_multiply_and_never_add():
    steps = [Step("a", good_share=0.9), Step("b", good_share=0.8)]
    assert scrap_share(steps) == pytest.approx(0.28)
    cost = piece_cost(Plan(volume=1, materials=[Material("bar", 1, 1.0)], steps=steps))
    assert cost.manufacturing == pytest.approx(1 / 0.72)


@settings(deadline=None)
@given(st.floats(0.5, 0.99))
def test_scrap_costs_more_the_later_it_comes(share):
    """The same yield at the last step throws away more work than at the first."""
    early = [Step("a", outside=1.0, good_share=share), Step("b", outside=1.0)]
    late = [Step("a", outside=1.0), Step("b", outside=1.0, good_share=share)]
    first, last = (piece_cost(Plan(volume=1, steps=steps)).scrap for steps in (early, late))
    assert first < last


def test_one_off_cost_is_counted_once():
    """What stands in the piece cost is not paid once and the other way round; together it is all of it."""
    in_pieces = sum(one.share(PLAN.volume) for one in PLAN.one_offs)
    assert in_pieces == pytest.approx(30_000 / 50_000 + 48_000 / 96_000)
    assert paid_once(PLAN) == pytest.approx(20_000)


def test_a_tool_that_outlives_the_volume_is_spread_over_the_volume():
    assert OneOff("mould", 30_000, per_piece=True, life=1e6).share(60_000) == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("plan", "told"),
    [
        (Plan(volume=1), "step is empty; give at least one process step"),
        (Plan(volume=0, steps=[Step("a")]), "volume = 0 must exceed 0"),
        (Plan(volume=1, steps=[Step("a")], bought=[Bought("ring", 1, enters=1)]), "ring enters at step 2 of 1; name"),
    ],
)
def test_what_does_not_fit_is_refused(plan, told):
    with pytest.raises(ValueError, match=told):
        piece_cost(plan)
