"""Sheet 7 by its keys: the ladder of a record, moving it, opening a rung, the way back."""

from pathlib import Path

import pytest

from dossier.actions.edit import set_field
from dossier.actions.opened import Opened
from dossier.records.calculation import Calculation
from dossier.records.cost import Cost
from screens.cells import cell_len
from screens.ladder import ladder, value_of
from screens.paint import Piece, line
from screens.paint import text_of as line_text
from screens.session import Session
from screens.sheets.record_block import record_block
from screens.units_shown import number_words, shown_unit_of
from tests.screens.look import settled
from tests.screens.project import Desk, at_desk, copied

ENGINEER = "M. Olsen"


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return copied(tmp_path, monkeypatch)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_the_ladder_shows_what_is_served_above_and_rested_on_below(root: Path, size: tuple[int, int]) -> None:
    async def script(desk: Desk) -> None:
        desk.app._show("7", "C-003")
        await settled(desk.pilot)
        order = [rung.record for rung in desk.app.here._rungs]
        places = [order.index(name) for name in ("R-002", "C-003", "V2", "M-03")]
        assert places == sorted(places)
        rows = desk.rows
        shown = [row.removeprefix(row[:30]) if size[0] == 120 else row for row in rows]
        here = next(i for i, row in enumerate(shown) if row.startswith(" >") and "C-003" in row)
        assert "R-002" in shown[here - 1] and "└─ M-05" in "".join(shown[here:])
        assert "C-003 is outdated; it stands on 2 designs" in rows[1]
        assert "∆ outdated" in rows[here]

    at_desk(root, ENGINEER, script, size)


def test_the_ladder_moves_down_and_up_and_escape_walks_back(root: Path) -> None:
    async def script(desk: Desk) -> None:
        desk.app._show("7", "R-002")
        await settled(desk.pilot)
        sheet = desk.app.here
        await desk.press("r")
        if sheet.subject == "R-002":
            await desk.press("enter")
        assert sheet.subject == "C-003"
        await desk.press("s")
        assert sheet.subject == "R-002"
        await desk.press("escape")
        assert sheet.subject == "C-003"
        await desk.press("escape")
        assert sheet.subject == "R-002"

    at_desk(root, ENGINEER, script)


def test_enter_opens_the_record_on_its_sheet(root: Path) -> None:
    async def script(desk: Desk) -> None:
        desk.app._show("7", "E-013")
        await settled(desk.pilot)
        await desk.press("enter")
        assert desk.app.here.NUMBER == "4" and desk.app.here.record_at_cursor() == "E-013"
        await desk.press("escape")
        assert desk.app.here.NUMBER == "7" and desk.app.here.subject == "E-013"

    at_desk(root, ENGINEER, script)


def test_the_digit_shows_the_record_one_came_from(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("4", "down")
        record = desk.app.here.record_at_cursor()
        await desk.press("7")
        assert desk.app.here.subject == record != ""

    at_desk(root, ENGINEER, script)


def test_nothing_beneath_says_so(root: Path) -> None:
    async def script(desk: Desk) -> None:
        desk.app._show("7", "M-01")
        await settled(desk.pilot)
        await desk.press("r")
        assert desk.said == "M-01 rests on nothing yet."

    at_desk(root, ENGINEER, script)


def test_many_rungs_are_folded_by_kind_and_a_missing_record_is_a_rung(root: Path) -> None:
    session = Session(root, ENGINEER, read_only=True)
    rungs = ladder(session, "R-022")
    assert any("more specimens" in rung.title for rung in rungs)
    file = root / "calculations" / "C-003.toml"
    file.write_text(file.read_text().replace('design = "V2"', 'design = "V99"'))
    session = Session(root, ENGINEER, read_only=True)
    missing = [rung for rung in ladder(session, "C-003") if "V99" in rung.title]
    assert [rung.state for rung in missing] == ["not met"]


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_hostile_titles_are_shown_as_they_were_written(root: Path, size: tuple[int, int]) -> None:
    titles = ["x [/b] 5 [mm] y", "[@click=app.quit]z", "<F_max> R&D", "漢字 wide 🚗", "word " * 300]
    opened = Opened(root)
    for number, title in enumerate(titles):
        opened.record(set_field(opened.project, f"M-0{number + 1}", "title", title.strip(), ENGINEER))

    async def script(desk: Desk) -> None:
        for number, title in enumerate(titles):
            desk.app._show("7", f"M-0{number + 1}")
            await settled(desk.pilot)
            assert title[:12].strip() in desk.text
            await desk.press("t", "f1", "escape", "9", "8")
            assert desk.app.here.NUMBER == "8"

    at_desk(root, ENGINEER, script, size)


def test_every_record_is_told_in_wrapped_lines_that_fit(root: Path) -> None:
    session = Session(root, ENGINEER)
    try:
        project = session.opened.project
        for columns in (58, 78, 88):
            for name in project.records:
                lines = record_block(session, name, columns, 8)
                texts = [line_text(line(told) if isinstance(told, str | Piece) else line(*told)) for told in lines]
                assert 0 < len(texts) <= 8 and all(cell_len(text) <= columns for text in texts), (name, columns)
                assert "{" not in texts[1] if len(texts) > 1 else True
    finally:
        session.close()


@pytest.mark.parametrize(("value", "unit", "shown", "words"), [
    (56650.0, "N/mm", "", "56.65 kN/mm"), (56650.0, "N/mm", "N/mm", "56650 N/mm"), (1.3982, "kg", "g", "1398.2 g"),
    (12.0, "N", "", "12 N"), (0.05, "-", "%", "5 %"), (0.05, "-", "", "0.05"), (3.0, "", "", "3"),
    (38.095, "mm", "", "38.095 mm"),
])
def test_a_number_is_told_in_the_unit_it_is_read_in(value: float, unit: str, shown: str, words: str) -> None:
    assert number_words(value, unit, shown) == words


def test_shown_units_come_from_the_field_or_from_the_method_of_a_result(root: Path) -> None:
    project = Opened(root).project
    assert shown_unit_of(Cost, project.raw["cost"], "variant.mass") == ("kg", "g")
    names = [value["name"] for value in project.raw["C-006"]["result"]["values"]]
    place = next(number for number, name in enumerate(names) if name.startswith("radial"))
    assert shown_unit_of(Calculation, project.raw["C-006"], f"result.values.{place}.value") == ("N/mm", "kN/mm")
    assert shown_unit_of(Calculation, project.raw["C-006"], "nothing") == ("", "")


def test_where_the_worst_part_decides_its_value_stands_in_the_trace(root: Path) -> None:
    session = Session(root, "M. Olsen", read_only=True)
    assert value_of(session, "E-001") == "1401.0 ± 1.1 g"
    assert value_of(session, "E-009") == "56.65 ± 0.69 kN/mm"
