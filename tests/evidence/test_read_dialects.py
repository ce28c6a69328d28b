"""Files as machines write them are recognised and read back to the last digit written."""

import numpy as np
import pytest

from dossier.evidence.gather import Gathered
from dossier.evidence.reading import (
    Cancelled,
    ChannelReading,
    EvaluationError,
    ReadingScheme,
    UnreadableFile,
    read_curve,
    sniff,
)  # fmt: skip
from tests.evidence.dialects import DIALECTS, GERMAN, write
from tests.evidence.samples import counted_rows, radial, scheme_of, small_file

HALF_DIGIT = {"force": 0.0501, "displacement": 0.00501e-3 * 1.01, "time": 0.00501}


@pytest.mark.parametrize("name", DIALECTS)
def test_every_dialect_is_read_back(tmp_path, name):
    """Tolerance: half the last digit of the coarsest format (0.1 N, 0.01 µm, 0.01 s)."""
    record = radial()
    path = write(tmp_path / f"{name}.txt", DIALECTS[name], record.time, record.travel, record.load)
    curve = read_curve(path, scheme_of(path))
    assert curve.rows == len(record.time)
    for channel, values in (("time", record.time), ("displacement", record.travel), ("force", record.load)):
        assert np.abs(curve.channels[channel] - values).max() <= HALF_DIGIT[channel]
    assert curve.problems == ()


@pytest.mark.parametrize(
    ("name", "encoding", "delimiter", "decimal", "units"),
    [
        ("german", "latin-1", ";", ",", ("s", "mm", "kN")),
        ("english", "utf-8", ",", ".", ("s", "mm", "kN")),
        ("wide", "utf-16-le", "\t", ",", ("s", "µm", "N")),
        ("columns", "utf-8", " ", ".", ("s", "mm", "N")),
        ("blocks", "utf-8", ";", ",", ("s", "N", "mm")),
        ("quoted", "utf-8", ",", ",", ("s", "mm", "kN")),
        ("old", "utf-16-be", ";", ".", ("s", "mm", "kN")),
    ],
)
def test_the_form_of_each_dialect_is_recognised(tmp_path, name, encoding, delimiter, decimal, units):
    record, dialect = radial(), DIALECTS[name]
    path = write(tmp_path / "f.txt", dialect, record.time, record.travel, record.load)
    form = sniff(path)
    assert (form.encoding, form.delimiter, form.decimal) == (encoding, delimiter, decimal)
    assert tuple(column.name for column in form.columns) == dialect.names
    assert tuple(column.unit for column in form.columns) == units
    assert {column.channel for column in form.columns} == {"time", "displacement", "force"}
    assert form.header_lines == len(dialect.header) + (2 if dialect.units == "line" else 1)
    assert form.footer_lines == len(dialect.footer)
    assert form.size == path.stat().st_size
    assert all(len(row) >= 3 for row in form.preview)


def test_a_form_without_doubt_says_so_and_a_footer_is_a_doubt(tmp_path):
    record = radial()
    certain = sniff(write(tmp_path / "a.txt", GERMAN, record.time, record.travel, record.load))
    assert (certain.confidence, certain.doubts) == ("certain", ())
    likely = sniff(write(tmp_path / "b.txt", DIALECTS["old"], record.time, record.travel, record.load))
    assert likely.confidence == "likely"
    assert "2 lines behind the table" in likely.doubts[0]


def test_missing_names_units_and_marks_are_doubts_in_words(tmp_path):
    path = small_file(tmp_path / "bare.txt", ["1;2;3", "2;3;4", "3;4;5"], header="")
    form = sniff(path)
    text = " | ".join(form.doubts)
    assert "no decimal mark" in text
    assert "no line with 3 names" in text
    assert "no column looks like a force" in text
    assert form.confidence == "guess"


def test_comma_for_both_purposes_is_doubted(tmp_path):
    path = small_file(tmp_path / "c.txt", ["0,012,1,234", "0,013,1,235", "0,014,1,236"], header="s,F\nmm,kN\n")
    assert any("the comma may be the decimal mark" in doubt for doubt in sniff(path).doubts)
    alone = small_file(tmp_path / "one.txt", ["1,5", "2,5"], header="Kraft\nN\n")
    assert sniff(alone).confidence == "guess"


def test_two_columns_for_one_channel_are_doubted(tmp_path):
    path = small_file(tmp_path / "d.txt", counted_rows(4), header="Traversenweg;Weg;Kraft\nmm;mm;kN\n")
    form = sniff(path)
    assert [column.channel for column in form.columns] == ["", "displacement", "force"]
    assert any("both look like displacement" in doubt for doubt in form.doubts)


def test_a_header_of_thousands_of_lines_is_passed(tmp_path):
    header = "".join(f"Parameter {n};Wert {n * n}\n" for n in range(20_000)) + "Zeit;Weg;Kraft\ns;mm;kN\n"
    path = small_file(tmp_path / "long.txt", counted_rows(50), header=header)
    form = sniff(path)
    assert form.header_lines == 20_002
    assert read_curve(path, scheme_of(path)).rows == 50


def test_a_scheme_survives_as_plain_dict(tmp_path):
    record = radial()
    scheme = scheme_of(write(tmp_path / "a.txt", GERMAN, record.time, record.travel, record.load))
    plain = scheme.to_dict()
    assert ReadingScheme.from_dict(plain) == scheme
    assert {type(value) for value in plain.values()} <= {str, int, bool, list, float}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"cycle": 0}, "cycle = 0"),
        ({"decimal": "·"}, "decimal"),
        ({"delimiter": ";;"}, "delimiter"),
        ({"unknown": 1}, "unknown field: unknown"),
        ({"channels": []}, "channels must name"),
        ({"fields": 2}, "force.column = 3"),
    ],
)
def test_a_wrong_scheme_names_the_field(tmp_path, change, words):
    path = small_file(tmp_path / "a.txt", counted_rows(4))
    with pytest.raises(ValueError, match=words):
        ReadingScheme.from_dict({**scheme_of(path).to_dict(), **change})


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("channel", "colour", "not known"), ("column", 0, "1 or more"), ("sign", 2, "1 or -1"),
        ("zero", "later", "must be one of"), ("unit", "mm", "force.unit"),
    ],
)  # fmt: skip
def test_a_wrong_channel_names_the_field(field, value, words):
    good = {"channel": "force", "column": 1, "name": "F", "unit": "N"}
    with pytest.raises(ValueError, match=words):
        ChannelReading(**{**good, field: value})


def test_units_sign_zero_and_shift_are_applied(tmp_path):
    rows = [f"{2 + n},0;{n},5;{-n},25" for n in range(8)]
    path = small_file(tmp_path / "a.txt", rows, header="t;x;T\nms;µm;Nm\n")
    scheme = ReadingScheme(
        "utf-8", ";", ",", 2, 0, 1, 2, False, 3,
        (
            ChannelReading("time", 1, "t", "ms"),
            ChannelReading("displacement", 2, "x", "µm", zero="start"),
            ChannelReading("torque", 3, "T", "Nm", sign=-1, shift=0.25),
        ),
    )  # fmt: skip
    curve = read_curve(path, scheme)
    n = np.arange(8)
    assert curve.channels["time"] == pytest.approx((2 + n) * 1e-3, rel=1e-12)
    assert curve.channels["displacement"] == pytest.approx((n - 2) * 1e-3, abs=1e-15)
    assert curve.channels["torque"][1:] == pytest.approx((n[1:] + 0.25 - 0.25) * 1000, rel=1e-12)


def test_temperature_in_kelvin_becomes_celsius(tmp_path):
    path = small_file(tmp_path / "a.txt", ["1,0;296,15", "2,0;297,15"], header="Kraft;Temperatur\nN;K\n")
    assert read_curve(path, scheme_of(path)).channels["temperature"] == pytest.approx([23.0, 24.0], abs=1e-9)


def test_the_names_line_is_found_where_the_header_grew(tmp_path):
    scheme = scheme_of(small_file(tmp_path / "a.txt", counted_rows(5)))
    longer = small_file(tmp_path / "b.txt", counted_rows(5), header="Remark;x\n\nTime;Travel;Load\ns;mm;kN\n")
    curve = read_curve(longer, scheme)
    assert curve.channels["force"] == pytest.approx(np.arange(1, 6) * 100.0, rel=1e-12)
    assert curve.notes == ("column names in line 3, in the scheme in line 1",)
    assert list(curve.lines) == [5, 6, 7, 8, 9]


def test_columns_are_found_by_name_where_the_order_changed(tmp_path):
    scheme = scheme_of(small_file(tmp_path / "a.txt", counted_rows(5)))
    other = small_file(tmp_path / "b.txt", counted_rows(5), header="Travel;Time;Load\nmm;s;kN\n")
    curve = read_curve(other, scheme)
    assert curve.channels["displacement"] == pytest.approx(np.arange(1, 6) / 10, rel=1e-12)
    assert '"Travel" is column 1 here, 2 in the scheme' in curve.notes


def test_columns_of_text_and_gaps_in_unneeded_columns_do_no_harm(tmp_path):
    rows = [f"ok;{n},5;;{n},25" for n in range(1, 6)]
    path = small_file(tmp_path / "a.txt", rows, header="State;Travel;Note;Load\n;mm;;kN\n")
    assert read_curve(path, scheme_of(path)).channels["force"] == pytest.approx(np.arange(1, 6) * 1000 + 250)


def test_repeated_headers_are_passed_over_and_noted(tmp_path):
    record, dialect = radial(), DIALECTS["blocks"]
    path = write(tmp_path / "a.txt", dialect, record.time, record.travel, record.load)
    curve = read_curve(path, scheme_of(path))
    assert curve.notes == ("header repeated 2 times, from lines 706, 1411; passed over",)
    assert curve.lines[699] == 705
    assert curve.lines[700] == 711


def test_time_running_backwards_or_standing_still_is_a_problem_with_lines(tmp_path):
    rows = counted_rows(10)
    rows[4], rows[7] = rows[3], rows[1]
    curve = read_curve(path := small_file(tmp_path / "a.txt", rows), scheme_of(path))
    assert "time decreases at line 10" in curve.problems[0]
    assert "time stands still at line 7" in curve.problems[1]
    assert curve.rows == 10


def test_a_last_line_without_end_is_noted(tmp_path):
    curve = read_curve(path := small_file(tmp_path / "a.txt", counted_rows(6), end=""), scheme_of(path))
    assert curve.rows == 6
    assert curve.notes == ("line 8, the last, has no line end; its last number may be cut off",)


def test_a_missing_channel_names_those_read(tmp_path):
    curve = read_curve(path := small_file(tmp_path / "a.txt", counted_rows(6)), scheme_of(path))
    with pytest.raises(EvaluationError, match="has no channel torque; read are time, displacement, force"):
        curve.channel("torque")


def test_progress_is_told_and_cancel_stops(tmp_path):
    record = radial()
    time = np.arange(200_000) * 0.01
    many = [np.resize(values, time.size) for values in (record.travel, record.load)]
    path = write(tmp_path / "big.txt", GERMAN, time, *many)
    scheme, told = scheme_of(path), []
    assert read_curve(path, scheme, progress=lambda *far: told.append(far)).rows == time.size
    assert len(told) > 1
    assert told == sorted(told)
    assert told[0][1] > 0
    assert told[-1][0] == 1.0
    with pytest.raises(Cancelled):
        read_curve(path, scheme, cancel=lambda: True)


def test_a_file_that_is_not_there_is_unreadable(tmp_path):
    with pytest.raises(UnreadableFile, match="none.csv cannot be opened"):
        sniff(tmp_path / "none.csv")
    with pytest.raises(UnreadableFile, match="cannot be opened|is no file"):
        sniff(tmp_path)


def test_rows_of_a_large_file_are_estimated_and_said_to_be(tmp_path, monkeypatch):
    record = radial()
    time = np.arange(100_000) * 0.01
    path = write(tmp_path / "large.txt", GERMAN, time, *(np.resize(each, time.size) for each in (record.travel, record.load)))
    counted = sniff(path)
    monkeypatch.setattr("dossier.evidence.sniff._COUNTED", 1 << 20)
    estimated = sniff(path)
    assert (counted.rows, counted.rows_estimated, estimated.rows_estimated) == (time.size, False, True)
    assert estimated.rows == pytest.approx(time.size, rel=0.02)


def test_gathered_columns_keep_every_row_whatever_room_was_expected():
    gathered = Gathered(2)
    for start, share in ((0, 0.9), (3, 0.2), (6, 1.0)):
        rows = np.arange(start, start + 3)
        gathered.add([rows.astype(float), -rows.astype(float)], rows + 10, share)
    columns, lines = gathered.whole()
    assert np.array_equal(columns, [np.arange(9), -np.arange(9)])
    assert np.array_equal(lines, np.arange(10, 19))
