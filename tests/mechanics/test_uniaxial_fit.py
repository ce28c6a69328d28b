"""Laws fitted to uniaxial points: exact data come back, stresses follow from the energy, the band covers, refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import curve_fit

from dossier.mechanics.uniaxial_fit import LAWS, PointsError, fit_uniaxial, nominal_stress, slope

MODES = ("uniaxial", "equibiaxial", "pure shear")
ANY = {"c10": 0.3, "c01": 0.11, "c20": -0.02, "c30": 0.004}
EXACT = {
    "neo_hookean": {"c10": 0.5},
    "mooney_rivlin": {"c10": 0.31, "c01": 0.12},
    "yeoh": {"c10": 0.42, "c20": -0.031, "c30": 0.0017},
}


def made(coefficients, stretches):
    return [[lam, float(nominal_stress("uniaxial", coefficients, lam))] for lam in stretches]


def energy(mode, lam):
    """W from the three principal stretches."""
    one, two, three = {
        "uniaxial": (lam, lam**-0.5, lam**-0.5), "equibiaxial": (lam, lam, lam**-2), "pure shear": (lam, 1.0, 1 / lam),
    }[mode]  # fmt: skip
    first = one**2 + two**2 + three**2 - 3
    second = (one * two) ** 2 + (two * three) ** 2 + (three * one) ** 2 - 3
    return ANY["c10"] * first + ANY["c01"] * second + ANY["c20"] * first**2 + ANY["c30"] * first**3


@pytest.mark.parametrize("mode", MODES)
@given(lam=st.floats(0.5, 4))
def test_stress_is_the_derivative_of_the_energy_and_slope_of_the_stress(mode, lam):
    """Both loaded directions do work in equibiaxial loading: dW/dλ = 2 P."""
    step = 1e-5
    work = (energy(mode, lam + step) - energy(mode, lam - step)) / (2 * step)
    stress = float(nominal_stress(mode, ANY, lam))
    assert work == pytest.approx(stress * (2 if mode == "equibiaxial" else 1), rel=1e-6, abs=1e-7)
    ends = nominal_stress(mode, ANY, np.array([lam - step, lam + step]))
    assert float(slope(mode, ANY, lam)) == pytest.approx(float(ends[1] - ends[0]) / (2 * step), rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("relative", [False, True])
@pytest.mark.parametrize("law", LAWS)
def test_points_made_from_a_law_give_it_back(law, relative):
    fit = fit_uniaxial(law, made(EXACT[law], [0.6, 0.8, 1.0, 1.3, 1.9, 2.6]), relative)
    for name, value in fit.coefficients.items():
        assert value == pytest.approx(EXACT[law].get(name, 0.0), rel=1e-9)
    assert fit.shear_modulus == pytest.approx(2 * (EXACT[law]["c10"] + EXACT[law].get("c01", 0.0)), rel=1e-9)
    assert fit.rms == fit.deviations[fit.worst] == 0
    assert max(*fit.half_widths.values(), fit.shear_half_width) == 0


STRETCHES = np.linspace(1.1, 2.5, 12)
TRUE = nominal_stress("uniaxial", EXACT["mooney_rivlin"], STRETCHES)


def noisy(seed):
    """Twelve points of one Mooney–Rivlin rubber, read with a standard deviation of 0.02 MPa."""
    return np.column_stack([STRETCHES, TRUE + np.random.default_rng(seed).normal(0, 0.02, 12)]).tolist()


@pytest.mark.parametrize("relative", [False, True])
@pytest.mark.parametrize("law", LAWS)
def test_against_a_general_curve_fit(law, relative):
    """scipy's iterative fit of the same law gives the same coefficients and the same standard errors."""
    points = np.array(noisy(3))
    names = LAWS[law]

    def curve(lam, *values):
        return nominal_stress("uniaxial", dict(zip(names, values, strict=True)), lam)

    sigma = points[:, 1] if relative else None
    wanted, covariance = curve_fit(curve, points[:, 0], points[:, 1], p0=np.full(len(names), 0.1), sigma=sigma)
    fit = fit_uniaxial(law, points.tolist(), relative)
    assert [fit.coefficients[name] for name in names] == pytest.approx(list(wanted), rel=1e-5)
    quantile = {11: 2.200985, 10: 2.228139, 9: 2.262157}[12 - len(names)]
    errors = quantile * np.sqrt(np.diag(covariance))
    assert [fit.half_widths[name] for name in names] == pytest.approx(list(errors), rel=1e-4)


def test_the_band_covers_the_truth_as_often_as_it_says():
    """600 draws: two-sided 95 % within three standard errors of a share, 0.95 ± 0.027."""
    inside = {"c10": 0, "c01": 0, "shear": 0}
    for seed in range(600):
        fit = fit_uniaxial("mooney_rivlin", noisy(seed))
        for name in ("c10", "c01"):
            inside[name] += abs(fit.coefficients[name] - EXACT["mooney_rivlin"][name]) <= fit.half_widths[name]
        inside["shear"] += abs(fit.shear_modulus - 0.86) <= fit.shear_half_width
    assert all(0.923 <= count / 600 <= 0.977 for count in inside.values()), inside


def test_relative_weights_follow_the_small_strains():
    """One neo-Hookean curve, its upper half 20 % too stiff: relative differences keep G nearer to the lower half."""
    points = made({"c10": 0.5}, np.linspace(1.1, 3.0, 20))
    points = [[lam, stress * (1.2 if lam > 2 else 1.0)] for lam, stress in points]
    absolute, relative = (fit_uniaxial("neo_hookean", points, way).shear_modulus for way in (False, True))
    assert 1.0 < relative < absolute < 1.2


def test_quality_by_hand():
    points = [[1.0, 0.0], [1.5, 1.1], [2.0, 1.7]]
    fit = fit_uniaxial("neo_hookean", points)
    per = np.array([2 * (1.5 - 1.5**-2), 2 * 1.75])
    c10 = float(per @ [1.1, 1.7] / (per @ per))
    assert fit.coefficients["c10"] == pytest.approx(c10, rel=1e-12)
    assert fit.rms == pytest.approx(float(np.sqrt(((c10 * per - [1.1, 1.7]) ** 2).sum() / 3)), rel=1e-12)
    assert fit.worst == 1
    assert float(fit.deviations[1]) == pytest.approx(c10 * per[0] / 1.1 - 1, rel=1e-12)
    assert fit.range == (1.0, 2.0)


def test_a_curve_that_falls_is_seen():
    """C20 < 0 bends the curve down: dP/dλ is zero where the slope says, positive before."""
    falling = {"c10": 0.5, "c20": -0.05, "c30": 0.0}
    fit = fit_uniaxial("yeoh", made(falling, [1.1, 1.5, 2.0, 2.3, 2.6]))
    least, at = fit.steepness()
    assert least < 0 and at == 2.6
    steady = fit_uniaxial("yeoh", made(falling, [1.1, 1.2, 1.3, 1.4, 1.5]))
    assert steady.steepness()[0] > 0


def test_a_law_stable_in_tension_may_fall_in_other_loadings():
    """C01 < 0: rising in uniaxial tension to 1.6, falling in equibiaxial loading, where λ² multiplies C01."""
    fit = fit_uniaxial("mooney_rivlin", made({"c10": 0.6, "c01": -0.2}, [1.1, 1.2, 1.4, 1.6]))
    assert fit.steepness()[0] > 0
    assert set(fit.falls_in()) == {"equibiaxial"}
    begin = fit.falls_in()["equibiaxial"]
    before, after = slope("equibiaxial", fit.coefficients, np.array([begin - 0.01, begin + 0.01]))
    assert before > 0 > after
    assert fit_uniaxial("neo_hookean", made({"c10": 0.5}, [0.5, 0.7, 0.9])).falls_in() == {}


@pytest.mark.parametrize(("points", "words"), [
    ([[0.24, 0.23], [0.6, 0.4]], "points.0 = [0.24, 0.23]: the nominal stress must be above 0 MPa at a stretch above 1"),
    ([[1.2, -0.3]], "points.0 = [1.2, -0.3]"),
    ([[1.2, 0.3], [1.0, 0.02]], "points.1 = [1, 0.02]: the stress at stretch 1 must be 0 MPa"),
    ([[-1.2, 0.3]], "the stretch must exceed 0"),
    ([[1.2, float("nan")]], "both numbers be finite"),
    ([[1.0, 0.0], [1.2, 0.3], [1.2, 0.31], [1.3, 0.4]],
     "points has 2 different stretches beside 1, at least 3 needed for mooney_rivlin"),
    ([[2.0, 1.0], [2.0 + 1e-9, 1.0], [2.0 + 2e-9, 1.0]], "do not tell the 2 coefficients of mooney_rivlin apart"),
])
def test_unusable_points_are_named(points, words):
    with pytest.raises(PointsError) as caught:
        fit_uniaxial("mooney_rivlin", points)
    assert words in str(caught.value)


def test_an_unknown_law_is_named():
    with pytest.raises(ValueError, match='law = "ogden" is none of neo_hookean, mooney_rivlin, yeoh'):
        fit_uniaxial("ogden", [[1.2, 0.3], [1.4, 0.5]])
