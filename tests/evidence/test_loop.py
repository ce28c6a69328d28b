"""One loop and one straight line: limits and refusals (published values stand in tests/published)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dossier.evidence.errors import EvaluationError
from dossier.evidence.line import fit_line
from dossier.evidence.loop import describe_loop, loop_area


@given(
    x0=st.floats(0.01, 10), f0=st.floats(1, 1e5), delta=st.floats(0.02, 1.2), shift=st.floats(-5, 5),
    preload=st.floats(-1e4, 1e4),
)  # fmt: skip
def test_any_ellipse_anywhere(x0, f0, delta, shift, preload):
    """Analytic: tan δ, |K| and the half axes do not depend on preload.

    4000 points cost 4e-7 of the area, up to 2e-6 of the extremes, and half a row of phase (8e-4·tan δ) of the load
    at the largest travel.
    """
    phase = np.linspace(0, 2 * np.pi, 4000, endpoint=False)
    loop = describe_loop(x0 * np.sin(phase) + shift, f0 * np.sin(phase + delta) + preload)
    assert loop.loss_factor == pytest.approx(np.tan(delta), rel=2e-3, abs=1e-5)
    assert loop.magnitude == pytest.approx(f0 / x0, rel=1e-5)
    assert loop.half_width == pytest.approx(x0 * np.sin(delta), rel=1e-4)
    assert loop.half_height == pytest.approx(f0 * np.sin(delta), rel=1e-4)


def test_the_area_of_a_square_and_its_sign():
    assert loop_area(np.array([0.0, 0.0, 1.0, 1.0]), np.array([0.0, 1.0, 1.0, 0.0])) == 1.0
    assert loop_area(np.array([0.0, 1.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0, 1.0])) == -1.0


def test_what_is_no_loop_is_refused():
    with pytest.raises(EvaluationError, match="at least 8"):
        describe_loop(np.arange(5.0), np.arange(5.0))
    with pytest.raises(EvaluationError, match="does not cross"):
        describe_loop(np.zeros(10), np.arange(10.0))


def test_a_line_through_points_on_it():
    line = fit_line(np.array([1.0, 2.0, 4.0]), np.array([5.0, 7.0, 11.0]))
    assert (line.slope, line.intercept) == pytest.approx((2.0, 3.0), rel=1e-12)
    assert line.residual == pytest.approx(0.0, abs=1e-12)
    with pytest.raises(EvaluationError, match="2 points"):
        fit_line(np.array([1.0, 2.0]), np.array([1.0, 2.0]))
    with pytest.raises(EvaluationError, match="a slope needs a range"):
        fit_line(np.ones(4), np.arange(4.0))
