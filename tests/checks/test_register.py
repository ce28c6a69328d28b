"""The register of checks: order, numbering, counts, wording."""

from __future__ import annotations

from collections import Counter

import pytest

from dossier.checks.base import CheckText, check_texts, computed_checks
from dossier.records.header import ROLE_NAMES
from dossier.records.step import STEPS

TEXTS = list(check_texts().values())
# Numbers of each step in the job map: all of them, and six of our own: 3.16 to 3.18, 4.16, 6.15, 6.16.
EXPECTED = {"1": 10, "2": 14, "3": 18, "4": 16, "5": 10, "6": 16}
KINDS = {"computed": 51, "confirmed": 6, "person": 27}


def test_numbers_belong_to_their_step_and_are_in_order() -> None:
    assert all(text.id.partition(".")[0] == text.step for text in TEXTS)
    places = [(int(text.step), int(text.id.partition(".")[2])) for text in TEXTS]
    assert places == sorted(places)
    assert {text.step for text in TEXTS} == set(STEPS)


def test_all_checks_of_the_steps_are_there() -> None:
    wanted = {f"{step}.{number}" for step, count in EXPECTED.items() for number in range(1, count + 1)}
    assert {text.id for text in TEXTS} == wanted


def test_counts_by_kind() -> None:
    """78 checks of the trade: 46 computed, 5 computed and confirmed, 27 answered by a person; six are our own."""
    assert Counter(text.kind for text in TEXTS) == KINDS


def test_what_is_computed_has_a_function_and_what_a_person_answers_has_none() -> None:
    with_function = set(computed_checks())
    assert {text.id for text in TEXTS if text.kind != "person"} <= with_function
    assert not with_function & {text.id for text in TEXTS if text.kind == "person"}


@pytest.mark.parametrize("text", TEXTS, ids=[text.id for text in TEXTS])
def test_wording(text: CheckText) -> None:
    """Short enough for one line; a person is asked a question, the records are told a statement."""
    assert len(text.text) <= 110
    assert text.text.endswith("?" if text.kind == "person" else ".")
    assert text.role in ROLE_NAMES and text.role != "AU"
