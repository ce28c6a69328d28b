"""Finding: what a typed search asks for, and the strip on the sheets by its keys."""

from pathlib import Path

import pytest

from screens.finding import Facts, parse_query
from screens.glossary import terms, terms_in
from screens.widgets.sheet_list import SheetList
from tests.screens.look import settled
from tests.screens.project import Desk, at_desk, copied
from tests.screens.sample import HOSTILE

ENGINEER = "M. Olsen"
STIFF = Facts("R-007", "r-007 radial stiffness pin", "met", 0.13, True, False, ((53.9, "kN/mm"), (17000.0, "N")))


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return copied(tmp_path, monkeypatch)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("R-0", True), ("radial pin", True), ("axial", False), ("met", True), ("not met", False), (">0.1", True),
        ("<0", False), ("< 0.2", True), ("mine", True), ("today", False), ("17 kN", True), ("17.0 kN", True),
        ("18 kN", False), ("17 kN/mm", False), ("53.9", True), ("54.9", False), ("met >0.1 stiffness", True), ("", True),
    ],
)  # fmt: skip
def test_what_a_search_asks_for(text: str, found: bool) -> None:
    assert parse_query(text).matches(STIFF) is found


def test_half_of_the_last_typed_digit_is_the_tolerance() -> None:
    facts = Facts("x", "", quantities=((18.449, "mm"),))
    assert parse_query("18.4 mm").matches(facts)
    assert not parse_query("18.5 mm").matches(facts)
    assert parse_query("18 mm").matches(facts)


def test_every_term_has_a_meaning_and_its_name_once() -> None:
    names = [term.name for term in terms()]
    assert len(names) == len(set(names)) >= 60
    assert all(term.meaning for term in terms())
    assert "push-out force" in terms_in("Push-out force, new, kN")[0].name
    assert terms_in("nothing of the sort") == []


def test_typing_narrows_at_once_enter_keeps_escape_restores(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("4")
        rows = desk.app.here.query_one(SheetList)
        total = rows.row_count()
        await desk.press("f")
        await desk.type("push-out")
        shown = rows.row_count()
        assert 0 < shown < total
        assert f"{shown} of {total}, shown above" in desk.text
        await desk.press("enter")
        assert rows.row_count() == shown and f"{shown} of {total} shown" in desk.rows[1]
        await desk.press("f", "escape")
        assert rows.row_count() == total
        assert "shown" not in desk.rows[1]

    at_desk(root, ENGINEER, script)


def test_the_cursor_goes_to_the_row_of_the_id_though_others_name_it(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("7", "g", "f")
        await desk.type("e-015")
        await desk.press("enter")
        rows = [row for row in desk.rows if " E-0" in row or " D-0" in row or " K-0" in row]
        assert len(rows) > 1, "another record names E-015 too"
        assert [row.split()[1] for row in rows if row.startswith(" >")] == ["E-015"]

    at_desk(root, ENGINEER, script)


def test_a_search_without_a_hit_says_so_and_escape_shows_all_also_after_it_was_kept(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("2", "f")
        await desk.type("nowhere")
        assert 'Nothing here matches "nowhere"; Esc shows all.' in desk.text and "n begins one" not in desk.text
        await desk.press("enter")
        assert "Nothing here matches" in desk.text
        await desk.press("escape")
        assert desk.app.here.NUMBER == "2" and "Nothing here matches" not in desk.text and "R-001" in desk.text
        await desk.press("escape")
        assert desk.app.here.NUMBER == "0"

    at_desk(root, ENGINEER, script)


def test_hits_elsewhere_are_gone_to_and_words_are_told(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("f")
        await desk.type("E-013")
        await desk.press("down", "enter")
        assert desk.app.here.NUMBER == "4" and desk.app.here.record_at_cursor() == "E-013"
        await desk.press("f")
        await desk.type("mullins")
        await desk.press("down", "enter")
        assert desk.said.startswith("Mullins effect: softening in first loadings")

    at_desk(root, ENGINEER, script)


def test_a_state_and_a_margin_narrow_the_requirements(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("2")
        rows = desk.app.here.query_one(SheetList)
        view = desk.app.session.opened.view
        for typed, wanted in (
            ("undecided", [n for n, v in view.verdicts.items() if v.state == "undecided"]),
            ("<0", [n for n, v in view.verdicts.items() if v.margin.value is not None and v.margin.value < 0]),
        ):
            await desk.press("f")
            await desk.type(typed)
            assert wanted and sorted(rows.model.ids[i] for i in rows.model.shown) == sorted(wanted)
            await desk.press("escape")

    at_desk(root, ENGINEER, script)


def test_hostile_searches_change_nothing(root: Path) -> None:
    async def script(desk: Desk) -> None:
        for text in HOSTILE[:8]:
            await desk.press("f")
            strip = desk.app.here.frame.strip
            strip.entry.buffer.insert(text)
            strip._text_changed()
            await settled(desk.pilot)
            await desk.press("escape")
        assert desk.app.is_running and desk.app.here.NUMBER == "0"

    at_desk(root, ENGINEER, script)


def test_term_of_the_row(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("f")
        await desk.type("E-013")
        await desk.press("down", "enter", "t")
        if desk.app.here.frame.strip.is_open:
            await desk.press("enter")
        assert "push-out force" in desk.said

    at_desk(root, ENGINEER, script)
