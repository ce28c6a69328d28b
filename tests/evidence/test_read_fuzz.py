"""Whatever happens to a file, the reader takes it whole or says UnreadableFile; it never hangs or half takes
it."""


import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dossier.evidence.numbers import RowForm, parse_fast
from dossier.evidence.open_table import open_table
from dossier.evidence.reading import ReadingScheme, UnreadableFile, read_curve, sniff
from dossier.evidence.scan import Scanner
from tests.evidence.dialects import DIALECTS, write
from tests.evidence.layouts import LINEAR
from tests.evidence.samples import radial

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
    assert np.array_equal(fast, exact)
    assert list(numbers) == list(range(1, len(lines) + 1))


def test_the_fast_way_takes_clean_blocks():
    """So that the property above is not met by declining everything."""
    for text, form in (
        (b"1;2,5;3\r\n4;5,5;6\r\n", RowForm(";", ",", 3, (1, 2))),
        (b" 1 2.5  3\n4\t5.5 6", RowForm(" ", ".", 3, (1, 2))),
        (b"1;2.5;3;\n4;5.5;6;\n", RowForm(";", ".", 3, (1, 2), trailing=True)),
    ):
        assert np.array_equal(parse_fast(text, form), [[2.5, 3.0], [5.5, 6.0]])
    quoted = parse_fast(b'"1,5","2,5"\r\n"3,5","4"\r\n', RowForm(",", ",", 2, (0, 1)))
    assert np.array_equal(quoted, [[1.5, 2.5], [3.5, 4.0]])
    assert parse_fast(b'"1";2;3\n', RowForm(";", ".", 3, (1, 2))) is None


@pytest.mark.parametrize("needed", [(0, 1), (0, 2), (1, 0, 2)])
@pytest.mark.parametrize("text", [b"1;2;3\n1;2;3;4\n1;2\n", b"1;2;3\n1;2\n1;2\n", b"1;2;3\n1;2;3;4\n"])
def test_rows_of_other_lengths_are_never_taken_the_fast_way(needed, text):
    """A longer row beside a shorter one has the right number of delimiters in all."""
    assert parse_fast(text, RowForm(";", ".", 3, needed)) is None


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
