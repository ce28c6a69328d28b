"""Who wrote a record: everybody whose change of it stands in the history."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from dossier.records.collections import collection_of_path
from dossier.store.errors import BrokenFile, StoreError
from dossier.store.history import History
from dossier.store.tomlfile import parse_document


def authors_of(history: History, places: dict[str, str], start: str | None = None) -> dict[str, set[str]]:
    """Record id → persons who changed it up to `start` (default: head), for records {id: relative path of its file}.

    A file of several records is compared entry by entry, so that nobody becomes author of a neighbour.
    """
    authors: dict[str, set[str]] = {record_id: set() for record_id in places}
    by_path: dict[str, set[str]] = {}
    for record_id, path in places.items():
        by_path.setdefault(path, set()).add(record_id)
    for entry in history.log(start=start):
        for path in entry.paths:
            if path not in by_path:
                continue
            old = _records_at(history, entry.parent, path)
            new = _records_at(history, entry.id, path)
            for record_id in by_path[path]:
                if old.get(record_id) != new.get(record_id):
                    authors[record_id].add(entry.author)
    return authors


def changed_ids(history: History, parent: str | None, head: str, paths: Iterable[str]) -> list[str]:
    """Ids of records that differ between two entries of the history, in the files at `paths`."""
    found: list[str] = []
    for path in paths:
        old, new = _records_at(history, parent, path), _records_at(history, head, path)
        found += [name for name in dict.fromkeys((*old, *new)) if old.get(name) != new.get(name)]
    return found


def _records_at(history: History, head: str | None, path: str) -> dict[str, Any]:
    collection = collection_of_path(path)
    if head is None or collection is None:
        return {}
    try:
        data = history.read_at(head, path)
        document = parse_document(data, path) if data is not None else None
    except (BrokenFile, StoreError):
        return {}
    if document is None:
        return {}
    if not collection.key:
        return {str(document.get("id", "")): _without_keys(document)}
    entries = document.get(collection.key, [])
    return {str(e.get("id", "")): e for e in entries if isinstance(e, dict)} if isinstance(entries, list) else {}


def _without_keys(document: dict[str, Any]) -> dict[str, Any]:
    """Registering one's own public key makes nobody an author of project.toml."""
    people = document.get("people")
    if not isinstance(people, list):
        return document
    bare = [{k: v for k, v in p.items() if k != "public_key"} if isinstance(p, dict) else p for p in people]
    return {**document, "people": bare}
