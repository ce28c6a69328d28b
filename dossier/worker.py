"""Long work in a process of its own: `python -m dossier.worker run PROJECT --person NAME ID…`.

One JSON object a line on stdout, the last one telling the outcome:
{"progress": {"id", "number", "of"}}, then {"change": {"message", "author", "files"}, "read": {path: SHA-256}} or
{"refused": text}. Nothing is written to the project: whoever started the work records the change, if the files are
still those that were read.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from dossier.actions.calculate import calculate
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal, words_of
from dossier.store.errors import StoreError


def main(arguments: Sequence[str] | None = None) -> int:
    """Do one piece of work; 0 done, 1 refused."""
    parser = argparse.ArgumentParser(prog="dossier.worker", description="Long work of the sheets, told in JSON lines.")
    parser.add_argument("verb", choices=("run",))
    parser.add_argument("project", type=Path)
    parser.add_argument("ids", nargs="+", help="calculations and evidence items to run")
    parser.add_argument("--person", required=True)
    given = parser.parse_args(arguments)
    try:
        _tell(_run(given.project, given.ids, given.person))
    except (Refusal, StoreError, KeyError, OSError) as error:
        _tell({"refused": words_of(error)})
        return 1
    return 0


def _run(root: Path, ids: list[str], person: str) -> dict[str, Any]:
    opened = Opened(root)
    read = {path: fact.sha256 for path, fact in opened.snapshot.files.items()}
    change = calculate(opened.project, ids, person, progress=_progress)
    files = {path: data.decode() for path, data in change.files.items() if data is not None}
    return {"change": {"message": change.message, "author": change.author, "files": files}, "read": read}


def _progress(record_id: str, number: int, of: int) -> None:
    _tell({"progress": {"id": record_id, "number": number, "of": of}})


def _tell(fact: dict[str, Any]) -> None:
    sys.stdout.write(json.dumps(fact, ensure_ascii=True) + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
