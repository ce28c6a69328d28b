"""Which files of a project folder are its records, and which names are refused.

Relative paths are written with `/`. Only the names below are ever read as records, recorded in the history
or written; everything else in the folder is left alone.
"""

from __future__ import annotations

import hashlib
import os
import re
import stat
import unicodedata
from dataclasses import dataclass
from pathlib import Path

from dossier.records.places import PLACES
from dossier.store.errors import RefusedPath

ROOT_FILES = frozenset(pattern for pattern in PLACES.values() if "/" not in pattern)
RECORD_FOLDERS = {
    **{pattern.partition("/")[0]: (".toml",) for pattern in PLACES.values() if "/" in pattern},
    "signoffs": (".json", ".sig"),
}
RAW_FOLDER = "evidence/files"

MAX_STEM = 80
_STEM = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,79}")
_DEVICES = frozenset(["con", "prn", "aux", "nul", *(f"{port}{i}" for port in ("com", "lpt") for i in range(1, 10))])
_COPY = re.compile(
    r"(?P<original>.+?)("
    r"\s*\(\d+\)"  # name (1)
    r"|\s*\([^)]*conflict[^)]*\)"  # name (conflicted copy 2025-01-31)
    r"|[ ._-]+conflicted[ ._-]?copy.*"
    r"|[._-]sync-conflict-.*"
    r"|[ ._-]+conflict[ ._-]?\d.*"
    r"|[ _-]+copy(\s*\(?\d+\)?)?"  # name - copy (2)
    r"|~\d*"
    r")",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Problem:
    """Something in the folder that a person must look at: relative path, line (or None), reason with remedy."""

    path: str
    line: int | None
    reason: str

    def __str__(self) -> str:
        return f"{self.path}, line {self.line}: {self.reason}" if self.line else f"{self.path}: {self.reason}"


@dataclass(frozen=True)
class Scan:
    """The record files found (sorted relative paths) and what was refused."""

    paths: list[str]
    problems: list[Problem]


def is_record_path(path: str) -> bool:
    """Whether `path` names a record file of a project."""
    return _why_not(path) is None


def check_record_path(path: str) -> str:
    """`path` itself when it names a record file; raises RefusedPath with the reason otherwise."""
    reason = _why_not(path)
    if reason is not None:
        raise RefusedPath(path, reason)
    return path


def locate(root: Path, path: str) -> Path:
    """The file of record `path` below `root`; raises RefusedPath for a foreign name or a symlink on the way."""
    check_record_path(path)
    refuse_links(root, path)
    return root.joinpath(*path.split("/"))


def refuse_links(root: Path, path: str) -> None:
    """Raise RefusedPath when a part of `path` below `root` is a symlink."""
    place = root
    for part in path.split("/"):
        place = place / part
        if place.is_symlink():
            raise RefusedPath(path, f"{place.relative_to(root).as_posix()} is a symlink; put the file itself there")


def scan(root: Path) -> Scan:
    """Look through the folder for record files without following a link. Raises FileNotFoundError."""
    found: list[str] = []
    problems: list[Problem] = []
    entries = list(os.scandir(root))
    _sort_in([entry for entry in entries if entry.name not in RECORD_FOLDERS], "", found, problems)
    for entry in entries:
        if entry.name not in RECORD_FOLDERS:
            continue
        if entry.is_symlink():
            problems.append(Problem(entry.name, None, "is a symlink; put the folder itself there"))
        elif entry.is_dir():
            _sort_in(list(os.scandir(entry.path)), f"{entry.name}/", found, problems)
    found.sort()
    problems += _same_but_case(found)
    return Scan(found, sorted(problems, key=lambda p: p.path))


def slug(text: str) -> str:
    """A readable file name of lower-case ASCII letters, digits and hyphens for any text; never empty.

    Different texts may give the same slug; `file_stem` keeps ids apart.
    """
    ascii_text = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    name = re.sub(r"[^a-z0-9]+", "-", ascii_text.lower()).strip("-")[:60].rstrip("-")
    return name if name and name not in _DEVICES else f"x-{_mark(text)}"


def file_stem(record_id: str) -> str:
    """The file name (without suffix) of a record id: the id itself where that is safe, else slug and mark.

    Two different ids never share a stem; nothing in an id can lead out of its folder.
    """
    if _odd_stem(record_id) is None:
        return record_id
    return f"{slug(record_id)}-{_mark(record_id)}"


def _mark(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:10]


def _why_not(path: str) -> str | None:
    if not path or path.startswith(("/", "\\")) or re.match(r"[A-Za-z]:", path):
        return "a record path is relative to the project folder"
    if "\\" in path:
        return "a record path is written with /, without \\"
    parts = path.split("/")
    if any(part in ("", ".", "..") for part in parts):
        return "a record path has no '.', '..' or empty part"
    if len(parts) == 1:
        return None if path in ROOT_FILES else "it is not one of the record files of a project"
    if len(parts) != 2 or parts[0] not in RECORD_FOLDERS:
        return "it is not in one of the record folders of a project"
    stem, dot, suffix = parts[1].rpartition(".")
    if not dot or f".{suffix}" not in RECORD_FOLDERS[parts[0]]:
        return f"files of {parts[0]}/ end in {' or '.join(RECORD_FOLDERS[parts[0]])}"
    return _odd_stem(stem)


def _odd_stem(stem: str) -> str | None:
    if not _STEM.fullmatch(stem):
        return (
            f"a record's file name has 1 to {MAX_STEM} ASCII letters, digits, '.', '_' or '-' "
            "and begins with a letter or digit; rename it"
        )
    if stem.split(".")[0].lower() in _DEVICES:
        return f"{stem!r} is the name of a device on some systems; rename it"
    return None


def _sort_in(entries: list[os.DirEntry[str]], folder: str, found: list[str], problems: list[Problem]) -> None:
    names = {entry.name for entry in entries}
    for entry in entries:
        path = folder + entry.name
        if entry.name.startswith(".") or path == RAW_FOLDER or not _looks_like_record(path):
            continue
        reason = _why_unread(entry, path, names)
        if reason is None:
            found.append(path)
        else:
            problems.append(Problem(path, None, reason))


def _why_unread(entry: os.DirEntry[str], path: str, names: set[str]) -> str | None:
    odd = _why_not(path)
    original = _copied_name(entry.name)
    if original is not None and (odd or original in names):
        return f"looks like the copy a file synchroniser made of {original}; compare the two and delete one"
    if entry.is_symlink():
        return "is a symlink and is not read; put the file itself there"
    if not stat.S_ISREG(entry.stat(follow_symlinks=False).st_mode):
        return "is not a plain file and is not read; remove or rename it"
    return f"is not read: {odd}" if odd else None


def _looks_like_record(path: str) -> bool:
    folder, _, name = path.rpartition("/")
    suffixes = RECORD_FOLDERS[folder] if folder else (".toml",)
    return name.lower().endswith(suffixes)


def _copied_name(name: str) -> str | None:
    stem, _, suffix = name.rpartition(".")
    match = _COPY.fullmatch(stem)
    return f"{match['original'].rstrip()}.{suffix}" if match else None


def _same_but_case(found: list[str]) -> list[Problem]:
    first: dict[str, str] = {}
    problems = []
    for path in found:
        other = first.setdefault(path.lower(), path)
        if other != path:
            reason = f"differs from {other} only in upper and lower case; some systems keep only one, rename it"
            problems.append(Problem(path, None, reason))
    return problems
