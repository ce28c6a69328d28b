"""Terminals of 256 and of 16 colours."""

import pytest
from rich.color import ColorType

from screens.few_colours import nearest, numbered, reduced, terminal_colours
from screens.palette import APPEARANCES, AREAS, TEXT_ROLES, contrast, lightness
from screens.widgets.section_view import SectionView
from tests.screens import look, parts
from tests.screens.sample import SampleApp, requirement_list

ALL = pytest.mark.parametrize("name", sorted(APPEARANCES))


def test_the_240_colours() -> None:
    """Cube levels 0, 95, 135, 175, 215, 255 and greys 8, 18 ... 238, as terminals share them (from memory)."""
    colours = terminal_colours()
    assert len(colours) == 240 and colours[0] == "#000000" and colours[215] == "#FFFFFF"
    assert colours[208 - 16] == "#FF8700" and colours[232 - 16] == "#080808" and colours[255 - 16] == "#EEEEEE"


@ALL
def test_promised_contrasts_hold_with_few_colours(name: str) -> None:
    few = reduced(APPEARANCES[name])
    assert min(contrast(few.text(role), few.area(area)) for role in TEXT_ROLES for area in AREAS) >= 4.5
    assert min(contrast(few.ink, fill) for fill in few.fills.values()) >= 3.0
    assert min(contrast(few.text(f"use{number}"), few.area(f"u{number}")) for number in range(8)) >= 4.5
    assert few.focus not in (few.ground, few.lifted)
    assert len({*few.fills.values(), few.ground}) == 6
    steps = [lightness(entry.area) for entry in few.utilisation]
    assert steps == sorted(steps, reverse=not few.dark) and len(set(steps)) == 8


@ALL
def test_all_are_colours_of_the_table(name: str) -> None:
    few = reduced(APPEARANCES[name])
    used = [few.text(role) for role in (*TEXT_ROLES, "rule")]
    used += [few.area(area) for area in (*AREAS, *"ABCDE", *(f"u{number}" for number in range(8)))]
    assert set(used) <= set(terminal_colours())


def test_no_colour_that_holds_is_an_error() -> None:
    assert nearest("#FE0101") == "#FF0000"
    with pytest.raises(ValueError):
        nearest("#FE0101", lambda candidate: False)
    assert numbered(None) is None


@pytest.mark.parametrize("size", look.SIZES)
def test_colours_are_sent_by_number(size: tuple[int, int], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("COLORTERM")
    monkeypatch.setenv("TERM", "xterm-256color")
    view = SectionView()
    app = SampleApp(view)

    async def script(pilot) -> None:
        view.show(parts.section())
        await pilot.pause()
        colours = [colour for row in look.rows_of(app) for segment in row
                   for colour in (segment.style.color, segment.style.bgcolor) if colour]
        assert {colour.type for colour in colours} == {ColorType.EIGHT_BIT}
        assert {terminal_colours()[colour.number - 16] for colour in colours} <= {
            *reduced(APPEARANCES["slate"]).fills.values(),
            *(reduced(APPEARANCES["slate"]).text(role) for role in (*TEXT_ROLES, "rule")),
            *(reduced(APPEARANCES["slate"]).area(area) for area in AREAS)}

    look.drive(app, size, script)


def test_sixteen_colours_get_the_look_without_colour(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("COLORTERM")
    monkeypatch.setenv("TERM", "vt100")
    rows = requirement_list()
    app = SampleApp(rows)

    async def script(pilot) -> None:
        rows.focus()
        await pilot.pause()
        segments = [segment for row in look.rows_of(app) for segment in row]
        assert all(colour is None or colour.is_default for segment in segments
                   for colour in (segment.style.color, segment.style.bgcolor))
        assert any(segment.style.reverse and "R-007" in segment.text for segment in segments)

    look.drive(app, (80, 24), script)
