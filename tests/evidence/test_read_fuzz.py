"""Whatever happens to a file, the reader takes it whole or says UnreadableFile; it never hangs or half takes
it."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dossier.evidence.clean_rows import clean_rows, parse_fast
from dossier.evidence.numbers import RowForm
from dossier.evidence.open_table import open_table
from dossier.evidence.reading import ReadingScheme, UnreadableFile, read_curve, sniff
from dossier.evidence.scan import Scanner
from tests.evidence.dialects import DIALECTS, write
from tests.evidence.layouts import LINEAR
from tests.evidence.samples import counted_rows, radial, scheme_of, small_file

ROWS = 60
FUZZ = settings(
    max_examples=120, deadline=2000, suppress_health_check=[HealthCheck.function_scoped_fixture], derandomize=True
)
PIECES = st.one_of(
    st.binary(max_size=6),
    st.sampled_from(
        [b"\x00", b"\r", b"\n", b"\r\n", b'"', b";", b",", b"\t", b" ", b".", b"-", b"nan", b"1e999", b"\xff", b"\xe2",
         b"\xef\xbb\xbf", b"\xff\xfe", b"1,2,3", b"--5", b"\x85", b"\xa0", "−".encode(), b"\x1a", b";;;;"]
    ),
)  # fmt: skip
MUTATIONS = st.lists(st.tuples(st.floats(0, 1), st.integers(0, 40), PIECES), min_size=1, max_size=5)


@pytest.fixture(scope="module", params=sorted(DIALECTS))
def original(request, tmp_path_factory):
    """Name, bytes and reading scheme of one good file per dialect."""
    record, folder = radial(), tmp_path_factory.mktemp(request.param)
    rows = slice(100, 100 + ROWS)
    path = write(
        folder / "good.txt", DIALECTS[request.param], record.time[rows], record.travel[rows], record.load[rows]
    )
    return path, path.read_bytes(), ReadingScheme.from_form(sniff(path))


@FUZZ
@given(mutations=MUTATIONS)
def test_mutated_files_raise_nothing_but_unreadable_file(original, mutations):
    good, content, scheme = original
    for share, length, piece in mutations:
        at = int(share * len(content))
        content = content[:at] + piece + content[at + length :]
    path = good.with_name("mutated.txt")
    path.write_bytes(content)
    try:
        form = sniff(path)
        assert form.columns
        assert form.rows >= 0
    except UnreadableFile as refused:
        assert str(refused).startswith("mutated.txt")
    try:
        curve = read_curve(path, scheme)
    except UnreadableFile as refused:
        assert str(refused).startswith("mutated.txt")
        return
    assert {len(values) for values in curve.channels.values()} == {curve.rows}
    assert all(np.isfinite(values).all() for values in curve.channels.values())
    assert (np.diff(curve.lines) > 0).all()


@FUZZ
@given(content=st.binary(max_size=3000))
def test_random_bytes_raise_nothing_but_unreadable_file(original, content):
    good, _, scheme = original
    path = good.with_name("random.bin")
    path.write_bytes(content)
    for read in (sniff, lambda file: read_curve(file, scheme)):
        try:
            read(path)
        except UnreadableFile as refused:
            assert str(refused).startswith("random.bin")


@FUZZ
@given(share=st.floats(0, 1))
def test_a_file_cut_anywhere_is_refused_or_gives_the_first_rows(original, share):
    good, content, scheme = original
    whole = read_curve(good, scheme)
    path = good.with_name("cut.txt")
    path.write_bytes(content[: int(share * len(content))])
    try:
        curve = read_curve(path, scheme)
    except UnreadableFile:
        return
    for name, values in curve.channels.items():
        assert np.array_equal(values[:-1], whole.channels[name][: curve.rows - 1])
        if values[-1] != whole.channels[name][curve.rows - 1]:
            assert any("may be cut off" in note for note in curve.notes)


FIELD = st.one_of(
    st.floats(-1e6, 1e6).map(lambda number: f"{number:.4g}"),
    st.sampled_from(["1", "-0", "+1.5", ".5", "5.", "1e3", "1E-3", " 2 ", "nan", "", "x", "1 2", "1_0", "\xa01"]),
)


@settings(max_examples=400, deadline=None, derandomize=True)
@given(
    rows=st.lists(st.lists(FIELD, min_size=2, max_size=4), min_size=1, max_size=8),
    decimal=st.sampled_from([",", "."]),
    delimiter=st.sampled_from([";", "\t", " ", ","]),
    newline=st.sampled_from(["\n", "\r\n"]),
    quoted=st.booleans(),
)
def test_the_fast_way_takes_only_what_the_exact_way_takes_and_the_same(rows, decimal, delimiter, newline, quoted):
    """The exact scanner is the reference; the fast path may decline, never differ."""
    mark = '"' if quoted else ""
    lines = [delimiter.join(f"{mark}{field.replace('.', decimal)}{mark}" for field in row) for row in rows]
    form = RowForm(delimiter, decimal, 3, (0, 2))
    fast = parse_fast((newline.join(lines) + newline).encode("latin-1"), form)
    if fast is None:
        return
    exact, numbers = Scanner("a.txt", form, (), 1, lambda: len(lines)).scan(lines, 1, cut_off=False)
    assert np.array_equal(np.transpose(fast.columns), exact)
    assert list(numbers) == list(range(1, len(lines) + 1))


def test_the_fast_way_takes_clean_blocks():
    """So that the property above is not met by declining everything."""
    for text, form in (
        (b"1;2,5;3\r\n4;5,5;6\r\n", RowForm(";", ",", 3, (1, 2))),
        (b" 1 2.5  3\n4\t5.5 6", RowForm(" ", ".", 3, (1, 2))),
        (b"1;2.5;3;\n4;5.5;6;\n", RowForm(";", ".", 3, (1, 2), trailing=True)),
    ):
        assert np.array_equal(parse_fast(text, form).columns, [[2.5, 5.5], [3.0, 6.0]])
    quoted = parse_fast(b'"1,5","2,5"\r\n"3,5","4"\r\n', RowForm(",", ",", 2, (0, 1))).columns
    assert np.array_equal(quoted, [[1.5, 3.5], [2.5, 4.0]])
    assert parse_fast(b'"1";2;3\n', RowForm(";", ".", 3, (1, 2))) is None


@pytest.mark.parametrize("needed", [(0, 1), (0, 2), (1, 0, 2)])
@pytest.mark.parametrize("text", [b"1;2;3\n1;2;3;4\n1;2\n", b"1;2;3\n1;2\n1;2\n", b"1;2;3\n1;2;3;4\n"])
def test_rows_of_other_lengths_are_never_taken_the_fast_way(needed, text):
    """A longer row beside a shorter one has the right number of delimiters in all."""
    assert parse_fast(text, RowForm(";", ".", 3, needed)) is None


GROUPED_FIELD = st.sampled_from(
    ["1.234,5", "1234,5", "234,5", "-1.234", "−1.234,5", "12.34,5", "1'234", "1 234,5", "1e3", "1234e2", "+2.000,0", " 3,5 ",
     "nan", "inf", "x", "", "1,2,3", "1_0,5", "5,", ",5"]
)  # fmt: skip
CLOCK_FIELD = st.sampled_from(
    ["10:14:03", "9:14:03", "10:14", "10:14:03,25", "10:61:00", "02:05:10 PM", "12.03.2026 10:14:03", "31.02.2026 10:14:03",
     "0000-01-01 10:14:03", " 10:14:04", "10.5", ""]
)  # fmt: skip


@settings(max_examples=200, deadline=None, derandomize=True)
@given(
    clocks=st.lists(CLOCK_FIELD, min_size=6, max_size=6), numbers=st.lists(GROUPED_FIELD, min_size=6, max_size=6),
    thousands=st.booleans(), kinds=st.tuples(st.integers(1, 3), st.integers(1, 3)),
)  # fmt: skip
def test_stamps_and_grouped_numbers_are_taken_the_fast_way_as_the_exact_way_takes_them(clocks, numbers, thousands, kinds):
    """Few kinds in six lines, so that some examples are clean throughout."""
    lines = [f"{clocks[n % kinds[0]]};{numbers[n % kinds[1]]}" for n in range(6)]
    form = RowForm(";", ",", 2, (0, 1), thousands=thousands, clocks=(0,))
    fast = parse_fast(("\n".join(lines) + "\n").encode(), form)
    if fast is None:
        return
    scanner = Scanner("a.txt", form, (), 1, lambda: len(lines))
    exact, _ = scanner.scan(lines, 1, cut_off=False)
    assert np.array_equal(np.transpose(fast.columns), exact)
    assert fast.grouped == scanner.grouped


def test_the_fast_way_takes_stamps_and_grouped_numbers():
    """So that the property above is not met by declining everything."""
    text = b"12.03.2026 9:59:59,5;1.234,5;ok\n12.03.2026 10:00:00,0;-12.345,0;ok\n"
    taken = parse_fast(text, RowForm(";", ",", 3, (0, 1), thousands=True, clocks=(0,)))
    assert np.diff(taken.columns[0]) == 0.5
    assert list(taken.columns[1]) == [1234.5, -12345.0]
    assert taken.grouped == {1: True}


ROW = "1,0;2,0;3,0"
HARMLESS = [ROW, "1,5;-2,0;+3,0", "−0,5;1,0;2,5", f"{ROW}\n{ROW}", f"\n{ROW}", f"Cycle 7\n{ROW}", "# pause",
            f"Block\nTime;Travel;Load\n{ROW}", f"Time;Travel;Load\ns;mm;kN\n{ROW}",
            f"Time;Travel;Load\n\ns;mm;kN\n{ROW}\n"]  # fmt: skip
HARMFUL = ["x", "Time;Travel;Load", "s;mm;kN", "  ", "1,0;;3,0", "1,0;nan;3,0", "Block", "---", "1,0;2,0", ";;", "1.0;2,0;3,0"]
LINES = st.one_of(
    st.lists(st.sampled_from(HARMLESS), min_size=10, max_size=40),
    st.lists(st.sampled_from(HARMLESS * 9 + HARMFUL), min_size=10, max_size=40),
)


@settings(max_examples=100, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(lines=LINES, newline=st.sampled_from(["\n", "\r\n"]))
def test_lines_between_the_rows_are_taken_as_line_by_line(tmp_path, lines, newline):
    """The whole file through the scanner is the reference: same rows, lines and notes, or the same refusal."""
    scheme = scheme_of(small_file(tmp_path / "good.csv", counted_rows(20)))
    path = small_file(tmp_path / "mixed.csv", lines)
    path.write_bytes(path.read_bytes().replace(b"\n", newline.encode()).replace(b"x\r\n", b"x\n"))
    answers = []
    for take in (clean_rows, lambda block, form: None):
        with pytest.MonkeyPatch.context() as patched:
            patched.setattr("dossier.evidence.reading.clean_rows", take)
            try:
                curve = read_curve(path, scheme)
                answers.append((list(curve.lines), [list(values) for values in curve.channels.values()], curve.notes))
            except UnreadableFile as refused:
                answers.append(str(refused))
    assert answers[0] == answers[1]


def test_the_scanner_sees_only_the_lines_between_the_rows(tmp_path, monkeypatch):
    """300 blocks of 100 rows: the work line by line grows with the headers, not with the rows."""
    record = radial()
    time = np.arange(30_000) * 0.01
    columns = [np.resize(values, time.size) for values in (record.travel, record.load)]
    path = write(tmp_path / "blocks.txt", replace(DIALECTS["blocks"], block=100), time, *columns)
    scheme, seen, scan, parse = ReadingScheme.from_form(sniff(path)), [], Scanner.scan, clean_rows

    def scanned(self, lines, *place):
        seen.append(len(lines))
        return scan(self, lines, *place)

    parsed = []
    monkeypatch.setattr(Scanner, "scan", scanned)
    monkeypatch.setattr("dossier.evidence.reading.clean_rows", lambda *block: parsed.append(block) or parse(*block))
    curve = read_curve(path, scheme)
    assert (curve.rows, len(curve.notes)) == (30_000, 1)
    assert "header repeated 299 times" in curve.notes[0]
    assert sum(seen) <= 299 * 5 + 12
    assert len(parsed) <= 2


@FUZZ
@given(layout=st.sampled_from(sorted(LINEAR)), mutations=MUTATIONS)
def test_a_mutated_file_is_read_without_a_scheme_or_refused(tmp_path, layout, mutations):
    content = LINEAR[layout].encode()[:4000]
    for share, length, piece in mutations:
        at = int(share * len(content))
        content = content[:at] + piece + content[at + length :]
    path = tmp_path / "mutated.txt"
    path.write_bytes(content)
    try:
        curve = open_table(path)
    except UnreadableFile as refused:
        assert str(refused).startswith("mutated.txt")
        return
    assert {len(values) for values in curve.channels.values()} == {curve.rows}
    assert all(np.isfinite(values).all() for values in curve.channels.values())
