"""The invented demonstration project: it loads whole, every link leads somewhere, and its numbers agree."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from dossier import units
from dossier.actions.opened import Opened
from dossier.actions.run import compute
from dossier.checks.requirements import quantities
from dossier.methods.links import resolve
from dossier.methods.registry import method_of
from dossier.records.concept import Idea
from dossier.records.load import LoadCase
from dossier.store.paths import scan
from dossier.store.project import Project
from dossier.store.tomlfile import dump_document, has_comments, parse_document

DEMO = Path(__file__).parent.parent / "projects" / "axle-link"


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Project:
    copy = tmp_path_factory.mktemp("demo") / "axle-link"
    shutil.copytree(DEMO, copy)
    return Opened(copy, use_cache=False).project


def value_of(project: Project, calculation_id: str, name: str) -> float:
    calculation = next(c for c in project.calculations if c.id == calculation_id)
    method = method_of(calculation.method)
    found = compute(method, resolve(project, calculation, method)).values[name]
    return found if isinstance(found, float) else found.value


def test_loads_without_problems_or_broken_links(project: Project) -> None:
    assert [str(problem) for problem in project.problems] == []
    assert project.broken_links() == []
    assert project.header.demo.startswith("DEMO")
    assert project.reference is not None and project.reference.id == "REF"
    assert project.variant is not None and project.variant.id == "V2"


def test_every_demand_of_the_template_is_there(project: Project) -> None:
    """R-001 to R-047, and R-048 and R-049 of the works' own; a line with several demands has one each, told apart by a letter."""
    ids = [requirement.id for requirement in project.requirements]
    assert len(ids) >= 47
    assert {record_id[:5] for record_id in ids} == {f"R-{number:03d}" for number in range(1, 50)}
    assert {"R-011a", "R-011b", "R-011c", "R-011d", "R-033a", "R-033b", "R-035a", "R-035b"} <= set(ids)


def test_every_requirement_says_shall_and_has_a_unit_of_its_quantity(project: Project) -> None:
    for requirement in project.requirements:
        assert len(re.findall(r"\bshall\b", requirement.statement)) == 1, requirement.id
        assert set(quantities()[requirement.quantity]) & set(units.dimensions_of(requirement.unit)), requirement.id
        assert requirement.source and requirement.owner and requirement.verification, requirement.id
        assert any(requirement.conditions.model_dump().values()), requirement.id


def test_owners_and_accepting_persons_are_people_of_the_project(project: Project) -> None:
    people = {person.name for person in project.header.people}
    named = {requirement.owner for requirement in project.requirements}
    named |= {assumption.accepted_by for assumption in project.assumptions if assumption.accepted_by}
    named |= {standard.confirmed_by for standard in project.standards if standard.confirmed_by}
    assert len(named) > 3
    assert named <= people


def test_inputs_of_all_calculations_resolve_and_serve_values_the_method_gives(project: Project) -> None:
    assert len(project.calculations) >= 8
    for calculation in project.calculations:
        method = method_of(calculation.method)
        assert resolve(project, calculation, method).problems == [], calculation.id
        for served in calculation.serves:
            requirement = project.get(served.requirement)
            assert units.same_dimension(method.result_field(served.value).unit, requirement.unit), calculation.id


def test_masses_agree_with_the_weighing_and_the_goal(project: Project) -> None:
    """0.5 %: chamfers, coating and marking are not in the outlines; 2 % for the breakdown as check 1.2 asks."""
    idea = project.get("idea")
    assert isinstance(idea, Idea) and idea.weighing is not None
    assert value_of(project, "C-001", "total") == pytest.approx(idea.weighing.mass, rel=0.005)
    assert sum(part.mass for part in idea.breakdown) == pytest.approx(idea.weighing.mass, rel=0.02)
    variant = value_of(project, "C-002", "total")
    assert variant <= 1.420
    assert value_of(project, "C-003", "saving") >= 0.25
    chosen = [concept for concept in idea.concept if concept.fate == "chosen"]
    assert [concept.design for concept in chosen] == ["V2"]
    assert chosen[0].mass == pytest.approx(variant, abs=0.001)  # the estimate is rounded to a gram


def test_damage_equivalent_load_follows_from_the_programme(project: Project) -> None:
    programme, equivalent = project.get("L-07"), project.get("L-06")
    assert isinstance(programme, LoadCase) and isinstance(equivalent, LoadCase)
    exponent = project.get("A-008").value
    cycles = sum(block.cycles for block in programme.blocks)
    mean_power = sum(block.cycles * block.radial**exponent for block in programme.blocks) / cycles
    assert equivalent.radial == pytest.approx(mean_power ** (1 / exponent), abs=0.5)  # recorded to the newton
    assert programme.cycles == equivalent.cycles == 6 * cycles


def test_files_have_the_layout_the_tool_writes() -> None:
    """A save by the tool then changes only what was edited."""
    found = scan(DEMO)
    assert found.problems == []
    texts = [path for path in found.paths if path.endswith(".toml")]
    assert len(texts) > 20
    for path in texts:
        raw = (DEMO / path).read_bytes()
        assert not has_comments(raw), path
        assert dump_document(parse_document(raw, path)) == raw, path
