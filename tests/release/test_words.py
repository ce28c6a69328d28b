"""Numbers and units of the document as a reader meets them."""

from __future__ import annotations

import pytest
from chapters_case import body, built, squeezed

from dossier.checks.told_numbers import with_band
from dossier.release.chapters.cost import cost


@pytest.mark.parametrize(
    ("value", "low", "high", "told"),
    [
        (-0.0853, -1.46, 1.29, "−0.1 ± 1.4 %"), (0.4, -2.6, 3.4, "0.4 ± 3.0 %"), (56.654, 55.96, 57.34, "56.65 ± 0.69 %"),
        (3.0, 0.0, 6.0, "3.00 ± 3.0 %"),
    ],
)  # fmt: skip
def test_a_value_small_against_its_band_is_no_finer_than_the_band(value, low, high, told):
    assert with_band(value, low, high, "%") == told


def test_the_unit_stands_with_each_part_and_before_what_was_seen(sheet_4):
    assert squeezed("P-214 120.4 kN survived, nothing failed, no crack (magnetic particles)") in sheet_4
    assert squeezed("no ring moved kN") not in sheet_4


def test_workings_and_schemes_are_in_the_units_of_the_requirements(sheet_4):
    for words in ("N·mm/rad", "N or N·mm", "Condition: -"):
        assert squeezed(words) not in sheet_4
    for words in ("secant over −118 .. 118 N·m", "−11 .. 11 kN, by load", "0.9 µm/kN", "0.16 °/(kN·m)"):
        assert squeezed(words) in sheet_4, words


def test_an_aborted_test_decides_nothing(sheet_4):
    assert squeezed("R-026 not decided by it") in sheet_4


def test_a_small_difference_of_cost_is_printed_fine_enough_to_be_told_from_none(facts):
    printed = body(built(facts, chapters=lambda kit, f: cost(kit, f, "Cost")))
    assert squeezed("From 18.411 to 18.395 EUR per piece, −0.016 EUR") in printed
    assert squeezed("1180.5") not in printed
    assert squeezed("aluminium rings −0.79 +0.79; ") in printed and squeezed("; in points of %") in printed
