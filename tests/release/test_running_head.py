"""The running head of continued sheets, and passes that settle its page numbers."""


import pytest
from pdf_words import pieces_of

from dossier.release.document import DocumentError
from dossier.release.flow import IfFits, block, new_page, space
from dossier.release.furniture import MARGIN_SIZE, _whole_sentences
from dossier.release.heads import sheet
from dossier.release.kit import Kit, line_count
from dossier.release.page import Page
from dossier.release.trace import Trace, landing_problems
from dossier.release.typefaces import BOOK, width


def test_the_running_head_ends_with_a_whole_sentence():
    told = "Not met: R-023 by E-015. 55 items: 54 finished; none open."
    room = width(told, BOOK, MARGIN_SIZE)
    assert _whole_sentences(told, room) == told
    assert _whole_sentences(told, room - 1) == "Not met: R-023 by E-015. 55 items: 54 finished"
    assert _whole_sentences(told, room / 2) == "Not met: R-023 by E-015."
    assert _whole_sentences(told, 5) == told  # nothing whole fits: it is cut where it is written


def test_the_first_pass_leaves_room_for_page_numbers_so_that_the_second_settles(build):
    trace = Trace(None, ["A-001"])
    settled = Trace({"A-001": 27}, ["A-001"])
    assert line_width(trace.ref("A-001")) == line_width(settled.ref("A-001")) and trace.page_of("A-001")

    def story(kit):
        text = kit.paragraph([[kit.ref("A-001"), " "] for _ in range(2000)])
        fill = [item for i in range(10) for item in (kit.paragraph(f"page {i}"), new_page())]
        return [*fill, text, block(kit, "A-001 place", [kit.paragraph("b")], identifier="A-001")]

    assert build(story).report.passes == 2


def line_width(markup):
    return Kit(Page("a4")).paragraph(markup).minWidth()


def test_running_head_on_continued_sheets_only(sample):
    for number, pieces in enumerate(sample.pieces, 1):
        above = [p.text for p in pieces if p.y > sample.page.frame_top and abs(p.angle) < 1]
        begins_here = any(p.size == 40 and p.y > sample.page.frame_top - 60 for p in pieces)
        assert bool(above) != (begins_here or number == 1)


def test_two_sheets_on_a_page_are_both_named(sample):
    pieces = sample.pieces[sample.report.page_map["sheet 8"] - 1]
    assert sample.report.page_map["sheet 7"] == sample.report.page_map["sheet 8"]
    assert "7 and 8" in [piece.text for piece in pieces]


def test_a_sheet_begun_below_a_continued_one_leaves_the_running_head(build):
    def story(kit):
        parts = ("q", "a", "answer in short")
        text = kit.paragraph("word " * 1500)
        return [
            *sheet(kit, "1", "First", *parts, room_needed=90),
            text,
            *sheet(kit, "2", "Second", *parts, room_needed=90),
        ]

    document = build(story)
    last = pieces_of(document.reader.pages[-1])
    assert document.report.page_map["sheet 2"] == len(document.reader.pages) == 2
    assert "1 and 2" in [p.text for p in last]
    assert "1 First" in [p.text for p in last if p.y > document.page.frame_top]


def test_a_story_that_never_settles_is_refused(build):
    turn = []

    def story(kit):
        turn.append(1)
        pages = [new_page(), kit.paragraph("x")] * (len(turn) % 2)
        return [
            kit.paragraph("a"),
            *pages,
            block(kit, "A-001 place", [kit.paragraph("b")], identifier="A-001"),
        ]

    with pytest.raises(DocumentError, match="page numbers still move after 7 passes"):
        build(story)


def test_a_layout_that_swings_with_its_page_numbers_settles(build):
    """Two digits push the legend off page 9 and the place back onto it; one digit does the opposite."""

    def story(kit):
        def lines(page, count):
            known = Trace({"A-001": page})
            return line_count(kit.paragraph([[known.ref("A-001"), " "] for _ in range(count)]), kit.page.main)

        count = next(k for k in range(20, 200) if lines(9, k) < lines(10, k))
        text = kit.paragraph([[kit.ref("A-001"), " "] for _ in range(count)])
        left = kit.page.height - 12 * lines(9, count) - 4
        fill = [item for i in range(8) for item in (kit.paragraph(f"page {i}"), new_page())]
        return [
            *fill,
            text,
            IfFits(kit, [space(left)]),
            block(kit, "A-001 place", [kit.paragraph("b")], identifier="A-001"),
        ]

    document = build(story)
    assert document.report.page_map["A-001"] == 9
    assert document.report.passes > 3
    assert landing_problems(document.data) == []
