"""The large type: masthead of the first page, heads of the sheets, the strip of key figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.platypus import Flowable, Paragraph

from dossier.release.flow import new_page, room
from dossier.release.kit import ENDLESS, Kit, SheetMark
from dossier.release.page import HAIR, INK, QUIET, SHEET_RULE, THIN
from dossier.release.pen import pen, rule, write
from dossier.release.text import Content, plain
from dossier.release.trace import SHEET_LEVEL, sheet_id
from dossier.release.typefaces import BOLD, BOOK, LIGHT, LONGEST_LINE, face_for, shrink, width

DIGIT_SIZE, FIGURE_SIZE, UNIT_SIZE = 40, 25, 9.4
BELOW_OTHERS = 26  # white above a sheet that begins within a page
TITLE_LINES, SUBTITLE_LINES, ANSWER_LINES = 4, 3, 8


class Masthead(Flowable):
    """Kind of document, title, sub-titles on the left; a small drawing on the right if there is one."""

    GAP = 14

    def __init__(
        self,
        kit: Kit,
        kind: Content,
        title: Content,
        subtitles: Sequence[Content],
        drawing: Flowable | None = None,
    ) -> None:
        super().__init__()
        self.kit, self.drawing = kit, drawing
        taken = drawing.wrap(kit.page.full / 2, ENDLESS)[0] + self.GAP if drawing else 0
        room_left = kit.page.full - taken
        self.kind = kit.clipped(kind, "question", room_left, 1)[0]
        title_style = {"fontSize": 17.0, "leading": 20.5} if len(plain(title)) > 60 else {}
        self.title, self.cut_title = kit.clipped(title, "title", room_left, TITLE_LINES, **title_style)
        self.subtitles = [kit.clipped(line, "question", room_left, SUBTITLE_LINES) for line in subtitles]

    @property
    def shortened(self) -> bool:
        """Whether the title or a sub-title had to be cut."""
        return self.cut_title or any(was_cut for _, was_cut in self.subtitles)

    def _lines(self) -> list[tuple[Paragraph, float]]:
        """Paragraphs with the white above each."""
        below = [(line, 7 if i == 0 else 0.5) for i, (line, _) in enumerate(self.subtitles)]
        return [(self.kind, 0), (self.title, 3), *below]

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width = available_width
        words = sum(line.height + white for line, white in self._lines())
        self.height = max(words, self.drawing.height if self.drawing else 0) + 10
        return self.width, self.height

    def draw(self) -> None:
        x, y = -self.kit.page.indent, self.height
        for line, white in self._lines():
            y -= white + line.height
            line.drawOn(self.canv, x - (1 if line is self.title else 0), y)
        if self.drawing:
            place = self.kit.page.main - self.drawing.width
            self.drawing.drawOn(self.canv, place, self.height - self.drawing.height)


def masthead(
    kit: Kit,
    kind: Content,
    title: Content,
    subtitles: Sequence[Content] = (),
    drawing: Flowable | None = None,
) -> list[Flowable]:
    """The masthead; a title too long for it follows in full."""
    head = Masthead(kit, kind, title, subtitles, drawing)
    return [head, *(kit.paragraph(line) for line in ([title, *subtitles] if head.shortened else []))]


class SheetHead(Flowable):
    """Large light number, title, quiet question, bold balanced answer, heavy rule; entry of the outline."""

    ABOVE_ANSWER, BELOW_ANSWER, RULE_AT = 8, 12, 4

    def __init__(
        self, kit: Kit, number: str, title: Content, question: Content, answer: Content, short: Content, above: float
    ) -> None:
        super().__init__()
        self.kit, self.spaceBefore = kit, above
        main = kit.page.main
        self.number = plain(number)
        self.mark = SheetMark(self.number, plain(title), plain(short))
        self.question = kit.clipped(question, "question", main, 2)[0]
        self.question_line = plain(question)[:LONGEST_LINE]
        self.beside = width(self.mark.title, BOLD, 15) + 16 + width(self.question_line, BOOK, 9.4) <= main
        self.title = kit.clipped(title, "sheet", main, 2)[0]
        answer_paragraph, self.shortened = kit.clipped(answer, "answer", main, ANSWER_LINES)
        self.answer = answer_paragraph if self.shortened else kit.balanced(answer, "answer", main)

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width = available_width
        upper = self.title.height + (0 if self.beside else self.question.height + 2)
        upper += self.ABOVE_ANSWER + self.answer.height
        self.height = max(upper, DIGIT_SIZE - 4) + self.BELOW_ANSWER
        return self.width, self.height

    def draw(self) -> None:
        canvas, page, course = self.canv, self.kit.page, self.kit.course
        top = canvas.absolutePosition(0, self.height)[1]
        course.begin(self.mark, at_top=abs(top - page.frame_top) < 1)
        self.kit.trace.anchor(
            canvas, sheet_id(self.number), self.height + 20, f"{self.number} {self.mark.title}", SHEET_LEVEL
        )
        number, size = shrink(self.number, face_for(self.number, LIGHT), DIGIT_SIZE, page.indent - 6, 14)
        baseline = self.height - 31
        write(canvas, -page.indent - 2, baseline, number, face_for(number, LIGHT), size)
        y = self.height - self.title.height
        self.title.drawOn(canvas, 0, y)
        if self.beside:
            at = self.height - 15
            write(canvas, page.main, at, self.question_line, BOOK, 9.4, QUIET, "r")
        else:
            y -= self.question.height + 2
            self.question.drawOn(canvas, 0, y)
        self.answer.drawOn(canvas, 0, y - self.ABOVE_ANSWER - self.answer.height)
        rule(canvas, -page.indent, page.main, self.RULE_AT, SHEET_RULE)
        course.rule_y = canvas.absolutePosition(0, self.RULE_AT)[1]


def sheet(
    kit: Kit, number: str, title: Content, question: Content, answer: Content, short: Content,
    *, room_needed: float | None = None, above: float = BELOW_OTHERS,
) -> list[Flowable]:  # fmt: skip
    """Head of a sheet on a new page, or on this one, below `above` points of white, if `room_needed` points are left.

    `short` is the answer as the running head prints it. An answer too long for the head follows in full.
    """
    head = SheetHead(kit, number, title, question, answer, short, above)
    rest = [kit.paragraph(answer)] if head.shortened else []
    return [new_page() if room_needed is None else room(room_needed + above), head, *rest]


@dataclass(frozen=True)
class KeyFigure:
    """One large number: the figure, its unit, what it is, and what it is held against."""

    figure: str
    unit: str
    label: Content
    against: Content = ""


class Figures(Flowable):
    """A strip of key figures in light type, divided by hairlines, over the full width (put it into Wide)."""

    PADDING = 6

    def __init__(self, kit: Kit, figures: Sequence[KeyFigure]) -> None:
        super().__init__()
        self.kit, self.figures = kit, list(figures)

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width = available_width
        self._column = self.width / max(len(self.figures), 1)
        room_left = self._column - 2 * self.PADDING
        self._words = [
            tuple(
                self.kit.clipped(words, style, room_left, 2)[0]
                for words, style in ((figure.label, "label"), (figure.against, "sublabel"))
            )
            for figure in self.figures
        ]
        below = max((label.height + against.height for label, against in self._words), default=0)
        self.height = FIGURE_SIZE + 4 + below
        return self.width, self.height

    def draw(self) -> None:
        for i, (figure, (label, against)) in enumerate(zip(self.figures, self._words, strict=True)):
            x = i * self._column
            if i:
                pen(self.canv, THIN, HAIR)
                self.canv.line(x, 0, x, self.height - 3)
                x += self.PADDING
            self._figure(x, figure)
            top = self.height - FIGURE_SIZE - 4
            label.drawOn(self.canv, x, top - label.height)
            against.drawOn(self.canv, x, top - label.height - against.height)

    def _figure(self, x: float, figure: KeyFigure) -> None:
        face = face_for(plain(figure.figure), LIGHT)
        available = self._column - 2 * self.PADDING
        unit_room = min(width(plain(figure.unit), BOOK, UNIT_SIZE), available / 2)
        value, size = shrink(plain(figure.figure), face, FIGURE_SIZE, available - unit_room - 3, 12)
        baseline = self.height - FIGURE_SIZE + 2
        used = write(self.canv, x - 1, baseline, value, face, size)
        write(self.canv, x + used + 2, baseline, figure.unit, BOOK, UNIT_SIZE, INK, room=unit_room + 1)
