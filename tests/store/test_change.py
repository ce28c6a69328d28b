"""A change refuses what the history could not tell truthfully later."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dossier.store.change import Change, compose_message, split_message
from dossier.store.errors import RefusedPath

NO_SURROGATES = st.characters(exclude_categories=["Cs"], exclude_characters="\0")
KEYS = st.from_regex(r"[A-Za-z][A-Za-z-]{0,8}", fullmatch=True).filter(lambda key: key != "Dossier")
LINES = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=20).map(str.strip)


@given(st.text(NO_SURROGATES, min_size=1).filter(str.strip), st.dictionaries(KEYS, LINES, max_size=3))
def test_words_and_trailers_come_back(message: str, trailers: dict[str, str]) -> None:
    change = Change(message, "A. Berg", {}, trailers)
    assert split_message(compose_message(change)) == (message.strip(), trailers)


def test_words_of_a_user_never_pass_for_trailers() -> None:
    words = "Limit raised\n\nUndoable: no\nDossier: 1"
    assert split_message(compose_message(Change(words, "A. Berg", {}))) == (words, {})


def test_a_message_written_by_other_means_has_no_trailers() -> None:
    assert split_message("Fix\n\nUndoable: no\n") == ("Fix\n\nUndoable: no", {})
    assert split_message("Dossier: 1\n") == ("Dossier: 1", {})


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"message": " \n"}, "message = .* must not be empty"),
        ({"message": "a\0b"}, "zero byte"),
        ({"message": "a\ud800"}, "lone surrogate"),
        ({"author": ""}, "author = '' must not be empty"),
        ({"author": "A <a@b>"}, "author = .* holds <, >"),
        ({"author": "A\nB"}, "control character"),
        ({"files": {"project.toml": "text"}}, r"files\['project.toml'\] must be bytes or None, not str"),
        ({"trailers": {"Two words": "x"}}, "trailer 'Two words'"),
        ({"trailers": {"Key": "a\nb"}}, "trailer 'Key'"),
        ({"trailers": {"Dossier": "2"}}, "trailer 'Dossier'"),
        ({"when": datetime(2025, 1, 1)}, "time zone"),
        ({"when": datetime(1960, 1, 1, tzinfo=UTC)}, "after 1970"),
    ],
)
def test_refusals_name_the_field(fields: dict, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        Change(**{"message": "m", "author": "A. Berg", "files": {}, **fields})


@pytest.mark.parametrize("path", ["../x.toml", "history.git/HEAD", "evidence/files/x", "/project.toml"])
def test_a_change_touches_records_only(path: str) -> None:
    with pytest.raises(RefusedPath):
        Change("m", "A. Berg", {path: b""})


def test_a_change_cannot_be_altered_afterwards() -> None:
    files = {"cost.toml": b""}
    change = Change("m", "A. Berg", files)
    files["project.toml"] = b""
    assert change.paths == ["cost.toml"]
    with pytest.raises(TypeError):
        change.files["loads.toml"] = b""
