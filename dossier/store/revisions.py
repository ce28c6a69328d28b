"""Frozen revisions: byte copies of all records with their digests, the document and the releaser's signature.

revisions/<letter>/ holds the records under their own paths, SHA256SUMS (as `sha256sum -c` reads it; raw evidence
files by their path from there), dossier.pdf, dossier.pdf.sig (raw Ed25519) and releaser.pem.
"""

from __future__ import annotations

import os
import re
import secrets
import shutil
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from dossier.store.atomic import fsync_folder, write_synced
from dossier.store.digest import sha256_of_bytes, sha256_of_file
from dossier.store.errors import StoreError
from dossier.store.paths import RAW_FOLDER, check_record_path, refuse_links

FOLDER = "revisions"
LETTERS = "ABCDEFGHJKLMNPRTUVWY"
SUMS, DOCUMENT, SIGNATURE, KEY = "SHA256SUMS", "dossier.pdf", "dossier.pdf.sig", "releaser.pem"
_LINE = re.compile(r"([0-9a-f]{64})  (.+)")
_UP = "../../"


def letters(root: Path) -> list[str]:
    """Letters of the frozen revisions, oldest first."""
    folder = root / FOLDER
    found = [path.name for path in folder.iterdir() if path.is_dir()] if folder.is_dir() else []
    return sorted((name for name in found if name and set(name) <= set(LETTERS)), key=_order)


def next_letter(root: Path) -> str:
    """The letter of the revision in work: A first; I, O, Q, S, X and Z are not used."""
    frozen = letters(root)
    return _letter(_order(frozen[-1]) + 1) if frozen else LETTERS[0]


def _order(letter: str) -> int:
    number = 0
    for character in letter:
        number = number * len(LETTERS) + LETTERS.index(character) + 1
    return number - 1


def _letter(order: int) -> str:
    text, number = "", order + 1
    while number:
        number, digit = divmod(number - 1, len(LETTERS))
        text = LETTERS[digit] + text
    return text


def sums_of(records: Mapping[str, bytes], raw: Mapping[str, str]) -> dict[str, str]:
    """{path as in SHA256SUMS: digest} of records and raw files, sorted by path."""
    found = {path: sha256_of_bytes(data) for path, data in records.items()}
    found |= {f"{_UP}{path}": digest for path, digest in raw.items()}
    return dict(sorted(found.items()))


def sums_text(sums: Mapping[str, str]) -> bytes:
    """The SHA256SUMS file."""
    return "".join(f"{digest}  {path}\n" for path, digest in sums.items()).encode()


def write_revision(
    root: Path, letter: str, records: Mapping[str, bytes], sums: bytes, pdf: bytes, signature: bytes, key: bytes
) -> Path:
    """Write a revision as a whole; it appears complete or not at all. Raises StoreError when it exists."""
    refuse_links(root, FOLDER)
    target = root / FOLDER / letter
    if target.exists():
        raise StoreError(f"revision {letter} is frozen already; work goes on as {next_letter(root)}")
    draft = root / FOLDER / f".{letter}.{secrets.token_hex(4)}"
    try:
        for path, data in {**records, SUMS: sums, DOCUMENT: pdf, SIGNATURE: signature, KEY: key}.items():
            if path in records:
                check_record_path(path)
            file = draft / path
            file.parent.mkdir(parents=True, exist_ok=True)
            write_synced(file, data, 0o444)
        os.rename(draft, target)
    finally:
        shutil.rmtree(draft, ignore_errors=True)
    fsync_folder(target.parent)
    return target


@dataclass
class RevisionFiles:
    """A frozen revision as read: records by path, document, signature, key, and what does not match its manifest."""

    letter: str
    records: dict[str, bytes] = field(default_factory=dict)
    sums: dict[str, str] = field(default_factory=dict)
    pdf: bytes = b""
    signature: bytes = b""
    key: bytes = b""
    faults: list[str] = field(default_factory=list)
    raw_checked: int = 0


def read_revision(root: Path, letter: str) -> RevisionFiles:
    """Read a revision and compare every file with its manifest. Raises StoreError when there is none."""
    folder = root / FOLDER / letter
    if letter not in letters(root) or folder.is_symlink() or folder.parent.is_symlink():
        frozen = ", ".join(letters(root)) or "none"
        raise StoreError(f"there is no revision {letter}; frozen are: {frozen}")
    found = RevisionFiles(letter)
    plain = [path for path in sorted(folder.rglob("*")) if path.is_file() or path.is_symlink()]
    on_disk = {path.relative_to(folder).as_posix(): path for path in plain}
    found.sums = _read_sums(on_disk.pop(SUMS, None), found.faults)
    found.pdf = _bytes(on_disk.pop(DOCUMENT, None), DOCUMENT, found.faults)
    found.signature = _bytes(on_disk.pop(SIGNATURE, None), SIGNATURE, found.faults)
    found.key = _bytes(on_disk.pop(KEY, None), KEY, found.faults)
    for path, digest in found.sums.items():
        if path.startswith(_UP):
            _check_raw(root, path.removeprefix(_UP), digest, found)
        elif path not in on_disk:
            found.faults.append(f"{FOLDER}/{letter}/{path} is missing; expected digest {digest[:16]}")
        else:
            _check_record(path, on_disk.pop(path), digest, found)
    found.faults += [f"{FOLDER}/{letter}/{path} is not in the manifest; it was added" for path in on_disk]
    return found


def _read_sums(path: Path | None, faults: list[str]) -> dict[str, str]:
    data = _bytes(path, SUMS, faults)
    sums = {}
    for line in data.decode("utf-8", "replace").split("\n"):
        match = _LINE.fullmatch(line)
        if match is not None:
            sums[match[2]] = match[1]
        elif line:
            faults.append(f'{SUMS}: "{line[:60]}" is no line of digest and path')
    if sums_text(dict(sorted(sums.items()))) != data:
        faults.append(f"{SUMS} is not as it was written: one line for each path, in their order, without anything else")
    return sums


def _bytes(path: Path | None, name: str, faults: list[str]) -> bytes:
    if path is None or path.is_symlink():
        faults.append(f"{name} is missing")
        return b""
    return path.read_bytes()


def _check_record(path: str, file: Path, digest: str, found: RevisionFiles) -> None:
    if file.is_symlink():
        found.faults.append(f"{path} is a symbolic link; a frozen file is a plain file")
        return
    data = file.read_bytes()
    found.records[path] = data
    if sha256_of_bytes(data) != digest:
        found.faults.append(f"{path} differs: frozen {digest[:16]}, found {sha256_of_bytes(data)[:16]}")


def _check_raw(root: Path, path: str, digest: str, found: RevisionFiles) -> None:
    file = root / path
    if not path.startswith(f"{RAW_FOLDER}/") or ".." in path or not file.is_file() or file.is_symlink():
        found.faults.append(f"{path} is missing; expected digest {digest[:16]}")
        return
    found.raw_checked += 1
    now = sha256_of_file(file)
    if now != digest:
        found.faults.append(f"{path} differs: frozen {digest[:16]}, found {now[:16]}")
