"""Commands that make documents."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from dossier.commands.common import add_project, opened


def add_to(verbs: Any) -> None:
    """Add the parsers of this group."""
    draft = verbs.add_parser("draft", help="print the release document as it would be now, marked as draft")
    add_project(draft)
    draft.add_argument("--out", type=Path, help="PDF file (default: drafts/ in the project's folder)")
    draft.add_argument("--page", choices=("a4", "letter"), default="a4")
    draft.set_defaults(run=_draft)


def _draft(given: argparse.Namespace) -> int:
    from dossier.actions.document import print_draft

    project = opened(given)
    path, pages = print_draft(project, given.out, given.page)
    print(f"{path}: {pages} pages, marked as draft")
    return 0
