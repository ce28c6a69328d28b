"""What must have come out, whichever way the small joint was brought to its release."""

from __future__ import annotations

from pathlib import Path

from pypdf import PdfReader

from tests.whole_path.records import CONCESSIONS, ROLES, records


def assert_released(root: Path, verified: str) -> None:
    """Revision A is frozen, whole, and its document holds every record, concession and person; `verified` is what
    `verify` said."""
    assert "Nothing was altered." in verified
    pages = PdfReader(root / "revisions" / "A" / "dossier.pdf").pages
    first = pages[0].extract_text()
    assert "DRAFT" not in first and "6 of 6" in first.replace("\n", " ")
    printed = " ".join(page.extract_text() for page in pages).replace("\n", " ")
    assert all(fields["id"] in printed for kind, fields in records() if kind not in ("idea", "cost"))
    assert all(reason.split(":")[0] in printed for reason in CONCESSIONS.values())
    assert all(person in printed for person in ROLES)
