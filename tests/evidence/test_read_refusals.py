"""What cannot be read is refused with line, column, the text found and what was expected; nothing is half
taken."""

from gzip import compress

import pytest

from dossier.evidence.reading import UnreadableFile, read_curve, sniff
from tests.evidence.dialects import GERMAN, WIDE, write
from tests.evidence.samples import counted_rows, radial, scheme_of, small_file


def changed(tmp_path, place: int, text: str, *, end: str = "\n", count: int = 40):
    """The scheme of a good file, and a file in which row `place` (from 0) is replaced by `text`."""
    scheme = scheme_of(small_file(tmp_path / "good.csv", counted_rows(count)))
    rows = counted_rows(count)
    rows[place] = text
    return small_file(tmp_path / "E-014.csv", rows, end=end), scheme


def refusal(path, scheme) -> str:
    with pytest.raises(UnreadableFile) as caught:
        read_curve(path, scheme)
    return str(caught.value)


def test_a_broken_number_is_named_with_place_and_expectation(tmp_path):
    path, scheme = changed(tmp_path, 11, "1,20;0,0012;12,4,1")
    assert refusal(path, scheme) == (
        'E-014.csv line 14 column 3: "12,4,1" is not a number; expected decimal comma, one per field; '
        "0 of 40 points taken"
    )


def test_the_place_is_right_far_into_a_large_file(tmp_path):
    """The row lies behind the first block of 4 MB, so the block's line count is used."""
    rows = counted_rows(300_000)
    scheme = scheme_of(small_file(tmp_path / "good.csv", rows))
    rows[250_000] = rows[250_000].replace(";", ";x", 1)
    message = refusal(small_file(tmp_path / "E-014.csv", rows), scheme)
    assert message.startswith("E-014.csv line 250003 column 2")
    assert "0 of 300000 points taken" in message


def test_the_place_is_right_in_utf_16_and_behind_a_long_header(tmp_path):
    record = radial()
    path = write(tmp_path / "w.txt", WIDE, record.time, record.travel, record.load)
    scheme = scheme_of(path)
    lines = path.read_bytes().decode("utf-16").split("\r\n")
    lines[499] = lines[499] + "x"
    path.write_bytes("\r\n".join(lines).encode("utf-16"))
    assert refusal(path, scheme).startswith("w.txt line 500 column 3")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("1,20;0,0012;12.4", ("column 3", "decimal point", "mixed marks")),
        ("1,20;0,0012;1.012,4", ("column 3", "thousands separators")),
        ("1,20;0,0012", ("column 3", "2 fields", "expected 3")),
        ("1,20;0,0012;1,2;3,4", ("column 4", "4 fields", "expected 3")),
        ("1,20;0,0012;1_2", ("column 3", '"1_2" is not a number')),
        ("1,20;0,0012;0x10", ("column 3", '"0x10"')),
        ("1,20;0,0012;1 2", ("column 3", '"1 2"')),
        ("1,20;0,0012;1e999", ("column 3", '"1e999" is larger than any number that can be held')),
        ("1,20;0,0012;" + "1" * 400, ("column 3", "is larger than any number")),
        ("1,20;0,0012;١٢", ("column 3", "is not a number")),
        ("End of test", ("line 14", '"End of test" is not a number', "footer")),
    ],
)
def test_each_kind_of_broken_row_has_its_reason(tmp_path, text, words):
    path, scheme = changed(tmp_path, 11, text)
    message = refusal(path, scheme)
    assert "line 14" in message
    assert "0 of 40 points taken" in message
    for word in words:
        assert word in message


@pytest.mark.parametrize("gap", ["", "NaN", "-", "inf", "#N/A"])
def test_gaps_are_refused_and_their_lines_named(tmp_path, gap):
    path, scheme = changed(tmp_path, 11, f"1,20;{gap};1,2")
    assert 'line 14 column 2 "Travel": no value; expected a number in each field' in refusal(path, scheme)


def test_many_gaps_are_counted(tmp_path):
    scheme = scheme_of(small_file(tmp_path / "good.csv", counted_rows(40)))
    rows = [row if n % 4 else row[: row.rindex(";") + 1] for n, row in enumerate(counted_rows(40))]
    assert "lines 3, 7, 11, 15, 19 and 5 more" in refusal(small_file(tmp_path / "E-014.csv", rows), scheme)


def test_a_file_of_gaps_is_refused_before_its_end(tmp_path, monkeypatch):
    """So that two gigabytes of them need neither the memory nor the time of their list."""
    scheme = scheme_of(small_file(tmp_path / "good.csv", counted_rows(40)))
    monkeypatch.setattr("dossier.evidence.scan._MOST_GAPS", 8)
    rows = [row[: row.rindex(";") + 1] for row in counted_rows(40)]
    message = refusal(small_file(tmp_path / "E-014.csv", rows), scheme)
    assert "lines 3, 4, 5, 6, 7 and 3 more" in message
    assert "no value; there may be more, reading ended here" in message


def test_a_line_cut_between_fields_is_called_cut_off(tmp_path):
    for text in ("4,00;0,0040", "4,00;0,0040;", "4,"):
        path, scheme = changed(tmp_path, 39, text, end="")
        message = refusal(path, scheme)
        assert "line 42: the last line ends after" in message
        assert "has no line end" in message
        assert "the file was cut off" in message


def test_a_number_cut_in_half_is_called_cut_off(tmp_path):
    path, scheme = changed(tmp_path, 39, "4,00;0,0040;4,0", end="")
    message = refusal(path, scheme)
    assert '"4,0" has 1 decimals and no line end, the rows before have 3' in message


def test_an_empty_file_is_refused(tmp_path):
    path = tmp_path / "E-014.csv"
    path.write_bytes(b"")
    with pytest.raises(UnreadableFile, match="E-014.csv is empty"):
        sniff(path)
    scheme = scheme_of(small_file(tmp_path / "good.csv", counted_rows(4)))
    assert "is empty (0 bytes)" in refusal(path, scheme)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "is a picture (PNG); expected a text file"),
        (b"\x01\x02" * 90, "line 1: byte 0x01 is no text"),
        (b"%PDF-1.7\n1 0 obj\n2 0 obj\n", "is a PDF document"),
        (compress(b"a;b\n1,0;2,0\n" * 9, mtime=0), "is packed (gzip); expected a text file with a table of numbers; unpack it"),
        (b"PK\x03\x04\x14\x00\x06\x00", "cannot be read (BadZipFile"),
        (b"\xff\xfe\x00\x00a\x00\x00\x00", "is UTF-32"),
        (b"1;2;3;" * 200_000, "characters without a line end"),
        (b"a,b,c\nno,number,here\n", "no numbers in 2 lines"),
        (b"\n\n  \n", "no numbers"),
        (b"Kraft\nN\n1.5\n2.5\n", "no numbers"),
    ],
)
def test_what_is_no_table_is_refused(tmp_path, content, words):
    path = tmp_path / "E-014.csv"
    path.write_bytes(content)
    with pytest.raises(UnreadableFile) as caught:
        sniff(path)
    assert words in str(caught.value)
    assert str(caught.value).startswith("E-014.csv")


def test_an_endless_line_is_refused_while_reading(tmp_path):
    path, scheme = changed(tmp_path, 11, "1;" * 500_000)
    assert "line 14 column 4: 500001 fields" in refusal(path, scheme)
    path, scheme = changed(tmp_path, 39, "1" * 5_000_000)
    assert "line 42: more than 100000 characters without a line end" in refusal(path, scheme)


def test_fewer_columns_than_the_scheme_needs(tmp_path):
    scheme = scheme_of(small_file(tmp_path / "good.csv", counted_rows(4)))
    two = small_file(tmp_path / "E-014.csv", ["1,0;2,0", "2,0;3,0"], header="Time;Travel\ns;mm\n")
    message = refusal(two, scheme)
    assert 'line 1: found "Time;Travel"; expected the column names "Time", "Travel", "Load"' in message


def test_another_unit_than_the_scheme_is_refused(tmp_path):
    """A kN column read as N is wrong by a thousand: the file's own unit decides."""
    scheme = scheme_of(small_file(tmp_path / "good.csv", counted_rows(4)))
    other = small_file(tmp_path / "E-014.csv", counted_rows(4), header="Time;Travel;Load\ns;mm;N\n")
    assert 'line 2 column 3: "Load" is in "N"; expected "kN"' in refusal(other, scheme)


def test_another_spelling_of_the_same_unit_is_accepted(tmp_path):
    scheme = scheme_of(small_file(tmp_path / "good.csv", counted_rows(4)))
    other = small_file(tmp_path / "E-014.csv", counted_rows(4), header="Time;Travel;Load\nsec;mm;KN\n")
    assert read_curve(other, scheme).rows == 4


def test_a_header_without_rows_is_refused(tmp_path):
    scheme = scheme_of(small_file(tmp_path / "good.csv", counted_rows(4)))
    assert "expected at least 2" in refusal(small_file(tmp_path / "E-014.csv", [], end=""), scheme)


def test_a_footer_not_in_the_scheme_is_refused_with_the_remedy(tmp_path):
    scheme = scheme_of(small_file(tmp_path / "good.csv", counted_rows(4)))
    path = small_file(tmp_path / "E-014.csv", [*counted_rows(4), "", "Ende"])
    assert "must be counted as footer lines" in refusal(path, scheme)
    assert read_curve(path, scheme_of(path)).rows == 4


def test_foreign_text_before_a_repeated_header_swallows_no_rows(tmp_path):
    """Text, then rows, then a true repeated header: the rows between must not be lost."""
    scheme = scheme_of(small_file(tmp_path / "good.csv", counted_rows(8)))
    rows = counted_rows(8)
    broken = [*rows[:3], "disturbance", *rows[3:5], "Time;Travel;Load", "s;mm;kN", *rows[5:]]
    assert 'line 6 column 1: "disturbance"' in refusal(small_file(tmp_path / "E-014.csv", broken), scheme)


def test_hostile_text_is_quoted_and_shortened(tmp_path):
    path, scheme = changed(tmp_path, 11, "1,20;0,0012;[/b]\u202e" + "y" * 500)
    message = refusal(path, scheme)
    assert "\u202e" not in message
    assert "…" in message
    assert len(message) < 300


def test_the_german_protocol_keeps_its_line_numbers(tmp_path):
    record = radial()
    path = write(tmp_path / "g.csv", GERMAN, record.time, record.travel, record.load)
    scheme = scheme_of(path)
    text = path.read_bytes().decode("latin-1").replace("\r\n", "\n").split("\n")
    text[811] = "8,110;0,1;12,4,1"
    path.write_bytes("\r\n".join(text).encode("latin-1"))
    assert refusal(path, scheme).startswith('g.csv line 812 column 3: "12,4,1" is not a number')


def test_a_stored_file_is_called_by_the_name_it_came_with(tmp_path):
    path, scheme = changed(tmp_path, 11, "1,20;0,0012;x")
    stored = path.rename(tmp_path / "9f86d081")
    with pytest.raises(UnreadableFile, match="^E-014.csv line 14 column 3"):
        read_curve(stored, scheme, name="E-014.csv")
    assert sniff(stored, name="E-014.csv").file == "E-014.csv"
