"""Register of documents of an invented demo, each with the day it was written, the day it was registered and its file."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from dossier.store.rawfiles import store_raw


@dataclass(frozen=True)
class Paper:
    """One document; `registered` is the day the project engineer enters it, `states` what it says."""

    id: str
    title: str
    kind: str
    index: str
    on: str
    registered: str
    states: str


def first_day(papers: tuple[Paper, ...], name: str) -> str:
    """The day of a document's first index."""
    return min(paper.on for paper in papers if paper.id == name)


def register(papers: tuple[Paper, ...], day: str, by: str, project: Path) -> list[dict[str, Any]]:
    """The register as it is on a day, the newest index of each document, with files stored in the project."""
    newest = {paper.id: paper for paper in papers if paper.registered <= day}
    return [_entry(newest[name], by, project) for name in sorted(newest)]


def _entry(paper: Paper, by: str, project: Path) -> dict[str, Any]:
    text = f"DEMO, invented: {paper.title}, index {paper.index}, {paper.on}\n\n{paper.states}\n"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"{paper.id}-{paper.index}.txt"
        path.write_text(text, "utf-8")
        digest = store_raw(project, path).sha256
    return {
        "id": paper.id, "title": paper.title, "kind": paper.kind, "index": paper.index, "on": paper.on, "by": by,
        "file": digest, "file_name": path.name,
    }  # fmt: skip
