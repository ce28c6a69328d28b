"""Text: escaping, glyphs, unbreakable pairs, numbers that line up, balanced and cut paragraphs."""

import pytest

from dossier.release import typefaces
from dossier.release.kit import Kit, line_count
from dossier.release.marks import STATES, state
from dossier.release.page import Page
from dossier.release.text import (
    FIGURE_SPACE,
    NO_BREAK,
    PUNCTUATION_SPACE,
    Markup,
    bold,
    dec,
    formula,
    grouped,
    join,
    minus,
    mono,
    plain,
    signed,
    text,
)  # fmt: skip
from dossier.release.typefaces import BOLD, BOOK, LIGHT, MONO, REPLACEMENT


@pytest.fixture(scope="module")
def kit():
    return Kit(Page("a4"))


def test_plain_strings_are_escaped_and_markup_is_not():
    assert text("R&D <F_max>") == "R&amp;D &lt;F_max&gt;"
    assert text(Markup("<b>x</b>")) == "<b>x</b>"
    assert text(["a<", bold("b&"), "c"]) == "a&lt;<b>b&amp;</b>c"


def test_adding_a_string_to_markup_escapes_it():
    assert bold("x") + " <y>" == "<b>x</b> &lt;y&gt;"
    assert "<y> " + bold("x") == "&lt;y&gt; <b>x</b>"
    assert isinstance("a" + bold("x"), Markup)
    assert join(["<a>", bold("b")]) == "&lt;a&gt;, <b>b</b>"


def test_markup_put_into_a_string_is_data_again():
    assert text(f"see {bold('x')}") == "see &lt;b&gt;x&lt;/b&gt;"


def test_lines_are_kept():
    assert text("a\nb\r\nc\u2028d") == "a<br/>b<br/>c<br/>d"
    assert plain("a\nb\tc") == "a b c"


def test_literal_is_what_a_reader_sees():
    assert plain(["R&D ", bold("<F_max>"), " x"]) == "R&D <F_max> x"
    assert plain("&lt;") == "&lt;"


@pytest.mark.parametrize("source, held", [
    ("12 kN", "12~kN"), ("5 N⋅m", "5~N⋅m"), ("25 %", "25~%"), ("3 °", "3~°"), ("54.8 ± 1.1", "54.8~±~1.1"),
    ("n = 5", "n~=~5"), ("ISO 37", "ISO~37"), ("A. B. Name", "A.~B.~Name"), ("10 000 pieces", "10~000~pieces"),
    ("≤ 5", "≤~5"), ("sheet 9", "sheet~9"), ("1 nut and 2 mmx", "1 nut and 2 mmx"), ("a 5 b", "a 5 b"),
])  # fmt: skip
def test_pairs_that_stay_on_one_line(source, held):
    assert text(source) == held.replace("~", NO_BREAK)


def test_thin_spaces_do_not_break_lines():
    assert text("1\u202f000\u2009x") == f"1{NO_BREAK}000{NO_BREAK}x"


def test_missing_glyphs_are_found():
    assert typefaces.missing_glyphs("plain ✓✗▫∆~⌀⋅≤≥±−√²³⁴σκ₂→…") == []
    assert typefaces.missing_glyphs("中 a 中\x07\u202e\n") == ["中", "\x07", "\u202e"]
    assert typefaces.missing_glyphs("✓⌀≤√⋅", LIGHT) == ["✓", "⌀", "≤", "√", "⋅"]


def test_missing_glyphs_are_replaced_by_one_that_is_there():
    for font in typefaces.FILES:
        assert ord(REPLACEMENT) in typefaces.code_points(font)
    assert typefaces.visible("a中b") == f"a{REPLACEMENT}b"
    assert typefaces.visible("e\u0301") == "é"


def test_light_type_gives_way_where_it_lacks_a_glyph():
    assert typefaces.face_for("27.9", LIGHT) == LIGHT
    assert typefaces.face_for("≤ 2", LIGHT) == BOOK


def test_every_state_of_the_design_has_a_glyph():
    words = {
        "met", "not met", "open", "outdated", "conceded", "undecided", "current", "newer method available", "failed",
        "planned", "running", "finished", "aborted", "invalid", "waiting", "in work", "ready", "closed", "reopened",
        "valid", "superseded by a change", "withdrawn", "frozen", "superseded",
    }  # fmt: skip
    assert words <= set(STATES)
    for glyph, _ in STATES.values():
        assert typefaces.missing_glyphs(glyph) == [] and typefaces.missing_glyphs(glyph, MONO) == []


def test_a_state_is_printed_with_its_word():
    assert state("met").literal == f"✓{NO_BREAK}met"
    assert state("not met", "<left>").literal == f"✗{NO_BREAK}<left>"
    with pytest.raises(ValueError, match='state = "good" must be one of met, not met'):
        state("good")


def test_decimal_points_stand_under_each_other():
    column = ["1", "2.5", "−3.25", "–", "≤ 1420", "text"]
    padded = dec(column)
    assert padded == [
        f"1{PUNCTUATION_SPACE}{FIGURE_SPACE * 2}", f"2.5{FIGURE_SPACE}", "−3.25", "–",
        f"≤ 1420{PUNCTUATION_SPACE}{FIGURE_SPACE * 2}", "text",
    ]  # fmt: skip
    for font in (BOOK, BOLD):
        tails = [typefaces.width(p[p.index(".") :], font, 7.4) for p in padded[1:3]]
        whole = typefaces.width(padded[0][1:], font, 7.4)
        # 0.02 pt: the punctuation space is as wide as the point to the design unit of the face
        assert tails == pytest.approx([whole, whole], abs=0.02)


def test_whole_numbers_and_percentages_are_left_alone():
    assert dec(["1", "20", ""]) == ["1", "20", ""]
    assert dec(["1.5 %", "20 %"]) == ["1.5 %", "20 %"]
    assert dec([]) == []


@pytest.mark.parametrize("value, digits, shown", [
    (0.014, 2, "+0.01"), (-0.004, 2, "+0.00"), (-0.14, 2, "−0.14"), (0, 0, "+0"), (-264.0, 0, "−264"),
])  # fmt: skip
def test_signs(value, digits, shown):
    assert signed(value, digits) == shown


def test_minus_and_groups():
    assert minus("-1e-5") == "−1e−5"
    assert grouped("0123456789", 4) == "0123 4567 89"


def test_formulas_are_set_with_subscripts_and_superscripts():
    assert formula("κ M_h").literal == "κ Mh"
    assert "<sub" in formula("R_pN") and "pN</sub>" in formula("R_pN")
    assert "<super" in formula("x^1.5") and formula("d^(2 n)").literal == "d2 n"
    assert formula("a < b & c").literal == "a < b & c"


def test_balanced_lines_leave_no_single_word(kit):
    sentence = "Yes, with four conditions. The variant is lighter and each of its requirements is met, none is open now"
    width = 300
    plain_paragraph = kit.paragraph(sentence, "answer")
    lines = line_count(plain_paragraph, width)
    balanced = kit.balanced(sentence, "answer", width)
    assert line_count(balanced, balanced.width) == lines
    words = [len(line[1]) for line in balanced.blPara.lines]
    assert min(words) > 2


def test_clipping_says_that_it_cut(kit):
    short, was_cut = kit.clipped("a few words", "body", 200, 2)
    assert not was_cut
    long, was_cut = kit.clipped("word " * 5000, "body", 200, 2)
    assert was_cut
    assert line_count(long, 200) == 2


def test_one_line_is_shrunk_and_then_cut():
    line, size = typefaces.shrink("word word", BOOK, 7.2, 30, 5)
    assert (line, size < 7.2) == ("word word", True)
    line, size = typefaces.shrink("word " * 50, BOOK, 7.2, 30, 5)
    assert size == 5 and line.endswith("…")
    assert typefaces.width(line, BOOK, size) <= 30
    assert typefaces.width(typefaces.cut("x" * 6000, BOOK, 8, 100), BOOK, 8) <= 100.01


def test_digests_are_set_in_fixed_width():
    assert MONO in mono("abc")


def test_fonts_carry_their_licence():
    licence = (typefaces.FOLDER / "LICENSE_DEJAVU").read_text()
    assert "Bitstream" in licence and "Permission is hereby granted" in licence
    assert sorted(p.name for p in typefaces.FOLDER.glob("*.ttf")) == sorted(typefaces.FILES.values())
