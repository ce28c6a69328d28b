"""Blocks, kept content, columns: where things go and where pages break."""

import pytest
from pdf_lines import paths_of
from pdf_words import overlaps, pieces_of

from dossier.release.axes import Scale
from dossier.release.curves import Curve, Series
from dossier.release.flow import Columns, Floating, IfFits, Keep, Wide, block, room, space
from dossier.release.heads import Figures, KeyFigure, masthead, sheet
from dossier.release.signals import WORDS, Signal, caution
from dossier.release.tables import Column, table

LONG_NOTE = "a note of many words that fills its column " * 8


def texts_by_page(document):
    return [[p.text for p in pieces_of(page)] for page in document.reader.pages]


def test_a_long_side_note_pushes_the_next_block_down(build):
    document = build(
        lambda kit: [
            block(kit, "first", [kit.paragraph("short")], LONG_NOTE),
            block(kit, "second", [kit.paragraph("x")]),
        ]
    )
    pieces = pieces_of(document.reader.pages[0])
    last_of_note = min(p.y for p in pieces if p.x < document.page.main_left and p.size < 7 and p.y > 100)
    second = next(p.y for p in pieces if p.text == "second")
    assert second < last_of_note
    assert overlaps(pieces) == []


def test_wide_content_begins_below_the_side_note(build):
    def story(kit):
        wide = Wide(kit, table(kit, [Column("wide head")], [("wide row",)]))
        return [block(kit, "first", [kit.paragraph("short"), wide], LONG_NOTE)]

    document = build(story)
    assert overlaps(pieces_of(document.reader.pages[0])) == []
    pieces = {p.text: p for p in pieces_of(document.reader.pages[0])}
    assert pieces["wide row"].x == pytest.approx(document.page.left)


def test_a_block_moves_on_if_its_side_note_does_not_fit(build):
    document = build(lambda kit: [space(600), block(kit, "moved", [kit.paragraph("x " * 2000)], LONG_NOTE)])
    pages = texts_by_page(document)
    assert "moved" not in pages[0] and "moved" in pages[1]


def test_a_block_says_on_the_next_page_what_continues(build):
    document = build(
        lambda kit: [block(kit, "C-001 long one", [kit.paragraph("x " * 15000)], identifier="C-001")]
    )
    pages = texts_by_page(document)
    assert "C-001 long one" in pages[0]
    assert all("C-001 long one, continued" in texts for texts in pages[1:]) and len(pages) > 2


def test_a_note_longer_than_half_a_page_moves_into_the_main_column(build):
    document = build(lambda kit: [block(kit, "b", [kit.paragraph("content")], "word " * 700)])
    pieces = pieces_of(document.reader.pages[0])
    assert not [p for p in pieces if "word word" in p.text and p.x < document.page.main_left - 1]
    assert sum(p.text.split().count("word") for p in pieces) == 700


def hairlines(document):
    page = document.page
    return [
        p.box[1] for p in paths_of(document.reader.pages[0])
        if p.weight == 0.5 and len(p.points) == 2 and p.box[2] - p.box[0] == pytest.approx(page.full, abs=0.1)
        and p.box[1] > page.frame_bottom
    ]  # fmt: skip


def test_no_hairline_at_the_top_of_a_page_or_under_a_sheet_rule(build):
    def blocks(kit):
        return [block(kit, name, [kit.paragraph("x")]) for name in ("one", "two", "three")]

    assert len(hairlines(build(blocks))) == 2
    with_sheet = build(lambda kit: [*sheet(kit, "1", "t", "q", "a", "s", room_needed=100), *blocks(kit)])
    assert len(hairlines(with_sheet)) == 2


def test_kept_content_stays_on_one_page(build):
    for white in range(500, 720, 10):
        document = build(lambda kit, white=white: [
            space(white), Keep(kit, [kit.paragraph(f"line {i}") for i in range(6)])])  # fmt: skip
        counts = [sum(t.startswith("line") for t in texts) for texts in texts_by_page(document)]
        assert [c for c in counts if c] == [6]


def figure_with_words(kit, white):
    drawn = Curve(kit, 200, 200, Scale.around([0, 1], "x"), Scale.around([0, 1], "y"), [Series("", [0, 1], [0, 1])])
    lines = [kit.paragraph(f"line {i}") for i in range(6)]
    floating = Floating(kit, [drawn, kit.paragraph("caption")], [drawn])
    return [space(white), block(kit, "b", [kit.paragraph("head"), floating, *lines])], drawn


def test_a_figure_floats_over_words_that_would_leave_the_page_empty(build):
    seen = set()
    for white in range(300, 600, 20):
        heights = []

        def story(kit, white=white, heights=heights):
            story, drawn = figure_with_words(kit, white)
            drawn.draw = lambda: heights.append(drawn.height)
            return story

        pages = texts_by_page(build(story))
        (page,) = [number for number, texts in enumerate(pages) if "caption" in texts]
        head = next(number for number, texts in enumerate(pages) if "head" in texts)
        first = next(number for number, texts in enumerate(pages) if "line 0" in texts)
        seen.add("later" if page > head else "lower" if heights[-1] < 199 else "as it is")
        assert 0.6 * 200 <= heights[-1] <= 200
        if page > head:
            assert first == head and heights[-1] == 200
    assert seen == {"as it is", "lower", "later"}


def test_kept_content_that_no_page_holds_is_split(build):
    document = build(lambda kit: [Keep(kit, [kit.paragraph(f"line {i}") for i in range(150)])])
    assert sum(t.startswith("line") for texts in texts_by_page(document) for t in texts) == 150


def test_a_lead_stays_with_what_it_leads_to(build):
    for white in range(560, 720, 8):

        def story(kit, white=white):
            lines = Keep(kit, [kit.paragraph(f"line {i}") for i in range(5)])
            return [space(white), block(kit, "b", [kit.paragraph("the lead", "lead"), lines])]

        document = build(story)
        for texts in texts_by_page(document):
            assert ("the lead" in texts) == ("line 0" in texts)


@pytest.mark.parametrize("white, shown", [(600, True), (700, False)])
def test_content_that_need_not_be_there_is_dropped_where_it_does_not_fit(build, white, shown):
    document = build(lambda kit: [space(white), IfFits(kit, [kit.paragraph("legend " * 60)])])
    assert document.report.pages == 1
    assert any("legend" in text for text in texts_by_page(document)[0]) == shown


def test_columns_stand_beside_each_other_and_split_only_if_they_must(build):
    document = build(
        lambda kit: [
            space(600),
            Columns(kit, [(100, [kit.paragraph("left " * 80)]), (None, [kit.paragraph("right")])]),
        ]
    )
    pages = texts_by_page(document)
    assert "right" in pages[1] and not any("left" in text for text in pages[0])
    document = build(
        lambda kit: [
            Columns(kit, [(100, [kit.paragraph("left " * 2000)]), (None, [kit.paragraph("right " * 2000)])])
        ]
    )
    texts = [text for page in texts_by_page(document) for text in page]
    for word in ("left", "right"):
        assert sum(text.split().count(word) for text in texts) == 2000


def test_room_starts_a_page_if_too_little_is_left(build):
    assert build(lambda kit: [space(600), room(200), kit.paragraph("x")]).report.pages == 2
    assert build(lambda kit: [space(400), room(200), kit.paragraph("x")]).report.pages == 1


@pytest.mark.parametrize("word", WORDS)
def test_a_caution_is_never_split(build, word):
    for white in range(560, 720, 12):

        def story(kit, white=white):
            words = ["first words " * 25, "last words " * 25]
            return [space(white), caution(kit, word, "W-01", "its title", words)]

        document = build(story)
        holding = [texts for texts in texts_by_page(document) if word in texts]
        assert len(holding) == 1
        assert "W-01" in holding[0] and "its title" in holding[0]
        assert any("last words" in t for t in holding[0])


def test_signal_words_are_the_four():
    with pytest.raises(
        ValueError, match='signal word = "HINT" must be one of DANGER, WARNING, CAUTION, NOTICE'
    ):
        Signal(None, "HINT")


def test_danger_is_white_on_ink_and_notice_has_no_ground(build):
    def grounds(word):
        document = build(lambda kit: [caution(kit, word, "W-01", "t", ["p"])])
        return [p for p in paths_of(document.reader.pages[0])
                if p.paint == "both" and abs(p.box[3] - p.box[1] - Signal.HEIGHT) < 0.01]  # fmt: skip

    assert grounds("DANGER")[0].fill == (0.118, 0.165, 0.184)
    assert grounds("CAUTION")[0].fill == (1.0, 1.0, 1.0)
    assert 0.7 < grounds("WARNING")[0].fill[0] < 0.85
    assert grounds("NOTICE") == []


@pytest.mark.parametrize("count", [1, 2, 4, 6])
def test_key_figures_share_the_width(build, count):
    figures = [
        KeyFigure(f"−{i}27.9", "kN/mm", "a label of some words", "held against R-001") for i in range(count)
    ]
    document = build(lambda kit: [Wide(kit, Figures(kit, figures))])
    pieces = pieces_of(document.reader.pages[0])
    assert overlaps(pieces) == []
    right = document.page.left + document.page.full
    assert all(p.box[2] <= right + 0.5 for p in pieces if abs(p.angle) < 1)


def test_answers_are_balanced_and_questions_give_way_to_long_titles(build):
    def story(kit):
        long_title = "A title of a sheet with so many words that it needs a line of its own"
        question = "Is this a question of some length?"
        return [
            *masthead(kit, "kind", "title"),
            *sheet(kit, "1", long_title, question, "a", "s", room_needed=100),
        ]

    pieces = pieces_of(build(story).reader.pages[0])
    assert overlaps(pieces) == []
    question = next(p for p in pieces if p.text.startswith("Is this"))
    title = next(p for p in pieces if p.text.startswith("A title"))
    assert question.y < title.y - 10
