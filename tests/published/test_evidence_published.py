"""Statistics, uncertainty and loops against published numbers; each with its source and how it was seen."""

import math
from importlib.resources import files

import numpy as np
import pytest

from dossier.evidence.difference import tost
from dossier.evidence.equivalence import compare_ratio
from dossier.evidence.line import fit_line
from dossier.evidence.loop import describe_loop
from dossier.evidence.static import StaticSettings, evaluate_static
from dossier.evidence.uncertainty import Contribution, combine, means_with_covariance, propagate

VOLTAGE = [5.007, 4.994, 5.005, 4.990, 4.999]
CURRENT = [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3]
PHASE = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433]

CLINIC_VAR1 = (
    [2.84, 2.51, 2.41, 2.95, 3.14, 3.79, 4.14, 3.85, 3.02, 3.45, 5.37, 3.81, 4.19, 3.16, 3.84],
    [2.60, 2.82, 2.18, 3.46, 4.01, 3.04, 3.47, 4.06, 2.91, 3.59, 4.51, 3.16, 3.86, 3.31, 3.02],
)
CLINIC_VAR2 = (
    [4.00, 3.26, 4.14, 3.42, 3.25, 4.34, 4.97, 4.31, 3.11, 3.41, 5.02, 4.21, 4.59, 5.30, 4.32],
    [3.76, 3.66, 3.65, 3.60, 3.48, 2.87, 3.24, 3.92, 3.99, 4.21, 4.21, 3.31, 3.61, 2.97, 2.73],
)


def test_s1_linear_regression_norris():
    """NIST Statistical Reference Datasets, Norris (linear regression, lower difficulty); data and certified
    values in scipy/stats/tests/data/nist_linregress/Norris.dat (lib). Tolerance 1e-9."""
    text = files("scipy").joinpath("stats/tests/data/nist_linregress/Norris.dat").read_text()
    y, x = np.array([row.split() for row in text.splitlines()[60:96]], float).T
    line = fit_line(x, y)
    assert len(x) == 36
    assert line.intercept == pytest.approx(-0.262323073774029, rel=1e-9)
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-9)
    assert line.intercept_error == pytest.approx(0.232818234301152, rel=1e-9)
    assert line.slope_error == pytest.approx(0.429796848199937e-3, rel=1e-9)
    assert line.residual == pytest.approx(0.884796396144373, rel=1e-9)
    assert line.r_squared == pytest.approx(0.999993745883712, rel=1e-9)


def test_s12_uncertainty_with_correlation_gum_h2():
    """JCGM 100:2008, annex H.2, tables H.2 to H.4 (mem, recomputed): resistance, reactance and impedance from
    five sets of voltage, current and phase. Tolerance: the printed digits."""
    means, covariance = means_with_covariance(np.array([VOLTAGE, CURRENT, PHASE]).T)
    spread = np.sqrt(np.diag(covariance))
    inputs = covariance / np.outer(spread, spread)
    assert (inputs[0, 1], inputs[0, 2], inputs[1, 2]) == pytest.approx((-0.36, 0.86, -0.65), abs=0.005)

    def circuit(x: np.ndarray) -> np.ndarray:
        impedance = x[0] / x[1]
        return np.array([impedance * math.cos(x[2]), impedance * math.sin(x[2]), impedance])

    found = propagate(circuit, means, covariance)
    assert found.values == pytest.approx([127.732, 219.847, 254.260], abs=5e-4)
    assert found.standard == pytest.approx([0.071, 0.2955, 0.236], abs=6e-4)
    pairs = (found.correlation[0, 1], found.correlation[0, 2], found.correlation[1, 2])
    assert pairs == pytest.approx((-0.588, -0.485, 0.993), abs=5e-4)


def test_s13_effective_degrees_of_freedom_gum_h1():
    """JCGM 100:2008, annex H.1, end gauge (mem, recomputed): contributions in nm; printed uc = 32, nu_eff =
    16, t99 = 2.92, U99 = 93 (from the rounded 32); with the second-order terms 34."""
    lines = [
        Contribution("standard", 25.0, 18), Contribution("comparison", 9.7, 25.6), Contribution("expansion", 2.9, 50),
        Contribution("temperature", 16.6, 2),
    ]  # fmt: skip
    budget = combine(lines, 0.99)
    assert budget.combined == pytest.approx(31.7, abs=0.05)
    assert math.floor(budget.freedom) == 16
    assert budget.freedom == pytest.approx(16.7, abs=0.1)
    assert budget.factor == pytest.approx(2.92, abs=0.005)
    assert budget.expanded == pytest.approx(93.0, abs=1.0)
    second_order = combine([*lines, Contribution("2nd order", 11.7), Contribution("2nd order", 1.7)], 0.99)
    assert second_order.combined == pytest.approx(34.0, abs=0.5)


def test_s14_two_one_sided_tests_equivalent():
    """Equivalence of the means of var1, margin ±0.6: two groups of 15, data and results of an R equivalence
    package in statsmodels 0.15.0, statsmodels/stats/tests/test_tost.py, tost_clinic_indep_1 and …_pooled
    (lib). Tolerance 1e-7."""
    found = tost(*CLINIC_VAR1, -0.6, 0.6)
    assert found.difference == pytest.approx(0.1646666666666667, abs=1e-7)
    assert found.error == pytest.approx(0.2531625991083627, abs=1e-7)
    assert found.freedom == pytest.approx(26.7484787582315, abs=1e-7)
    assert (found.low, found.high) == pytest.approx((-0.2666862980722534, 0.596019631405587), abs=1e-7)
    assert found.p == pytest.approx(0.04853083976236974, abs=1e-7)
    assert found.equivalent
    pooled = tost(*CLINIC_VAR1, -0.6, 0.6, kind="pooled")
    assert pooled.freedom == 28
    assert pooled.p == pytest.approx(0.04827315100761467, abs=1e-7)


def test_s15_two_one_sided_tests_not_equivalent():
    """As S14 with var2: tost_clinic_indep and tost_clinic_indep_2_pooled (lib). Tolerance 1e-7."""
    found = tost(*CLINIC_VAR2, -0.6, 0.6)
    assert found.p == pytest.approx(0.4317936812594803, abs=1e-7)
    assert found.freedom == pytest.approx(24.11000151062728, abs=1e-7)
    assert not found.equivalent
    assert tost(*CLINIC_VAR2, -0.6, 0.6, kind="pooled").p == pytest.approx(0.43169347692374, abs=1e-7)


def test_s17_two_one_sided_tests_in_pairs():
    """As S14, var1 in pairs: tost_clinic_paired_1; var2: tost_clinic_paired (lib). Tolerance 1e-8."""
    found = tost(*CLINIC_VAR1, -0.6, 0.6, kind="paired")
    assert found.error == pytest.approx(0.1357514067862445, abs=1e-8)
    assert found.freedom == 14
    assert found.p == pytest.approx(0.003166881489265175, abs=1e-8)
    assert tost(*CLINIC_VAR2, -0.6, 0.6, kind="paired").p == pytest.approx(0.4412034046017588, abs=1e-8)


def test_two_one_sided_tests_on_a_ratio():
    """Same file, tost_clinic_1_indep and tost_clinic_1_paired: logarithms of var1, margin ln 1.25 (lib)."""
    found = compare_ratio(*CLINIC_VAR1, 1 / 1.25, 1.25)
    assert math.log(found.ratio) == pytest.approx(0.04312233182252334, abs=1e-9)
    assert found.error == pytest.approx(0.073508371131806, abs=1e-9)
    assert found.freedom == pytest.approx(27.61177037646526, abs=1e-7)
    assert (math.log(found.low), math.log(found.high)) == pytest.approx(
        (-0.0819851930203655, 0.1682298566654122), abs=1e-9
    )
    assert found.p == pytest.approx(0.01047085593138891, abs=1e-9)
    assert found.verdict == "met"
    pairs = [str(number) for number in range(15)]
    paired = compare_ratio(*CLINIC_VAR1, 1 / 1.25, 1.25, variant_batches=pairs, reference_batches=pairs)
    assert paired.freedom == 14
    assert paired.p == pytest.approx(0.0001664157928976468, abs=1e-10)


PHASE_ANGLE = np.linspace(0, 2 * np.pi, 20_000, endpoint=False)
ELLIPSE = describe_loop(np.sin(PHASE_ANGLE), 1000.0 * np.sin(PHASE_ANGLE + 0.1))


def test_d1_area_storage_loss_and_loss_factor_of_an_ellipse():
    """F0 = 1000 N, x0 = 1 mm, delta = 0.1 rad; definitions of ISO 4664-1 (analytic). Tolerance 1e-6."""
    assert ELLIPSE.area == pytest.approx(313.636, rel=2e-6)
    assert ELLIPSE.area == pytest.approx(math.pi * 1000.0 * math.sin(0.1), rel=1e-6)
    assert ELLIPSE.storage == pytest.approx(995.004, rel=1e-6)
    assert ELLIPSE.loss == pytest.approx(99.8334, rel=1e-6)
    assert ELLIPSE.magnitude == pytest.approx(1000.0, rel=1e-6)
    assert ELLIPSE.loss_factor == pytest.approx(0.100335, abs=1e-6)


def test_d2_intercepts_of_an_ellipse():
    """As D1 (analytic), tolerance 1e-6 of the printed digits; the evaluation of a whole test gives the same
    width."""
    assert ELLIPSE.half_width == pytest.approx(0.099833, abs=1e-6)
    assert ELLIPSE.load_at_largest_travel == pytest.approx(995.004, rel=1e-6)
    assert ELLIPSE.half_height == pytest.approx(99.833, abs=1e-3)
    phase = np.linspace(0, 8 * np.pi, 80_001)
    whole = evaluate_static(np.sin(phase), 1000.0 * np.sin(phase + 0.1), StaticSettings(-900.0, 900.0, cycle=3))
    assert whole.loop_width / 2 == pytest.approx(math.sin(0.1), rel=1e-6)
    assert whole.energy == pytest.approx(math.pi * 1000.0 * math.sin(0.1), rel=1e-6)
