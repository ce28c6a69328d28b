"""Glyphs, cleaning of user text, cell widths, aligned columns, wrapping."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from screens import cells, glyphs
from tests.screens.sample import HOSTILE

WORDS = st.text(alphabet=st.characters(codec="utf-8"), max_size=60)


@pytest.mark.parametrize("state", sorted(glyphs.STATES))
def test_state_glyphs_have_one_certain_width(state: str) -> None:
    glyph = glyphs.STATES[state]
    assert not glyphs.ambiguous(glyph.glyph)
    assert cell_len(glyph.glyph) == 1 == len(glyph.plain)
    assert glyph.plain.isascii()
    assert glyphs.to_plain(glyph.glyph) == glyph.plain


def test_states_differ_without_colour() -> None:
    assert len({entry.glyph for entry in glyphs.STATES.values()}) == len(glyphs.STATES)
    assert len({entry.plain for entry in glyphs.STATES.values()}) == len(glyphs.STATES)


def test_plain_form_leaves_nothing_ambiguous() -> None:
    for symbol, form in glyphs.PLAIN_FORM.items():
        assert form.isascii(), symbol
    shown = glyphs.to_plain("54.8 ± 1.1 N⋅m/°, √(s_b² + 3 t²), ⌀ 18")
    assert shown == "54.8 +/- 1.1 N.m/deg, sqrt(s_b^2 + 3 t^2), d 18"


def test_names_keep_their_letters_in_plain_glyphs() -> None:
    assert glyphs.to_plain("J. Müller, Łódź, Ελένη") == "J. Müller, Łódź, Ελένη"


def test_steps_of_the_title_block() -> None:
    steps = ("closed", "closed", "reopened", "not met", "waiting", "ready")
    assert glyphs.step_marks(steps) == "1✓2✓3∆4✗5▫6▫"
    assert glyphs.step_marks(steps, spaced=True) == "1✓ 2✓ 3∆ 4✗ 5▫ 6▫"
    with pytest.raises(KeyError):
        glyphs.step_marks(["finished"])


@pytest.mark.parametrize("text", HOSTILE)
def test_clean_text_moves_no_terminal(text: str) -> None:
    shown = glyphs.clean(text)
    assert all(character.isprintable() or cell_len(character) for character in shown)
    assert not any(ord(character) < 32 or 0x7F <= ord(character) < 0xA0 for character in shown)
    shown.encode("utf-8")


def test_clean_writes_controls_out() -> None:
    assert glyphs.clean("a\x1b[2Jb") == "a\\x1b[2Jb"
    assert glyphs.clean("one\r\ntwo\tthree") == "one two three"
    assert glyphs.clean("one\r\ntwo", keep_lines=True) == "one\ntwo"
    assert glyphs.clean("\u202egnp") == "\\u202egnp"
    assert glyphs.clean("[mm] is no tag") == "[mm] is no tag"


def test_plain_is_literal_content() -> None:
    content = glyphs.plain("x [/b] 5 [mm] [@click=app.quit]y")
    assert content.plain == "x [/b] 5 [mm] [@click=app.quit]y"
    assert not content.spans


@pytest.mark.parametrize(("environment", "expected"), [
    ({"LANG": "ja_JP.UTF-8"}, True), ({"LC_ALL": "zh_CN.UTF-8", "LANG": "en_US"}, True), ({"LANG": "ko"}, True),
    ({"LANG": "de_DE.UTF-8"}, False), ({}, False), ({"LC_ALL": "en_US", "LANG": "ja_JP"}, False),
])
def test_plain_glyphs_by_locale(environment: dict[str, str], expected: bool) -> None:
    assert glyphs.plain_by_default(environment) is expected


@given(WORDS, st.integers(0, 40), st.sampled_from(["left", "right", "middle"]))
def test_padded_text_has_its_width(text: str, columns: int, align: str) -> None:
    assert cell_len(cells.pad(glyphs.clean(text), columns, align)) == columns


@given(WORDS, st.integers(1, 60))
def test_shortened_text_fits(text: str, columns: int) -> None:
    text = glyphs.clean(text)
    assert cell_len(cells.cut(text, columns)) <= columns
    assert cell_len(cells.balance(text, columns)) <= columns
    assert cell_len(cells.crop_left(text, columns)) <= columns


@given(WORDS, st.integers(2, 40))
def test_wrapped_lines_fit_and_lose_nothing(text: str, columns: int) -> None:
    text = glyphs.clean(text)
    lines = cells.wrap(text, columns)
    assert all(cell_len(line) <= columns for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_balanced_text_keeps_both_ends() -> None:
    text = "Step 3 Design reopened: 1 result outdated, 1 check not met, in words that go on. 4 things are yours."
    shown = cells.balance(text, 60)
    assert shown.startswith("Step 3 Design reopened:")
    assert shown.endswith("are yours.")
    assert " ... " in shown


def test_columns_align_on_the_point() -> None:
    lines = cells.align_point(["6.82", "0.375", "112", "-", "1 940.5", "54.8 ± 1.1", "steel"])
    assert len({cell_len(line) for line in lines}) == 1
    points = {line.index(".") for line in (lines[0], lines[1], lines[4], lines[5])}
    assert len(points) == 1
    assert lines[2].rstrip().endswith("112") and len(lines[2].rstrip()) == points.pop()
    assert lines[3].endswith("-") and lines[6].endswith("steel")


@given(st.lists(st.floats(-1e6, 1e6).map(lambda value: f"{value:.2f}"), min_size=1, max_size=8))
def test_numbers_with_equal_decimals_stay_as_they_are(texts: list[str]) -> None:
    lines = cells.align_point(texts)
    assert [line.strip() for line in lines] == texts
    assert len({line.index(".") for line in lines}) == 1


def test_two_texts_share_a_row() -> None:
    assert cells.beside("left", "right", 20) == "left           right"
    crowded = cells.beside("a long text at the left side", "and another at the right", 30)
    assert cell_len(crowded) == 30 and crowded.startswith("a long")


def test_wide_characters_are_never_cut_in_half() -> None:
    assert cells.crop("漢字", 3) == "漢 "
    assert cells.crop_left("漢字", 3) == " 字"
    assert cells.wrap("漢字漢字", 3) == ["漢", "字", "漢", "字"]


def test_text_for_a_drawing_has_one_cell_per_character() -> None:
    assert glyphs.grid_text("ring 漢 ±0.1", False) == "ring ? ±0.1"
    assert glyphs.grid_text("ring ±0.1", True) == "ring +/-0.1"
