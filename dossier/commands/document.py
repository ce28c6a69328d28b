"""Commands that make documents."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from dossier.commands.common import add_person, add_project, opened, passphrase_of, say


def add_to(verbs: Any) -> None:
    """Add the parsers of this group."""
    draft = verbs.add_parser("draft", help="print the release document as it would be now, marked as draft")
    add_project(draft)
    draft.add_argument("--out", type=Path, help="PDF file (default: drafts/ in the project's folder)")
    draft.add_argument("--page", choices=("a4", "letter"), default="a4")
    draft.set_defaults(run=_draft)
    freeze = verbs.add_parser("freeze", help="freeze the revision in work: records, digests, signed document")
    add_project(freeze)
    freeze.add_argument("--page", choices=("a4", "letter"), default="a4")
    add_person(freeze)
    freeze.set_defaults(run=_freeze)


def _draft(given: argparse.Namespace) -> int:
    from dossier.actions.document import print_draft

    project = opened(given)
    path, pages = print_draft(project, given.out, given.page)
    say(f"{path}: {pages} pages, marked as draft")
    return 0


def _freeze(given: argparse.Namespace) -> int:
    from dossier.actions.freeze import freeze_revision
    from dossier.actions.opened import acting_person

    project = opened(given)
    person = acting_person(project.project.header, given.person)
    frozen = freeze_revision(project, person, passphrase_of(person), paper=given.page)
    say(f"revision {frozen.letter} frozen: {frozen.files} files, document of {frozen.pages} pages in {frozen.folder}")
    return 0
