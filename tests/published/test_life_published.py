"""Life statistics against published numbers and an installed library; each with its source and how it was seen."""

import math

import numpy as np
import pytest

from dossier.evidence.success_run import specimens_needed
from dossier.evidence.weibull import fit_weibull
from dossier.evidence.weibull_offset import fit_offset

SURVIVAL = "3 5 6* 8 10* 11* 15 20* 22 23 27* 29 32 35 40 26 28 33* 21 24*"
DAYS = [143, 164, 188, 188, 190, 192, 206, 209, 213, 216, 220, 227, 230, 234, 246, 265, 304, 216, 244]
FANS = (
    "450 0 460 1 1150 0 1150 0 1560 1 1600 0 1660 1 1850 1 1850 1 1850 1 1850 1 1850 1 2030 1 2030 1 2030 1 2070 0 2070 0 "
    "2080 0 2200 1 3000 1 3000 1 3000 1 3000 1 3100 0 3200 1 3450 0 3750 1 3750 1 4150 1 4150 1 4150 1 4150 1 4300 1 "
    "4300 1 4300 1 4300 1 4600 0 4850 1 4850 1 4850 1 4850 1 5000 1 5000 1 5000 1 6100 1 6100 0 6100 1 6100 1 6300 1 "
    "6450 1 6450 1 6700 1 7450 1 7800 1 7800 1 8100 1 8100 1 8200 1 8500 1 8500 1 8500 1 8750 1 8750 0 8750 1 9400 1 "
    "9900 1 10100 1 10100 1 10100 1 11500 1"
)


def marked(text):
    """Lives with a star where the specimen was stopped."""
    words = text.split()
    return np.array([float(word.strip("*")) for word in words]), np.array(["*" in word for word in words])


def test_s4_weibull_of_right_censored_lives():
    """Lecture on likelihood (http://www.ams.sunysb.edu/~zhu/ams588/Lecture_3_likelihood.pdf) as cited in scipy
    1.17.1, stats/tests/test_continuous_fit_censored.py, test_weibull_censored1 (lib). Tolerance 1e-3."""
    fit = fit_weibull(*marked(SURVIVAL))
    assert fit.shape == pytest.approx(2.149, rel=1e-3)
    assert fit.scale == pytest.approx(28.99, rel=1e-3)
    assert (fit.failures, fit.censored) == (13, 7)


def test_s5_weibull_with_an_offset():
    """Documentation of an optimisation procedure as cited in the same file, test_weibull_min_sas2 (lib).
    Tolerance 5e-4."""
    fit = fit_offset(DAYS, [0] * 17 + [1] * 2)
    assert fit.shape == pytest.approx(2.7112, rel=5e-4)
    assert fit.offset == pytest.approx(122.03, rel=5e-4)
    assert fit.scale == pytest.approx(108.37, rel=5e-4)
    assert fit.gain == pytest.approx(0.908, abs=1e-3)


def test_s6_b10_and_mean_of_the_first_fit():
    """scale·(−ln 0.9)^(1/shape) and scale·Γ(1 + 1/shape) of S4 (analytic). Tolerance 0.01."""
    fit = fit_weibull(*marked(SURVIVAL))
    assert fit.life(0.10) == pytest.approx(10.18, abs=0.01)
    assert fit.mean == pytest.approx(25.68, abs=0.01)


def test_weibull_of_seventy_lives():
    """Lives in hours, marked 1 where stopped: the same file, test_weibull_min_sas1 (lib). Shape 1.0584, scale 26.2968
    thousand hours. Tolerances of that file, 1e-4 and 1e-5."""
    lives, marks = np.array(FANS.split(), float).reshape(-1, 2).T
    assert len(lives) == 70
    fit = fit_weibull(lives / 1000, marks)
    assert fit.shape == pytest.approx(1.0584, rel=1e-4)
    assert fit.scale == pytest.approx(26.2968, rel=1e-5)


@pytest.mark.parametrize("seed", range(5))
def test_weibull_against_a_library_s_fit(seed):
    """scipy.stats.weibull_min.fit of CensoredData (lib), which searches where this package brackets."""
    from scipy.stats import CensoredData, weibull_min

    random = np.random.default_rng(seed)
    lives, ends = random.weibull(2.5, 15) * 1e6, random.uniform(3e5, 2e6, 15)
    censored = lives > ends
    fit = fit_weibull(np.minimum(lives, ends), censored)
    data = CensoredData.right_censored(np.minimum(lives, ends) / fit.scale, censored)
    shape, _, scale = weibull_min.fit(data, floc=0)
    assert (shape, scale) == pytest.approx((fit.shape, 1.0), rel=2e-4)
    theirs = weibull_min(fit.shape, scale=fit.scale)
    ours = theirs.logpdf(lives[~censored]).sum() + theirs.logsf(ends[censored]).sum()
    assert fit.log_likelihood == pytest.approx(ours, rel=1e-12)
    assert math.isclose(theirs.ppf(0.1), fit.life(0.1), rel_tol=1e-12)


@pytest.mark.parametrize(("confidence", "reliability", "count"), [(0.90, 0.90, 22), (0.95, 0.95, 59), (0.90, 0.99, 230)])
def test_s7_success_run_without_failure(confidence, reliability, count):
    """ln(1 − C)/ln R = 21.85, 58.40, 229.1 (pages: harishsnotebook.com, deriving the success run theorem;
    qualitydigest.com/print/27832). The binomial variant; the Bayesian one gives a specimen fewer. Exact."""
    assert specimens_needed(reliability, confidence) == count


def test_s8_success_run_with_one_failure_allowed():
    """C = R = 0.95, one failure: 93 specimens (binomial table; recomputed). Exact."""
    assert specimens_needed(0.95, 0.95, 1) == 93
