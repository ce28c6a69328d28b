"""Class of a calibration as an uncertainty. The limits of the classes are from memory, as the module says."""

import math

import pytest

from dossier.evidence.calibration import class_limit, standard_of_class
from dossier.evidence.errors import EvaluationError


@pytest.mark.parametrize(
    ("quantity", "words", "limit"),
    [("force", "ISO 7500-1 class 1", 0.01), ("force", "class 0,5", 0.005), ("force", "2", 0.02), ("force", "Class 3", 0.03),
     ("displacement", "ISO 9513 class 0.2", 0.002), ("displacement", "class 1", 0.01)],
)  # fmt: skip
def test_the_class_bounds_the_relative_error(quantity, words, limit):
    assert class_limit(quantity, words) == limit
    assert standard_of_class(quantity, words) == pytest.approx(limit / math.sqrt(3), rel=1e-14)


@pytest.mark.parametrize(
    ("quantity", "words", "message"),
    [("force", "class 0.2", "is no class of ISO 7500-1"), ("force", "ISO 7500-1", "is no class"), ("force", "", "is no class"),
     ("mass", "class 1", "a mass channel has no class with known limits"), ("displacement", "class 3", "ISO 9513")],
)  # fmt: skip
def test_what_is_no_class_gives_no_uncertainty(quantity, words, message):
    with pytest.raises(EvaluationError, match=message):
        standard_of_class(quantity, words)
