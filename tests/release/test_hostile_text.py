"""Text from outside is data: it prints literally wherever it is put, at any length, and never breaks the document."""

import re

import pytest
from pdf_words import overlaps, pieces_of
from text_places import PLACES

from dossier.release.trace import Anchor, landing_problems

HOSTILE = ["[/b]", "<F_max>", "R&D", "=1+1", "../x", "<b>i", "&lt;", "a\\(%)", "</a>", "${x}"]
NARROW = 420  # words: longer than any one-line place, shorter than a page each


def filled(values):
    """A story with every place filled by its own value."""

    def story(kit):
        flowables = [Anchor(kit.trace, "place")]
        for (_, _, place), value in zip(PLACES, values, strict=True):
            flowables.extend(place(kit, value))
        return flowables

    return story


def squeezed(text: str) -> str:
    return re.sub(r"\s", "", text)


def printed(document) -> str:
    """All text between running head and title block, page after page, without white."""
    low, high = document.page.frame_bottom - 1, document.page.frame_top + 1
    pieces = (piece for page in document.reader.pages for piece in pieces_of(page))
    return squeezed("".join(p.text for p in pieces if abs(p.angle) < 1 and low < p.y < high))


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_strings_print_literally_in_every_place(build, hostile):
    values = [f"{hostile}{i:02d}" for i in range(len(PLACES))]
    document = build(filled(values))
    text = printed(document)
    expected = [
        v.replace("/", "|") if name == "manifest file" else v
        for (name, *_), v in zip(PLACES, values, strict=True)
    ]
    missing = [
        name for (name, *_), value in zip(PLACES, expected, strict=True) if squeezed(value) not in text
    ]
    assert missing == []
    assert landing_problems(document.data) == []


def test_long_text_stays_whole_where_it_flows_and_is_cut_visibly_where_it_cannot(build):
    values = [" ".join([f"w{i:02d}"] * NARROW) + f" end{i:02d}" for i in range(len(PLACES))]
    document = build(filled(values))
    text = printed(document)
    for i, (name, whole, _) in enumerate(PLACES):
        if whole:
            assert f"end{i:02d}" in text, name
            assert text.count(f"w{i:02d}") >= NARROW - document.report.pages, name  # a page may part a word
    cut = sum(not whole for _, whole, _ in PLACES)
    assert text.count("…") >= cut - 1  # a strip that does not fit its page is dropped as a whole


def test_six_thousand_words_in_paragraph_cell_note_and_answer(build):
    names = {"paragraph", "table cell", "block note", "sheet answer", "caution text", "columns"}
    chosen = [(name, place) for name, _, place in PLACES if name in names]
    assert len(chosen) == len(names)

    def story(kit):
        flowables = []
        for i, (_, place) in enumerate(chosen):
            flowables.extend(place(kit, " ".join(f"{i}x{k}y" for k in range(6000))))
        return flowables

    document = build(story)
    text = printed(document)
    for i, (name, _) in enumerate(chosen):
        lost = [k for k in range(6000) if f"{i}x{k}y" not in text]
        assert lost == [], name
    for page in document.reader.pages:
        assert overlaps(pieces_of(page)) == []


@pytest.mark.parametrize("word", ["x" * 6000, "10 000 " * 900, "a\n" * 500, "\u202f".join("abc" * 900)])
def test_text_without_places_to_break(build, word):
    document = build(lambda kit: [kit.paragraph(word), *PLACES[14][2](kit, word), *PLACES[15][2](kit, word)])
    right = document.page.left + document.page.full + 1
    for page in document.reader.pages:
        assert max(piece.box[2] for piece in pieces_of(page)) < right
    assert printed(document).count(squeezed(word)[:1]) >= 3 * squeezed(word).count(squeezed(word)[:1])


FIELDS = [
    "owner", "title", "subtitle", "identification", "revision", "created_by", "approved_by", "date_of_issue", "status",
    "notice", "document_type", "language",
]  # fmt: skip


@pytest.mark.parametrize("field", FIELDS)
@pytest.mark.parametrize("hostile", ["<F>[/b]R&D", "word " * 6000])
def test_title_block_takes_any_text(build, field, hostile):
    document = build(lambda kit: [kit.paragraph("c")], changes={field: hostile})
    pieces = pieces_of(document.reader.pages[0])
    text = squeezed("".join(piece.text for piece in pieces))
    if len(hostile) < 100 and field != "revision":
        assert squeezed(hostile) in text
    else:
        assert "…" in text
    assert overlaps(pieces) == []


def test_draft_lines_take_any_text(build):
    lines = ("<b>[/b] R&D ../x", "word " * 6000)
    document = build(lambda kit: [kit.paragraph("c")], released=False, changes={"draft_lines": lines})
    turned = [p for p in pieces_of(document.reader.pages[0]) if abs(p.angle - 90) < 1]
    text = squeezed("".join(p.text for p in turned))
    assert squeezed(lines[0]) in text
    assert "…" in text
    reach = max(p.y + p.width for p in turned)
    assert reach <= document.page.frame_top + 1


def test_characters_without_a_glyph_are_seen(build):
    document = build(lambda kit: [kit.paragraph("size \u4e2d, bell \x07, over \u202e, lone \ud800 end"),
                                  *PLACES[14][2](kit, "cell \u4e2d")])  # fmt: skip
    text = printed(document)
    assert text.count("\ufffd") == 5
    assert "loneend" not in text
