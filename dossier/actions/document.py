"""Build the release document of the work as a draft."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from pathlib import Path

from dossier.actions.opened import Opened
from dossier.store.atomic import write_atomic
from dossier.store.errors import DamagedHistory
from dossier.store.paths import refuse_links
from dossier.store.rawfiles import raw_digests
from dossier.store.revisions import next_letter, sums_of

Progress = Callable[[int], None]

DRAFTS = "drafts"


def print_draft(
    opened: Opened, target: Path | None = None, paper: str = "a4", progress: Progress | None = None
) -> tuple[Path, int]:
    """Write the draft of the revision in work; returns path and number of pages."""
    letter = next_letter(opened.folder.root)
    name = opened.project.header.short_title or opened.project.header.title
    if target is None:
        refuse_links(opened.folder.root, DRAFTS)
    path = target or opened.folder.root / DRAFTS / f"{_plain(name)}-{letter}-draft.pdf"
    pdf, pages = document_bytes(opened, letter, released=False, paper=paper, progress=progress)
    write_atomic(path, pdf)
    return path, pages


def document_bytes(
    opened: Opened, letter: str, *, released: bool, paper: str = "a4", progress: Progress | None = None
) -> tuple[bytes, int]:
    """The document of the project as it is loaded, and its number of pages."""
    from dossier.release.chapters import story
    from dossier.release.document import build_document
    from dossier.release.facts import Facts
    from dossier.release.page import Page
    from dossier.store.revisions import sums_text

    records = {path: fact.data for path, fact in opened.snapshot.files.items()}
    sums = sums_of(records, raw_digests(opened.folder.root))
    facts = Facts(opened.view, letter, released, opened.today.isoformat(), sums, _history(opened))
    stream = BytesIO()
    report = build_document(
        lambda kit: story(kit, facts), facts.info(), Page(paper), stream,
        attachments={"SHA256SUMS": sums_text(sums)}, known_ids=opened.project.records, progress=progress,
    )  # fmt: skip
    return stream.getvalue(), report.pages


def _history(opened: Opened) -> list:
    from dossier.release.facts import HistoryLine

    try:
        return [HistoryLine(e.time, e.author, e.message) for e in opened.folder.history().log()]
    except DamagedHistory:
        return []


def _plain(name: str) -> str:
    from dossier.store.paths import slug

    return slug(name)
