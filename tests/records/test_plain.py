"""What a record can hold: the quick answer is that of the words."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from dossier.records.plain import storable, unstorable

LEAVES = st.one_of(
    st.none(), st.booleans(), st.integers(-(2**60), 2**60), st.floats(), st.just(date(2026, 11, 26)),
    st.text(st.characters(categories=("L", "N", "Zs", "Cc", "Cs", "Cf")), max_size=4),
)  # fmt: skip
KEYS = st.text(st.characters(categories=("L", "Cc")), max_size=3)
VALUES = st.recursive(LEAVES, lambda below: st.lists(below, max_size=3) | st.dictionaries(KEYS, below, max_size=3))


@given(VALUES)
def test_the_quick_answer_is_that_of_the_words(value) -> None:
    assert storable(value) == (not list(unstorable(value)))
