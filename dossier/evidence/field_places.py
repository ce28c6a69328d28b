"""Where the fields of many lines begin and end, found for all of them at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

_FEED = ord("\n")
_BLANK = ord(" ")


@dataclass(frozen=True)
class FieldPlaces:
    """`characters` of the text (n,) uint8 and the number of fields of each line, `count` (lines,)."""

    characters: np.ndarray
    count: np.ndarray
    _begins: np.ndarray
    _stops: np.ndarray
    _first: np.ndarray

    def starts(self, lines: np.ndarray, field: int) -> np.ndarray:
        """Where field `field` (from 0) of each of `lines` (m,) begins; these lines must have it."""
        return self._begins[self._first[lines] + field]

    def ends(self, lines: np.ndarray, field: int) -> np.ndarray:
        """The place behind the last character of field `field` of each of `lines` (m,)."""
        return self._stops[self._first[lines] + field]


def field_places(text: bytes, delimiter: bytes) -> FieldPlaces:
    """The fields of `text`, whole lines ended by a line feed; the delimiter " " stands for any blanks."""
    characters = np.frombuffer(text, np.uint8)
    if delimiter == b" ":
        return _between_blanks(characters)
    stops = np.flatnonzero((characters == delimiter[0]) | (characters == _FEED))
    feeds = np.flatnonzero(characters[stops] == _FEED)
    first = np.concatenate(([0], feeds[:-1] + 1))
    return FieldPlaces(characters, feeds - first + 1, np.concatenate(([0], stops[:-1] + 1)), stops, first)


def _between_blanks(characters: np.ndarray) -> FieldPlaces:
    blank = characters <= _BLANK
    begins = np.flatnonzero(~blank & np.concatenate(([True], blank[:-1])))
    stops = np.flatnonzero(blank & np.concatenate(([False], ~blank[:-1])))
    feeds = np.flatnonzero(characters == _FEED)
    last = np.searchsorted(begins, feeds)
    first = np.concatenate(([0], last[:-1]))
    return FieldPlaces(characters, last - first, begins, stops, first)
