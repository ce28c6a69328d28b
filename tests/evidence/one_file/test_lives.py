"""Which column holds the lives, which specimens were stopped, and what is refused."""

import pytest

from dossier.evidence.columns import read_named
from dossier.evidence.errors import EvaluationError, UnreadableFile
from dossier.evidence.kinds.lives import lives_of

LIVES = (210_000.0, 340_000.0, 500_000.0, 150_000.0)
STOPPED = (False, False, True, False)


def _lives(folder, text):
    path = folder / "lives.csv"
    path.write_text(text, encoding="utf-8")
    return lives_of(read_named(path))


def _table(head, words):
    return "\n".join([head, *(f"P-{n},{life:.0f},{word}" for n, (life, word) in enumerate(zip(LIVES, words, strict=True), 1))])


@pytest.mark.parametrize(
    ("head", "words"),
    [
        ("specimen,cycles,failed", ("yes", "yes", "no", "yes")),
        ("specimen,cycles,failed", ("1", "1", "0", "1")),
        ("specimen,cycles,censored", ("0", "0", "1", "0")),
        ("specimen,cycles,censored", ("no", "no", "yes", "no")),
        ("specimen,cycles,censored", ("False", "False", "True", "False")),
        ("specimen,life,status", ("F", "F", "S", "F")),
        ("specimen,N,status", ("failed", "failed", "runout", "failed")),
        ("part,cycles to end,result", ("failure", "crack", "survived", "broken (rubber)")),
        ("specimen,cycles,event", ("1", "1", "0", "1")),
        ("specimen,Lebensdauer,runout", ("", "", "x", "")),
        ("specimen,cycles,remark", ("failed", "failed", "suspended", "failed")),
    ],
)
def test_stopped_specimens_are_read_from_every_usual_mark(tmp_path, head, words):
    found = _lives(tmp_path, _table(head, words))
    assert found.values == LIVES
    assert found.censored == STOPPED
    assert found.warnings == ()


@pytest.mark.parametrize("mark", ["+", "*", " +"])
def test_a_mark_behind_the_number_is_a_stopped_specimen(tmp_path, mark):
    rows = "\n".join(f"{n};{life:.0f}{mark if stop else ''}"
                     for n, (life, stop) in enumerate(zip(LIVES, STOPPED, strict=True), 1))  # fmt: skip
    found = _lives(tmp_path, "no;cycles\n" + rows)
    assert (found.values, found.censored) == (LIVES, STOPPED)


def test_without_a_mark_all_count_as_failed_and_that_is_said(tmp_path):
    found = _lives(tmp_path, "no;cycles\n1;100\n2;200\n")
    assert found.censored == (False, False)
    assert "all are taken as failed" in found.warnings[0]


def test_decimal_comma_units_and_comment_lines(tmp_path):
    found = _lives(tmp_path, "# rig B-1, invented\nSpecimen;Life [h];failed\nA;12,5;yes\nB;20,25;no\n")
    assert found.values == (12.5, 20.25)
    assert found.unit == "h"


def test_a_specimen_without_a_life_is_refused(tmp_path):
    with pytest.raises(EvaluationError, match="1 of 3 specimens have no life"):
        _lives(tmp_path, "specimen;cycles;failed\nA;100;yes\nB;;no\nC;300;yes\n")


def test_no_column_of_lives_names_the_columns(tmp_path):
    with pytest.raises(EvaluationError, match='"colour", "size", "width"'):
        _lives(tmp_path, "colour;size;width\nred;5;6\nblue;7;8\n")


def test_a_number_that_is_none_is_named_with_its_line(tmp_path):
    with pytest.raises(UnreadableFile, match='line 3 column 2: "2o0"'):
        _lives(tmp_path, "no;cycles;failed\n1;100;yes\n2;2o0;yes\n3;300;no\n")


def test_rows_of_another_width_are_refused(tmp_path):
    with pytest.raises(UnreadableFile, match="line 3: 2 fields"):
        _lives(tmp_path, "specimen;cycles;failed\nA;100;yes\nB;200\n")
