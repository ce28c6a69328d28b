"""Digests: published SHA-256 and canonical JSON values, and refusals that name the field."""

from __future__ import annotations

from datetime import UTC, date, datetime, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dossier.store.digest import canonical_json, sha256_of_bytes, sha256_of_document, sha256_of_file


def test_sha256_of_abc(tmp_path) -> None:
    """The example "abc" of FIPS 180, from memory, not checked against its text."""
    expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    (tmp_path / "f").write_bytes(b"abc")
    assert sha256_of_bytes(b"abc") == sha256_of_file(tmp_path / "f") == expected


def test_a_file_larger_than_one_piece(tmp_path) -> None:
    data = bytes(range(256)) * 10_000
    (tmp_path / "f").write_bytes(data)
    assert sha256_of_file(tmp_path / "f") == sha256_of_bytes(data)


def test_canonical_form() -> None:
    document = {"b": [1.0, 0.1, 1e21, -0.0], "a": {"ü": True, "\n": None}, "A": 10**15}
    assert canonical_json(document).decode() == ('{"A":1000000000000000,"a":{"\\n":null,"ü":true},"b":[1,0.1,1e+21,0]}')


@given(st.permutations(["a", "b", "c", "d"]))
def test_order_of_keys_and_writing_of_numbers_do_not_matter(keys: list[str]) -> None:
    assert sha256_of_document({key: {"v": 2.0} for key in keys}) == sha256_of_document(
        {key: {"v": 2} for key in "abcd"}
    )


@given(st.integers(-(2**53) + 1, 2**53 - 1), st.integers(-(2**53) + 1, 2**53 - 1))
def test_different_numbers_have_different_digests(a: int, b: int) -> None:
    assert (sha256_of_document([a]) == sha256_of_document([b])) == (a == b)


def test_tuples_are_lists() -> None:
    assert canonical_json({"p": (1, (2,))}) == b'{"p":[1,[2]]}'


@pytest.mark.parametrize(
    ("document", "words"),
    [
        ({"layer": {"radius": float("nan")}}, r"layer\.radius = nan is not a finite"),
        ({"loads": [1.0, {"f": float("-inf")}]}, r"loads\[1\]\.f = -inf"),
        ({"n": 2**53}, r"n = 9007199254740992 lies beyond"),
        ({"n": -(2**53)}, r"n = -9007199254740992 lies beyond"),
        ({"on": date(2025, 3, 1)}, r'on = .* write it as text, "2025-03-01"'),
        ({"at": [datetime(2025, 3, 1, tzinfo=UTC)]}, r"at\[0\] = .*2025-03-01T00:00:00\+00:00"),
        ({"t": time(8)}, "write it as text"),
        ({"a": {"b": {1, 2}}}, r"a\.b = .*set"),
        ({"a": {3: 4}}, "a = 3 is a key that is not text"),
        ({"a": "x\udc00"}, "a = .* lone surrogate"),
        ({"a": {"\udc00": 1}}, "lone surrogate"),
        (float("nan"), "document = nan"),
    ],
)
def test_what_canonical_json_cannot_hold_is_named(document: object, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        sha256_of_document(document)
