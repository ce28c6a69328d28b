"""The chapters on projects that lack something, or that went wrong: they say so and still build."""

import re
from io import BytesIO

import pytest
from chapters_case import TODAY, body, built, copied_demo, demo_documents, facts_of, squeezed
from pypdf import PdfReader

from dossier.actions.document import document_bytes
from dossier.actions.opened import Opened
from dossier.release.chapters import TITLES
from dossier.release.chapters.statement import statement
from dossier.release.trace import landing_problems, sheet_id
from dossier.store.rawfiles import raw_digests

SIZES = ("a4", "letter")
SLOW = ("calculations/C-005", "calculations/C-006")  # finite elements, not needed where something else is looked at


def without(documents: dict, *prefixes: str) -> dict:
    return {path: data for path, data in documents.items() if not path.startswith(prefixes)}


@pytest.mark.parametrize("size", SIZES)
def test_a_project_of_one_file_builds(tmp_path, size):
    only = {path: data for path, data in demo_documents().items() if path == "project.toml"}
    document = built(facts_of(tmp_path, only), size)
    text = body(document)
    assert document.report.page_map[sheet_id("2")] == 2
    for words in ("No evidence is planned yet.", "No cost is recorded yet.", "No caution is chosen yet", "0 of 0 requirements"):
        assert squeezed(words) in text
    assert landing_problems(document.data) == []


def test_a_project_without_evidence_builds(tmp_path):
    documents = without(demo_documents(), *SLOW, "evidence/", "specimens", "equipment", "reading_schemes")
    document = built(facts_of(tmp_path, documents))
    assert squeezed("No evidence is planned yet.") in body(document)
    assert landing_problems(document.data) == []


@pytest.fixture(scope="module")
def faulty(tmp_path_factory):
    """No raw files, a caution that names no value, a fatigue run that failed."""
    documents = without(demo_documents(), *SLOW)
    caution = next(c for c in documents["cautions.toml"]["caution"] if c["id"] == "K-02")
    caution["numbers"]["force"] = "C-009.no_such_value"
    documents["evidence/E-022.toml"]["samples"][0]["value"] = 0.4
    return built(facts_of(tmp_path_factory.mktemp("faulty"), documents))


def test_missing_raw_files_are_said_instead_of_a_curve(faulty):
    text = body(faulty)
    assert text.count(squeezed("No curve: E-")) == 6
    assert squeezed("is not in the project's folder; import it") in text


def test_a_caution_without_its_number_says_so(faulty):
    page = body(faulty, faulty.report.page_map["K-02"])
    assert squeezed("need up to [value missing].") in page
    assert squeezed("no value for force; name a record in numbers") in page
    assert squeezed("1 value is missing.") in page


def test_a_failed_fatigue_run_claims_no_success(faulty):
    text = body(faulty)
    assert faulty.facts.view.verdicts["R-026"].state == "outdated", "the stored lives are not those of the samples"
    assert squeezed("shows a reliability of") not in text


def test_many_rows_leave_the_statement_on_one_page(tmp_path):
    documents = demo_documents()
    for path, data in documents.items():
        for requirement in data.get("requirement", []) if path.startswith("requirements/") else []:
            if requirement["limit"]["kind"] == "max":
                requirement["limit"]["max"] = 1e-9
    for size in SIZES:
        document = built(facts_of(tmp_path, documents), size, lambda kit, facts: statement(kit, facts, TITLES))
        assert document.report.pages == 1
        assert re.search(r"and\d+more,seesheet2", body(document, 1))


def test_a_draft_carries_its_list_of_digests(tmp_path):
    opened = Opened(copied_demo(tmp_path / "demo"), use_cache=False, today=TODAY)
    data, pages = document_bytes(opened, "B", released=False)
    reader = PdfReader(BytesIO(data))
    listed = reader.attachments["SHA256SUMS"][0].count(b"\n")
    assert len(reader.pages) == pages
    assert listed == len(opened.snapshot.files) + len(raw_digests(opened.folder.root))
