"""Each printed formula, evaluated with its printed numbers by an evaluator of our own, gives the printed value."""

from __future__ import annotations

import importlib.util
import math
import re
from pathlib import Path
from random import Random

import pytest

from dossier import units
from dossier.methods.base import Value
from dossier.methods.links import input_from_values
from dossier.methods.registry import all_methods

_spec = importlib.util.spec_from_file_location("random_inputs", Path(__file__).with_name("random_inputs.py"))
random_inputs = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(random_inputs)

RUNS = 20
LONG_RUNS = {"section.stiffness": 4, "layer.limits": 4, "section.strength": 4, "layer.assembly": 4, "layer.curve": 4,
             "layer.load_case": 2}  # fmt: skip
POWERS = {"²": "**2", "³": "**3", "⁴": "**4", "⁵": "**5", "^": "**", "·": "*", "×": "*", "−": "-", "√": "sqrt"}
NAMES = {
    "π": math.pi, "sqrt": math.sqrt, "ln": math.log, "exp": math.exp, "min": min, "max": max, "abs": abs,
    "sin": lambda a: math.sin(math.radians(a)), "cos": lambda a: math.cos(math.radians(a)),
    "tan": lambda a: math.tan(math.radians(a)), "arcsin": lambda v: math.degrees(math.asin(v)),
    "arccos": lambda v: math.degrees(math.acos(v)), "arctan": lambda v: math.degrees(math.atan(v)),
}  # fmt: skip


def by_hand(formula: str, numbers: dict[str, float]) -> float:
    """Python's own evaluation of the printed formula."""
    text = formula
    for sign, python in POWERS.items():
        text = text.replace(sign, python)
    text = re.sub(r"([^\W\d]\w*)′", r"\1_prime", text)
    scope = NAMES | {symbol.replace("′", "_prime"): number for symbol, number in numbers.items()}
    return eval(text, {"__builtins__": {}}, scope)  # noqa: S307


def as_number(printed: str) -> float:
    return float(printed.replace("−", "-"))


def cases():
    runs = {method_id: LONG_RUNS.get(method_id, RUNS) for method_id in all_methods()}
    return [(method_id, seed) for method_id, count in runs.items() for seed in range(count)]


def test_every_method_has_a_generator():
    assert set(random_inputs.GENERATORS) == set(all_methods())


RESULT_OF_WORKING = {
    "layer.assembly": ("p_m", "mean_pressure"),
    "layer.curve": ("h", "hardening"),
    "layer.load_case": ("s_r", "radial_travel"),
    "rubber.moduli": ("G", "shear_modulus"),
    "rubber.fit": ("G", "shear_modulus"),
    "cost.piece": ("q", "change"),
    "co2.saving": ("E", "total_mid"),
    "fit.ring": ("F_0", "push_out_new"),
    "clamp.bolt": ("q_R", "residual_share"),
    "mass.joint": ("m", "total"),
    "mass.saving": ("s", "saving"),
    "bond.area": ("q", "ratio"),
    "layer.stiffness": ("c_t", "torsional"),
    "section.stiffness": ("c_x", "torsional"),
    "core.gap": ("ε", "shrinkage"),
    "layer.limits": ("σ_c", "tension_limit"),
    "section.strength": ("u", "pin_utilisation"),
    "pin.bending": ("S", "safety"),
}

# A closed form beside finite elements: what the gap between rings takes away is not in it.
CROSS_CHECKS = {"section.stiffness": 0.15}


@pytest.mark.parametrize(("method_id", "seed"), cases())
def test_printed_lines_follow_from_printed_numbers_and_arrive_at_the_result(method_id, seed):
    method = all_methods()[method_id]
    resolved = input_from_values(method, random_inputs.GENERATORS[method_id](Random(seed)))
    assert resolved.problems == []
    outcome = method.run(resolved.given)
    working = method.working(resolved.given, outcome)
    assert working.lines, "a method shows at least one derived line"
    for line in working.lines:
        follows_from_its_numbers(line)
    symbol, name = RESULT_OF_WORKING[method_id]
    arrives(method, working, symbol, name, outcome.values[name])


def follows_from_its_numbers(line):
    numbers = {symbol: as_number(text) for symbol, text in line.printed_numbers.items()}
    value = by_hand(line.formula, numbers)
    printed = as_number(line.printed)
    if value == 0:
        assert printed == 0
        return
    half_digit = 0.5 * 10 ** (math.floor(math.log10(abs(value))) - line.digits + 1)
    assert abs(printed - value) <= half_digit * (1 + 1e-6), (line.formula, numbers, value, line.printed)


def arrives(method, working, symbol, name, value):
    """Five digits on the way and three at the end: half a digit of the third place, and what the way loses.

    A saving is a difference of two masses of five digits: its absolute tolerance is a few 1e-5.
    """
    number = value.value if isinstance(value, Value) else value
    printed = next(line for line in (*working.givens, *working.lines) if line.symbol == symbol)
    arrived = units.convert(printed.value, printed.unit, method.result_field(name).unit)
    assert arrived == pytest.approx(number, rel=CROSS_CHECKS.get(method.id, 5.5e-3), abs=5e-5)


@pytest.mark.parametrize("method_id", ["layer.stiffness", "section.stiffness", "layer.curve", "layer.assembly"])
def test_stiffness_is_worked_in_the_unit_that_requirements_use(method_id):
    method = all_methods()[method_id]
    shown = {field.shown for field in method.results if field.shown}
    for seed in range(4):
        given = input_from_values(method, random_inputs.GENERATORS[method_id](Random(seed))).given
        working = method.working(given, method.run(given))
        used = {line.unit for line in (*working.givens, *working.lines)}
        assert used & shown and not used & {"N·mm/rad", "N·m/rad", "rad"}
