"""`dossier-sheets [FOLDER]`: the sheets of a project, or the list of the projects in a folder."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path


def parser() -> argparse.ArgumentParser:
    """The arguments."""
    top = argparse.ArgumentParser(
        prog="dossier-sheets", description="The ten sheets of a joint project, or the list of projects in a folder."
    )
    top.add_argument("folder", type=Path, nargs="?", default=Path(), help="a project, or a folder of projects")
    top.add_argument("--person", default="", help="who acts (else the environment's DOSSIER_PERSON)")
    top.add_argument("--appearance", choices=("slate", "paper", "ink"), default="slate")
    top.add_argument("--plain", action="store_true", help="plain glyphs instead of symbols of doubtful width")
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Show the sheets until they are left; 1 when the folder cannot be opened, 2 for wrong use."""
    given = parser().parse_args(arguments)
    if not given.folder.is_dir():
        print(f"dossier-sheets: {given.folder} is no folder; name a project or a folder of projects", file=sys.stderr)
        return 1
    os.environ.setdefault("TEXTUAL_ANIMATIONS", "none")
    from dossier.actions.refusal import Refusal
    from dossier.store.errors import StoreError
    from screens.app import DossierApp

    try:
        app = DossierApp(
            given.folder, given.person, appearance=given.appearance, plain_glyphs=True if given.plain else None, land=True
        )
    except (Refusal, StoreError, OSError) as error:
        print(f"dossier-sheets: {error}", file=sys.stderr)
        return 1
    app.run()
    return app.return_code or 0


if __name__ == "__main__":
    sys.exit(main())
