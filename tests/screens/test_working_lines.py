"""The working of a calculation as lines: what is struck beyond validity, and that every line keeps its width."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import pytest

from dossier.actions.opened import Opened
from dossier.actions.run import run_calculations
from dossier.store.project import Project, project_from_documents
from dossier.store.tomlfile import parse_document
from screens.cells import cell_len
from screens.paint import text_of
from screens.sheets.working_lines import working_lines
from tests.screens.sheet_case import DEMO


@pytest.fixture(scope="module")
def opened() -> Opened:
    return Opened(DEMO)


def run_with(opened: Opened, name: str, **changed: object) -> Project:
    """The demonstration project with one calculation changed and run again."""
    documents = {path: dict(data) for path, data in opened.project.documents.items()}
    documents[f"calculations/{name}.toml"] |= changed
    for path, data in run_calculations(project_from_documents(Path("."), documents), [name], "A. Tester").files.items():
        documents[path] = parse_document(data, path)
    return project_from_documents(Path("."), documents)


def lines_of(opened: Opened, project: Project, name: str, columns: int) -> list:
    session = SimpleNamespace(opened=SimpleNamespace(project=project, view=opened.view))
    return working_lines(session, project.get(name), columns)  # type: ignore[arg-type]


def struck(lines: list) -> list[str]:
    return [piece.text for made in lines if not isinstance(made, str) for piece in made if piece.role == "struck"]


@pytest.mark.parametrize("columns", [80, 120])
def test_the_layer_s_limits_strike_nothing_as_they_state_only_what_holds(opened: Opened, columns: int) -> None:
    lines = lines_of(opened, run_with(opened, "C-015"), "C-015", columns)
    text = " ".join(" ".join(map(text_of, lines)).split())
    assert "L-03 outside validity: a cavity begins at 0.1" in text
    assert max(cell_len(text_of(made)) for made in lines) <= columns
    assert "660 %" not in text and struck(lines) == []


def test_a_method_that_ends_with_its_validity_strikes_its_numbers(opened: Opened) -> None:
    documents = {path: dict(data) for path, data in opened.project.documents.items()}
    run = documents["calculations/C-013.toml"]
    run["result"] = run["result"] | {"validity": "outside", "validity_notes": ["too large a strain"]}
    project = project_from_documents(Path("."), documents)
    assert len(struck(lines_of(opened, project, "C-013", 80))) >= 4 + 3


def test_what_no_load_case_leaves_within_validity_is_named_outside(opened: Opened) -> None:
    project = run_with(opened, "C-015", inputs={"loads": {"record": "L-03"}})
    told = [text_of(made) for made in lines_of(opened, project, "C-015", 120)]
    assert sum(" outside " in text and "validity" in text and "load cases" in text for text in told) >= 4
