"""Which change of a person comes next for taking back or bringing back, and the change that does it.

A change is taken back by a new entry (the old one stays in the history): each file it touched gets the bytes it
had before. Both kinds of entry carry a trailer naming the entry they act on, so the order can be read from the
history alone, newest first.
"""

from __future__ import annotations

from dossier.store.change import UNDOABLE, Change
from dossier.store.errors import NotUndoable
from dossier.store.history import Entry, History

TAKES_BACK, BRINGS_BACK = "Takes-Back", "Brings-Back"
_PREFIXES = {TAKES_BACK: "Taken back: ", BRINGS_BACK: "Brought back: "}
_REFUSALS = {TAKES_BACK: "cannot be taken back", BRINGS_BACK: "cannot be brought back"}


def change_to_undo(history: History, author: str) -> Change:
    """The change that takes back the newest standing change of `author`. Raises NotUndoable."""
    taken_back: set[str] = set()
    for entry in history.log():
        if entry.author != author:
            continue
        if TAKES_BACK in entry.trailers:
            taken_back.add(entry.trailers[TAKES_BACK])
        elif entry.id not in taken_back:
            return _reverse(history, entry, author, TAKES_BACK)
    raise NotUndoable(f"{author} has no change left to take back")


def change_to_redo(history: History, author: str) -> Change:
    """The change that brings back what `author` took back last and has not written over. Raises NotUndoable."""
    brought_back: set[str] = set()
    for entry in history.log():
        if entry.author != author:
            continue
        if BRINGS_BACK in entry.trailers:
            brought_back.add(entry.trailers[BRINGS_BACK])
        elif TAKES_BACK not in entry.trailers:
            break
        elif entry.id not in brought_back:
            return _reverse(history, entry, author, BRINGS_BACK)
    raise NotUndoable(f"{author} has no change to bring back")


def _reverse(history: History, entry: Entry, author: str, trailer: str) -> Change:
    words, refusal = _plain_words(entry.message), _REFUSALS[trailer]
    if entry.trailers.get(UNDOABLE, "").lower() == "no":
        raise NotUndoable(f"“{words}” {refusal}; correct it by a new change")
    if entry.parent is None:
        raise NotUndoable(f"“{words}” began this history and {refusal}")
    later = _changed_since(history, entry)
    if later is not None:
        raise NotUndoable(f"“{words}” {refusal} alone: {later}; correct it by a new change")
    files = {path: history.read_at(entry.parent, path) for path in entry.paths}
    return Change(_PREFIXES[trailer] + words, author, files, {trailer: entry.id})


def _changed_since(history: History, entry: Entry) -> str | None:
    then, now = history.tree_at(entry.id), history.tree_at(history.head())
    for path in entry.paths:
        if then.get(path) != now.get(path):
            later = next(history.log(limit=1, path=path))
            return f"{path} was changed since by {later.author} (“{later.message.splitlines()[0]}”)"
    return None


def _plain_words(message: str) -> str:
    for prefix in _PREFIXES.values():
        message = message.removeprefix(prefix)
    return message
