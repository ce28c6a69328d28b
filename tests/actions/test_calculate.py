"""Calculations and evaluations run together, as `calculate` and the key C run them."""

import shutil
from pathlib import Path

import pytest

from dossier.actions.calculate import calculate, outdated_runs
from dossier.actions.edit import set_field
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal

DEMO = Path(__file__).parents[2] / "projects" / "axle-link"
pytestmark = pytest.mark.usefixtures("remembered_runs")


@pytest.fixture
def opened(tmp_path: Path) -> Opened:
    """The demonstration project with everything calculated, then one calculation and one item outdated."""
    opened = Opened(Path(shutil.copytree(DEMO, tmp_path / "demo")))
    opened.record(calculate(opened.project, outdated_runs(opened.project), "M. Olsen"))
    opened.record(set_field(opened.project, "E-009", "budget.0.relative", "2 %", "T. Lindqvist"))
    opened.record(set_field(opened.project, "V2", "pin.neck_radius", "17.9", "M. Olsen"))
    return opened


def test_one_change_holds_calculations_and_evaluations(opened: Opened) -> None:
    wanted, seen = outdated_runs(opened.project), []
    assert "E-009" in wanted and "C-002" in wanted and wanted.index("C-002") < wanted.index("E-009")
    change = calculate(opened.project, wanted, "M. Olsen", progress=lambda *at: seen.append(at))
    assert set(change.files) == {opened.project.places[name].path for name in wanted}
    assert [number for _, number, _ in seen if number] and {of for *_, of in seen} == {len(wanted)}
    assert sorted(number for _, number, _ in seen) == list(range(1, len(wanted) + 1))
    opened.record(change)
    assert outdated_runs(opened.project) == []


def test_only_items_or_only_calculations(opened: Opened) -> None:
    assert list(calculate(opened.project, ["E-009"], "M. Olsen").files) == [opened.project.places["E-009"].path]
    assert list(calculate(opened.project, ["C-002"], "M. Olsen").files) == [opened.project.places["C-002"].path]


def test_what_has_no_result_to_calculate_is_refused(opened: Opened) -> None:
    with pytest.raises(Refusal, match="R-001 is no calculation"):
        calculate(opened.project, ["R-001", "E-009"], "M. Olsen")
    with pytest.raises(Refusal, match="nothing to calculate"):
        calculate(opened.project, [], "M. Olsen")


def test_what_is_calculated_from_the_cost_sheet_rests_on_it(opened: Opened) -> None:
    assert "cost" in opened.project.rests_on("C-011") and "R-044" in opened.project.serves("C-011")
    assert {"C-011", "C-012"} <= set(opened.project.serves("cost"))
    assert "cost" not in opened.project.rests_on("C-002") and opened.project.broken_links() == []
