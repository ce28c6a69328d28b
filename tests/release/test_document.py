"""The document as a whole: pages, furniture, outline, links, fonts, bytes."""

import hashlib
import os
import re
import subprocess
import sys
from io import BytesIO
from pathlib import Path

import pytest
import sample_story
from pdf_words import overlaps, pieces_of
from pypdf import PdfReader
from sample_story import ATTACHMENTS

from dossier.release import typefaces
from dossier.release.document import build_document
from dossier.release.flow import block, new_page
from dossier.release.heads import sheet
from dossier.release.page import Page
from dossier.release.trace import TraceError, landing_problems, outline_entries


def words_of(pieces):
    return " ".join(piece.text for piece in pieces).replace("\u00a0", " ")


def squeeze(text):
    return re.sub(r"\s", "", text)


def test_page_sizes(sample):
    box = sample.reader.pages[0].mediabox
    mm = 72 / 25.4
    expected = (210 * mm, 297 * mm) if sample.page.size == "a4" else (612, 792)
    assert (float(box.width), float(box.height)) == pytest.approx(expected, abs=0.01)
    assert len(sample.reader.pages) == sample.report.pages


def test_unknown_page_size_is_refused():
    with pytest.raises(ValueError, match='page.size = "a5" must be one of a4, letter'):
        Page("a5")


def test_columns_fill_the_page():
    for size in ("a4", "letter"):
        page = Page(size)
        assert page.left + page.full + page.right == pytest.approx(page.width)
        assert page.side + page.gutter + page.main == pytest.approx(page.full)
    assert Page("a4").main == pytest.approx(144 * 72 / 25.4)


def test_every_page_has_its_number_and_the_total(sample):
    total = sample.report.pages
    for number, pieces in enumerate(sample.pieces, 1):
        place = next(i for i, piece in enumerate(pieces) if piece.text == f"page {number} of ")
        shown, following = pieces[place], pieces[place + 1]
        assert following.text == str(total)
        assert following.x == pytest.approx(shown.x + shown.width, abs=0.01)
        assert following.y == pytest.approx(shown.y, abs=0.5)


def test_every_page_has_the_title_block(sample):
    for pieces in sample.pieces:
        words = words_of(pieces)
        for value in ("Sample works (invented)", "SJ-01", "B. Checker", "2026-11-25", sample.info.status):
            assert value in words
        assert f"en, {sample.page.name}" in words
        assert f"{sample.info.manifest[:4]} {sample.info.manifest[4:8]}" in words


def test_draft_mark_stands_on_every_page_unless_released(sample):
    for pieces in sample.pieces:
        marks = [p for p in pieces if p.text == "DRAFT"]
        lines = [p for p in pieces if "2 checks open" in p.text]
        assert len(marks) == len(lines) == (0 if sample.info.released else 1)
        for mark in marks + lines:
            assert mark.angle == pytest.approx(90)
            assert mark.x < sample.page.filing


def test_notice_stands_on_every_page_in_the_filing_margin(sample):
    for pieces in sample.pieces:
        (notice,) = [p for p in pieces if p.text == "DEMO, numbers invented"]
        assert notice.angle == pytest.approx(90)
        assert notice.x < sample.page.filing
        assert notice.y + notice.width <= sample.page.frame_top + 0.01


def test_margin_texts_are_apart(sample):
    for pieces in sample.pieces:
        turned = sorted((p.y, p.y + p.width) for p in pieces if abs(p.angle - 90) < 1)
        assert all(a[1] < b[0] for a, b in zip(turned, turned[1:], strict=False))


def test_no_text_leaves_its_place(sample):
    page = sample.page
    for number, pieces in enumerate(sample.pieces, 1):
        for piece in pieces:
            if abs(piece.angle) > 1:
                continue
            x0, y0, x1, y1 = piece.box
            assert page.left - 2.5 <= x0, (number, piece)
            assert x1 <= page.left + page.full + 0.5, (number, piece)
            in_block = page.bottom <= y0 and y1 <= page.bottom + page.block
            in_head = y0 > page.frame_top and y1 < page.paper[1]
            assert in_block or in_head or page.frame_bottom - 0.5 <= y0 <= page.frame_top, (number, piece)


def test_no_two_texts_on_top_of_each_other(sample):
    for pieces in sample.pieces:
        assert overlaps(pieces) == []


def test_overlap_check_sees_an_overlap(build):
    from dossier.release.pen import write
    from dossier.release.tables import Flowable

    class Twice(Flowable):
        def wrap(self, *_):
            return 100, 20

        def draw(self):
            write(self.canv, 0, 5, "first words")
            write(self.canv, 20, 8, "second words")

    document = build(lambda kit: [Twice()])
    assert overlaps(pieces_of(document.reader.pages[0])) == [("first words", "second words")]


def test_only_embedded_subsets_of_the_vendored_faces(sample):
    names = set()
    for page in sample.reader.pages:
        for font in page["/Resources"]["/Font"].values():
            font = font.get_object()
            names.add(str(font["/BaseFont"]).lstrip("/"))
            assert "/FontFile2" in font["/FontDescriptor"].get_object()
    assert names
    faces = {Path(file).stem for file in typefaces.FILES.values()}
    assert {re.sub(r"^[A-Z]{6}\+", "", name) for name in names} <= faces
    assert all(re.match(r"[A-Z]{6}\+DejaVuSans", name) for name in names)
    assert b"Helvetica" not in sample.data


def test_no_glyph_is_missing(sample):
    for pieces in sample.pieces:
        assert not {"\ufffd", "\ufffe"} & set(words_of(pieces))


def test_outline_lists_sheets_and_their_records_on_their_pages(sample):
    entries = list(outline_entries(sample.reader.outline))
    titles = [entry.title for entry in entries]
    sheets = [title for title in titles if re.match(r"\d ", title)]
    assert sheets == [f"{i} {title}" for i, title in enumerate(sample_story.TITLES, 1)]
    assert "C-009 Static safety of the sample pin" in titles
    for entry in entries:
        words = words_of(sample.pieces[sample.reader.get_destination_page_number(entry)])
        assert all(word in words for word in entry.title.split()), entry.title


def test_records_are_nested_below_their_sheet(sample):
    outline = sample.reader.outline
    titles = [entry.title for entry in outline if not isinstance(entry, list)]
    assert titles == [f"{i} {title}" for i, title in enumerate(sample_story.TITLES, 1)]
    nested = outline[
        outline.index(next(e for e in outline if getattr(e, "title", "") == "2 Requirements")) + 1
    ]
    assert [entry.title[:5] for entry in nested] == [f"R-{i:03d}" for i in range(1, 48)]


def test_printed_page_numbers_are_those_of_the_map(sample):
    for pieces in sample.pieces:
        words = words_of(pieces)
        for identifier, number in re.findall(r"\b([A-Z]-\d{3}|K-\d\d) p(\d+)", words):
            if identifier != "R-000":  # the legend's sample of a link
                assert sample.report.page_map[identifier] == int(number)
    contents = squeeze(words_of(sample.pieces[0]))
    for i, title in enumerate(sample_story.TITLES, 1):
        assert squeeze(f"{title} {sample.report.page_map[f'sheet {i}']}") in contents


def test_every_link_lands(sample):
    links = sum(
        ref.get_object().get("/Subtype") == "/Link"
        for page in sample.reader.pages
        for ref in page.get("/Annots") or []
    )
    assert links > 50
    assert landing_problems(sample.data) == []


def test_a_link_that_leads_nowhere_is_found(sample):
    from pypdf import PdfWriter

    reader = PdfReader(BytesIO(sample.data))
    writer = PdfWriter()
    writer.add_page(reader.pages[0])  # the pages its links lead to stay behind
    out = BytesIO()
    writer.write(out)
    assert landing_problems(out.getvalue())


def test_attachments_travel_unchanged(sample):
    attached = {name: data[0] for name, data in sample.reader.attachments.items()}
    assert attached == ATTACHMENTS


@pytest.mark.parametrize("name", ["größe.txt", "a/b", "..\\x", ""])
def test_attachment_names_are_checked(name):
    with pytest.raises(ValueError, match="attachment name"):
        build_document(lambda kit: [], sample_story.info(), Page("a4"), BytesIO(), attachments={name: b""})


def test_metadata(sample):
    facts = sample.reader.metadata
    assert facts.title == "Sample joint, light variant, SJ-01"
    assert facts.author == "A. Writer PE"
    assert facts["/CreationDate"] == facts["/ModDate"] == "D:20261125000000Z"
    assert sample.reader.root_object["/Lang"] == "en"


def test_same_bytes_twice_in_one_process(sample):
    out = BytesIO()
    build_document(sample_story.story, sample.info, sample.page, out, attachments=ATTACHMENTS)
    assert out.getvalue() == sample.data


def test_same_bytes_in_another_process(sample):
    if sample.info.released or sample.page.size != "a4":
        return
    code = (
        "import sys, hashlib; from io import BytesIO; sys.path.insert(0, sys.argv[1]); import sample_story, conftest;"
        "from dossier.release.document import build_document; from dossier.release.page import Page; out = BytesIO();"
        "build_document(sample_story.story, sample_story.info(), Page('a4'), out, attachments=conftest.ATTACHMENTS);"
        "print(hashlib.sha256(out.getvalue()).hexdigest())"
    )
    environment = {**os.environ, "PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo"}
    run = subprocess.run(
        [sys.executable, "-c", code, str(Path(__file__).parent)], capture_output=True, text=True, env=environment,
        check=True,
    )  # fmt: skip
    assert run.stdout.strip() == hashlib.sha256(sample.data).hexdigest()


def test_the_package_imports_no_pdf_library():
    code = (
        "import sys, dossier.release; print([m for m in ('reportlab', 'pypdf', 'numpy') if m in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"


def test_progress_counts_the_pages_of_all_passes(build):
    seen = []
    document = build(lambda kit: [kit.paragraph("a"), new_page(), kit.paragraph("b")], progress=seen.append)
    assert seen == list(range(1, document.report.pages * document.report.passes + 1))


def test_stopping_from_the_progress_leaves_the_file_alone(tmp_path):
    target = tmp_path / "dossier.pdf"
    target.write_bytes(b"before")

    class Stop(Exception):
        pass

    def stop(pages):
        raise Stop

    with pytest.raises(Stop):
        build_document(sample_story.story, sample_story.info(), Page("a4"), target, progress=stop)
    assert target.read_bytes() == b"before"


def test_an_id_anchored_twice_is_refused(build):
    def story(kit):
        return [block(kit, "A-001 x", [kit.paragraph("b")], identifier="A-001") for _ in range(2)]

    with pytest.raises(
        TraceError, match="A-001 is anchored on page 1 and again on page 1; anchor each record once"
    ):
        build(story)


def test_ids_that_no_record_has_are_reported(build):
    def story(kit):
        return [kit.paragraph([kit.ref("R-001"), kit.ref("R-999"), kit.ref("A-001")]),
                block(kit, "A-001 x", [kit.paragraph("b")], identifier="A-001")]  # fmt: skip

    document = build(story, known_ids={"R-001", "A-001"})
    assert document.report.unknown_ids == ("R-999",)
    assert "R-999" in words_of(pieces_of(document.reader.pages[0]))


def test_a_sheet_begins_a_page_unless_there_is_room(build):
    def story(kit):
        parts = ("t", "q", "a", "s")
        return [*sheet(kit, "1", *parts, room_needed=100), *sheet(kit, "2", *parts, room_needed=100),
                *sheet(kit, "3", *parts), *sheet(kit, "4", *parts, room_needed=900)]  # fmt: skip

    report = build(story).report
    assert [report.page_map[f"sheet {i}"] for i in (1, 2, 3, 4)] == [1, 1, 2, 3]
