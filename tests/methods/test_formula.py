import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dossier.methods.formula import FormulaError, evaluate, symbols
from dossier.methods.working import Working


@pytest.mark.parametrize(
    ("formula", "numbers", "expected"),
    [
        ("π·(d⁴ − b⁴)/(32·d)", {"d": 36.0, "b": 18.0}, math.pi * (36**4 - 18**4) / (32 * 36)),
        ("√(σ_b² + 3·τ²)", {"σ_b": 3.0, "τ": 4.0}, math.sqrt(57)),
        ("2/3/4", {}, 2 / 3 / 4),
        ("−a²", {"a": 3.0}, -9.0),
        ("2^(1/2)·cos(60)", {}, math.sqrt(2) / 2),
        ("min(a, b, 3) − max(1, 2)", {"a": 5.0, "b": 4.0}, 1.0),
        ("cos(θ_1)³/3", {"θ_1": 50.0}, math.cos(math.radians(50)) ** 3 / 3),
        ("ln(exp(2)) + abs(−1)", {}, 3.0),
    ],
)
def test_value(formula, numbers, expected):
    assert evaluate(formula, numbers) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize("formula", ["", "a +", "(a", "a)", "a b", "sin a", "√(−1)", "ln(0 − 1)", "q", "1 $ 2", "min()"])
def test_unreadable_formula_names_itself(formula):
    with pytest.raises(FormulaError, match="expected|no value|−1|-1"):
        evaluate(formula, {"a": 1.0, "b": 1.0})


def test_symbols_in_order_without_functions():
    assert symbols("π·(d⁴ − b⁴)/√(32·d) + cos(θ_1)") == ["d", "b", "θ_1"]


@given(st.floats(0.1, 1e5), st.floats(0.1, 1e5), st.floats(0.1, 1e5))
def test_working_values_follow_from_printed_numbers(a, b, c):
    working = Working()
    working.given("a", "first", a, "mm")
    working.given("b", "second", b, "mm")
    working.given("c", "third", c, "mm")
    working.line("A", "area", "a·b/2", "mm²")
    working.line("V", "volume", "A·c", "mm³", result=True)
    area = float(f"{float(f'{a:.4e}') * float(f'{b:.4e}') / 2:.4e}")
    assert working.values["A"] == area
    assert working.values["V"] == pytest.approx(area * float(f"{c:.4e}"), rel=5.0001e-3)
