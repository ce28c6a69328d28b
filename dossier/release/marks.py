"""The marks that recur on every sheet: margin bar, result bar, state word with its glyph, share bar, legend."""

from __future__ import annotations

from collections.abc import Sequence
from types import MappingProxyType

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from dossier.release.kit import Kit
from dossier.release.page import HAIR, INK, LINK, PAPER, QUIET, RULE, TINT
from dossier.release.pen import kept, pen, plate, ring, rule, write
from dossier.release.text import Content, Markup, coloured, minus, text
from dossier.release.typefaces import BOLD, BOOK, width

MET, NOT_MET, OPEN, OUTDATED, CONCEDED = "#035A56", "#9C331F", "#3D3E38", "#6E3C7D", "#565117"

STATES = MappingProxyType({
    "met": ("✓", MET), "not met": ("✗", NOT_MET), "undecided": ("?", NOT_MET), "open": ("▫", OPEN),
    "outdated": ("∆", OUTDATED), "conceded": ("~", CONCEDED),
    "current": ("✓", MET), "newer method available": ("↑", OPEN), "failed": ("✗", NOT_MET),
    "planned": ("▫", OPEN), "running": ("▫", OPEN), "finished": ("✓", MET), "aborted": ("✗", NOT_MET),
    "invalid": ("✗", NOT_MET),
    "waiting": ("▫", OPEN), "in work": ("▫", OPEN), "ready": ("▫", OPEN), "closed": ("✓", MET),
    "reopened": ("∆", OUTDATED),
    "valid": ("✓", MET), "superseded by a change": ("∆", OUTDATED), "withdrawn": ("✗", NOT_MET),
    "released": ("✓", MET), "sent back": ("✗", NOT_MET), "frozen": ("✓", MET), "superseded": ("∆", OUTDATED),
})  # fmt: skip
LEGEND_STATES = ("met", "not met", "undecided", "open", "outdated", "conceded")
_PLAIN_FACE = {"met", "current", "finished", "closed", "valid", "released", "frozen", "planned"}


def state(word: str, label: Content | None = None, *, heavy: bool | None = None) -> Markup:
    """Glyph and word of a state in its colour, bold unless all is well; `label` replaces the word.

    Raises ValueError for a word that is no state.
    """
    if word not in STATES:
        raise ValueError(f'state = "{word}" must be one of {", ".join(STATES)}; use one of them')
    glyph, colour = STATES[word]
    shown = text(word if label is None else label)
    return coloured(
        Markup(f"{glyph}\u00a0{shown}"), colour, heavy=word not in _PLAIN_FACE if heavy is None else heavy
    )


class MarginBar(Flowable):
    """A margin on a fixed scale, −0.15 to +0.45, zero at a quarter.

    Solid: met, a white notch at the unfavourable end. Hollow with a bracket: not met. Bracket across zero:
    undecided. Cut end: longer than drawn. `nominal` is the margin of the value, `worst` that of the
    unfavourable end of its band, `best` that of the other end (as far from the value as the worst unless given).
    """

    LOW, HIGH = -0.15, 0.45
    TICKS = (-0.1, 0.1, 0.2, 0.3, 0.4)

    def __init__(
        self, nominal: float, worst: float, best: float | None = None, *, width: float = 62, height: float = 7
    ) -> None:
        super().__init__()
        self.best = 2 * nominal - worst if best is None else best
        self.nominal, self.worst, self.width, self.height = nominal, worst, width, height

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        return self.width, self.height

    def _x(self, margin: float) -> float:
        inside = min(max(margin, self.LOW), self.HIGH)
        return (inside - self.LOW) / (self.HIGH - self.LOW) * self.width

    def draw(self) -> None:
        canvas = self.canv
        rule(canvas, 0, self.width, 0, 0.4, HAIR)
        for tick in self.TICKS:
            canvas.line(self._x(tick), 0, self._x(tick), 1.4)
        if self.worst < 0:
            self._failing()
        else:
            self._holding()
        pen(canvas, 0.9)
        canvas.line(self._x(0), -0.6, self._x(0), self.height)

    def _holding(self) -> None:
        canvas, zero, end = self.canv, self._x(0), self._x(self.nominal)
        canvas.setFillColor(INK)
        canvas.rect(zero, 1.8, max(end - zero, 0.3), 3.2, fill=1, stroke=0)
        if self.nominal > self.HIGH:
            canvas.setFillColor(PAPER)
            canvas.rect(self.width - 4, 1.6, 1.4, 3.6, fill=1, stroke=0)
        notch = self._x(self.worst)
        if self.worst != self.nominal and zero + 1 < notch < self.width - 5:
            pen(canvas, 0.8, PAPER)
            canvas.line(notch, 1.8, notch, 5)

    def _failing(self) -> None:
        canvas, zero, end, red = self.canv, self._x(0), self._x(self.nominal), HexColor(NOT_MET)
        if self.nominal < 0:
            pen(canvas, 0.7, red)
            canvas.setFillColor(PAPER)
            canvas.rect(end, 1.8, zero - end, 3.2, fill=1)
            if self.nominal < self.LOW:
                plate(canvas, (3, 2, 4, 5), 0.3)
        else:
            canvas.setFillColor(red)
            canvas.rect(zero, 1.8, max(end - zero, 0.3), 3.2, fill=1, stroke=0)
        low, high = self._x(self.worst), self._x(self.best)
        pen(canvas, 0.7, red)
        canvas.line(low, 3.4, high, 3.4)
        for x in (low, high):
            canvas.line(x, 0.9, x, 5.9)


class ShareBar(Flowable):
    """A signed share from a zero line: solid to the right, hollow to the left; `low` and `high` are its scale."""

    def __init__(self, share: float, low: float, high: float, width: float = 72, height: float = 7) -> None:
        super().__init__()
        self.share, self.width, self.height = share, width, height
        self.low, self.high = min(low, 0.0), max(high, 1e-9)

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        scale = (self.width - 2) / (self.high - self.low)
        zero, length = 1 - self.low * scale, self.share * scale
        pen(self.canv, 0.7)
        self.canv.setFillColor(INK if length >= 0 else PAPER)
        if length:
            self.canv.rect(min(zero, zero + length), 1.8, abs(length), 3.2, fill=1, stroke=length < 0)
        pen(self.canv, 0.9)
        self.canv.line(zero, -0.6, zero, self.height)


class ResultBar(Flowable):
    """One value with the ends of its band between its limits; `shown` is the value as printed, limits None where open."""

    HEIGHT, AXIS = 39, 18

    def __init__(
        self, kit: Kit, value: float, band: tuple[float, float], *, low: float | None, high: float | None, shown: str,
        digits: int = 2, unit: str = "",
    ) -> None:  # fmt: skip
        super().__init__()
        self.kit, self.value, self.band, self.low, self.high = kit, value, band, low, high
        self.shown, self.digits, self.unit = shown, digits, unit

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width, self.height = available_width, self.HEIGHT
        return self.width, self.height

    def _range(self) -> tuple[float, float]:
        """Ends of the axis: all marks inside, a fifth of white beyond a limit, more on its open side."""
        marks = [self.value, *self.band]
        limits = [limit for limit in (self.low, self.high) if limit is not None]
        low, high = min(marks + limits), max(marks + limits)
        span = (high - low) or abs(high) or 1.0
        return low - span * 0.2, high + span * (0.2 if self.high is not None or self.low is None else 0.8)

    def draw(self) -> None:
        canvas, (start, end) = self.canv, self._range()
        scale = self.width / (end - start)
        left = 0 if self.low is None else (self.low - start) * scale
        right = self.width if self.high is None else (self.high - start) * scale
        y = self.AXIS
        canvas.setFillColor(TINT)
        canvas.rect(left, y - 4, max(right - left, 0), 8, fill=1, stroke=0)
        rule(canvas, 0, self.width, y - 4, 0.4, RULE)
        self._limits(left, right)
        x, *edges = ((place - start) * scale for place in (self.value, *self.band))
        rule(canvas, *edges, y, 0.9)
        for edge in edges:
            canvas.line(edge, y - 2.6, edge, y + 2.6)
        ring(canvas, x, y, 2.4, 0.9)
        half = min(width(self.shown, BOLD, 8.4), self.width) / 2
        write(
            canvas, min(max(x, half), self.width - half), y + 8, self.shown, BOLD, 8.4, INK, "c", self.width
        )

    def _limits(self, left: float, right: float) -> None:
        close = self.low is not None and self.high is not None and right - left < 90
        aligns = ("r", "l") if close else ("c", "c")
        marks = ((self.low, "min", left, aligns[0]), (self.high, "max", right, aligns[1]))
        for limit, word, x, align in marks:
            if limit is None:
                continue
            pen(self.canv, 1.1)
            self.canv.line(x, self.AXIS - 6, x, self.AXIS + 6)
            label = f"{word} {minus(f'{limit:.{self.digits}f}')} {self.unit}".strip()
            half = width(label, BOOK, 6.7) / 2
            x = min(max(x, half), self.width - half) if align == "c" else x
            write(self.canv, x, self.AXIS - 13, label, BOOK, 6.7, QUIET, align)


class Legend(Flowable):
    """The marks, drawn by the very classes that print them, and the state words."""

    HEIGHT, ROW, LABEL_AT = 47, 15, 70
    BARS = (
        (0.24, 0.19, "met, whole band clear of the limit"),
        (0.06, -0.03, "undecided, the limit lies inside the band"),
        (-0.08, -0.13, "not met"),
        (0.7, 0.66, "met, longer than drawn"),
    )

    def __init__(self, kit: Kit, states: Sequence[str] = LEGEND_STATES) -> None:
        super().__init__()
        self.kit, self.states = kit, states

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width, self.height = available_width, self.HEIGHT
        return self.width, self.height

    def draw(self) -> None:
        for i, (nominal, worst, meaning) in enumerate(self.BARS):
            x, y = (i % 2) * self.width / 2, self.height - 9 - (i // 2) * self.ROW
            with kept(self.canv):
                MarginBar(nominal, worst).drawOn(self.canv, x, y - 2)
            write(self.canv, x + self.LABEL_AT, y, meaning)
        x, y = 0.0, 6
        for word in self.states:
            glyph, colour = STATES[word]
            x += write(self.canv, x, y, f"{glyph} {word}", BOOK, 7.2, HexColor(colour)) + 14
        self._link_sample(x, y)

    def _link_sample(self, x: float, y: float) -> None:
        x += write(self.canv, x, y, "R-000", BOOK, 7.2, HexColor(LINK)) + 1.5
        x += write(self.canv, x, y, "p0", BOOK, 5.6, HexColor(LINK)) + 5
        write(self.canv, x, y, "a record and its page, a link", room=max(self.width - x, 20))
