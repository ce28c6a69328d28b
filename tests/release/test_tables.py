"""Tables: rows on pages, heads, rules for splitting, alignment; manifest."""

import re
import time

import pytest
from pdf_words import overlaps, pieces_of

from dossier.release.flow import Wide, space
from dossier.release.kit import Kit
from dossier.release.manifest import manifest
from dossier.release.matrix import MassRow, Step, mass_table, matrix_table, working_table
from dossier.release.page import Page
from dossier.release.tables import Column, Row, table
from dossier.release.text import Markup

COLUMNS = [Column("number", 60), Column("head of words"), Column("value", 50, "d")]


def rows_of(count):
    return [(f"row-{i}", f"words of row {i}", f"{i / 8:g}") for i in range(count)]


@pytest.mark.parametrize("count", [0, 1, 2, 500])
def test_every_row_stands_once_and_every_page_has_the_head(build, count):
    document = build(lambda kit: [table(kit, COLUMNS, rows_of(count), empty="none so far")])
    pages = [[p.text for p in pieces_of(page)] for page in document.reader.pages]
    seen = [text for texts in pages for text in texts if text.startswith("row-")]
    assert seen == [f"row-{i}" for i in range(count)]
    assert all(texts.count("head of words") == 1 for texts in pages)
    assert sum(texts.count("none so far") for texts in pages) == (1 if not count else 0)
    for page in document.reader.pages:
        assert overlaps(pieces_of(page)) == []


def test_decimal_points_are_aligned_on_paper(build):
    document = build(lambda kit: [table(kit, COLUMNS, rows_of(60))])
    ends = set()
    for piece in pieces_of(document.reader.pages[0]):
        number = re.fullmatch(r"(\d+)(\.\d+)?[\u2007\u2008]*", piece.text)
        if number and piece.x > 400 and piece.y > document.page.frame_bottom:
            assert piece.x + piece.width == pytest.approx(
                document.page.main_left + document.page.main, abs=0.1
            )
            ends.add(len(piece.text.partition(".")[2] or piece.text.partition("\u2008")[2]))
    assert ends == {3}


def test_all_cells_of_a_row_share_a_baseline(build):
    cells = (
        "one line",
        Markup("<b>marked</b> up"),
        "so many words that they need a second line of their own in it",
    )
    document = build(lambda kit: [table(kit, [Column(""), Column(""), Column("")], [cells], head=False)])
    firsts = {p.text: p.y for p in pieces_of(document.reader.pages[0]) if p.y > 600}
    assert firsts["one line"] == pytest.approx(firsts["marked"], abs=0.01)
    assert firsts["one line"] == pytest.approx(max(y for t, y in firsts.items() if "many" in t), abs=0.01)


def test_time_grows_with_the_rows_not_with_their_square(build):
    def seconds(count):
        start = time.process_time()
        build(lambda kit: [table(kit, COLUMNS, rows_of(count))])
        return time.process_time() - start

    seconds(50)
    short, long = min(seconds(600) for _ in range(2)), seconds(4800)
    # 8 times the rows: linear is 8, quadratic 64; 24 leaves room for a busy machine
    assert long < 24 * short


def test_a_row_taller_than_a_page_splits_inside(build):
    document = build(lambda kit: [table(kit, COLUMNS, [("tall", "word " * 3000, "1"), ("next", "x", "2")])])
    texts = [p.text for page in document.reader.pages for p in pieces_of(page)]
    assert document.report.pages > 2
    assert sum(text.split().count("word") for text in texts) == 3000
    assert texts.count("tall") == texts.count("next") == 1


@pytest.mark.parametrize("white", range(1, 61, 6))
def test_a_group_line_stays_with_its_first_row_and_a_note_with_its_row(build, white):
    def story(kit):
        rows = []
        for i in range(40):
            rows.append(Row((f"group {i}",), kind="group"))
            rows.append((f"row-{i}", "x", "1"))
            rows.append(Row((f"note {i}",), kind="note", start=1))
            rows.append((f"more-{i}", "x", "1"))
        return [space(white), table(kit, COLUMNS, rows)]

    document = build(story)
    assert document.report.pages > 2
    for page in document.reader.pages:
        texts = [p.text for p in pieces_of(page)]
        for i in range(40):
            together = [f"group {i}" in texts, f"row-{i}" in texts, f"note {i}" in texts]
            assert all(together) or not any(together)


def test_a_total_is_never_alone_on_a_page(build):
    for count in range(40, 60):
        rows = [*rows_of(count), Row(("total", "", "9"), kind="total")]
        document = build(lambda kit, rows=rows: [table(kit, COLUMNS, rows)])
        last = [p.text for p in pieces_of(document.reader.pages[-1])]
        assert "total" in last and f"row-{count - 1}" in last


def test_short_tables_stay_whole(build):
    for white in range(560, 720, 12):
        document = build(lambda kit, white=white: [space(white), table(kit, COLUMNS, rows_of(4))])
        pages = [
            [p.text for p in pieces_of(page) if p.text.startswith("row-")] for page in document.reader.pages
        ]
        assert [len(rows) for rows in pages if rows] == [4]


def test_columns_that_do_not_fit_are_refused(build):
    with pytest.raises(
        ValueError, match=r"table columns take 500.0 pt of 408.2 pt; make the given columns narrower"
    ):
        build(lambda kit: [table(kit, [Column("a", 500), Column("b")], [("1", "2")])])


def test_rows_with_too_many_cells_are_refused():
    with pytest.raises(ValueError, match="table row has 4 cells for 3 columns"):
        table(Kit(Page("a4")), COLUMNS, [("1", "2", "3", "4")])


def test_masses_add_up(build):
    rows = [MassRow("A", "pin", 1268, 1004), MassRow("B", "plugs", None, 38), MassRow("D", "rings", 556, 224)]
    document = build(lambda kit: [mass_table(kit, rows, variant="new", total="all")])
    texts = [p.text.rstrip("\u2007\u2008") for p in pieces_of(document.reader.pages[0])]
    assert {"1824", "1266", "−558", "−264", "+38", "−30.6 %", "–"} <= set(texts)


def test_results_of_a_working_are_set_apart(build):
    steps = [Step("a", "first", "x", "1", "2.5", "N"), Step("b", "last", "y", "2", "3", "N", result=True)]
    document = build(lambda kit: [working_table(kit, steps)])
    fonts = {p.text: p.width for p in pieces_of(document.reader.pages[0])}
    plain_build = build(lambda kit: [working_table(kit, [Step("b", "last", "y", "2", "3", "N")])])
    plain_fonts = {p.text: p.width for p in pieces_of(plain_build.reader.pages[0])}
    assert fonts["last"] > plain_fonts["last"]


@pytest.mark.parametrize("groups", [[], None])
def test_an_empty_matrix_says_so(build, groups):
    document = build(lambda kit: [Wide(kit, matrix_table(kit, groups or []))])
    assert "none" in [p.text for p in pieces_of(document.reader.pages[0])]


def digest(i):
    return f"{i:064x}"


@pytest.mark.parametrize("count", [0, 1, 3, 3000])
def test_a_manifest_prints_every_digest_in_full(build, count):
    files = [(f"evidence/E-{i:04d}.toml", digest(i)) for i in range(count)]
    document = build(lambda kit: [Wide(kit, manifest(kit, files))])
    text = "".join(p.text for page in document.reader.pages for p in pieces_of(page)).replace(" ", "")
    assert all(f"E-{i:04d}{digest(i)}" in text for i in range(count))
    if count == 3000:
        assert document.report.pages == 16  # some 190 files a page
    for page in document.reader.pages[:2]:
        assert overlaps(pieces_of(page)) == []


def test_long_names_of_a_manifest_are_never_shortened(build):
    names = ["f" * 64 + ".csv", "a name with many words and a date 2026-10-06 " * 6 + ".csv"]
    document = build(lambda kit: [Wide(kit, manifest(kit, [(f"raw/{n}", digest(7)) for n in names]))])
    pieces = pieces_of(document.reader.pages[0])
    text = "".join(p.text for p in pieces).replace(" ", "")
    assert all(name.replace(" ", "") in text for name in names)
    assert overlaps(pieces) == []


@pytest.mark.parametrize("wrong", ["abc", "F" * 64, "g" * 64, ""])
def test_a_manifest_takes_only_whole_digests(wrong):
    with pytest.raises(ValueError, match="must be 64 hexadecimal digits"):
        manifest(Kit(Page("a4")), [("x", wrong)])


def test_digests_fit_beside_short_names():
    from dossier.release.manifest import digest_width

    kit = Kit(Page("a4"))
    assert digest_width() < kit.page.full / 2 - 40
