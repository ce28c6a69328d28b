"""Packed objects, and the full check of a repository, through dulwich."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from dossier.store.errors import DamagedHistory
from dossier.store.gitfiles import BRANCH, has_objects, object_id, parse_commit, parse_tree, read_branch, read_loose

_KINDS = {1: "commit", 2: "tree", 3: "blob", 4: "tag"}
_TREE_MODES = (0o40000,)


def open_packs(git_dir: Path) -> Any:
    """The library's object store over the packs of the repository."""
    from dulwich.object_store import DiskObjectStore

    return DiskObjectStore(str(git_dir / "objects"))


def read_packed(packs: Any, sha: str) -> tuple[str, bytes] | None:
    """(kind, body) of a packed object with its SHA-1 checked; None when there is none. Raises DamagedHistory."""
    try:
        number, body = packs.get_raw(sha.encode())
    except KeyError:
        return None
    except Exception as error:  # the library raises many kinds for broken packs, down to zlib's and struct's
        raise DamagedHistory(f"packed object {sha} is damaged: {type(error).__name__}: {error}") from error
    kind = _KINDS.get(number, "object of unknown kind")
    if object_id(kind, body) != sha:
        raise DamagedHistory(f"packed object {sha} is damaged: its content has another SHA-1")
    return kind, body


def problems_of(git_dir: Path) -> list[str]:
    """All that is not intact: reference, every loose object, every pack, and each object reachable from the head."""
    if not git_dir.is_dir():
        return [f"{git_dir.name} is missing"]
    problems: list[str] = []
    try:
        if (git_dir / "HEAD").read_text("ascii", "replace").strip() != f"ref: {BRANCH}":
            problems.append(f"HEAD does not name {BRANCH}")
    except OSError as error:
        problems.append(f"HEAD is unreadable: {error.strerror}")
    packs = open_packs(git_dir)
    try:
        problems += _broken_loose(git_dir) + _broken_packs(packs)
        head = read_branch(git_dir)
        if head is None and not has_objects(git_dir):
            problems.append("the history holds no entry")
        elif head is not None:
            problems += _broken_chain(git_dir, packs, head)
    except DamagedHistory as error:
        problems.append(str(error))
    finally:
        packs.close()
    return list(dict.fromkeys(problems))


def _broken_loose(git_dir: Path) -> list[str]:
    problems = []
    for path in sorted(git_dir.glob("objects/[0-9a-f][0-9a-f]/*")):
        sha = path.parent.name + path.name
        if path.name.startswith("tmp_obj_"):
            continue
        try:
            read_loose(git_dir, sha)
        except DamagedHistory as error:
            problems.append(str(error))
    return problems


def _broken_packs(packs: Any) -> list[str]:
    problems = []
    for pack in packs.packs:
        try:
            pack.check()
        except Exception as error:  # as in read_packed
            problems.append(f"pack {pack.name().decode()} is damaged: {type(error).__name__}: {error}")
    return problems


def _broken_chain(git_dir: Path, packs: Any, head: str) -> list[str]:
    """Walk from the head through all parents and trees; each object must be there, intact and well-formed."""
    from dulwich.errors import ChecksumMismatch, ObjectFormatException
    from dulwich.objects import ShaFile

    numbers = {kind: number for number, kind in _KINDS.items()}
    problems = []
    waiting, seen = [(head, "commit")], {head}
    while waiting:
        sha, kind = waiting.pop()
        try:
            found = read_loose(git_dir, sha) or read_packed(packs, sha)
            if found is None:
                raise DamagedHistory(f"object {sha} is missing")
            if found[0] != kind:
                raise DamagedHistory(f"object {sha} is a {found[0]} where a {kind} is expected")
            ShaFile.from_raw_string(numbers[kind], found[1]).check()
            below = _below(sha, kind, found[1])
        except DamagedHistory as error:
            problems.append(str(error))
            continue
        except (ObjectFormatException, ChecksumMismatch) as error:
            problems.append(f"{kind} {sha} is malformed: {error}")
            continue
        fresh = [item for item in below if item[0] not in seen]
        seen.update(item[0] for item in fresh)
        waiting += fresh
    return problems


def _below(sha: str, kind: str, body: bytes) -> list[tuple[str, str]]:
    if kind == "commit":
        facts = parse_commit(sha, body)
        return [(facts.tree, "tree"), *((parent, "commit") for parent in facts.parents)]
    if kind == "tree":
        return [(child, "tree" if mode in _TREE_MODES else "blob") for mode, _, child in parse_tree(sha, body)]
    return []
