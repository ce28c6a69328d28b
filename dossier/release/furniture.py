"""What stands on every page: title block, running head, draft mark, notice, page x of y."""

from __future__ import annotations

import re
from dataclasses import dataclass

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from dossier.release.kit import Kit
from dossier.release.page import INK, LEADER, OUTLINE, PAPER, QUIET, RULE, Page
from dossier.release.pen import kept, pen, rule, write
from dossier.release.text import plain
from dossier.release.typefaces import BOLD, BOOK, cut, shrink, width

LABEL_SIZE, VALUE_SIZE, SMALLEST_VALUE, ONE_LINE_VALUE = 4.6, 7.2, 5.0, 5.8
DRAFT_SIZE, DRAFT_SPACING, MARGIN_SIZE = 19, 5, 7.4
MARGIN_LINE = 13.2 * mm
TOTAL = "total-pages"
_PART_END = re.compile(r"(?<=[.;]) ")


@dataclass(frozen=True)
class DocumentInfo:
    """Fields of the title block (ISO 7200, from memory) and the state of the document.

    `manifest` is the SHA-256 of the manifest or its beginning; its first eight digits are printed.
    `date_of_issue` is an ISO date. `notice` stands in the filing margin of every page ("DEMO, numbers
    invented"); the draft mark with `draft_lines` stands there unless `released`.
    """

    owner: str
    title: str
    subtitle: str
    identification: str
    revision: str
    created_by: str
    approved_by: str
    date_of_issue: str
    status: str
    released: bool
    manifest: str = ""
    document_type: str = "release document"
    language: str = "en"
    notice: str = ""
    draft_lines: tuple[str, ...] = ()


class DossierCanvas(Canvas):
    """Starts with an embedded face; the number of pages is a form filled once at the end."""

    def __init__(self, *args: object, **options: object) -> None:
        super().__init__(*args, **{**options, "initialFontName": BOOK})

    def save(self) -> None:
        self.beginForm(TOTAL, 0, 0, 60, 10)
        write(self, 0, 2, str(self.getPageNumber() - 1))
        self.endForm()
        super().save()


def draw_furniture(canvas: Canvas, kit: Kit, info: DocumentInfo, number: int) -> None:
    """Everything around the content of page `number`; drawn when the page ends and its sheets are known."""
    with kept(canvas):
        course = kit.course
        if course.carried:
            _running_head(canvas, kit.page, course.carried.number, course.carried.title, course.carried.short)
        _margin(canvas, kit.page, info)
        sheets = course.sheets
        if len(sheets) == 1:
            shown = f"{sheets[0].number} {sheets[0].title}"
        else:
            shown = ", ".join(s.number for s in sheets[:-1]) + (f" and {sheets[-1].number}" if sheets else "")
        _title_block(canvas, kit.page, info, shown, number)


def _running_head(canvas: Canvas, page: Page, number: str, title: str, short: str) -> None:
    y = page.paper[1] - page.head
    used = write(canvas, page.left, y, f"{number} {title}", BOLD, MARGIN_SIZE, room=page.full * 0.45)
    start = max(page.main_left, page.left + used + 12)
    room = page.left + page.full - start
    write(canvas, start, y, _whole_sentences(short, room), BOOK, MARGIN_SIZE, QUIET, room=room)
    rule(canvas, page.left, page.left + page.full, y - 4, LEADER, RULE)


def _whole_sentences(words: str, room: float) -> str:
    """As many of the sentences, or parts before a semicolon, as fit; all where not even the first does."""
    parts = _PART_END.split(words)
    while parts:
        told = " ".join(parts).rstrip(";")
        if width(told, BOOK, MARGIN_SIZE) <= room:
            return told
        parts.pop()
    return words


def _margin(canvas: Canvas, page: Page, info: DocumentInfo) -> None:
    """Draft mark from the bottom upwards, notice at the top; never over the content."""
    notice = plain(info.notice, BOLD)
    taken = min(width(notice, BOLD, MARGIN_SIZE), page.height * 0.4) + 12 if notice else 0
    with kept(canvas):
        canvas.translate(MARGIN_LINE, page.frame_bottom + 2)
        canvas.rotate(90)
        if notice:
            write(canvas, page.height - 2, 1, notice, BOLD, MARGIN_SIZE, QUIET, "r", page.height * 0.4)
        if not info.released:
            end = _outlined(canvas, "DRAFT") + 14
            lines = "; ".join(plain(line) for line in info.draft_lines)
            write(canvas, end, 1, lines, BOOK, MARGIN_SIZE, QUIET, room=page.height - taken - end)


def _outlined(canvas: Canvas, word: str) -> float:
    """Letters as outlines; the render mode outlives its text object, hence the saved state. Returns the width."""
    with kept(canvas):
        pen(canvas, 0.5, QUIET)
        canvas.setFillColor(PAPER)
        letters = canvas.beginText(0, 0)
        letters.setFont(BOLD, DRAFT_SIZE)
        letters.setTextRenderMode(1)
        letters.setCharSpace(DRAFT_SPACING)
        letters.textOut(word)
        canvas.drawText(letters)
    return width(word, BOLD, DRAFT_SIZE) + DRAFT_SPACING * len(word)


def _title_block(canvas: Canvas, page: Page, info: DocumentInfo, sheets: str, number: int) -> None:
    left, bottom, height = page.left, page.bottom, page.block
    rows = (
        (
            ("legal owner", info.owner, 1.35), ("title", info.title, 2.5),
            ("supplementary title", info.subtitle, 2.05), ("identification number", info.identification, 1.3),
            ("rev.", info.revision, 0.45), ("sheet", sheets, 1.3),
        ),
        (
            ("document type", info.document_type, 1.35), ("created by", info.created_by, 1.25),
            ("approved by", info.approved_by, 1.25), ("date of issue", info.date_of_issue, 1.0),
            ("status", info.status, 1.05), ("language, size", f"{info.language}, {page.name}", 0.85),
            ("manifest begins", _beginning(info.manifest), 0.9), ("page", None, 1.3),
        ),
    )  # fmt: skip
    rule(canvas, left, left + page.full, bottom + height, OUTLINE)
    rule(canvas, left, left + page.full, bottom, OUTLINE)
    rule(canvas, left, left + page.full, bottom + height / 2, LEADER, RULE)
    for i, row in enumerate(rows):
        _title_row(canvas, page, row, bottom + height * (1 - (i + 1) / 2), height / 2, number)


def _title_row(
    canvas: Canvas,
    page: Page,
    row: tuple[tuple[str, str | None, float], ...],
    y: float,
    height: float,
    number: int,
) -> None:
    shares = sum(share for *_, share in row)
    x = page.left
    for n, (label, value, share) in enumerate(row):
        cell = page.full * share / shares
        if n:
            pen(canvas, LEADER, RULE)
            canvas.line(x, y, x, y + height)
        start = x + (3 if n else 0)
        write(canvas, start, y + height - 6.6, label, BOOK, LABEL_SIZE, QUIET)
        if value is None:
            used = write(canvas, start, y + 5.6, f"page {number} of ", BOOK, VALUE_SIZE)
            with kept(canvas):
                canvas.translate(start + used, y + 3.6)
                canvas.doForm(TOTAL)
        else:
            face = BOLD if label in ("identification number", "rev.", "status", "sheet") else BOOK
            _value(canvas, start, y, plain(value, face), face, cell - (6 if n else 3))
        x += cell


def _value(canvas: Canvas, x: float, y: float, value: str, face: str, room: float) -> None:
    """On one line as long as it stays readable, else on two smaller ones."""
    if width(value, face, ONE_LINE_VALUE) <= room:
        line, size = shrink(value, face, VALUE_SIZE, room, SMALLEST_VALUE)
        write(canvas, x, y + 5.6, line, face, size, INK)
        return
    words, first = value.split(" "), ""
    while words and width(f"{first} {words[0]}".strip(), face, ONE_LINE_VALUE) <= room:
        first = f"{first} {words.pop(0)}".strip()
    lines = [first, " ".join(words)] if first else [value]
    for line, height in zip(lines, (9.0, 2.8) if len(lines) > 1 else (5.6,), strict=True):
        shown, size = shrink(line, face, ONE_LINE_VALUE, room, SMALLEST_VALUE)
        write(canvas, x, y + height, cut(shown, face, size, room), face, size, INK)


def _beginning(digest: str) -> str:
    return f"{digest[:4]} {digest[4:8]}".strip()
