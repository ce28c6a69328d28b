"""Capability, tolerance factors, staircase and reference data sets against published numbers; sources beside each."""

import math
import re
from importlib.resources import files

import numpy as np
import pytest

from dossier.evidence.branch import _parabola
from dossier.evidence.capability import evaluate_capability
from dossier.evidence.errors import EvaluationError
from dossier.evidence.least_squares import fit_columns
from dossier.evidence.single import describe
from dossier.evidence.staircase import evaluate_staircase, likely_strength
from dossier.evidence.tolerance import howe_factor, one_sided_factor, two_sided_factor
from tests.published.reference_regressions import FILIP, FILIP_VALUES, LONGLEY, LONGLEY_SQUARES, LONGLEY_VALUES, wampler

LOADS = [380, 360, 340, 360, 380, 400, 380, 360, 380, 360, 380, 360, 340, 360, 380]
FAILED = [1, 1, 0, 0, 0, 1, 1, 0, 1, 0, 1, 1, 0, 0, 0]
PONTIUS = [
    0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487, 0.98292, 1.09146, 1.20001, 1.30822, 1.41599, 1.52399,
    1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844, 0.11052, 0.22018, 0.32939, 0.43886, 0.54798, 0.65739, 0.76596, 0.87474,
    0.983, 1.0915, 1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
]  # fmt: skip
SETS = ["AtmWtAg", "SiRstv", *(f"SmLs0{number}" for number in range(1, 10))]


def test_s9_capability_indices():
    """NIST/SEMATECH e-Handbook 6.1.6 (mem): limits 8 and 20, mean 16, s 2. Printed digits."""
    spread = np.random.default_rng(1).normal(size=50)
    values = 16 + 2 * (spread - spread.mean()) / spread.std(ddof=1)
    found = evaluate_capability(values, 8.0, 20.0)
    assert found.cp == pytest.approx(1.0, abs=5e-5)
    assert found.cpk == pytest.approx(0.6667, abs=5e-5)
    assert evaluate_capability(values, 8.0).cpk == pytest.approx(1.3333, abs=5e-5)


def test_s10_tolerance_factors_of_the_handbook():
    """NIST/SEMATECH e-Handbook 7.2.6.3 (page, recomputed): n = 43, share 0.90, confidence 0.99. Printed digits; the
    page's own last line is misprinted."""
    assert howe_factor(43, 0.90, 0.99) == pytest.approx(2.2173, abs=5e-5)
    assert one_sided_factor(43, 0.90, 0.99) == pytest.approx(1.8740, abs=5e-5)
    assert 97.07 - howe_factor(43, 0.90, 0.99) * 0.0268 == pytest.approx(97.0106, abs=5e-5)
    assert 97.07 + howe_factor(43, 0.90, 0.99) * 0.0268 == pytest.approx(97.1294, abs=5e-5)
    assert two_sided_factor(43, 0.90, 0.99) == pytest.approx(2.2173, rel=0.005)


def test_s10_the_handbook_s_one_sided_factor_is_an_approximation():
    """As above: Natrella's formula gives 1.8752 and the upper limit 97.1203; the noncentral t, which it approximates, 1.8740
    and 97.1202. The formula is written out here (from memory) and gives the printed factor."""
    from scipy.stats import norm

    share, sure = norm.ppf(0.90), norm.ppf(0.99)
    a, b = 1 - sure**2 / (2 * 42), share**2 - sure**2 / 43
    natrella = (share + math.sqrt(share**2 - a * b)) / a
    assert natrella == pytest.approx(1.8752, abs=5e-5)
    assert 97.07 + natrella * 0.0268 == pytest.approx(97.1203, abs=5e-5)
    assert one_sided_factor(43, 0.90, 0.99) == pytest.approx(natrella, rel=1e-3)
    assert 97.07 + one_sided_factor(43, 0.90, 0.99) * 0.0268 == pytest.approx(97.1203, abs=1e-4)


@pytest.mark.parametrize(("count", "one", "two", "howe"), [(10, 2.911, 3.393, 3.382), (20, 2.396, 2.760, 2.752)])
def test_s11_tolerance_factors_of_the_standard(count, one, two, howe):
    """ISO 16269-6 tables and Natrella (mem; recomputed with installed libraries): share and confidence 0.95.
    Tolerance 0.001."""
    assert one_sided_factor(count, 0.95, 0.95) == pytest.approx(one, abs=1e-3)
    assert two_sided_factor(count, 0.95, 0.95) == pytest.approx(two, abs=1e-3)
    assert howe_factor(count, 0.95, 0.95) == pytest.approx(howe, abs=1e-3)


TWO_SIDED = {2: 36.519214612060765, 3: 9.788752403031882, 5: 5.076874532059403, 20: 2.760346178445699, 100: 2.233882023044249}


@pytest.mark.parametrize("count", TWO_SIDED)
def test_tolerance_factors_against_libraries(count):
    """Share and confidence 0.95: toleranceinterval 1.0.3, twoside.normal, method exact, run once (lib; not installed with
    the tests, since it brings a package named tests); scipy.stats.nct. Tolerance 1e-9."""
    from scipy.stats import nct, norm

    assert two_sided_factor(count, 0.95, 0.95) == pytest.approx(TWO_SIDED[count], rel=1e-9)
    quantile = nct.ppf(0.90, count - 1, norm.ppf(0.95) * math.sqrt(count)) / math.sqrt(count)
    assert one_sided_factor(count, 0.95, 0.90) == pytest.approx(quantile, rel=1e-9)


def test_s16_staircase():
    """Failures 2, 4, 1 at 360, 380, 400 MPa, step 20 (Dixon and Mood 1948; formula from pages that quote it, own
    numbers): mean 367.14, s 14.16; with the outcomes mirrored (survivors less frequent) the sign turns. Tolerance
    0.01."""
    found = evaluate_staircase(LOADS, FAILED)
    assert (found.N, found.A, found.B, found.first, found.event) == (7, 6, 8, 360.0, "failures")
    assert found.mean == pytest.approx(367.14, abs=0.01)
    assert found.deviation == pytest.approx(14.16, abs=0.01)
    mirrored = evaluate_staircase([740 - load for load in LOADS], [1 - failed for failed in FAILED])
    assert mirrored.mean == pytest.approx(740 - 367.14, abs=0.01)


def test_staircase_by_likelihood_against_an_installed_library():
    """statsmodels 0.15.0, Probit of the same outcomes on the load (lib): mean −b0/b1, deviation 1/b1, run here once:
    370.24323017, 17.85531304. Tolerance 1e-6."""
    found = likely_strength(LOADS, FAILED)
    assert found.mean == pytest.approx(370.2432301738993, rel=1e-6)
    assert found.deviation == pytest.approx(17.855313036404272, rel=1e-6)


@pytest.mark.parametrize("name", SETS)
def test_s3_spread_within_groups_of_the_reference_sets(name):
    """NIST Statistical Reference Datasets, analysis of variance, certified residual standard deviation, sums of squares
    within and between groups and their F, in scipy/stats/tests/data/nist_anova (lib). The sets 4 to 6 lose 7 leading
    digits of 16 (as AtmWtAg does), 7 to 9 lose 13: double precision holds no more."""
    text = files("scipy").joinpath(f"stats/tests/data/nist_anova/{name}.dat").read_text()
    rows = text.splitlines()
    start = int(re.search(r"Data\s+\(lines (\d+)", text).group(1))
    table = np.array([row.split() for row in rows[start - 1 :] if row.strip()], float)
    within = float(re.search(r"Within \S+\s+\d+\s+(\S+)", text).group(1))
    between, _, ratio = map(float, re.search(r"Between \S+\s+\d+\s+(\S+)\s+(\S+)\s+(\S+)", text).groups())
    certified = float(re.search(r"Residual\s+Standard Deviation\s+(\S+)", " ".join(rows)).group(1))
    groups = [table[table[:, 0] == label, 1] for label in np.unique(table[:, 0])]
    squares = math.fsum(describe(group).deviation ** 2 * (len(group) - 1) for group in groups)
    freedom = len(table) - len(groups)
    digits = {"g": 1e-8, "4": 1e-7, "5": 1e-7, "6": 1e-7, "7": 1e-2, "8": 1e-2, "9": 1e-2}.get(name[-1], 1e-9)
    assert squares == pytest.approx(within, rel=digits)
    assert math.sqrt(squares / freedom) == pytest.approx(certified, rel=digits)
    means, sizes = [describe(group).mean for group in groups], {len(group) for group in groups}
    spread = sizes.pop() * (len(groups) - 1) * describe(means).deviation ** 2
    assert not sizes
    assert spread == pytest.approx(between, rel=digits)
    assert spread / (len(groups) - 1) / (squares / freedom) == pytest.approx(ratio, rel=digits)


def test_parabola_of_the_reference_set_pontius():
    """NIST Statistical Reference Datasets, Pontius (quadratic, lower difficulty): load cells, 40 points; data and certified
    values read in public repositories (xKDR/NISTTests.jl, data/pontius.csv; values quoted alike in several test suites).
    The value at 0 and its error, by the parabola that finds the ends of a secant. Tolerance 1e-9."""
    found = _parabola(150_000.0 * np.tile(np.arange(1, 21), 2), np.array(PONTIUS))
    assert found == pytest.approx((0.673565789473684e-3, 0.107938612033077e-3), rel=1e-9)


def test_s2_multiple_regression_longley():
    """NIST Statistical Reference Datasets, Longley (multiple regression, higher difficulty); sources beside the data. The
    columns are nearly dependent: condition 4e4 after scaling. Tolerance 1e-9; residual 304.85407 and R² 0.995479 also in
    an installed library's copy of the data (lib)."""
    matrix = np.column_stack((np.ones(len(LONGLEY)), LONGLEY[:, 1:]))
    fit = fit_columns(matrix, LONGLEY[:, 0])
    coefficients, errors, r_squared = LONGLEY_VALUES
    assert fit.coefficients == pytest.approx(coefficients, rel=1e-9)
    assert fit.errors == pytest.approx(errors, rel=1e-9)
    assert fit.squares == pytest.approx(LONGLEY_SQUARES, rel=1e-9)
    assert fit.residual == pytest.approx(304.85407, rel=2e-8)
    assert fit.r_squared(LONGLEY[:, 0]) == pytest.approx(r_squared, rel=1e-12)


def test_polynomial_of_the_reference_set_filip():
    """As above, Filip (degree 10, higher difficulty): condition 5e9 after scaling, so that double precision holds seven
    or eight of the 15 certified digits."""
    y, x = FILIP.T
    fit = fit_columns(np.vander(x, 11, increasing=True), y)
    coefficients, errors, r_squared = FILIP_VALUES
    assert len(x) == 82
    assert fit.coefficients == pytest.approx(coefficients, rel=1e-7)
    assert fit.errors == pytest.approx(errors, rel=1e-7)
    assert fit.r_squared(y) == pytest.approx(r_squared, rel=1e-9)


@pytest.mark.parametrize("number", range(1, 6))
def test_polynomials_of_the_reference_sets_wampler(number):
    """As above, Wampler 1 to 5 (degree 5): the first two exact, then with remainders that grow to thousand times the values;
    the certified coefficients are 1 (or powers of 1/10) in all. The tolerance of a coefficient is 1e-9, or 1e-12 of its
    certified standard deviation, where that is larger."""
    x, y, coefficients, errors = wampler(number)
    fit = fit_columns(np.vander(x, 6, increasing=True), y)
    allowed = np.maximum(1e-9 * np.array(coefficients), 1e-12 * errors)
    assert np.all(np.abs(fit.coefficients - coefficients) <= allowed)
    assert fit.errors == pytest.approx(errors, rel=1e-9, abs=1e-6)


def test_columns_that_tell_nothing_are_refused():
    x = np.arange(6.0)
    with pytest.raises(EvaluationError, match="depend on each other"):
        fit_columns(np.column_stack((np.ones(6), x, 2 * x - 3)), x)
    with pytest.raises(EvaluationError, match="column 2 of 2 is zero"):
        fit_columns(np.column_stack((x, 0 * x)), x)
    with pytest.raises(EvaluationError, match="2 points for 3 coefficients"):
        fit_columns(np.ones((2, 3)), x[:2])
