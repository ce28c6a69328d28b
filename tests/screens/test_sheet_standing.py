"""Sheet 0 driven by keys on a copy of the demonstration project."""

from __future__ import annotations

from pathlib import Path

import pytest

from screens.causes import stops
from tests.screens.project import Desk, at_desk, copied

ENGINEER = "M. Olsen"


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return copied(tmp_path, monkeypatch)


def test_one_line_a_cause_with_every_check_it_stops_and_a_way_out_that_leads_somewhere(root: Path) -> None:
    async def script(desk: Desk) -> None:
        session = desk.app.session
        found = stops(session)
        told = [stop.text.partition(";")[0] for stop in found]
        assert len(set(told)) == len(told)
        runs = {stop.record: stop for stop in found if stop.key == "c"}
        assert "C-003" in runs and set(runs["C-003"].checks) >= {"3.1", "3.4", "3.13"}
        standing = session.standing.steps
        named = {c.record for step in standing for c in step.causes if c.record in session.opened.project.records}
        assert named <= {stop.record for stop in found}
        for stop in found:
            desk.app.here.causes.go_to(str(found.index(stop)))
            await desk.press("enter")
            here = desk.app.here
            if stop.goal[0].isdigit() and "." in stop.goal:
                assert here.NUMBER == "9" and here.item.id == stop.goal
            else:
                assert session.sheet_of(stop.goal) == here.NUMBER if not stop.goal.isdigit() else stop.goal
            await desk.press("0")

    at_desk(root, ENGINEER, script)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_the_cause_at_the_cursor_stands_in_full_below_the_list(root: Path, size: tuple[int, int]) -> None:
    async def script(desk: Desk) -> None:
        text = " ".join(" ".join(row.split("│")[-1].split()) for row in desk.rows)
        stop = stops(desk.app.session)[0]
        assert stop.text in text and stop.deed in text

    at_desk(root, ENGINEER, script, size)


def test_the_tightest_margin_is_one_that_nobody_conceded(root: Path) -> None:
    async def script(desk: Desk) -> None:
        row = next(row for row in desk.rows if "tightest of what is not conceded" in row)
        verdicts = [v for v in desk.app.session.opened.view.verdicts.values() if v.margin.value is not None]
        worst = min((v for v in verdicts if v.state != "conceded" and not v.margin.absolute), key=lambda v: v.margin.value)
        assert worst.requirement.id in row and worst.state in row

    at_desk(root, ENGINEER, script)
