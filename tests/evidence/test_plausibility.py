"""A wrong unit, a standing or clipped channel is asked about, and a good curve is not."""

import os

import numpy as np
import pytest

from dossier.evidence import RefusedFile, evaluate_file
from dossier.evidence.open_table import open_table
from dossier.evidence.plausibility import Expected, questions
from dossier.evidence.reading import UnreadableFile
from tests.evidence.layouts import LOAD, TIME, TRAVEL, rows
from tests.evidence.samples import radial


def test_a_good_curve_asks_nothing():
    record = radial()
    assert questions(record.travel, record.load, Expected()) == []
    assert questions(record.travel, record.load, Expected(load=11000.0, stiffness=54000.0)) == []
    assert questions(record.travel, np.round(record.load / 500) * 500, Expected()) == []


@pytest.mark.parametrize("expected", [Expected(), Expected(load=11000.0), Expected(stiffness=54000.0)])
def test_kilonewtons_named_newtons_are_asked_about(expected):
    record = radial()
    assert questions(record.travel, record.load / 1e3, expected)
    assert questions(record.travel * 1e3, record.load, Expected(stiffness=54000.0))


def test_a_turn_in_degrees_named_radians_is_asked_about():
    record = radial()
    asked = questions(record.travel * 50 * 180 / np.pi, record.load, Expected(travel=10.0, rotational=True))
    assert any("degrees where radians are stated" in text for text in asked)


def test_a_clipped_channel_is_asked_about():
    record = radial()
    asked = questions(record.travel, np.minimum(record.load, 9000.0), Expected())
    assert any("the load stays at its largest value 9000" in text for text in asked)
    asked = questions(np.maximum(record.travel, -0.15), record.load, Expected())
    assert any("the travel stays at its smallest value" in text for text in asked)


def test_the_evaluation_of_one_file_warns(tmp_path):
    path = tmp_path / "E-014.csv"
    path.write_text("time [s],displacement [mm],force [N]\n" + rows("%.2f,%.5f,%.4f", TIME, TRAVEL, LOAD / 1e3))
    found = evaluate_file(path, kind="static", nominal_stiffness=54000.0)
    assert any("1000 times too small" in text for text in found["warnings"])
    assert any("check the units of both columns" in text for text in evaluate_file(path, kind="static")["warnings"])


def test_what_is_no_file_is_refused(tmp_path):
    os.mkfifo(tmp_path / "pipe.csv")
    (tmp_path / "loop.csv").symlink_to("loop.csv")
    for name in ("pipe.csv", "loop.csv", ".", "nowhere.csv", "a\0b"):
        with pytest.raises(UnreadableFile, match="is no file but|cannot be opened"):
            open_table(tmp_path / name)
        with pytest.raises(RefusedFile):
            evaluate_file(tmp_path / name, kind="static")


@pytest.mark.parametrize("content", [b"\0", b"1;2;3;"])
def test_two_gigabytes_are_refused_at_once(tmp_path, content):
    path = tmp_path / "large.csv"
    with path.open("wb") as handle:
        handle.write(content * (1 << 18))
        handle.truncate(2 << 30)
    with pytest.raises(UnreadableFile, match="is no text|characters without a line end"):
        open_table(path)
