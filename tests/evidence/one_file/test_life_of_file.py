"""Weibull figures of a table of lives; the fit itself is tested in test_weibull."""

import pytest

from dossier.evidence import RefusedFile, evaluate_file

# Right-censored lives with their fit, row S4: scipy/stats/tests/test_continuous_fit_censored.py, lines 606-621 (+: stopped).
LIVES = [
    "3", "5", "6+", "8", "10+", "11+", "15", "20+", "22", "23", "27+", "29", "32", "35", "40", "26", "28", "33+", "21", "24+",
]  # fmt: skip


def _table(folder, lives):
    path = folder / "lives.csv"
    path.write_text("no;cycles;failed\n" + "".join(
        f"{n};{life.rstrip('+')};{'no' if life.endswith('+') else 'yes'}\n" for n, life in enumerate(lives, 1)
    ))  # fmt: skip
    return path


def test_the_published_fit_is_met(tmp_path):
    found = evaluate_file(_table(tmp_path, LIVES), kind="life")
    assert found["weibull_shape"] == pytest.approx(2.149, rel=1e-3)
    assert found["weibull_scale"] == pytest.approx(28.99, rel=1e-3)
    assert (found["rows"], found["failures"], found["censored"]) == (20, 13, 7)
    low, high = found["b10_bounds"]
    assert low < found["b10"] < high


def test_marks_behind_the_numbers_give_the_same_fit(tmp_path):
    path = tmp_path / "marked.csv"
    path.write_text("no;cycles\n" + "".join(f"{n};{life}\n" for n, life in enumerate(LIVES, 1)))
    plain, marked = (evaluate_file(one, kind="life") for one in (_table(tmp_path, LIVES), path))
    assert marked["weibull_shape"] == plain["weibull_shape"]


def test_without_failures_there_is_no_fit_and_a_way_on_is_said(tmp_path):
    found = evaluate_file(_table(tmp_path, ["10+", "12+", "15"]), kind="life")
    assert found["weibull_shape"] is None
    assert "success run" in found["warnings"][-1]


def test_lives_that_are_no_lives_are_refused(tmp_path):
    with pytest.raises(RefusedFile, match="above 0"):
        evaluate_file(_table(tmp_path, ["10", "-12", "15"]), kind="life")
