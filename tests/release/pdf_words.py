"""Pieces of text of a PDF page with their boxes, from the content stream and the embedded widths (pypdf only)."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from pypdf import PageObject
from pypdf.generic import ContentStream

Matrix = tuple[float, float, float, float, float, float]
IDENTITY: Matrix = (1, 0, 0, 1, 0, 0)


@dataclass(frozen=True)
class Piece:
    """Text drawn by one operator: from (x, y) on the baseline, its width and size, its angle in degrees."""

    text: str
    x: float
    y: float
    width: float
    size: float
    angle: float

    @property
    def box(self) -> tuple[float, float, float, float]:
        return self.x, self.y - 0.2 * self.size, self.x + self.width, self.y + 0.7 * self.size


class _Font:
    def __init__(self, resource) -> None:
        self.first = int(resource["/FirstChar"])
        self.widths = [float(w) for w in resource["/Widths"]]
        self.characters = _to_unicode(resource["/ToUnicode"].get_data().decode("latin-1"))

    def width(self, code: int) -> float:
        return self.widths[code - self.first] / 1000


def _to_unicode(cmap: str) -> dict[int, str]:
    table: dict[int, str] = {}
    for block in re.findall(r"beginbfrange(.*?)endbfrange", cmap, re.S):
        for low, _, names in re.findall(r"<(\w+)>\s*<(\w+)>\s*\[(.*?)\]", block, re.S):
            for i, code in enumerate(re.findall(r"<(\w+)>", names)):
                table[int(low, 16) + i] = bytes.fromhex(code).decode("utf-16-be")
    for block in re.findall(r"beginbfchar(.*?)endbfchar", cmap, re.S):
        for code, name in re.findall(r"<(\w+)>\s*<(\w+)>", block):
            table[int(code, 16)] = bytes.fromhex(name).decode("utf-16-be")
    return table


def _times(a: Matrix, b: Matrix) -> Matrix:
    return (
        a[0] * b[0] + a[1] * b[2], a[0] * b[1] + a[1] * b[3], a[2] * b[0] + a[3] * b[2], a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4], a[4] * b[1] + a[5] * b[3] + b[5],
    )  # fmt: skip


class _Reader:
    """Follows the text state; knows the operators that reportlab writes."""

    def __init__(self, resources, pdf, matrix: Matrix = IDENTITY) -> None:
        self.resources, self.pdf = resources, pdf
        self.fonts = {name: _Font(font.get_object()) for name, font in resources["/Font"].items()}
        self.matrix, self.stack = matrix, []
        self.text, self.line, self.leading = IDENTITY, IDENTITY, 0.0
        self.font, self.size, self.spacing, self.rise, self.word = "", 0.0, 0.0, 0.0, 0.0
        self.pieces: list[Piece] = []

    def run(self, contents) -> list[Piece]:
        for operands, operator in ContentStream(contents, self.pdf).operations:
            handler = getattr(self, f"on_{operator.decode().replace('*', 'star')}", None)
            if handler:
                handler(*operands)
        return self.pieces

    def on_q(self) -> None:
        self.stack.append(
            (self.matrix, self.font, self.size, self.spacing, self.rise, self.leading, self.word)
        )

    def on_Q(self) -> None:  # noqa: N802
        self.matrix, self.font, self.size, self.spacing, self.rise, self.leading, self.word = self.stack.pop()

    def on_cm(self, *values) -> None:
        self.matrix = _times(tuple(float(v) for v in values), self.matrix)

    def on_Do(self, name) -> None:  # noqa: N802
        form = self.resources["/XObject"][name].get_object()
        self.pieces += _Reader(form["/Resources"], self.pdf, self.matrix).run(form)

    def on_BT(self) -> None:  # noqa: N802
        self.text = self.line = IDENTITY

    def on_Tm(self, *values) -> None:  # noqa: N802
        self.text = self.line = tuple(float(v) for v in values)

    def on_Td(self, x, y) -> None:  # noqa: N802
        self.text = self.line = _times((1, 0, 0, 1, float(x), float(y)), self.line)

    def on_Tstar(self) -> None:  # noqa: N802
        self.on_Td(0, -self.leading)

    def on_Tf(self, font, size) -> None:  # noqa: N802
        self.font, self.size = font, float(size)

    def on_TL(self, leading) -> None:  # noqa: N802
        self.leading = float(leading)

    def on_Tc(self, spacing) -> None:  # noqa: N802
        self.spacing = float(spacing)

    def on_Tw(self, word) -> None:  # noqa: N802
        self.word = float(word)

    def on_Ts(self, rise) -> None:  # noqa: N802
        self.rise = float(rise)

    def on_Tj(self, string) -> None:  # noqa: N802
        raw = string.original_bytes
        font = self.fonts[self.font]
        width = sum(font.width(code) * self.size + self.spacing for code in raw)
        text = "".join(font.characters.get(code, "\ufffe") for code in raw)
        full = _times((1, 0, 0, 1, 0, self.rise), _times(self.text, self.matrix))
        angle = math.degrees(math.atan2(full[1], full[0]))
        scale = math.hypot(full[0], full[1])
        if text.strip():
            self.pieces.append(Piece(text, full[4], full[5], width * scale, self.size * scale, angle))
        self.text = _times((1, 0, 0, 1, width, 0), self.text)


def pieces_of(page: PageObject) -> list[Piece]:
    """All pieces of text of a page, those of its forms included."""
    return _Reader(page["/Resources"], page.pdf).run(page.get_contents())


def overlaps(pieces: list[Piece], tolerance: float = 0.7) -> list[tuple[str, str]]:
    """Pairs of level pieces whose boxes cover each other by more than `tolerance` in both directions."""
    level = sorted((p for p in pieces if abs(p.angle) < 1), key=lambda p: p.box[1])
    found = []
    for i, a in enumerate(level):
        for b in level[i + 1 :]:
            if b.box[1] > a.box[3]:
                break
            across = min(a.box[2], b.box[2]) - max(a.box[0], b.box[0])
            along = min(a.box[3], b.box[3]) - max(a.box[1], b.box[1])
            if across > tolerance and along > tolerance:
                found.append((a.text, b.text))
    return found
