"""Who wrote a record: everybody whose change of it stands in the history."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from dossier.records.collections import collection_of_path
from dossier.store.errors import BrokenFile, StoreError
from dossier.store.history import History
from dossier.store.tomlfile import parse_document

# Entering that a record was reviewed, accepted or confirmed makes nobody an author of what it says.
NOT_WRITING = ("reviewed_by", "reviewed_on", "accepted_by", "accepted_on", "confirmed_by", "confirmed_on")


def authors_of(history: History, places: dict[str, str], start: str | None = None) -> dict[str, set[str]]:
    """Record id → persons who changed it up to `start` (default: head), for records {id: relative path of its file}.

    A file of several records is compared entry by entry, so that nobody becomes author of a neighbour. A record that
    moved between files of its kind keeps its authors. Raises DamagedHistory.
    """
    authors: dict[str, set[str]] = {record_id: set() for record_id in places}
    wanted: dict[str, set[str]] = {}
    for record_id, path in places.items():
        wanted.setdefault(_kind(path), set()).add(record_id)
    read = _Reader(history)
    for entry in history.log(start=start):
        touched = {path: wanted[_kind(path)] for path in entry.paths if _kind(path) in wanted}
        for record_id in read.changed(entry.parent, entry.id, touched):
            authors[record_id].add(entry.author)
    return authors


class _Reader:
    """Records of files as the history holds them; each version of a file is parsed once."""

    def __init__(self, history: History) -> None:
        self._history = history
        self._known: dict[tuple[str, str], dict[str, Any]] = {}
        self._trees: dict[str | None, dict[str, str]] = {}

    def changed(self, parent: str | None, head: str, touched: dict[str, set[str]]) -> set[str]:
        """Ids that differ between two entries; a record that only moved from one file to another does not."""
        before: dict[str, Any] = {}
        after: dict[str, Any] = {}
        for path in touched:
            before |= self._records(parent, path)
            after |= self._records(head, path)
        ids = set().union(*touched.values()) if touched else set()
        return {record_id for record_id in ids if before.get(record_id) != after.get(record_id)}

    def _records(self, head: str | None, path: str) -> dict[str, Any]:
        if head is None:
            return {}
        if head not in self._trees:
            self._trees[head] = self._history.tree_at(head)
        blob = self._trees[head].get(path)
        if blob is None:
            return {}
        if (path, blob) not in self._known:
            records = _records_at(self._history, head, path)
            self._known[path, blob] = {name: _written(entry) for name, entry in records.items()}
        return self._known[path, blob]


def _kind(path: str) -> str:
    collection = collection_of_path(path)
    return collection.kind if collection else ""


def changed_ids(history: History, parent: str | None, head: str, paths: Iterable[str]) -> list[str]:
    """Ids of records that differ between two entries of the history, in the files at `paths`.

    A file whose recorded form is damaged is left out: this is for showing, `verify` tells the damage.
    """
    found: list[str] = []
    for path in paths:
        try:
            old, new = _records_at(history, parent, path), _records_at(history, head, path)
        except StoreError:
            continue
        found += [name for name in dict.fromkeys((*old, *new)) if old.get(name) != new.get(name)]
    return found


def _records_at(history: History, head: str | None, path: str) -> dict[str, Any]:
    collection = collection_of_path(path)
    if head is None or collection is None:
        return {}
    data = history.read_at(head, path)
    try:
        document = parse_document(data, path) if data is not None else None
    except BrokenFile:
        return {}
    if document is None:
        return {}
    if not collection.key:
        return {str(document.get("id", "")): _without_keys(document)}
    entries = document.get(collection.key, [])
    return {str(e.get("id", "")): e for e in entries if isinstance(e, dict)} if isinstance(entries, list) else {}


def _written(entry: dict[str, Any]) -> dict[str, Any]:
    return {field: value for field, value in entry.items() if field not in NOT_WRITING}


def _without_keys(document: dict[str, Any]) -> dict[str, Any]:
    """Registering one's own public key makes nobody an author of project.toml."""
    people = document.get("people")
    if not isinstance(people, list):
        return document
    bare = [{k: v for k, v in p.items() if k != "public_key"} if isinstance(p, dict) else p for p in people]
    return {**document, "people": bare}
