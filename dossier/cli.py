"""The commands: each a thin call of an action. Output goes to stdout, refusals and warnings to stderr."""

from __future__ import annotations

import argparse
import io
import os
import re
import sys
from collections.abc import Sequence
from difflib import get_close_matches
from importlib import import_module
from typing import NoReturn

# One module of dossier.commands per group of verbs; each adds its parsers in `add_to`.
GROUPS = ("look", "work", "planning", "evidence", "one_file", "sizes", "people", "document")


class _Nearest(argparse.ArgumentParser):
    """A parser that names the nearest command where one is unknown."""

    def error(self, message: str) -> NoReturn:
        unknown = re.search(r"argument VERB: invalid choice: '([^']*)' \(choose from (.*)\)", message)
        if unknown:
            near = get_close_matches(unknown[1], re.findall(r"[\w-]+", unknown[2]), 1, 0.5)
            meant = f"did you mean {near[0]}? " if near else ""
            message = f"no command {unknown[1]}; {meant}`dossier --help` lists them"
        super().error(message)


def parser() -> argparse.ArgumentParser:
    """The complete argument parser."""
    top = _Nearest(
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
