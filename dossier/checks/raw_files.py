"""Checks 4.5 and 6.6: the raw files that records name are there, with the bytes they were imported with."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from pathlib import Path

from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.view import View
from dossier.methods.evidence_links import WITH_FILES, counted
from dossier.methods.freshness import STANDS
from dossier.records.evidence import Document, EvidenceItem
from dossier.store.digest import sha256_of_file
from dossier.store.errors import RefusedPath
from dossier.store.paths import RAW_FOLDER, refuse_links
from dossier.units import amount


@lru_cache(maxsize=4096)
def _digest(path: str, size: int, changed: int) -> str:
    """Digest of a file's bytes; asked again only when size or time of change differ."""
    return sha256_of_file(Path(path))


def stored_files(root: Path) -> dict[str, Path]:
    """Raw files of a project by the SHA-256 in their name; none when their folder is a link."""
    try:
        refuse_links(root, RAW_FOLDER)
    except RefusedPath:
        return {}
    folder = root.joinpath(*RAW_FOLDER.split("/"))
    return {path.name[:64]: path for path in folder.iterdir() if _plain(path)} if folder.is_dir() else {}


def _plain(path: Path) -> bool:
    return path.is_file() and not path.is_symlink()


def file_faults(stored: dict[str, Path], record: str, field: str, named: Iterable[str]) -> Iterator[Finding]:
    """Files a record names that are not there, or hold other bytes."""
    for sha256 in dict.fromkeys(named):
        shown = f"{sha256[:16]}…"
        path = stored.get(sha256)
        if path is None:
            yield Finding(record, field, shown, "is missing in evidence/files; restore it from a backup")
            continue
        facts = path.stat()
        if _digest(str(path), facts.st_size, facts.st_mtime_ns) != sha256:
            yield Finding(record, field, shown, "has other bytes than it was imported with; restore it from a backup")


@computed("4.5")
def evaluated_from_raw(view: View) -> Computed:
    """Raw files unaltered, each result follows from them, with method and version. `verify` evaluates again."""
    items = [item for item in view.project.evidence if item.state == "finished" and (item.raw_sha256 or _curves(item))]
    findings, files = [], 0
    stored, methods = stored_files(view.project.folder), set()
    for item in items:
        files += len(item.raw_sha256)
        findings += list(file_faults(stored, item.id, "samples.file", item.raw_sha256))
        if _curves(item):
            findings += _without_file(item)
        fresh = view.evaluations[item.id]
        if item.result is None or fresh.state not in STANDS:
            reason = "; ".join(fresh.problems) or "evaluate it again"
            findings.append(Finding(item.id, "result", fresh.state, reason))
        else:
            methods.add(f"{item.result.method} version {item.result.method_version}")
    facts = [f"{amount(files, 'raw file')} read in {amount(len(items), 'item')}", *sorted(methods)]
    return verdict_of(findings, facts, data=bool(items))


def _curves(item: EvidenceItem) -> bool:
    return item.quantity in WITH_FILES


def _without_file(item: EvidenceItem) -> Iterator[Finding]:
    for sample in counted(item):
        if not sample.file:
            yield Finding(item.id, "samples.file", "", f"of {sample.specimen} is empty; import its measured file")


@computed("6.6")
def attachments_present(view: View) -> Computed:
    """Every file that a record names is there and unaltered, and every registered document has its file."""
    holders = [record for record in view.project.records.values() if getattr(record, "raw_sha256", [])]
    documents = view.project.of_kind(Document)
    stored = stored_files(view.project.folder)
    findings = [
        finding
        for record in holders
        for finding in file_faults(stored, record.id, "file", record.raw_sha256)  # type: ignore[attr-defined]
    ]
    findings += [
        Finding(document.id, "file", "", "is empty; import the file, or take the entry out of the register")
        for document in documents
        if not document.file
    ]
    files = {name for record in holders for name in record.raw_sha256}  # type: ignore[attr-defined]
    facts = [f"{amount(len(files), 'file')} of {len(holders)} records, {amount(len(documents), 'document')} in the register"]
    return verdict_of(findings, facts, data=bool(holders or documents))
