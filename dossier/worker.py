"""Long work in a process of its own: `python -m dossier.worker VERB PROJECT --person NAME [ID…]`.

`run` calculates the ids, `preview` reads the measured files of an evidence item (its id, a reading scheme or nothing,
SPECIMEN=FILE or FILE ...), `take` stores them and enters them as samples, `draft` prints the document as a draft,
`freeze` freezes the revision in work with the passphrase read from the first line of stdin. One JSON object a line on
stdout, the last one telling the outcome:
{"progress": {"id", "number", "of"}}, {"progress": {"page"}} or {"progress": {"share", "rows"}}, then
{"change": {"message", "author", "files"}, "read": {path: SHA-256}, "stored": [raw file]},
{"preview": {"told", "questions"}}, {"printed": {"path", "pages"}}, {"frozen": {"letter", "pages", "files"}} or
{"refused": text}. `run` and `preview` write nothing to the project, `take` only raw files: whoever started it records
the change, if the files are still those that were read, and else drops these. Ended by SIGTERM the process leaves
nothing half written: a draft, a revision and raw files appear as a whole or not at all.
"""

from __future__ import annotations

import argparse
import json
import signal
import sys
from collections.abc import Callable, Sequence
from dataclasses import asdict
from pathlib import Path
from time import monotonic
from typing import Any

from dossier.actions.calculate import calculate
from dossier.actions.document import print_draft
from dossier.actions.freeze import freeze_revision
from dossier.actions.measured import import_curves, preview_curves
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal, words_of
from dossier.store.change import Change
from dossier.store.errors import StoreError
from dossier.store.rawfiles import raw_names

PAUSE_S = 0.1
ENDED = 143  # what a shell tells of a process ended by SIGTERM


def main(arguments: Sequence[str] | None = None) -> int:
    """Do one piece of work; 0 done, 1 refused."""
    parser = argparse.ArgumentParser(prog="dossier.worker", description="Long work of the sheets, told in JSON lines.")
    parser.add_argument("verb", choices=tuple(_VERBS))
    parser.add_argument("project", type=Path)
    parser.add_argument("ids", nargs="*", help="what the verb works on")
    parser.add_argument("--person", required=True)
    given = parser.parse_args(arguments)
    signal.signal(signal.SIGTERM, lambda number, frame: sys.exit(ENDED))
    try:
        _tell(_VERBS[given.verb](given))
    except (Refusal, StoreError, KeyError, OSError, RuntimeError, ValueError) as error:
        _tell({"refused": words_of(error)})
        return 1
    return 0


def _run(given: argparse.Namespace) -> dict[str, Any]:
    opened = Opened(given.project)
    read = {path: fact.sha256 for path, fact in opened.snapshot.files.items()}
    return _told_change(calculate(opened.project, given.ids, given.person, progress=_progress), read)


def _preview(given: argparse.Namespace) -> dict[str, Any]:
    item, scheme, *pairs = given.ids
    return {"preview": asdict(preview_curves(Opened(given.project).project, item, pairs, scheme, _rows()))}


def _take(given: argparse.Namespace) -> dict[str, Any]:
    item, scheme, *pairs = given.ids
    opened = Opened(given.project)
    read = {path: fact.sha256 for path, fact in opened.snapshot.files.items()}
    before = raw_names(given.project)
    change = import_curves(opened.project, item, pairs, given.person, scheme, confirmed=True, progress=_rows())
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    return {**_told_change(change, read), "stored": sorted(raw_names(given.project) - before)}


def _told_change(change: Change, read: dict[str, str]) -> dict[str, Any]:
    files = {path: data.decode() for path, data in change.files.items() if data is not None}
    return {"change": {"message": change.message, "author": change.author, "files": files}, "read": read}


def _draft(given: argparse.Namespace) -> dict[str, Any]:
    path, pages = print_draft(Opened(given.project), progress=_page)
    return {"printed": {"path": str(path), "pages": pages}}


def _freeze(given: argparse.Namespace) -> dict[str, Any]:
    passphrase = sys.stdin.readline().rstrip("\n")
    frozen = freeze_revision(Opened(given.project), given.person, passphrase, progress=_page)
    return {"frozen": {"letter": frozen.letter, "pages": frozen.pages, "files": frozen.files}}


_VERBS: dict[str, Callable[[argparse.Namespace], dict[str, Any]]] = {
    "run": _run, "preview": _preview, "take": _take, "draft": _draft, "freeze": _freeze,
}  # fmt: skip


def _progress(record_id: str, number: int, of: int) -> None:
    _tell({"progress": {"id": record_id, "number": number, "of": of}})


def _rows() -> Callable[[float, int], None]:
    """Tells the share of the files that is read, and the rows, ten times a second at most."""
    told = monotonic()

    def tell(share: float, rows: int) -> None:
        nonlocal told
        if monotonic() - told >= PAUSE_S:
            told = monotonic()
            _tell({"progress": {"share": share, "rows": rows}})

    return tell


def _page(pages: int) -> None:
    _tell({"progress": {"page": pages}})


def _tell(fact: dict[str, Any]) -> None:
    sys.stdout.write(json.dumps(fact, ensure_ascii=True) + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
