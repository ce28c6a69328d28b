"""Documents of projects for the tests of the chapters: the demonstration project, a bare one, and changed ones."""

from __future__ import annotations

import copy
import re
import shutil
from datetime import date
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from pdf_words import pieces_of
from pypdf import PdfReader

from dossier.checks.view import View
from dossier.release.chapters import story
from dossier.release.document import build_document
from dossier.release.facts import Facts, HistoryLine
from dossier.release.page import Page
from dossier.store.project import project_from_documents
from dossier.store.revisions import sums_of
from dossier.store.tomlfile import parse_document

DEMO = Path(__file__).parents[2] / "projects" / "axle-link"
TODAY = date(2026, 11, 25)


def demo_documents() -> dict[str, dict[str, Any]]:
    """All records of the demonstration project by path."""
    found = {}
    for path in sorted(DEMO.rglob("*.toml")):
        name = path.relative_to(DEMO).as_posix()
        if not name.startswith(("revisions/", "history.git/")):
            found[name] = parse_document(path.read_bytes(), name)
    return found


def facts_of(folder: Path, documents: dict[str, dict[str, Any]], *, released: bool = False) -> Facts:
    """Facts of an issue made from plain records; sign-offs are not read."""
    project = project_from_documents(folder, copy.deepcopy(documents))
    assert project.problems == []
    sums = sums_of({path: repr(data).encode() for path, data in documents.items()}, {})
    history = [HistoryLine("2026-11-20T08:00:00Z", "M. Olsen", "records entered")]
    return Facts(View(project, TODAY), "B", released, TODAY.isoformat(), sums, history)


def built(facts: Facts, size: str = "a4", chapters: Any = story) -> SimpleNamespace:
    """Bytes, report, reader, pieces and text of each page, of all chapters or of one."""
    out = BytesIO()
    page = Page(size)
    report = build_document(lambda kit: chapters(kit, facts), facts.info(), page, out, known_ids=facts.project.records)
    data = out.getvalue()
    reader = PdfReader(BytesIO(data))
    pieces = [pieces_of(each) for each in reader.pages]
    texts = ["".join(p.text for p in each) for each in pieces]
    return SimpleNamespace(data=data, report=report, reader=reader, page=page, pieces=pieces, texts=texts, facts=facts)


def squeezed(text: str) -> str:
    """Without white, so that line ends do not matter."""
    return re.sub(r"\s", "", text)


def body(document: SimpleNamespace, number: int | None = None) -> str:
    """Level text between running head and title block, without white: of one page (from 1) or of all."""
    low, high = document.page.frame_bottom - 1, document.page.frame_top + 1
    chosen = document.pieces if number is None else [document.pieces[number - 1]]
    return squeezed("".join(p.text for page in chosen for p in page if abs(p.angle) < 1 and low < p.y < high))


def copied_demo(target: Path) -> Path:
    """A copy of the demonstration project's folder."""
    shutil.copytree(DEMO, target)
    return target


def strings_replaced(value: Any, change: Any, path: tuple = ()) -> Any:
    """A document with each string passed through `change(path, string)`."""
    if isinstance(value, dict):
        return {name: strings_replaced(item, change, (*path, name)) for name, item in value.items()}
    if isinstance(value, list):
        return [strings_replaced(item, change, (*path, number)) for number, item in enumerate(value)]
    return change(path, value) if isinstance(value, str) else value
