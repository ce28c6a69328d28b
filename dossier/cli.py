"""The commands: each a thin call of an action. Output goes to stdout, refusals and warnings to stderr."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from importlib import import_module

# One module of dossier.commands per group of verbs; each adds its parsers in `add_to`.
GROUPS = ("look", "work", "people", "document")


def parser() -> argparse.ArgumentParser:
    """The complete argument parser."""
    top = argparse.ArgumentParser(
        prog="dossier",
        description="A joint project from idea to release: requirements, calculations, evidence, cost, document.",
    )
    verbs = top.add_subparsers(dest="verb", metavar="VERB", required=True)
    for group in GROUPS:
        import_module(f"dossier.commands.{group}").add_to(verbs)
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; 0 done, 1 not met or refused, 2 wrong use."""
    from dossier.actions.refusal import Refusal
    from dossier.store.errors import StoreError

    given = parser().parse_args(arguments)
    try:
        return int(given.run(given) or 0)
    except (Refusal, StoreError, KeyError, FileNotFoundError) as error:
        print(f"dossier {given.verb}: {_words(error)}", file=sys.stderr)
        return 1
    except BrokenPipeError:
        return 0


def _words(error: Exception) -> str:
    if isinstance(error, KeyError) and error.args:
        return str(error.args[0])
    if isinstance(error, FileNotFoundError) and error.filename:
        return f"{error.filename} is not there"
    return str(error)
