"""The rows of a list as data: order, filter, cursor and marks, told apart by row id. Knows nothing of drawing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any


class ListModel:
    """Which of the source rows are shown in which order, and where the cursor stands.

    Source rows are known by index and id. The cursor stays on its id when rows come, go, are sorted or filtered;
    while its row is hidden it rests on the nearest one shown and returns when the row does.
    """

    def __init__(self) -> None:
        self.ids: Sequence[str] = ()
        self.shown: Sequence[int] = range(0)
        self.cursor = 0
        self.marks: set[str] = set()
        self._wanted: str | None = None
        self._key: Callable[[int], Any] | None = None
        self._reverse = False
        self._keep: Callable[[int], bool] | None = None
        self.selectable: Callable[[int], bool] = lambda index: True

    def __len__(self) -> int:
        return len(self.shown)

    @property
    def row_id(self) -> str | None:
        """Id of the cursor's row, None in an empty list."""
        return self.ids[self.shown[self.cursor]] if self.shown else None

    def id_at(self, place: int) -> str:
        """Id of the row shown at `place`."""
        return self.ids[self.shown[place]]

    def set_ids(self, ids: Sequence[str]) -> None:
        """Replace the source rows; marks of rows that are gone are dropped."""
        self.ids = ids
        self.marks &= set(ids) if self.marks else set()
        self._arrange()

    def order(self, key: Callable[[int], Any] | None, reverse: bool = False) -> None:
        """Sort by a function of the source index; None restores the source's order."""
        self._key, self._reverse = key, reverse
        self._arrange()

    def filter(self, keep: Callable[[int], bool] | None) -> None:
        """Show the source rows for which `keep(index)` is true; None shows all."""
        self._keep = keep
        self._arrange()

    def _arrange(self) -> None:
        place = self.cursor
        shown: Sequence[int] = range(len(self.ids))
        if self._keep is not None:
            shown = [index for index in shown if self._keep(index)]
        if self._key is not None:
            shown = sorted(shown, key=self._key, reverse=self._reverse)
        self.shown = shown
        found = self.place_of(self._wanted) if self._wanted is not None else None
        if found is None:
            found = self._selectable_from(min(place, max(len(shown) - 1, 0)), 1)
        self.cursor = found if found is not None else 0

    def place_of(self, row_id: str | None) -> int | None:
        """Where a row is shown, None when it is not."""
        for place, index in enumerate(self.shown):
            if self.ids[index] == row_id:
                return place
        return None

    def move_to(self, place: int, direction: int = 1) -> bool:
        """Put the cursor at `place`, or on the next row in `direction` that can take it; whether it moved."""
        if not self.shown:
            return False
        found = self._selectable_from(min(max(place, 0), len(self.shown) - 1), direction)
        if found is None or found == self.cursor:
            return False
        self.cursor = found
        self._wanted = self.row_id
        return True

    def want(self, row_id: str) -> bool:
        """Put the cursor on a row id, or have it go there as soon as a filter shows it; whether it is shown."""
        place = self.place_of(row_id)
        if place is not None:
            self.cursor = place
        if place is not None or row_id in self.ids:
            self._wanted = row_id
        return place is not None

    def find(self, wanted: Callable[[int], bool], direction: int = 1) -> int | None:
        """Place of the next row after the cursor, going round once, whose source index is wanted."""
        count = len(self.shown)
        places = ((self.cursor + direction * step) % count for step in range(1, count + 1))
        return next((place for place in places if wanted(self.shown[place])), None)

    def _selectable_from(self, place: int, direction: int) -> int | None:
        step = 1 if direction >= 0 else -1
        for way in (step, -step):
            candidate = place
            while 0 <= candidate < len(self.shown):
                if self.selectable(self.shown[candidate]):
                    return candidate
                candidate += way
        return None

    def toggle_mark(self) -> None:
        """Mark the cursor's row, or take its mark away."""
        if self.row_id is not None:
            self.marks ^= {self.row_id}

    def marked(self) -> list[str]:
        """Marked ids in the source's order."""
        return [row_id for row_id in self.ids if row_id in self.marks] if self.marks else []

    def clear_marks(self, ids: Iterable[str] | None = None) -> None:
        """Take all marks away, or those of `ids`."""
        self.marks -= set(self.marks if ids is None else ids)
