"""The file of a document: kept under its SHA-256 beside the measured files."""

from __future__ import annotations

import copy
from pathlib import Path

from dossier.actions.edit import replace_record
from dossier.actions.refusal import Refusal
from dossier.records.evidence import Document
from dossier.store.change import Change
from dossier.store.project import Project
from dossier.store.rawfiles import store_raw


def attach_file(project: Project, document_id: str, file: Path, author: str) -> Change:
    """Store a file and enter its name and SHA-256 in a document record. Raises Refusal, StoreError, OSError.

    A document keeps its file: another one is a new document, or a new index of it.
    """
    document = project.get(document_id)
    if not isinstance(document, Document):
        known = ", ".join(found.id for found in project.of_kind(Document)) or "none yet"
        raise Refusal(f"{document_id} is no document of this project; its documents are {known}")
    if document.file:
        raise Refusal(f"{document_id} holds {document.file_name or document.file[:16]}; add a document for another file")
    if not file.is_file():
        raise Refusal(f"{file} is not there, or is no single file; correct the path")
    raw = copy.deepcopy(project.raw[document_id])
    raw["file"], raw["file_name"] = store_raw(project.folder, file).sha256, file.name
    return replace_record(project, document_id, raw, f"{document_id} file attached: {file.name}", author)
