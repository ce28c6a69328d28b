"""Edits made outside the tool, told field by field."""

from __future__ import annotations

from typing import Any

from dossier.actions.opened import Opened
from dossier.records.collections import Collection, collection_of_path
from dossier.records.fields import NoField, spot_at
from dossier.store.errors import StoreError
from dossier.store.tomlfile import parse_document
from dossier.store.words import differences, in_words


def told_edits(opened: Opened) -> list[str]:
    """One line for each field that differs from the history; one for each file that came, went or is broken."""
    told: list[str] = []
    for edit in opened.snapshot.foreign:
        fact = opened.snapshot.files.get(edit.path)
        before = _recorded(opened, edit.path)
        if edit.kind != "changed" or fact is None or fact.document is None or before is None:
            told.append(f"{edit.path} was {edit.kind}")
            continue
        fields = _told_fields(edit.path, before, fact.document)
        told += fields or [f"{edit.path} was changed: comments, spacing or order of fields"]
    return told


def _recorded(opened: Opened, path: str) -> dict[str, Any] | None:
    """The document of the history's head, None where there is none or it cannot be read."""
    if opened.snapshot.head is None:
        return None
    try:
        data = opened.folder.history().read_at(opened.snapshot.head, path)
        return parse_document(data, path) if data is not None else None
    except StoreError:
        return None


def _told_fields(path: str, before: dict[str, Any], now: dict[str, Any]) -> list[str]:
    collection = collection_of_path(path)
    record = "" if collection is None or collection.key else str(now.get("id", before.get("id", "")))

    def unit(steps: tuple[str, ...]) -> str | None:
        return _unit(collection, now, before, steps)

    return [f"{path}: {in_words(change, unit, record=record)}" for change in differences(before, now)]


def _unit(
    collection: Collection | None, now: dict[str, Any], before: dict[str, Any], steps: tuple[str, ...]
) -> str | None:
    """The unit of a changed field; `steps` name records by their id and other entries of lists as "[2]"."""
    if collection is None:
        return None
    for document in (now, before):
        raw, inside = document, steps
        if collection.key:
            entries = document.get(collection.key)
            listed = entries if isinstance(entries, list) and len(steps) > 2 else []
            raw = next((e for e in listed if isinstance(e, dict) and e.get("id") == steps[1]), None)
            inside = steps[2:]
        if raw is None:
            continue
        dotted = ".".join(str(int(step[1:-1]) - 1) if step.startswith("[") else step for step in inside)
        try:
            unit = spot_at(collection.model, raw, dotted).unit
        except NoField:
            continue
        return unit if unit not in ("", "-") else None
    return None
