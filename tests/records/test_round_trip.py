"""Every record of the demonstration project, and a full one of each kind: printed, read back, nothing lost."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from record_samples import samples

from dossier.actions.opened import Opened
from dossier.records.collections import COLLECTIONS, collection_of_kind, collection_of_path
from dossier.store.digest import sha256_of_document
from dossier.store.project import Project, project_from_documents
from dossier.store.tomlfile import dump_document, parse_document

DEMO = Path(__file__).parents[2] / "projects" / "axle-link"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Project:
    copied = tmp_path_factory.mktemp("demo") / "axle-link"
    shutil.copytree(DEMO, copied)
    return Opened(copied, use_cache=False).project


def test_every_record_of_the_demonstration_project(demo: Project) -> None:
    assert len(demo.records) > 100 and demo.problems == []
    printed = {path: dump_document(document) for path, document in demo.documents.items()}
    again = project_from_documents(demo.folder, {path: parse_document(data, path) for path, data in printed.items()})
    assert again.problems == []
    assert again.records == demo.records
    assert {name: sha256_of_document(raw) for name, raw in again.raw.items()} == {
        name: sha256_of_document(raw) for name, raw in demo.raw.items()
    }
    assert {path: dump_document(document) for path, document in again.documents.items()} == printed


def test_every_record_holds_all_that_its_file_says(demo: Project) -> None:
    """Nothing of a file is read and then dropped: the fields that were set print as they stood."""
    for record_id, record in demo.records.items():
        stored = record.model_dump(mode="json", exclude_unset=True)
        assert sha256_of_document(stored) == sha256_of_document(_canonical(demo.raw[record_id])), record_id


def _canonical(raw: dict) -> dict:
    """Numbers and texts as they are; only spellings of a unit may be read in another form."""
    from dossier import units

    unit = raw.get("unit")
    return {**raw, "unit": units.canonical(unit)} if isinstance(unit, str) and "quantity" in raw else raw


@pytest.mark.parametrize("kind", [collection.kind for collection in COLLECTIONS])
def test_a_full_record_of_each_kind(kind: str) -> None:
    collection = collection_of_kind(kind)
    raw = samples()[kind]
    path = collection.pattern.replace("*", "one")
    document = {collection.key: [raw]} if collection.key else raw
    again = parse_document(dump_document(document), path)
    assert again == document
    project = project_from_documents(Path("none"), {path: again})
    assert project.problems == []
    record = next(iter(project.records.values()))
    assert record == collection.model.model_validate(raw)
    assert project.kinds[record.id] == kind
    assert collection_of_path(path) is collection
