"""A measured file is read without a scheme in every layout that can be told, and refused where it cannot."""

import numpy as np
import pytest

from dossier.evidence.channels import guess_channel, split_unit
from dossier.evidence.clock import running, seconds
from dossier.evidence.numbers import grouped, shows_groups, value
from dossier.evidence.open_table import open_table
from dossier.evidence.reading import UnreadableFile
from tests.evidence.layouts import ANGLE, COMMA, LINEAR, LOAD, POINT, ROTATIONAL, TIME, TORQUE, TRAVEL

CODINGS = ("utf-8", "utf-8-sig", "utf-16")


def written(tmp_path, text: str, encoding: str = "utf-8"):
    path = tmp_path / "E-014.csv"
    path.write_text(text, encoding=encoding, newline="")
    return path


@pytest.mark.parametrize("layout", LINEAR)
def test_every_layout_gives_the_same_curve(tmp_path, layout):
    """Within half the last digit written: 0.5 N, 5e-6 mm, 0.005 s (whole newtons are cut, not rounded: 1 N)."""
    curve = open_table(written(tmp_path, LINEAR[layout]))
    time = curve.channels["time"]
    assert np.abs(curve.channels["force"] - LOAD).max() < (1.0 if layout == "whole newtons" else 0.06)
    assert np.abs(curve.channels["displacement"] - TRAVEL).max() < 5.1e-6
    assert np.abs(time - time[0] - TIME).max() < 0.0051


@pytest.mark.parametrize("layout", ROTATIONAL)
def test_torque_and_angle(tmp_path, layout):
    curve = open_table(written(tmp_path, ROTATIONAL[layout]), rotational=True)
    assert np.abs(curve.channels["torque"] - 1e3 * TORQUE).max() < 0.06
    assert np.abs(curve.channels["angle"] - ANGLE).max() < 1e-5


@pytest.mark.parametrize("encoding", CODINGS)
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_encodings_and_line_ends(tmp_path, encoding, end):
    curve = open_table(written(tmp_path, LINEAR["French"].replace("\n", end), encoding))
    assert np.abs(curve.channels["force"] - LOAD).max() < 0.06


def test_a_missing_unit_is_taken_as_asked_and_said(tmp_path):
    path = written(tmp_path, "time [s];displacement;force\n" + COMMA)
    curve = open_table(path, force_unit="kN")
    assert np.abs(curve.channels["force"] - LOAD).max() < 0.06
    assert '"force" states no unit; taken as kN' in curve.problems
    assert '"displacement" states no unit; taken as mm' in curve.problems


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (POINT, "no column is known by its name or unit"),
        ("time [s],displacement [mm],force [V]\n" + POINT, '"force" is in "V"; expected a unit of force'),
        ("time [s],displacement [GPa],force [N]\n" + POINT, '"displacement" is in "GPa"'),
        (LINEAR["French"].replace("0,50;", "0.50;", 1), "mixed marks"),
        ("Zeit [s];Weg [mm];Kraft [N]\n0,1;0,1;1.000,5\n0,2;0,2;1.100,5\n0,3;0,3;1200,5\n0,4;0,4;1.300,5\n", "line 4 column 3"),
        ("Zeit [s];Weg [mm];Kraft [N]\n0,1;0,1;1.000,5\n0,2;0,2;1.100,5\n0,3;0,3;1.200\n0,4;0,4;1.300,5\n", "line 4 column 3"),
        (LINEAR["time of day"].replace("10:14:05,", "10:74:05,", 1), "column 1"),
    ],
)  # fmt: skip
def test_what_cannot_be_told_is_refused(tmp_path, text, words):
    with pytest.raises(UnreadableFile) as caught:
        open_table(written(tmp_path, text))
    assert words in str(caught.value)


def test_a_broken_temperature_does_not_stop_the_force(tmp_path):
    text = LINEAR["counter and temperature"].replace(";23.0\n", ";cold\n", 1)
    curve = open_table(written(tmp_path, text))
    assert "temperature" not in curve.channels
    assert any("only time, displacement, force read" in note and "cold" in note for note in curve.notes)


def test_a_rival_column_is_told(tmp_path):
    curve = open_table(written(tmp_path, LINEAR["crosshead and transducer"]))
    assert '"Extensometer" and "Crosshead" both look like displacement; "Extensometer" is taken' in curve.problems


def test_a_name_against_its_unit_is_told(tmp_path):
    curve = open_table(written(tmp_path, "time [s],force [mm],load [N]\n" + POINT))
    assert '"force" sounds like force, its unit mm says displacement; read as that' in curve.problems


@pytest.mark.parametrize(
    ("name", "split"),
    [
        ("F_kN", ("F", "kN")), ("Force, kN", ("Force", "kN")), ("Weg {mm}", ("Weg", "mm")), ("Force [mN]", ("Force", "mN")),
        ("Channel d", ("Channel d", "")), ("Sensor 1", ("Sensor 1", "")), ("Force (filtered)", ("Force (filtered)", "")),
        ("Stress [GPa]", ("Stress", "GPa")),
    ],
)  # fmt: skip
def test_names_and_units_part(name, split):
    assert split_unit(name) == split


@pytest.mark.parametrize(
    ("name", "channel"),
    [
        ("Thermocouple 2", "temperature"), ("Temps", "time"), ("Tempo", "time"), ("Probentemp.", "temperature"),
        ("Lastwechsel", "cycles"), ("Prüflast", "force"), ("plastic", ""), ("Angular displacement", "angle"),
        ("par", "torque"), ("parallel", ""),
    ],
)  # fmt: skip
def test_names_say_their_channel(name, channel):
    assert guess_channel(name, "") == channel


def test_times_of_day():
    assert seconds("10:14:03,25") == seconds("10:14:03.25") == 10 * 3600 + 14 * 60 + 3.25
    assert seconds("02:05:10 PM") == 14 * 3600 + 310
    assert seconds("2026-03-13T00:00:01Z") - seconds("12.03.2026 23:59:59") == 2.0
    assert seconds("10:61:00") is seconds("31.02.2026 10:00:00") is seconds("10.5") is None
    assert list(running(np.array([86399.0, 0.5, 1.0]))) == [0.0, 1.5, 2.0]


def test_grouped_numbers_are_never_ambiguous():
    assert grouped("1.234.567,5", ",") == 1234567.5
    assert grouped("-12'345.5", ".") == -12345.5
    assert grouped("1 234,5", ",") == 1234.5
    for text in ("1.234", "12.34,5", "1.2345,6", "1,234,5", "1 2", "1 23,5", "12 3456"):
        assert grouped(text, ",") is None
    assert value("1234,5", ",", thousands=True) == 1234.5
    assert [shows_groups(text, ",") for text in ("-1.234,5", "1234,5", "234,5", "1234e2")] == [True, False, None, None]
