"""Files as simple as they come: one column, no heading, arguments of other number types."""

import numpy as np
import pytest

from dossier.evidence import RefusedFile, evaluate_file

# ASTM E1049-85, 5.4.4 (from memory): ranges 3, 4, 6, 8, 9 with counts 0.5, 1.5, 0.5, 1, 0.5; Σ n·r³ = 1094.
VALUES = (-2, 1, -3, 5, -1, 3, -4, 4, -2)
DAMAGE = 1094.0 / 1000.0
LIVES = ("120000", "180000", "250000+", "90000", "310000+", "150000")


def _file(folder, text):
    path = folder / "bare.csv"
    path.write_text(text, encoding="utf-8")
    return path


def _damage(path, **given):
    return evaluate_file(path, kind="load_history", **{"sn_range": 1.0, "sn_cycles": 1000.0, "exponents": [3], **given})


@pytest.mark.parametrize(
    "text",
    [
        "".join(f"{value}.0\n" for value in VALUES),
        "Force [N]\n" + "".join(f"{value}\n" for value in VALUES),
        "Kraft [kN]\n" + "".join(f"{value / 1000:.3f}\n".replace(".", ",") for value in VALUES),
        "invented rig\nload\n" + "".join(f"{value};\n" for value in VALUES),
        "".join(f"{row / 100:.2f};{value}.0\n" for row, value in enumerate(VALUES)),
        "t,signal\n" + "".join(f"{row / 100:.2f},{value}.0\n" for row, value in enumerate(VALUES)),
        "t,Fx\n" + "".join(f"{row / 100:.2f},{value}.0\n" for row, value in enumerate(VALUES)),
    ],
)
def test_a_history_needs_no_more_than_its_loads(tmp_path, text):
    found = _damage(_file(tmp_path, text))
    assert found["damage"][3] == pytest.approx(DAMAGE, rel=1e-9)
    assert found["rows"] == len(VALUES)


def test_what_was_taken_for_granted_is_told(tmp_path):
    assert "states no unit" in _damage(_file(tmp_path, "load\n" + "".join(f"{value}\n" for value in VALUES)))["warnings"][0]
    two = "".join(f"{row / 100:.2f};{value}.0\n" for row, value in enumerate(VALUES))
    assert "only column beside the time" in _damage(_file(tmp_path, two))["warnings"][0]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("load [N]\n1\n2\nx3\n4\n", "line 4 column 1"),
        ("1,0\n2,5\n3,1\n4,0\n", "no column is known"),  # two columns, or a decimal comma
        ("5.0;1.0\n3.0;2.0\n4.0;1.0\n", "no column is known"),
        ("load [mm]\n1\n2\n3\n", "the column is in mm"),
    ],
)
def test_a_history_that_can_be_read_in_two_ways_is_refused(tmp_path, text, told):
    with pytest.raises(RefusedFile, match=told):
        _damage(_file(tmp_path, text))


@pytest.mark.parametrize("exponents", [3, 3.0, (3,), np.array([3]), np.float64(3.0)])
def test_one_exponent_may_stand_alone(tmp_path, exponents):
    path = _file(tmp_path, "".join(f"{value}.0\n" for value in VALUES))
    assert _damage(path, exponents=exponents)["damage"][3] == pytest.approx(DAMAGE, rel=1e-9)


@pytest.mark.parametrize(
    ("name", "given"),
    [
        ("cycle", "3"), ("cycle", 2.5), ("nominal_stiffness", "x"), ("force_window", 5000), ("force_window", "ab"),
        ("exponents", ["a"]), ("exponents", [None]), ("margin", "0.1"), ("fixture_compliance", float("inf")),
        ("sn_range", [1, 2]),
    ],
)  # fmt: skip
def test_an_argument_that_is_no_number_is_refused_by_name(tmp_path, name, given):
    with pytest.raises(RefusedFile, match=name):
        evaluate_file(_file(tmp_path, "1\n2\n"), kind="static", **{name: given})


@pytest.mark.parametrize("head", ["", "cycles\n", "life [h]\n"])
@pytest.mark.parametrize("mark", [lambda life: life, lambda life: ">" + life[:-1] if life.endswith("+") else life])
def test_lives_in_one_column(tmp_path, head, mark):
    found = evaluate_file(_file(tmp_path, head + "".join(f"{mark(life)}\n" for life in LIVES)), kind="life")
    assert (found["rows"], found["failures"], found["censored"]) == (6, 4, 2)


@pytest.mark.parametrize(("head", "yes", "no"), [("Failed?", "y", "n"), ("delta", "1", "0"), ("Ausfall", "j", "n")])
def test_more_marks_of_failure(tmp_path, head, yes, no):
    rows = "".join(f"{life.rstrip('+')};{no if life.endswith('+') else yes}\n" for life in LIVES)
    found = evaluate_file(_file(tmp_path, f"Duration [h];{head}\n{rows}"), kind="life")
    assert (found["failures"], found["censored"]) == (4, 2)


def test_two_columns_without_names_are_not_read_as_one_with_a_decimal_comma(tmp_path):
    with pytest.raises(RefusedFile, match="no table"):
        evaluate_file(_file(tmp_path, "".join(f"{life.rstrip('+')},1\n" for life in LIVES)), kind="life")
