"""Begin a project: a folder with its first records, and the first entry of its history."""

from __future__ import annotations

import secrets
from pathlib import Path

from dossier.actions.edit import validated
from dossier.actions.refusal import Refusal
from dossier.actions.told import in_words
from dossier.records.header import Header
from dossier.store.change import Change
from dossier.store.tomlfile import dump_document


def new_project(folder: Path, title: str, person: str, roles: list[str]) -> Change:
    """The first change of a new project in an empty or missing folder. Raises Refusal."""
    if folder.exists() and not folder.is_dir():
        raise Refusal(f"{folder} is not a folder; choose another name")
    if folder.exists() and any(folder.iterdir()):
        raise Refusal(f"{folder} is not empty; choose another folder")
    header = {
        "id": "project",
        "project_id": secrets.token_hex(16),
        "format": 1,
        "title": title,
        "people": [{"name": person, "roles": roles}],
    }
    validated(Header, header)
    return Change(f"project {in_words(title)} begun", person, {"project.toml": dump_document(header)})
