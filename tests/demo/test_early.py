"""The second demo has just begun: half shells, the idea one signature short, requirements and design in work."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from dossier.actions.document import print_draft
from dossier.actions.opened import Opened
from dossier.actions.run import outdated_calculations
from dossier.actions.verify import verify_work
from dossier.checks.standing import standing
from dossier.checks.told_evidence import evidence_sentence
from dossier.records.design import Design, HalfShells
from dossier.records.evidence import Specimen
from dossier.records.requirement import Requirement
from dossier.store.paths import scan
from dossier.store.tomlfile import dump_document, has_comments, parse_document
from tests.demo.build_demo import PROJECTS, SCENES, build

SCENE = SCENES["four-point-link"]
EARLY = PROJECTS / SCENE.name
TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return Path(shutil.copytree(EARLY, tmp_path_factory.mktemp("early") / SCENE.name))


@pytest.fixture(scope="module")
def opened(root: Path) -> Opened:
    return Opened(root, use_cache=False, today=TODAY)


def _design(opened: Opened, name: str) -> Design:
    found = opened.project.get(name)
    assert isinstance(found, Design)
    return found


def _shells(opened: Opened, name: str) -> HalfShells:
    carrier = _design(opened, name).carrier
    assert isinstance(carrier, HalfShells)
    return carrier


def _requirement(opened: Opened, name: str) -> Requirement:
    found = opened.project.get(name)
    assert isinstance(found, Requirement)
    return found


def _value(opened: Opened, calculation: str, name: str) -> float:
    value = opened.project.get(calculation).result.value(name)
    return value.value


def _comparable(value: Any) -> Any:
    """A document without the versions of libraries, numbers to nine digits."""
    if isinstance(value, dict):
        return {name: _comparable(inner) for name, inner in value.items() if name != "libraries"}
    if isinstance(value, list):
        return [_comparable(inner) for inner in value]
    return float(f"{value:.9g}") if isinstance(value, float) else value


def _records(root: Path) -> dict[str, Any]:
    paths = (path for path in root.rglob("*.toml"))
    return {path.relative_to(root).as_posix(): _comparable(parse_document(path.read_bytes(), str(path))) for path in paths}


def test_it_is_what_the_builder_builds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DOSSIER_KEYS", str(tmp_path))  # the builder sets it; this takes it back
    built = build(SCENE, tmp_path / SCENE.name)
    assert _records(built) == _records(EARLY)
    for folder in ("signoffs", "evidence"):
        files = {path.name for path in (built / folder).rglob("*")}
        assert files and files == {path.name for path in (EARLY / folder).rglob("*")}


def test_files_have_the_layout_the_tool_writes() -> None:
    texts = [path for path in scan(EARLY).paths if path.endswith(".toml")]
    assert len(texts) > 15
    for path in texts:
        raw = (EARLY / path).read_bytes()
        assert not has_comments(raw) and dump_document(parse_document(raw, path)) == raw, path


def test_it_loads_whole_and_says_that_it_is_invented(opened: Opened) -> None:
    assert [str(problem) for problem in opened.project.problems] == []
    assert opened.project.broken_links() == []
    assert opened.project.header.demo.startswith("DEMO")
    assert "has just begun" in opened.project.header.remark


def test_its_steps_are_those_of_a_project_that_has_just_begun(opened: Opened) -> None:
    steps = standing(opened.view).steps
    assert [(step.number, step.state) for step in steps[:5]] == [
        ("1", "ready"), ("2", "in work"), ("3", "in work"), ("4", "waiting"), ("5", "waiting"),
    ]  # fmt: skip
    assert steps[0].missing_roles == ["RV"]
    assert [state.signoff.person for state in opened.view.signoffs] == [SCENE.person("PE")]
    assert all(verdict.state in ("met", "open") for verdict in opened.view.verdicts.values())
    assert {item.state for item in opened.project.evidence} == {"planned"} and opened.project.of_kind(Specimen) == []


def test_what_waits_says_for_what(opened: Opened) -> None:
    assert {c.id for c in opened.project.calculations if c.result is None} == {"C-007", "C-008"}
    assert [c.id for c in outdated_calculations(opened.project)] == ["C-008"]
    assert any("bolt_yield" in str(finding) for finding in opened.view.freshness["C-007"].problems)


def test_nothing_of_it_was_altered(root: Path) -> None:
    found = verify_work(root)
    assert found.unaltered, [line.faults for line in found.lines if line.faults]
    reproduced = next(line for line in found.lines if line.what == "results computed again")
    assert reproduced.count == "6 of 6"


@pytest.mark.parametrize("name", ["REF", "V1"])
def test_the_half_shells_close_as_much_as_their_slots_shrink(opened: Opened, name: str) -> None:
    """Pressed in, each shell moves in by its closing: the joint gets narrower by twice that, and so does each slot."""
    design, shells = _design(opened, name), _shells(opened, name)
    assert design.eye is not None and shells.outer_radius == design.eye.bore_radius
    width, gap = _requirement(opened, "R-003").limit, _requirement(opened, "R-004").limit
    assert width.nominal == pytest.approx(2 * (shells.outer_radius + shells.closing))
    assert gap.nominal == pytest.approx(shells.parting_gap)
    free_slot = shells.parting_gap + 2 * shells.closing
    least, greatest = (free_slot - (end - 2 * shells.outer_radius) for end in (width.max, width.min))
    assert (gap.min, gap.max) == pytest.approx((least, greatest))
    assert 0.05 < shells.closing / (design.layer.outer_radius - design.layer.inner_radius) < 0.15


def test_v1_is_the_reference_part_with_one_bore(opened: Opened) -> None:
    reference, variant = _design(opened, "REF"), _design(opened, "V1")
    assert (variant.layer, variant.carrier, variant.eye) == (reference.layer, reference.carrier, reference.eye)
    assert variant.pin.model_copy(update={"bores": [], "minimum_wall": None}) == reference.pin
    assert len(variant.pin.bores) == 1


def test_masses_agree_with_the_weighing_the_estimate_and_the_goal(opened: Opened) -> None:
    idea = opened.project.idea
    assert idea is not None and idea.weighing is not None and idea.mass_goal is not None
    assert _value(opened, "C-001", "total") == pytest.approx(idea.weighing.mass, rel=0.005)
    chosen = next(concept for concept in idea.concept if concept.fate == "chosen")
    assert chosen.mass == pytest.approx(_value(opened, "C-002", "total"), abs=0.0005)
    assert _value(opened, "C-003", "saving") > idea.mass_goal
    assert _value(opened, "C-002", "total") * 1000 < _requirement(opened, "R-001").limit.max


@pytest.mark.parametrize(
    ("requirement", "name", "factor"),
    [("R-006", "radial", 1e-3), ("R-007", "axial", 1e-3), ("R-008", "torsional", 1.745329e-5), ("R-009", "conical", 1.745329e-5)],
)
def test_the_stiffnesses_demanded_are_those_of_the_layer(opened: Opened, requirement: str, name: str, factor: float) -> None:
    """N/mm → kN/mm and N·mm/rad → N·m/°."""
    nominal = _requirement(opened, requirement).limit.nominal
    assert _value(opened, "C-004", name) * factor == pytest.approx(nominal, rel=0.02)


def test_its_draft_is_a_document_that_says_draft(opened: Opened, tmp_path: Path) -> None:
    path, pages = print_draft(opened, tmp_path / "draft.pdf")
    reader = PdfReader(path)
    assert len(reader.pages) == pages > 15
    texts = [" ".join(page.extract_text().split()) for page in reader.pages]
    assert "FP-84" in texts[0] and "invented" in texts[0] and "RL (held by nobody)" in texts[0]
    assert "Mass of the joint ≤ 2000 g" in texts[1]  # a limit without a value has its unit all the same
    whole = " ".join(texts)
    assert "of half_shell" not in whole and "D rings or half shells" not in whole
    for words in ("mass of half shells", "not in this section", "Never calculated;", "torsion at most 6°:"):
        assert words in whole, words


def test_its_checks_tell_what_is_missing(opened: Opened) -> None:
    """Remedies of an early state: the input that is missing, not "calculate it again"; half shells; planned parts."""
    checks = {check.check.id: check for step in standing(opened.view).steps for check in step.checks}
    clamp = next(str(finding) for finding in checks["3.8"].findings)
    assert clamp.endswith("M-01.limit_pressure has no value; fill it in (and 13 more inputs); then calculate it")
    assert "their pressure in the eye comes from the rubber" in str(checks["3.5"].findings[0])
    facts = checks["3.2"].computed.facts
    assert any(fact.partition(": ")[2] == "safety has a band of 1 cause" for fact in facts), facts
    told = {item.id: evidence_sentence(opened.view, item) for item in opened.project.evidence}
    assert told == {"E-001": "Planned: 5 of the variant, 5 of the reference part.", "E-002": "Planned: 5 of the variant."}
