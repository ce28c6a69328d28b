"""Colours against the tables they were designed in, and against the contrast they promise."""

import pytest

from screens.palette import (
    APPEARANCES,
    AREAS,
    INK,
    PAPER,
    SLATE,
    TEXT_ROLES,
    UTILISATION_ENDS,
    contrast,
    grey,
    lightness,
    utilisation_class,
)

ALL = pytest.mark.parametrize("name", sorted(APPEARANCES))


def test_contrast_of_black_and_white() -> None:
    """Following WCAG 2 (from memory): 21 is the greatest ratio, 1 the least."""
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert contrast("#123456", "#123456") == 1.0


def test_lightness_of_known_greys() -> None:
    """L* of white is 100, of #777777 about 50 (CIE 1976, D65; the second from memory)."""
    assert lightness("#FFFFFF") == pytest.approx(100.0)
    assert lightness("#777777") == pytest.approx(50.0, abs=0.3)
    assert lightness(grey(43)) == pytest.approx(43, abs=0.3)


@ALL
def test_text_stands_out_on_every_area(name: str) -> None:
    look = APPEARANCES[name]
    pairs = {(role, area): contrast(look.text(role), look.area(area)) for role in TEXT_ROLES for area in AREAS}
    assert min(pairs.values()) >= 4.5, min(pairs, key=pairs.get)


@ALL
def test_outlines_stand_out_on_fills(name: str) -> None:
    look = APPEARANCES[name]
    assert set(look.fills) == set("ABCDE")
    assert min(contrast(look.ink, look.area(key)) for key in "ABCDEF") >= 3.0


@ALL
def test_digits_stand_out_on_their_class(name: str) -> None:
    look = APPEARANCES[name]
    assert len(look.utilisation) == len(UTILISATION_ENDS) + 1
    assert min(contrast(look.text(f"use{number}"), look.area(f"u{number}")) for number in range(8)) >= 4.5


@ALL
def test_utilisation_grows_away_from_the_ground(name: str) -> None:
    look = APPEARANCES[name]
    steps = [lightness(entry.area) for entry in look.utilisation]
    assert steps == sorted(steps, reverse=not look.dark)


@ALL
def test_fills_differ_in_grey(name: str) -> None:
    steps = sorted(lightness(fill) for fill in APPEARANCES[name].fills.values())
    assert min(b - a for a, b in zip(steps, steps[1:], strict=False)) >= 7


# The palette's own table: role, contrast on ground, on lifted, on the focus row.
TABLE = {
    SLATE.name: {"rule": (3.3, 2.9, 2.1), "ink": (14.6, 12.8, 9.4), "quiet": (8.2, 7.2, 5.3), "key": (9.8, 8.6, 6.4),
                 "met": (9.3, 8.2, 6.0), "notmet": (8.3, 7.3, 5.3), "open": (13.0, 11.4, 8.4),
                 "outdated": (9.3, 8.2, 6.0), "conceded": (11.7, 10.3, 7.6)},
    PAPER.name: {"rule": (2.7, 2.4, 2.0), "ink": (13.3, 11.7, 10.0), "quiet": (6.8, 6.0, 5.1), "key": (6.8, 6.0, 5.1),
                 "met": (7.3, 6.4, 5.5), "notmet": (6.5, 5.7, 4.9), "open": (9.7, 8.6, 7.3),
                 "outdated": (7.3, 6.4, 5.5), "conceded": (7.3, 6.5, 5.5)},
    INK.name: {"rule": (21.0, 21.0, 9.4), "ink": (21.0, 21.0, 9.4), "quiet": (16.2, 16.2, 7.2),
               "key": (16.2, 16.2, 7.3), "met": (15.4, 15.4, 6.9), "notmet": (12.3, 12.3, 5.5),
               "open": (21.0, 21.0, 9.4), "outdated": (14.2, 14.2, 6.3), "conceded": (17.1, 17.1, 7.6)},
}
FILLS = {SLATE.name: (4.9, 3.4, 12.5, 6.9, 9.5), PAPER.name: (6.8, 5.3, 4.1, 8.6, 10.8),
         INK.name: (6.5, 4.5, 13.2, 9.3, 17.2)}
DIGITS = {SLATE.name: (11.7, 8.8, 6.3, 4.7, 5.2, 7.5, 10.5, 15.7),
          PAPER.name: (12.9, 10.5, 8.1, 6.2, 4.8, 4.9, 6.7, 14.1)}
# One in the last digit printed: the table was rounded, some of its figures towards zero.
TABLE_STEP = 0.1


@ALL
def test_colours_are_those_of_the_table(name: str) -> None:
    look = APPEARANCES[name]
    for role, expected in TABLE[name].items():
        found = [contrast(look.text(role), look.area(area)) for area in AREAS]
        assert found == pytest.approx(expected, abs=TABLE_STEP), role
    assert [contrast(look.ink, look.area(key)) for key in "ABCDE"] == pytest.approx(FILLS[name], abs=TABLE_STEP)
    if name in DIGITS:
        found = [contrast(look.text(f"use{number}"), look.area(f"u{number}")) for number in range(8)]
        assert found == pytest.approx(DIGITS[name], abs=TABLE_STEP)


@pytest.mark.parametrize(("value", "number"), [
    (0.0, 0), (0.0999, 0), (0.10, 1), (0.20, 2), (0.39, 2), (0.40, 3), (0.60, 4), (0.80, 5), (0.90, 6), (1.0, 6),
    (1.0001, 7),
])
def test_utilisation_classes(value: float, number: int) -> None:
    assert utilisation_class(value) == number
