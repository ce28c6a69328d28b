"""Documents read and written: round trip, one layout, errors with file and line, comments noticed."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime, time, timedelta, timezone

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from dossier.store.errors import BrokenFile
from dossier.store.tomlfile import dump_document, has_comments, parse_document, read_document

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
OFFSETS = st.integers(-14 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
SCALARS = st.one_of(
    st.booleans(),
    st.integers(),
    st.floats(),
    TEXT,
    st.dates(),
    st.times(),
    st.datetimes(),
    st.datetimes(min_value=datetime(2, 1, 1), max_value=datetime(9998, 1, 1), timezones=OFFSETS),
)
VALUES = st.recursive(
    SCALARS, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXT, inner, max_size=4), max_leaves=12
)
DOCUMENTS = st.dictionaries(TEXT, VALUES, max_size=6)


def comparable(value: object) -> object:
    """Types kept apart and nan made equal to itself."""
    if isinstance(value, dict):
        return {key: comparable(item) for key, item in value.items()}
    if isinstance(value, list):
        return [comparable(item) for item in value]
    if isinstance(value, float):
        return ("float", "nan" if math.isnan(value) else repr(value))
    return (type(value).__name__, value)


@given(DOCUMENTS)
def test_round_trip(document: dict) -> None:
    raw = dump_document(document)
    again = parse_document(raw, "x.toml")
    assert comparable(again) == comparable(document)
    assert dump_document(again) == raw
    assert not has_comments(raw)


@given(DOCUMENTS)
def test_same_meaning_as_the_independent_writer(document: dict) -> None:
    """tomli-w 1.2.0, the library's own writer, must mean the same."""
    theirs = parse_document(tomli_w.dumps(document).encode(), "x.toml")
    assert comparable(parse_document(dump_document(document), "x.toml")) == comparable(theirs)


@given(DOCUMENTS, st.integers(min_value=0))
def test_a_comment_after_any_line_end_is_noticed(document: dict, where: int) -> None:
    """Appended behind a whole field or header, never inside a text block."""
    lines = dump_document(document).decode().split("\n")
    block = ends = 0
    places = []
    for number, line in enumerate(lines[:-1]):
        block ^= line.replace('\\"', "").count('"""') % 2
        ends += not block
        if not block:
            places.append(number)
    if places:
        number = places[where % len(places)]
        lines[number] += "  # by hand"
        assert has_comments("\n".join(lines).encode())


def test_layout() -> None:
    document = {
        "requirement": [
            {"id": "R-001", "limit": {"max": 45.0, "unit": "kN"}, "text": "axial"},
            {"id": "R-002", "range": [1.0, 2.5], "remark": "first\nsecond"},
        ],
        "title": "chapter 1",
        "empty": {},
    }
    assert dump_document(document).decode() == (
        'title = "chapter 1"\n'
        "\n[[requirement]]\n"
        'id = "R-001"\n'
        'text = "axial"\n'
        "\n[requirement.limit]\n"
        "max = 45.0\n"
        'unit = "kN"\n'
        "\n[[requirement]]\n"
        'id = "R-002"\n'
        "range = [1.0, 2.5]\n"
        'remark = """\nfirst\nsecond"""\n'
        "\n[empty]\n"
    )


def test_a_long_list_takes_one_line_per_item() -> None:
    raw = dump_document({"points": [[float(i), i * 1.5] for i in range(30)]})
    assert raw.count(b"\n") == 32
    assert parse_document(raw, "x")["points"][29] == [29.0, 43.5]


def test_dates_pass() -> None:
    document = {"day": date(2025, 3, 1), "clock": time(12, 30, 1, 500), "at": datetime(2025, 3, 1, 8, 0)}
    assert parse_document(dump_document(document), "x") == document


@pytest.mark.parametrize(
    ("document", "words"),
    [
        ({"layer": {"radius": None}}, "layer.radius = None"),
        ({"a": [{"b": [1, object]}]}, r"a\[0\].b\[1\]"),
        ({1: 2}, "key 1 must be text"),
        ({"a": [1, {2: 3}]}, "key 2 must be text"),
        ({"name": "x\ud800"}, r"name holds the lone surrogate U\+D800"),
        ({"t": time(1, tzinfo=UTC)}, "time zone"),
        ({"t": datetime(2025, 1, 1, tzinfo=timezone(timedelta(seconds=30)))}, "convert it to UTC"),
    ],
)
def test_what_toml_cannot_hold_is_refused_by_name(document: dict, words: str) -> None:
    with pytest.raises((TypeError, ValueError), match=words):
        dump_document(document)


def test_numpy_numbers_are_refused_or_plain() -> None:
    import numpy as np

    assert dump_document({"x": np.float64(0.25)}) == b"x = 0.25\n"
    with pytest.raises(TypeError, match="n = .*int64"):
        dump_document({"n": np.int64(3)})


@pytest.mark.parametrize(
    ("raw", "line", "words"),
    [
        (b"a = 1\nb = \nc = 3\n", 2, "Invalid value"),
        (b"a = 1\na = 2\n", 2, "Cannot overwrite"),
        (b"a = 1\nb = 'x", 2, "end of the file"),
        (b'a = 1\r\nb = "\r\n', 2, "column"),
        (b"a = 1\nb = 2\nname = 'Gr\xf6\xdfe'\n", 3, "0xF6 is not UTF-8"),
        (b"x = " + b"[" * 100_000, None, "nested too deeply"),
        (b"x = " + b"9" * 5000 + b"\n", None, "digits"),
        (b"day = 2025-02-30\n", 1, "Invalid date"),
    ],
)
def test_a_broken_file_tells_file_line_and_reason(tmp_path, raw: bytes, line: int | None, words: str) -> None:
    path = tmp_path / "r.toml"
    path.write_bytes(raw)
    with pytest.raises(BrokenFile, match=words) as caught:
        read_document(path, "requirements/r.toml")
    assert caught.value.file == "requirements/r.toml"
    assert caught.value.line == line
    assert str(caught.value).startswith("requirements/r.toml" + (f", line {line}: " if line else ": "))


def test_a_missing_file_is_a_broken_file(tmp_path) -> None:
    with pytest.raises(BrokenFile, match="cannot be read"):
        read_document(tmp_path / "none.toml")


@given(st.binary(max_size=60) | st.text(max_size=60).map(lambda t: t.encode("utf-8", "surrogatepass")))
def test_no_bytes_raise_anything_else(raw: bytes) -> None:
    try:
        document = parse_document(raw, "x.toml")
    except BrokenFile as error:
        assert error.reason
    else:
        assert isinstance(document, dict)


def test_byte_order_mark_and_crlf_are_tolerated() -> None:
    raw = b'\xef\xbb\xbfa = 1\r\nb = """\r\nx\r\ny"""\r\n'
    assert parse_document(raw, "x") == {"a": 1, "b": "x\ny"}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a = 1 # why\n", True),
        ("# head\na = 1\n", True),
        ('a = "no # comment"\n', False),
        ("a = 'no # comment'\n", False),
        ('a = """x\n# no "quoted" comment\n"""\n', False),
        ('a = """x""""" # comment\n', True),
        ("a = '''x\n# it's no comment\n'''\n", False),
        ("a = '''x''''\n# comment\n", True),
        ('a = "\\"#"\n', False),
        ('a = "\\\\" # comment "\n', True),
        ("a = '\\' # comment\n", True),
        ('a = [\n  1, # one "\n]\n', True),
        ('"key # no" = 1\r\n', False),
        ('a = ""\nb = "#"\n', False),
        ('a = """"#"""\n', False),
    ],
)
def test_comments_are_told_from_text(text: str, expected: bool) -> None:
    parse_document(text.encode(), "valid")
    assert has_comments(text.encode()) is expected
