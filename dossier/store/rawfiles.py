"""Raw evidence files: stored once under their SHA-256, never changed, never in the history.

The name is `<sha256>` with the lower-case suffix of the original when that is plain; the original name is kept by
the record that refers to the file.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import stat
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from dossier.store.atomic import clean_stale, fsync_folder, temp_beside
from dossier.store.digest import CHUNK, sha256_of_file
from dossier.store.errors import RefusedPath, StoreError
from dossier.store.paths import RAW_FOLDER, Problem, refuse_links

_NAME = re.compile(r"(?P<sha256>[0-9a-f]{64})(?P<suffix>\.[a-z0-9]{1,8})?")


@dataclass(frozen=True)
class RawFile:
    """A stored raw file: SHA-256, size in bytes, path relative to the project."""

    sha256: str
    size: int
    path: str


def store_raw(root: Path, source: Path) -> RawFile:
    """Copy `source` into the project at `root`; storing the same bytes again changes nothing.

    Raises StoreError when the source is not a plain file, or when a file under this SHA-256 is already there
    with other bytes (it is damaged and is not overwritten); RefusedPath for a symlinked folder; OSError.
    """
    if not source.is_file():
        raise StoreError(f"{source} is not a plain file; give a single file")
    folder = _folder(root)
    folder.mkdir(parents=True, exist_ok=True)
    clean_stale(folder)
    temp = temp_beside(folder / "raw")
    try:
        sha256, size = _copy(source, temp)
        known = _stored(folder, sha256)
        if known is None:
            known = folder / (sha256 + _plain_suffix(source.name))
            _name_once(temp, known)
        elif sha256_of_file(known) != sha256:
            raise StoreError(
                f"{RAW_FOLDER}/{known.name} is damaged: its bytes have another SHA-256; it is not overwritten, "
                "move it away and store the original again"
            )
    finally:
        temp.unlink(missing_ok=True)
    return RawFile(sha256, size, f"{RAW_FOLDER}/{known.name}")


def find_raw(root: Path, sha256: str) -> Path | None:
    """The stored file with this SHA-256 in its name, None when there is none. Raises RefusedPath."""
    if not re.fullmatch(r"[0-9a-f]{64}", sha256):
        raise RefusedPath(sha256, "a raw file is named by the 64 hexadecimal digits of its SHA-256")
    return _stored(_folder(root), sha256)


def raw_names(root: Path) -> set[str]:
    """Names of the raw files that are stored. Raises RefusedPath."""
    return {path.name for path in _files(_folder(root))}


def drop_raw(root: Path, names: Iterable[str]) -> None:
    """Delete raw files that were stored for a change which is not recorded. Raises RefusedPath."""
    for name in names:
        (_folder(root) / name).unlink(missing_ok=True)


def verify_raw(root: Path, expected: Iterable[str] = ()) -> list[Problem]:
    """Read every raw file anew and report each that is damaged, misnamed, doubled, or `expected` and missing.

    `expected` are the SHA-256 values that records refer to.
    """
    try:
        folder = _folder(root)
    except RefusedPath as error:
        return [Problem(RAW_FOLDER, None, error.reason)]
    problems: list[Problem] = []
    seen: set[str] = set()
    for path in _files(folder):
        name = f"{RAW_FOLDER}/{path.name}"
        match = _NAME.fullmatch(path.name)
        if path.is_symlink() or not stat.S_ISREG(path.lstat().st_mode):
            problems.append(Problem(name, None, "is not a plain file; put the raw file itself there"))
        elif match is None:
            problems.append(Problem(name, None, "is not named by its SHA-256; import it as evidence instead"))
        elif sha256_of_file(path) != match["sha256"]:
            problems.append(Problem(name, None, "its bytes have another SHA-256 than its name; restore a backup"))
        elif match["sha256"] in seen:
            problems.append(Problem(name, None, "is there twice under different suffixes; delete one"))
        else:
            seen.add(match["sha256"])
    damaged = {problem.path.rpartition("/")[2][:64] for problem in problems}
    for sha256 in sorted(set(expected) - seen - damaged):
        problems.append(Problem(f"{RAW_FOLDER}/{sha256}", None, "is missing; restore it from a backup"))
    return problems


def _folder(root: Path) -> Path:
    refuse_links(root, RAW_FOLDER)
    return root.joinpath(*RAW_FOLDER.split("/"))


def _files(folder: Path) -> Iterator[Path]:
    if folder.is_dir():
        yield from sorted(path for path in folder.iterdir() if not path.name.startswith("."))


def _stored(folder: Path, sha256: str) -> Path | None:
    return next((path for path in _files(folder) if path.name == sha256 or path.name.startswith(f"{sha256}.")), None)


def _copy(source: Path, temp: Path) -> tuple[str, int]:
    digest, size = hashlib.sha256(), 0
    with open(source, "rb") as incoming, open(temp, "xb") as outgoing:
        while chunk := incoming.read(CHUNK):
            digest.update(chunk)
            outgoing.write(chunk)
            size += len(chunk)
        outgoing.flush()
        os.fsync(outgoing.fileno())
    return digest.hexdigest(), size


def _name_once(temp: Path, final: Path) -> None:
    """Give the finished copy its name without ever replacing a file; read-only from then on."""
    temp.chmod(0o444)
    try:
        os.link(temp, final)
    except FileExistsError:
        return
    except OSError:
        # a file system without hard links: the name is the digest of the bytes, so nothing else can lie there
        if not final.exists():
            os.rename(temp, final)
    with contextlib.suppress(FileNotFoundError):
        temp.unlink()
    fsync_folder(final.parent)


def _plain_suffix(name: str) -> str:
    suffix = Path(name).suffix.lower()
    return suffix if re.fullmatch(r"\.[a-z0-9]{1,8}", suffix) else ""


def raw_digests(root: Path) -> dict[str, str]:
    """{relative path: SHA-256 of its bytes as they are now} of every raw file. Raises RefusedPath."""
    return {f"{RAW_FOLDER}/{path.name}": sha256_of_file(path) for path in _files(_folder(root))}
