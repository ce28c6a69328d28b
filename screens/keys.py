"""The table of keys: letters are verbs, digits are places, arrows move, Enter goes in, Esc goes back.

Every binding of the user interface is made here, so that a key has one meaning, one word and one id to rebind it
by. Help and key row read the live bindings, which makes them follow a rebinding by themselves.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual.binding import Binding

from screens.cells import pad, wrap
from screens.paint import Line, Piece, line

if TYPE_CHECKING:
    from textual.screen import Screen


@dataclass(frozen=True)
class Key:
    """One row of the table: stable id, key in the toolkit's name, the word beside it, what it does."""

    id: str
    key: str
    word: str
    does: str


SHEETS = ("Standing", "Idea", "Requirements", "Design", "Evidence", "Cost", "Release", "Trace", "Changes", "Review")
_PLACES = tuple(
    Key(f"sheet-{digit}", str(digit), name, f"go to sheet {digit} {name}") for digit, name in enumerate(SHEETS)
)
_MOVES = (
    Key("enter", "enter", "open", "go in; in the strip: record; on a curve: pin the place, the slope to it is read"),
    Key("back", "escape", "back", "one back; stops long work; keeps drafts"),
    Key("up", "up", "up", "one row up"),
    Key("down", "down", "down", "one row down"),
    Key("left", "left", "left", "one column left; on a curve: back along it"),
    Key("right", "right", "right", "one column right; on a curve: on along it"),
    Key("page-up", "pageup", "page up", "one page up"),
    Key("page-down", "pagedown", "page down", "one page down"),
    Key("first", "home", "first", "to the first row or place"),
    Key("last", "end", "last", "to the last row or place"),
    Key("next-area", "tab", "next area", "to the next area: strip, table, drawing"),
    Key("mark", "space", "mark", "mark this row, for one action on several"),
)
_VERBS = (
    Key("accept", "a", "accept", "answer a check or review item with yes, a sign on a curve in words; take in an outside edit"),
    Key("withhold", "w", "withhold", "answer no; a remark is asked for"),
    Key("both", "b", "both", "reference and variant, one, other; a curve: all parts, or the other plot"),
    Key("calculate", "c", "calculate", "calculate this"),
    Key("calculate-all", "C", "calculate all", "calculate everything outdated"),
    Key("difference", "d", "difference", "only what differs; was and now"),
    Key("edit", "e", "edit", "change the field under the cursor; typing replaces it, an arrow or Backspace keeps it"),
    Key("find", "f", "find", "search: words, an id, a number, a state"),
    Key("group", "g", "group", "sort and group"),
    Key("history", "h", "history", "history of this record"),
    Key("detail", "i", "in detail", "the working of the number; in a field: what is known of the cell"),
    Key("concede", "k", "concede", "accept a deviation with name, reason and date"),
    Key("load", "l", "load", "a drawing: utilisation under all load cases, under each, the regions; a curve: the next"),
    Key("load-before", "L", "load before", "a drawing: the load case before, from all the regions; a curve: the one before"),
    Key("remark", "m", "remark", "make a remark on the record"),
    Key("new", "n", "new", "a new record of this sheet"),
    Key("next-open", "o", "next", "to the next open item, over everything that is fine"),
    Key("previous-open", "O", "previous", "to the previous open item"),
    Key("print", "p", "PDF", "print this sheet's chapter; on sheet 6 the document"),
    Key("rests-on", "r", "rests on", "down the trace: what this rests on"),
    Key("serves", "s", "serves", "up the trace: what this serves"),
    Key("term", "t", "term", "meaning, symbol and unit of the word at the cursor"),
    Key("take-back", "u", "take back", "take your newest change back, as a new change"),
    Key("bring-back", "y", "bring back", "bring back what was taken back"),
    Key("variant", "v", "variant", "the next variant beside the reference"),
    Key("cross-out", "x", "cross out", "withdraw a record; it stays in the history"),
    Key("zoom-in", "z", "zoom", "closer: drawing, curve"),
    Key("zoom-out", "Z", "zoom out", "farther: drawing, curve"),
)
_FUNCTIONS = (
    Key("help", "f1", "help", "what the keys do here, and about the field under the cursor"),
    Key("actions", "f2", "actions", "everything possible here, in words"),
    Key("messages", "f3", "messages", "all messages with their time"),
    Key("appearance", "f4", "appearance", "slate, paper or ink; plain glyphs; hints"),
)
# Kept although they use control: every terminal user expects them to leave. They ask as Esc on sheet 0 does.
_LEAVE = (
    Key("leave", "ctrl+c", "leave", "leave the program"),
    Key("leave-too", "ctrl+q", "leave", "leave the program"),
)
KEYS: tuple[Key, ...] = _PLACES + _MOVES + _VERBS + _FUNCTIONS + _LEAVE
_BY_ID: Mapping[str, Key] = {entry.id: entry for entry in KEYS}
_NAMES = {
    "enter": "Enter", "escape": "Esc", "up": "Up", "down": "Down", "left": "Left", "right": "Right",
    "pageup": "Page up", "pagedown": "Page down", "home": "Home", "end": "End", "tab": "Tab", "space": "Space",
    "ctrl+c": "Ctrl c", "ctrl+q": "Ctrl q",
}
_ALLOWED = re.compile(
    r"[a-zA-Z0-9]|f[1-4]|up|down|left|right|pageup|pagedown|home|end|tab|space|enter|escape|ctrl\+[cq]"
)
MOST_IN_ROW = 5


def entry(key_id: str) -> Key:
    """Row of the table with that id. Raises KeyError with the known ids."""
    try:
        return _BY_ID[key_id]
    except KeyError:
        raise KeyError(f'key id "{key_id}" is not in the table; known are {", ".join(_BY_ID)}') from None


def allowed(key: str) -> bool:
    """Whether a key may be bound: letters, digits, F1 to F4, arrows, page keys, Home, End, Tab, Space, Enter, Esc."""
    return _ALLOWED.fullmatch(key) is not None


def key_name(key: str) -> str:
    """A key as people write it: `Enter`, `Page down`, `F1`, `a`."""
    return _NAMES.get(key, key.upper() if re.fullmatch(r"f\d", key) else key)


def bind(key_id: str, action: str = "", word: str = "", priority: bool = False) -> Binding:
    """The binding of a key id. The action is by default the id with underscores, for a digit `sheet(digit)`."""
    row = entry(key_id)
    if not action:
        place = re.fullmatch(r"sheet-(\d)", key_id)
        action = f"sheet({place.group(1)})" if place else key_id.replace("-", "_")
    return Binding(row.key, action, word or row.word, id=key_id, priority=priority)


def bind_all(*key_ids: str) -> list[Binding]:
    """Bindings of several ids, each with its default action."""
    return [bind(key_id) for key_id in key_ids]


def house_bindings() -> list[Binding]:
    """What works from everywhere: the ten sheets, F1 to F4, and leaving."""
    leave = [bind("leave", "leave", priority=True), bind("leave-too", "leave", priority=True)]
    return [bind(row.id) for row in _PLACES + _FUNCTIONS] + leave


def move_bindings() -> list[Binding]:
    """Up, down, page keys, Home and End, for anything with rows."""
    return bind_all("up", "down", "page-up", "page-down", "first", "last")


@dataclass(frozen=True)
class Live:
    """A key as it is bound now: id (empty for a binding outside the table), key, word, what it does, usable."""

    id: str
    key: str
    word: str
    does: str
    enabled: bool


def live(screen: Screen) -> list[Live]:
    """The keys that work now on `screen`, in the order of the table, as rebound."""
    found = []
    for active in screen.active_bindings.values():
        bound = active.binding
        row = _BY_ID.get(bound.id or "")
        does = row.does if row else bound.description
        found.append(Live(bound.id or "", bound.key, bound.description, does, active.enabled))
    order = {key_id: index for index, key_id in enumerate(_BY_ID)}
    return sorted(found, key=lambda item: order.get(item.id, len(order)))


def help_lines(items: Iterable[Live], columns: int) -> list[Line]:
    """The help page's key table: key, word, what it does, wrapped to `columns`; unusable keys are quiet."""
    lines: list[Line] = []
    for item in items:
        role = "ink" if item.enabled else "quiet"
        texts = wrap(item.does, max(columns - 25, 12)) or [""]
        for index, text in enumerate(texts):
            name, word = (key_name(item.key), item.word) if index == 0 else ("", "")
            lines.append([Piece(pad(f" {name}", 11), "key"), Piece(pad(word, 14), role), Piece(text, role)])
    return lines


def key_row(shown: Iterable[tuple[str, str]], columns: int, helped: bool = True) -> Line:
    """The bottom row, `o next  c calculate  F1 help`: (key, word) pairs that fit `columns`, and F1 where it helps.

    Raises ValueError for more than five pairs: the rest belongs on the list of actions.
    """
    pairs = list(shown)
    if len(pairs) > MOST_IN_ROW:
        raise ValueError(f"{len(pairs)} keys in the key row, at most {MOST_IN_ROW}; leave the others to F2")
    pieces, used = line(" "), 1
    last = [Piece("F1", "key"), Piece(" help", "quiet")] if helped else []
    help_width = sum(len(piece.text) for piece in last)
    for key, word in pairs:
        size = len(key_name(key)) + 1 + len(word) + 2
        if used + size + help_width > columns:
            break
        pieces += [Piece(key_name(key), "key"), Piece(f" {word}  ", "quiet")]
        used += size
    return [*pieces, *last]
