"""The sample document, built once per size and state for all tests."""

from __future__ import annotations

import sys
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace

import pytest

sys.path.insert(0, str(Path(__file__).parent))

import sample_story  # noqa: E402
from chapters_case import DEMO, body, built, demo_documents, facts_of  # noqa: E402
from pdf_words import pieces_of  # noqa: E402
from pypdf import PdfReader  # noqa: E402
from sample_story import ATTACHMENTS  # noqa: E402

from dossier.release.chapters.evidence import evidence  # noqa: E402
from dossier.release.document import build_document  # noqa: E402
from dossier.release.page import Page  # noqa: E402


def make(story, info, size="a4", **options):
    """Bytes, report and reader of a document."""
    out = BytesIO()
    report = build_document(story, info, Page(size), out, **options)
    data = out.getvalue()
    return SimpleNamespace(
        data=data, report=report, reader=PdfReader(BytesIO(data)), page=Page(size), info=info
    )


def with_pieces(document):
    """The same with the pieces of text of each page."""
    document.pieces = [pieces_of(page) for page in document.reader.pages]
    return document


@pytest.fixture(scope="session", params=[("a4", False), ("letter", True), ("a4", True), ("letter", False)],
                ids=["a4-draft", "letter-released", "a4-released", "letter-draft"])  # fmt: skip
def sample(request):
    size, released = request.param
    info = sample_story.info(released=released)
    return with_pieces(make(sample_story.story, info, size, attachments=ATTACHMENTS))


@pytest.fixture(scope="session")
def build():
    """Build a document from a list-making function of the kit."""

    def run(story, size="a4", *, released=True, changes=None, **options):
        return make(story, sample_story.info(released=released, **(changes or {})), size, **options)

    return run


@pytest.fixture(scope="session")
def facts():
    """The demonstration project as the chapters get it."""
    return facts_of(DEMO, demo_documents())


@pytest.fixture(scope="session")
def sheet_4(facts):
    """The text of its chapter on evidence."""
    return body(built(facts, chapters=lambda kit, f: evidence(kit, f, "Evidence")))
