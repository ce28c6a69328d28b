"""Moduli of rubber and fitted laws against values from outside the project (ids of the check values in brackets)."""

from math import log10

import numpy as np
import pytest

from dossier.mechanics.rubber import RELATIONS, lindley, moduli_of_hardness, poisson_ratio
from dossier.mechanics.uniaxial_fit import fit_uniaxial, nominal_stress

KGF_PER_CM2 = 0.0980665
# [R16] Treloar, Trans. Faraday Soc. 40 (1944) 59, uniaxial tension, as printed in the package
# felupe 11.3.0, felupe/constitution/_base.py lines 447 to 457: stretch and nominal stress in kgf/cm².
TRELOAR = [
    [1.000, 0.00], [1.240, 2.30], [1.585, 4.16], [2.180, 6.00], [3.020, 8.80], [4.030, 12.5], [4.760, 16.2], [5.750, 23.6],
    [6.850, 38.5], [7.250, 49.6], [7.600, 64.4],
]  # fmt: skip
POINTS = [[stretch, stress * KGF_PER_CM2] for stretch, stress in TRELOAR]


@pytest.mark.parametrize(("hardness", "published"), [(40, 1.690), (50, 2.456), (60, 3.605), (70, 5.521)])
def test_r1_gent(hardness, published):
    """[R1] A. N. Gent, Rubber Chem. Technol. 31 (1958) 896, formula from memory; printed digits, ± 0.001."""
    assert RELATIONS["gent"].youngs_modulus(hardness) == pytest.approx(published, abs=0.001)


@pytest.mark.parametrize(("hardness", "row"), [
    (40, (1.50, 0.45, 1000)), (50, (2.20, 0.64, 1030)), (60, (4.45, 1.06, 1150)), (70, (7.35, 1.73, 1270)),
])
def test_r2_lindley(hardness, row):
    """[R2] P. B. Lindley, Engineering Design with Natural Rubber, table of moduli, from memory: E0, G, bulk modulus."""
    found = lindley(hardness)
    assert (found.youngs_modulus, found.shear_modulus, found.bulk_modulus) == row


def test_r2_young_over_shear_modulus():
    """[R2, note] E0/G is 3.0 to 3.4 up to 45 IRHD and 3.4 to 4.3 above: a filled rubber has not E = 3 G there."""
    ratios = {h: lindley(h).youngs_modulus / lindley(h).shear_modulus for h in range(30, 76, 5)}
    assert all(3.0 < ratio < 3.4 for h, ratio in ratios.items() if h <= 45)
    assert all(3.4 < ratio < 4.3 for h, ratio in ratios.items() if h > 45)


def test_r1_and_r2_differ_by_up_to_a_third():
    """[R1, R2, note] At 70 Gent gives 5.52 MPa, Lindley 7.35 MPa."""
    gent, table = (moduli_of_hardness(name, 70).youngs_modulus for name in ("gent", "lindley"))
    assert (gent, table) == pytest.approx((5.52, 7.35), abs=0.005)
    assert table / gent - 1 == pytest.approx(0.33, abs=0.005)


def test_r17_poisson_ratio():
    """[R17] ν = (3 K − 2 G)/(6 K + 2 G): 0.49950 for G = 1 and K = 1000 MPa, elasticity; ± 1e-5."""
    assert poisson_ratio(1.0, 1000.0) == pytest.approx(0.49950, abs=1e-5)


def test_r18_ruess():
    """[R18] lg E = 0.0235 S − 0.6403, base 10: 3.425 MPa at 50 Shore A, as quoted at
    https://josephborrello.com/shore-a-to-modulus; with base e it would be 1.71 MPa, a misprint met elsewhere."""
    found = RELATIONS["ruess"].youngs_modulus(50)
    assert found == pytest.approx(3.425, abs=0.001)
    assert log10(found) == pytest.approx(0.0235 * 50 - 0.6403, rel=1e-12)


@pytest.mark.parametrize(("stretch", "published"), [(2.0, 1.75), (1.25, 0.61), (0.8, -0.7625)])
def test_r13_neo_hooke_uniaxial(stretch, published):
    """[R13] Nominal λ − λ⁻² for μ = 1: Treloar, The Physics of Rubber Elasticity, ch. 4-5; analytic, 1e-9."""
    assert float(nominal_stress("uniaxial", {"c10": 0.5}, stretch)) == pytest.approx(published, abs=1e-9)


@pytest.mark.parametrize(("mode", "published"), [("equibiaxial", 1.368313), ("pure shear", 1.203704)])
def test_r19_neo_hooke_in_other_loadings(mode, published):
    """[R19] λ = 1.5, μ = 1: Treloar; analytic, 1e-6."""
    assert float(nominal_stress(mode, {"c10": 0.5}, 1.5)) == pytest.approx(published, abs=1e-6)


def test_r16_the_points_are_as_printed():
    """[R16] 0.22555 MPa at 1.24, 6.3155 MPa at 7.60; secant μ at 1.24 of 0.3825 MPa."""
    assert POINTS[1][1] == pytest.approx(0.22555, abs=5e-6)
    assert POINTS[-1][1] == pytest.approx(6.3155, abs=5e-5)
    assert POINTS[1][1] / (1.24 - 1.24**-2) == pytest.approx(0.3825, abs=5e-5)


def test_r16_shear_modulus_of_treloars_rubber():
    """[R16] Treloar's own G is about 0.39 MPa: two terms up to a stretch of about 3 meet it within 5 %; Yeoh over the
    whole range gives 0.365 MPa with 0.39 inside its band."""
    lower = fit_uniaxial("mooney_rivlin", [pair for pair in POINTS if pair[0] <= 3.02])
    assert lower.shear_modulus == pytest.approx(0.39, rel=0.05)
    whole = fit_uniaxial("yeoh", POINTS)
    assert whole.shear_modulus == pytest.approx(0.365, abs=0.001)
    assert abs(whole.shear_modulus - 0.39) < whole.shear_half_width


def test_r16_what_the_laws_can_and_cannot():
    """[R16] The upturn near 7 is Yeoh's; neo-Hooke misses it by far, two Mooney–Rivlin terms fall at the start."""
    rms = {law: fit_uniaxial(law, POINTS).rms for law in ("neo_hookean", "mooney_rivlin", "yeoh")}
    assert rms["yeoh"] < 0.12 < 0.6 < rms["mooney_rivlin"] < rms["neo_hookean"]
    assert fit_uniaxial("yeoh", POINTS).steepness()[0] > 0
    fallen = fit_uniaxial("mooney_rivlin", POINTS)
    assert fallen.shear_modulus < 0 and fallen.steepness() == (pytest.approx(3 * fallen.shear_modulus), 1.0)
    neo = fit_uniaxial("neo_hookean", POINTS)
    assert np.isnan(neo.deviations[0]) and neo.deviations[neo.worst] > 0.9
