"""Signal words of the cautions: safe in black and white, with a triangle of our own."""

from __future__ import annotations

from collections.abc import Sequence
from types import MappingProxyType

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from dossier.release.flow import Block, Keep, Stack
from dossier.release.kit import Kit
from dossier.release.page import INK, PAPER
from dossier.release.pen import area, kept, pen, write
from dossier.release.text import Content, join, plain
from dossier.release.typefaces import BOLD, BOOK, cut

WORDS = MappingProxyType({
    "DANGER": (INK, PAPER), "WARNING": (HexColor("#C4C8C8"), INK), "CAUTION": (PAPER, INK), "NOTICE": (PAPER, INK),
})  # fmt: skip


class Signal(Flowable):
    """The word: DANGER white on ink, WARNING on grey, CAUTION outlined, NOTICE underlined without a triangle."""

    HEIGHT = 13

    def __init__(self, kit: Kit, word: str) -> None:
        super().__init__()
        if word not in WORDS:
            raise ValueError(f'signal word = "{word}" must be one of {", ".join(WORDS)}; use one of them')
        self.kit, self.word = kit, word

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width, self.height = available_width - 2, self.HEIGHT
        return self.width, self.height

    def draw(self) -> None:
        canvas, (ground, letters) = self.canv, WORDS[self.word]
        pen(canvas, 0.8)
        if self.word == "NOTICE":
            canvas.line(0, 0, self.width, 0)
        else:
            canvas.setFillColor(ground)
            canvas.rect(0, 0, self.width, self.height, fill=1)
            self._triangle(letters, ground)
        write(canvas, 0 if self.word == "NOTICE" else 19, 3.6, self.word, BOLD, 8.2, letters)

    def _triangle(self, colour, mark) -> None:
        with kept(self.canv):
            area(self.canv, [[(5, 2.2), (15, 2.2), (10, 11)]], colour)
            write(self.canv, 10, 3.4, "!", BOLD, 6, mark, "c")


def caution(
    kit: Kit,
    word: str,
    identifier: str,
    title: Content,
    paragraphs: Sequence[Content],
    sources: Sequence[str] = (),
) -> Block:
    """A caution: signal word, id and source records in the margin, title and text beside it, never split."""
    note: Content = identifier
    if sources:
        note = [identifier, ", from ", join(kit.ref(source, page=False) for source in sources)]
    side = Stack(kit, [Signal(kit, word), kit.paragraph(note, "side", spaceBefore=2)])
    content = [kit.paragraph(title, "caution"), *(kit.paragraph(p) for p in paragraphs)]
    return Block(
        kit,
        side,
        [Keep(kit, content)],
        title=cut(plain(title), BOOK, 8, 4 * kit.page.side),
        identifier=identifier,
        ruled=False,
    )
