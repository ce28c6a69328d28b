"""Paths of a PDF page in points of the page, with what was done to them (pypdf only)."""

from __future__ import annotations

from dataclasses import dataclass

from pypdf import PageObject
from pypdf.generic import ContentStream

Point = tuple[float, float]
PAINT = {
    "S": "stroke",
    "s": "stroke",
    "f": "fill",
    "f*": "fill",
    "B": "both",
    "B*": "both",
    "b": "both",
    "n": "clip",
}


@dataclass(frozen=True)
class Path:
    """Points of all its parts, how it was painted, line weight, stroke and fill colour, dash."""

    points: tuple[Point, ...]
    paint: str
    weight: float
    stroke: tuple[float, ...]
    fill: tuple[float, ...]
    dash: tuple[float, ...]

    @property
    def box(self) -> tuple[float, float, float, float]:
        xs, ys = zip(*self.points, strict=True)
        return min(xs), min(ys), max(xs), max(ys)


def paths_of(page: PageObject) -> list[Path]:
    """All paths in the order they were painted; curves by their control points."""
    state = {"m": (1.0, 0.0, 0.0, 1.0, 0.0, 0.0), "w": 1.0, "RG": (), "rg": (), "d": ()}
    stack, points, found = [], [], []

    def put(x, y):
        a, b, c, d, e, f = state["m"]
        points.append((a * x + c * y + e, b * x + d * y + f))

    for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
        name = operator.decode()
        if name == "q":
            stack.append(dict(state))
        elif name == "Q":
            state = stack.pop()
        elif name == "cm":
            a, b, c, d, e, f = (float(v) for v in operands)
            p, q, r, s, t, u = state["m"]
            state["m"] = (
                a * p + b * r,
                a * q + b * s,
                c * p + d * r,
                c * q + d * s,
                e * p + f * r + t,
                e * q + f * s + u,
            )
        elif name in ("RG", "rg"):
            state[name] = tuple(round(float(v), 3) for v in operands)
        elif name == "w":
            state["w"] = float(operands[0])
        elif name == "d":
            state["d"] = tuple(float(v) for v in operands[0])
        elif name in ("m", "l"):
            put(*(float(v) for v in operands))
        elif name == "c":
            values = [float(v) for v in operands]
            for i in (0, 2, 4):
                put(values[i], values[i + 1])
        elif name == "re":
            x, y, w, h = (float(v) for v in operands)
            for corner in ((x, y), (x + w, y), (x + w, y + h), (x, y + h)):
                put(*corner)
        elif name in PAINT:
            if points:
                found.append(
                    Path(tuple(points), PAINT[name], state["w"], state["RG"], state["rg"], state["d"])
                )
            points = []
    return found
