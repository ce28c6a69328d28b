"""The commands: each a thin call of an action. Output goes to stdout, refusals and warnings to stderr."""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Sequence
from importlib import import_module

# One module of dossier.commands per group of verbs; each adds its parsers in `add_to`.
GROUPS = ("look", "work", "planning", "evidence", "people", "document")


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
    from dossier.commands.common import warn
    from dossier.store.errors import StoreError

    _print_whatever_comes()
    given = parser().parse_args(arguments)
    try:
        return int(given.run(given) or 0)
    except BrokenPipeError:
        return _nobody_listens()
    except KeyboardInterrupt:
        warn(f"dossier {given.verb}: stopped")
        return 1
    except (Refusal, StoreError, KeyError, OSError) as error:
        warn(f"dossier {given.verb}: {_words(error)}")
        return 1


def _print_whatever_comes() -> None:
    """A terminal that cannot show a character gets its code instead of an error."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _nobody_listens() -> int:
    """The reader of the output has gone (`| head`): nothing is wrong, and nothing may be said at the end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0


def _words(error: Exception) -> str:
    if isinstance(error, KeyError) and error.args:
        return str(error.args[0])
    if isinstance(error, FileNotFoundError) and error.filename:
        return f"{error.filename} is not there; check the path"
    if isinstance(error, OSError) and error.filename:
        return f"{error.filename}: {error.strerror}"
    return str(error)


if __name__ == "__main__":
    sys.exit(main())
