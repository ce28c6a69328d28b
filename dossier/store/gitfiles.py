"""Reading an ordinary bare git repository without the git library.

Enough for every opening of a project: the head of the branch, and loose objects with their SHA-1 checked.
Packed objects (after a `git gc`) are left to the library, see history.py. The layout follows git's own
documentation (gitrepository-layout, and the object headers of the chapter "Git Internals" of the Pro Git book),
from memory, not checked against their text; the tests compare with the library byte by byte.
"""

from __future__ import annotations

import hashlib
import re
import zlib
from dataclasses import dataclass
from pathlib import Path

from dossier.store.errors import DamagedHistory

BRANCH = "refs/heads/main"
FILE_MODE = 0o100644
TREE_MODE = 0o40000
_ID = re.compile(r"[0-9a-f]{40}")
_PERSON = re.compile(rb"(?P<name>.*?) ?<(?P<mail>[^>]*)> (?P<time>\d+) [+-]\d{4}")


@dataclass(frozen=True)
class CommitFacts:
    """What the header and text of a commit object say; `seconds` since 1970."""

    tree: str
    parents: tuple[str, ...]
    author: str
    seconds: int
    message: str


def is_object_id(text: str) -> bool:
    """Whether `text` is a full object id (40 lower-case hexadecimal digits)."""
    return _ID.fullmatch(text) is not None


def object_id(kind: str, body: bytes) -> str:
    """Git's id of an object: SHA-1 over kind, length and body."""
    return hashlib.sha1(b"%s %d\0" % (kind.encode(), len(body)) + body, usedforsecurity=False).hexdigest()


def blob_id(data: bytes) -> str:
    """Git's id of a file's bytes."""
    return object_id("blob", data)


def loose_path(git_dir: Path, sha: str) -> Path:
    """Where the loose object `sha` lies."""
    return git_dir / "objects" / sha[:2] / sha[2:]


def read_branch(git_dir: Path) -> str | None:
    """Id of the newest commit of the branch, None when no reference was ever written.

    Raises DamagedHistory when the reference is unreadable or lost while objects exist.
    """
    try:
        text = (git_dir / BRANCH).read_text("ascii").strip()
    except FileNotFoundError:
        text = _packed_branch(git_dir)
    except (OSError, UnicodeDecodeError) as error:
        raise DamagedHistory(f"reference {BRANCH} is unreadable: {error}") from error
    if text is None:
        if has_objects(git_dir):
            raise DamagedHistory(f"reference {BRANCH} is missing although the history holds objects")
        return None
    if not is_object_id(text):
        raise DamagedHistory(f"reference {BRANCH} holds {text[:60]!r} instead of an object id")
    return text


def has_objects(git_dir: Path) -> bool:
    """Whether the repository holds any object, loose or packed."""
    objects = git_dir / "objects"
    return any(objects.glob("[0-9a-f][0-9a-f]/*")) or any(objects.glob("pack/*.pack"))


def read_loose(git_dir: Path, sha: str) -> tuple[str, bytes] | None:
    """(kind, body) of a loose object, None when there is none. Raises DamagedHistory when it is not intact."""
    try:
        packed = loose_path(git_dir, sha).read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise DamagedHistory(f"object {sha} is unreadable: {error}") from error
    try:
        data = zlib.decompress(packed)
    except zlib.error as error:
        raise DamagedHistory(f"object {sha} is damaged: {error}") from error
    if hashlib.sha1(data, usedforsecurity=False).hexdigest() != sha:
        raise DamagedHistory(f"object {sha} is damaged: its content has another SHA-1")
    header, _, body = data.partition(b"\0")
    return header.split(b" ")[0].decode("ascii", "replace"), body


def parse_tree(sha: str, body: bytes) -> list[tuple[int, str, str]]:
    """Entries (mode, name, id) of a tree object. Raises DamagedHistory."""
    entries = []
    position = 0
    try:
        while position < len(body):
            space = body.index(b" ", position)
            zero = body.index(b"\0", space)
            if zero + 21 > len(body):
                raise ValueError("cut off")
            name = body[space + 1 : zero].decode("utf-8", "surrogateescape")
            entries.append((int(body[position:space], 8), name, body[zero + 1 : zero + 21].hex()))
            position = zero + 21
    except ValueError as error:
        raise DamagedHistory(f"tree {sha} is malformed: {error}") from error
    return entries


def parse_commit(sha: str, body: bytes) -> CommitFacts:
    """Facts of a commit object. Raises DamagedHistory."""
    header, _, message = body.partition(b"\n\n")
    tree, parents, author = None, [], None
    for line in header.split(b"\n"):
        key, _, value = line.partition(b" ")
        if key == b"tree":
            tree = value.decode("ascii", "replace")
        elif key == b"parent":
            parents.append(value.decode("ascii", "replace"))
        elif key == b"author":
            author = _PERSON.fullmatch(value)
    if tree is None or author is None or not all(map(is_object_id, (tree, *parents))):
        raise DamagedHistory(f"commit {sha} is malformed: tree, parents or author cannot be read")
    name, mail = author["name"].decode("utf-8", "replace"), author["mail"].decode("utf-8", "replace")
    person = f"{name} <{mail}>" if mail else name
    return CommitFacts(tree, tuple(parents), person, int(author["time"]), message.decode("utf-8", "replace"))


def _packed_branch(git_dir: Path) -> str | None:
    try:
        lines = (git_dir / "packed-refs").read_text("ascii", "replace").split("\n")
    except FileNotFoundError:
        return None
    except OSError as error:
        raise DamagedHistory(f"packed-refs is unreadable: {error}") from error
    return next((line.split(" ")[0] for line in lines if line.endswith(f" {BRANCH}")), None)
