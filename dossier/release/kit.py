"""What every chapter and flowable gets: the page, the trace, paragraphs, and where the document stands."""

from __future__ import annotations

from dataclasses import dataclass, field

from reportlab.lib.enums import TA_CENTER, TA_LEFT, TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

from dossier.release.page import Page, styles
from dossier.release.text import Content, Markup, plain, text
from dossier.release.trace import Trace
from dossier.release.typefaces import LONGEST_LINE, register

_ALIGN = {"l": TA_LEFT, "r": TA_RIGHT, "c": TA_CENTER, "d": TA_RIGHT}
ENDLESS = 1e6


@dataclass(frozen=True)
class SheetMark:
    """What furniture prints about a sheet: number, title, and the short answer of the running head."""

    number: str
    title: str
    short: str


@dataclass
class Course:
    """Where the pass stands: the sheet carried over from the page before, those begun on this page."""

    carried: SheetMark | None = None
    begun: list[SheetMark] = field(default_factory=list)
    rule_y: float | None = None

    def begin(self, sheet: SheetMark, *, at_top: bool) -> None:
        """A sheet head is drawn; one at the top of a page leaves nothing carried."""
        if at_top and not self.begun:
            self.carried = None
        self.begun.append(sheet)

    @property
    def sheets(self) -> list[SheetMark]:
        """The sheets that have content on this page."""
        return ([self.carried] if self.carried else []) + self.begun

    def turn(self) -> None:
        """The page ends."""
        if self.begun:
            self.carried = self.begun[-1]
        self.begun = []
        self.rule_y = None


class Kit:
    """One per pass; holds no state of any other document."""

    def __init__(self, page: Page, trace: Trace | None = None) -> None:
        register()
        self.page = page
        self.trace = trace or Trace()
        self.course = Course()
        self._variants: dict[tuple, ParagraphStyle] = {}

    def ref(self, identifier: str, *, page: bool = True) -> Markup:
        """The id of a record as a link with its page."""
        return self.trace.ref(identifier, page=page)

    def refs(self, identifiers: list[str] | tuple[str, ...], *, page: bool = True) -> Markup:
        """Ids of several records as links, with commas."""
        return self.trace.refs(identifiers, page=page)

    def style(self, name: str, *, align: str = "l", **changes: object) -> ParagraphStyle:
        """A named style, with alignment l, r or c and changed attributes if asked for."""
        if align == "l" and not changes:
            return styles()[name]
        key = (name, align, tuple(sorted(changes.items())))
        if key not in self._variants:
            self._variants[key] = ParagraphStyle(name, styles()[name], alignment=_ALIGN[align], **changes)
        return self._variants[key]

    def paragraph(
        self, content: Content, style: str = "body", *, align: str = "l", **changes: object
    ) -> Paragraph:
        """The one way to a paragraph: plain strings in `content` print literally."""
        return Paragraph(str(text(content)), self.style(style, align=align, **changes))

    def balanced(self, content: Content, style: str, width: float) -> Paragraph:
        """A paragraph, wrapped, its measure narrowed until a line would be added: no last line of one word."""
        paragraph = self.paragraph(content, style)
        lines = line_count(paragraph, width)
        low, high = width / 2, width
        while high - low > 2:
            middle = (low + high) / 2
            low, high = (low, middle) if line_count(paragraph, middle) <= lines else (middle, high)
        paragraph.wrap(high, ENDLESS)
        return paragraph

    def clipped(
        self, content: Content, style: str, width: float, lines: int, **changes: object
    ) -> tuple[Paragraph, bool]:
        """A paragraph of at most `lines` lines, wrapped, and whether text had to be cut (an ellipsis says so)."""
        literal = plain(content)
        if len(literal) <= LONGEST_LINE * lines:
            paragraph = self.paragraph(content, style, **changes)
            if line_count(paragraph, width) <= lines:
                return paragraph, False
        low, high = 0, min(len(literal), 250 * lines)
        while low < high:
            middle = (low + high + 1) // 2
            fits = (
                line_count(self.paragraph(literal[:middle].rstrip() + "…", style, **changes), width) <= lines
            )
            low, high = (middle, high) if fits else (low, middle - 1)
        paragraph = self.paragraph(literal[:low].rstrip() + "…", style, **changes)
        paragraph.wrap(width, ENDLESS)
        return paragraph, True


def line_count(paragraph: Paragraph, width: float) -> int:
    """Lines the paragraph takes at this width; leaves it wrapped."""
    height = paragraph.wrap(width, ENDLESS)[1]
    return round(height / paragraph.style.leading)
