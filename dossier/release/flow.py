"""How content flows: stacks that split, blocks with a side head in the margin column, wide and paired content."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from reportlab.platypus import CondPageBreak, Flowable, PageBreak, Paragraph, Spacer

from dossier.release.kit import ENDLESS, Kit
from dossier.release.page import HAIR, THIN
from dossier.release.pen import rule
from dossier.release.text import Content, Markup, join, plain
from dossier.release.trace import RECORD_LEVEL
from dossier.release.typefaces import BOOK, cut

SIDE_SHARE = 0.45  # a side note taller than this share of the page moves into the main column
BLOCK_RULE, BLOCK_BEFORE = 5, 7
LEADING_STYLES = {"lead", "caution"}  # a paragraph that leads into what follows
SIDE_TITLE_LINES, SMALLEST_PART = 6, 20
_FUZZ = 1e-4


def new_page() -> PageBreak:
    """Start a page."""
    return PageBreak()


def room(height: float) -> CondPageBreak:
    """Start a page unless this height is left."""
    return CondPageBreak(height)


def space(height: float) -> Spacer:
    """White."""
    return Spacer(1, height)


class Stack(Flowable):
    """Children one under the other; splits between two of them or inside the one that does not fit."""

    def __init__(self, kit: Kit, children: Iterable[Flowable]) -> None:
        super().__init__()
        self.kit, self.children = kit, list(children)
        self._placed: list[tuple[Flowable, float, float]] = []

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width = available_width
        self._placed, self.height = self._layout(available_width, available_height)
        return self.width, self.height

    def measure(self, width: float) -> float:
        """Height of the whole, however little room there is."""
        return self.wrap(width, ENDLESS)[1]

    def split(self, available_width: float, available_height: float) -> list[Flowable]:
        first, rest = self._divide(available_width, available_height)
        if not first:
            return []
        return [self.part(first, first=True), self.part(rest, first=False)] if rest else [self]

    def part(self, children: list[Flowable], *, first: bool) -> Stack:
        """A stack like this one for some of its children; `first` tells which side of a split it is."""
        return Stack(self.kit, children)

    def draw(self) -> None:
        for child, top, height in self._placed:
            child.drawOn(self.canv, 0, self.height - top - height)

    def start(self) -> float:
        """Height kept free above the first child."""
        return 0

    def clear(self, child: Flowable, top: float) -> float:
        """Where a child may begin that would begin at `top`."""
        return top

    def _layout(self, width: float, height: float) -> tuple[list[tuple[Flowable, float, float]], float]:
        """Children with top and height; ends with the first that does not fit."""
        placed, y, after = [], self.start(), 0.0
        for child in self.children:
            gap = max(after, child.getSpaceBefore()) if placed else 0.0
            top = self.clear(child, y + gap)
            child_height = child.wrap(width, max(height - top, 0))[1]
            placed.append((child, top, child_height))
            y, after = top + child_height, child.getSpaceAfter()
            if y > height + _FUZZ:
                break
        return placed, y

    def _divide(self, width: float, height: float) -> tuple[list[Flowable], list[Flowable]]:
        placed, used = self._layout(width, height)
        if used <= height + _FUZZ:
            return list(self.children), []
        count = len(placed) - 1
        child, top, _ = placed[-1]
        left = height - top
        parts = child.split(width, left) if left >= SMALLEST_PART else []
        if parts:
            return [*self.children[:count], parts[0]], [*parts[1:], *self.children[count + 1 :]]
        if isinstance(child, Floating) and count:
            ahead, behind = Stack(self.kit, self.children[count + 1 :])._divide(width, left)
            if ahead:
                return [*self.children[:count], *ahead], [child, *behind]
        kept = count
        while kept and _stays_with_next(self.children[kept - 1]):
            kept -= 1
        if not kept and height >= self.kit.page.must_split:
            kept = count  # on a page of its own there is no better place
        return self.children[:kept], self.children[kept:]


def _stays_with_next(child: Flowable) -> bool:
    if isinstance(child, Paragraph):
        return child.style.name in LEADING_STYLES
    return bool(child.getKeepWithNext())


class Keep(Stack):
    """Children that stay on one page together, unless no page could hold them."""

    def split(self, available_width: float, available_height: float) -> list[Flowable]:
        if self.measure(available_width) <= self.kit.page.must_split:
            return []
        return super().split(available_width, available_height)


class Floating(Keep):
    """Figures with what belongs to them: drawn less high, to `LEAST` of their height, where that makes them fit; else what
    follows goes on and they open the next page."""

    LEAST = 0.6

    def __init__(self, kit: Kit, children: Iterable[Flowable], figures: Sequence[Flowable]) -> None:
        super().__init__(kit, children)
        self.figures = [(figure, figure.height) for figure in figures]

    def _layout(self, width: float, height: float) -> tuple[list[tuple[Flowable, float, float]], float]:
        self._scale(1.0)
        placed, used = super()._layout(width, ENDLESS)
        over, free = used - height, sum(natural for _, natural in self.figures)
        if free and 0 < over <= (1 - self.LEAST) * free:
            self._scale(1 - over / free)
            return super()._layout(width, height)
        return placed, used

    def _scale(self, share: float) -> None:
        for figure, natural in self.figures:
            figure.height = share * natural


class IfFits(Stack):
    """Content that is dropped where the rest of the page does not hold it."""

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        super().wrap(available_width, available_height)
        if self.height > available_height:
            self._placed, self.height = [], 0
        return self.width, self.height

    def split(self, available_width: float, available_height: float) -> list[Flowable]:
        return []


class Wide(Flowable):
    """Content over margin column and main column."""

    def __init__(self, kit: Kit, child: Flowable, before: float = 0) -> None:
        super().__init__()
        self.kit, self.child, self.spaceBefore = kit, child, before

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width = available_width
        self.height = self.child.wrap(self.kit.page.full, available_height)[1]
        return self.width, self.height

    def split(self, available_width: float, available_height: float) -> list[Flowable]:
        return [Wide(self.kit, part) for part in self.child.split(self.kit.page.full, available_height)]

    def getSpaceAfter(self) -> float:  # noqa: N802
        return self.child.getSpaceAfter()

    def draw(self) -> None:
        self.child.drawOn(self.canv, -self.kit.page.indent, 0)
        if getattr(self.child, "ends_ruled", False):
            self.kit.course.rule_y = self.canv.absolutePosition(0, 0)[1]


class Columns(Flowable):
    """Stacks beside each other: (width or None for the rest, children); split only if no page holds them."""

    def __init__(
        self, kit: Kit, columns: Sequence[tuple[float | None, Iterable[Flowable]]], gap: float = 10
    ) -> None:
        super().__init__()
        self.kit, self.gap = kit, gap
        self.columns = [(width, Stack(kit, children)) for width, children in columns]

    def _widths(self, available: float) -> list[float]:
        given = sum(width or 0 for width, _ in self.columns) + self.gap * (len(self.columns) - 1)
        open_columns = sum(width is None for width, _ in self.columns)
        return [(available - given) / open_columns if width is None else width for width, _ in self.columns]

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width = available_width
        self._wrapped = self._widths(available_width)
        pairs = zip(self.columns, self._wrapped, strict=True)
        self.height = max((stack.wrap(width, available_height)[1] for (_, stack), width in pairs), default=0)
        return self.width, self.height

    def split(self, available_width: float, available_height: float) -> list[Flowable]:
        if self.wrap(available_width, ENDLESS)[1] <= self.kit.page.must_split:
            return []
        heads, tails = [], []
        for (given, stack), width in zip(self.columns, self._wrapped, strict=True):
            first, rest = stack._divide(width, available_height)
            heads.append((given, first))
            tails.append((given, rest))
        if not any(first for _, first in heads):
            return []
        return [Columns(self.kit, heads, self.gap), Columns(self.kit, tails, self.gap)]

    def draw(self) -> None:
        x = 0.0
        for (_, stack), width in zip(self.columns, self._wrapped, strict=True):
            stack.drawOn(self.canv, x, self.height - stack.height)
            x += width + self.gap


class Block(Stack):
    """A row of the document: side head and note in the margin column, content in the main column.

    A hairline above runs over both columns, except at the top of a page and close under another full rule. The
    block is at least as tall as its side, and wide content begins below it. `identifier` anchors the record
    and gives it an outline entry. On the next page the side says what continues.
    """

    def __init__(
        self, kit: Kit, side: Flowable, children: Iterable[Flowable], *, title: str = "",
        identifier: str | None = None, ruled: bool = True,
    ) -> None:  # fmt: skip
        super().__init__(kit, children)
        self.side, self.title, self.identifier, self.ruled = side, title, identifier, ruled
        self.spaceBefore = BLOCK_BEFORE
        self._side_height = 0.0

    def start(self) -> float:
        self._side_height = self.side.wrap(self.kit.page.side, self.kit.page.height)[1]
        return BLOCK_RULE if self.ruled else 0

    def clear(self, child: Flowable, top: float) -> float:
        if isinstance(child, Wide) and top < self._side_bottom:
            return self._side_bottom + 2
        return top

    @property
    def _side_bottom(self) -> float:
        return (BLOCK_RULE if self.ruled else 0) + self._side_height

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        super().wrap(available_width, available_height)
        self.height = max(self.height, self._side_bottom)
        return self.width, self.height

    def split(self, available_width: float, available_height: float) -> list[Flowable]:
        self.start()
        if self._side_bottom > available_height:
            return []
        return super().split(available_width, available_height)

    def part(self, children: list[Flowable], *, first: bool) -> Block:
        if first:
            side, identifier = self.side, self.identifier
        else:
            note = [f"{self.title}, continued"] if self.title else []
            side, identifier = side_head(self.kit, "", *note), None
        return Block(self.kit, side, children, title=self.title, identifier=identifier, ruled=self.ruled)

    def draw(self) -> None:
        page, canvas = self.kit.page, self.canv
        top = canvas.absolutePosition(0, self.height)[1]
        under = self.kit.course.rule_y
        bare = abs(top - page.frame_top) < 1 or (under is not None and 0 <= under - top < 14)
        if self.ruled and not bare:
            rule(canvas, -page.indent, page.main, self.height, THIN, HAIR)
        start = BLOCK_RULE if self.ruled else 0
        self.side.drawOn(canvas, -page.indent, self.height - start - self.side.height)
        if self.identifier:
            title = (
                self.title if self.title.startswith(self.identifier) else f"{self.identifier} {self.title}"
            )
            self.kit.trace.anchor(canvas, self.identifier, self.height + 10, title.strip(), RECORD_LEVEL)
        super().draw()


def side_head(kit: Kit, title: Content, *notes: Content) -> Stack:
    """A bold side head, cut after six lines, with quiet notes under it, for the margin column."""
    return _side(kit, title, notes)[0]


def _side(kit: Kit, title: Content, notes: Sequence[Content]) -> tuple[Stack, bool]:
    children: list[Flowable] = []
    shortened = False
    if title:
        head, shortened = kit.clipped(title, "side_head", kit.page.side, SIDE_TITLE_LINES)
        children.append(head)
    present = [note for note in notes if note]
    if present:
        children.append(kit.paragraph(join(present, Markup("<br/>")), "side"))
    return Stack(kit, children), shortened


def block(
    kit: Kit, title: str, children: Iterable[Flowable], *notes: Content, identifier: str | None = None
) -> Block:
    """A block with its side head; what is too long for the margin stands above the content instead.

    `notes` are lines for the margin: a remark, or `trace.note(serves=…, rests_on=…)`.
    """
    children = list(children)
    side, shortened = _side(kit, title, notes)
    if side.wrap(kit.page.side, ENDLESS)[1] > SIDE_SHARE * kit.page.height:
        children = [kit.paragraph(note, "note") for note in notes if note] + children
        side, shortened = _side(kit, title, ())
    if shortened:
        children.insert(0, kit.paragraph(title, "lead"))
    return Block(
        kit, side, children, title=cut(plain(title), BOOK, 8, 4 * kit.page.side), identifier=identifier
    )
