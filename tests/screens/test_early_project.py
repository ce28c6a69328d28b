"""The demonstration project that has just begun, on every sheet: half shells, planned tests, a calculation that waits."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from screens.widgets.trace_margin import legend
from tests.screens.project import Desk, at_desk

EARLY = Path(__file__).parents[2] / "projects" / "four-point-link"
ENGINEER, REVIEWER = "E. Marek", "D. Okafor"


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))
    return Path(shutil.copytree(EARLY, tmp_path / "four-point-link"))


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_every_sheet_opens_and_says_what_is_next(root: Path, size: tuple[int, int]) -> None:
    async def script(desk: Desk) -> None:
        for digit in "1234567890":
            await desk.press(digit)
            assert digit == desk.app.here.NUMBER
            there = "" if digit == "0" else "0 Standing, "
            assert f"Next: {there}Enter goes to what stops step 2 Requirements." in desk.rows[-3]

    at_desk(root, ENGINEER, script, size)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_half_shells_are_called_so(root: Path, size: tuple[int, int]) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("3")
        assert "D half shell" in desk.text and "D ring" not in desk.text
        if size[0] == 120:
            assert " A pin C rubber D half shell" in desk.text

    at_desk(root, ENGINEER, script, size)


def test_the_legend_of_the_margin_takes_the_lines_it_needs() -> None:
    assert legend({"A": "pin", "C": "rubber", "D": "half shell"}) == [" A pin C rubber D half shell"]
    assert legend({"A": "pin", "B": "core", "C": "rubber", "D": "half shell"}) == [" A pin B core C rubber", " D half shell"]


def test_a_planned_test_shows_the_parts_of_both_kinds(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("4")
        row = next(row for row in desk.rows if " E-001" in row and "planned" in row)
        assert "5 : 5" in row
        assert "5 : " not in next(row for row in desk.rows if " E-002" in row and "planned" in row)
        await desk.press("enter")
        assert "E-001 is planned, nothing is measured yet" in desk.said

    at_desk(root, ENGINEER, script)


def test_a_calculation_without_inputs_does_not_offer_to_run(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("3", "tab", *["down"] * 4)
        assert "Never calculated;" in desk.text
        await desk.press("i")
        assert "C-007 was never run on V1; it waits for 14 inputs." in desk.text
        assert "bolt_yield: has no value; give inputs.bolt_yield in C-007" in desk.text

    at_desk(root, ENGINEER, script)


def test_a_role_that_nobody_holds_is_told(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("6")
        assert "missing: PE, RV, SF, RL (held by nobody)" in desk.text

    at_desk(root, ENGINEER, script)


def test_the_reviewer_is_led_to_the_signature_that_is_missing(root: Path) -> None:
    async def script(desk: Desk) -> None:
        assert desk.rows[0].startswith(" 9 Review of step 1 Idea")
        assert "Next: a accepts, w withholds, the last page signs." in desk.rows[-3]
        await desk.press("2")
        assert "Next: 9 Review of step 1, it waits for your signature as RV." in desk.rows[-3]

    at_desk(root, REVIEWER, script, land=True)


@pytest.mark.parametrize(
    ("rows_down", "told"),
    [(2, "n on 4 Evidence plans the inspection"), (14, "e names how it is verified"),
     (18, "n on 3 Design adds a calculation that serves it")],
    ids=["R-003", "R-015", "R-019"],
)  # fmt: skip
def test_a_requirement_that_rests_on_nothing_tells_the_way_out(root: Path, rows_down: int, told: str) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("2", *["down"] * rows_down)
        assert f"nothing yet; {told}" in desk.text

    at_desk(root, ENGINEER, script)
