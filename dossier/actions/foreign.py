"""Edits made outside the tool, told field by field."""

from __future__ import annotations

from dossier.actions.opened import Opened
from dossier.store.tomlfile import parse_document
from dossier.store.words import differences, in_words


def told_edits(opened: Opened) -> list[str]:
    """One line for each field that differs from the history; one for each file that came, went or is broken."""
    told = []
    history, head = opened.folder.history(), opened.snapshot.head
    for edit in opened.snapshot.foreign:
        fact = opened.snapshot.files.get(edit.path)
        if edit.kind != "changed" or fact is None or fact.document is None or head is None:
            told.append(f"{edit.path} was {edit.kind}")
            continue
        before = history.read_at(head, edit.path) or b""
        for change in differences(parse_document(before, edit.path), fact.document):
            told.append(f"{edit.path}: {in_words(change, record=str(fact.document.get('id', '')))}")
    return told
