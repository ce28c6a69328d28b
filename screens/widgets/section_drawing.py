"""Drawing a half-and-half section into a canvas: hatches, outlines, balloons, call-outs, scale, difference, field."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from screens.cells import cut
from screens.glyphs import grid_text
from screens.palette import utilisation_class
from screens.widgets.hatching import hatch_mask, letter_of
from screens.widgets.raster_canvas import CELL_HEIGHT, CELL_WIDTH, Canvas, trace
from screens.widgets.section_shape import Array, Field, Half, Projection, Section, Span, View, half, majority, projection

STEEL = ("A", "D")
MODES = ("halves", "variant", "reference", "difference")
SHORT_NAMES = {"reference": "ref"}
LEGEND = " 3: 0.3, #: > 1,"
REMOVED, ADDED = "o", "+"
CONTOUR = "*"
CHAIN = (1, 1, 1, 1, 1, 1, 1, 1, 1, 0, 0, 0, 1, 1, 0, 0)


@dataclass(frozen=True)
class Look:
    """How the section is shown: mode, the region marked out, whether it is the small one of the margin; fields of
    utilisation instead of hatches, with contours (n, 2) of (z, r) in mm drawn into them."""

    mode: str = "halves"
    highlight: str = ""
    small: bool = False
    fields: tuple[Field | None, Field | None] = (None, None)
    contours: tuple[Array | None, Array | None] = (None, None)


@dataclass(frozen=True)
class Drawn:
    """What came out: the projection, per cell the region's key ("" for void), and notes such as a thickened layer."""

    place: Projection
    keys: NDArray[np.str_]
    notes: tuple[str, ...]


def draw_section(canvas: Canvas, section: Section, view: View, look: Look) -> Drawn:
    """Draw the section; call-outs give way where there is no room, the scale line never does unless it is small."""
    place = projection(section, view, canvas, beside=bool(section.call_outs) and not look.small)
    sources = {
        "variant": (section.variant, section.variant), "reference": (section.reference, section.reference),
    }.get(look.mode, (section.reference, section.variant))
    upper, lower = (
        half(regions, place, canvas, above, view.zoom == 1)
        for regions, above in zip(sources, (True, False), strict=True)
    )
    keys = np.full((canvas.rows, canvas.columns), "", dtype="<U1")
    for parts in (upper, lower):
        cells = majority(parts, canvas)
        for number, region in enumerate(parts.regions, 1):
            keys[cells == number] = region.key
    if look.mode == "difference":
        _draw_difference(canvas, section, place, upper, lower)
    else:
        shown = {"variant": (1, 1), "reference": (0, 0)}.get(look.mode, (0, 1))
        for parts, side in zip((upper, lower), shown, strict=True):
            _draw_half(canvas, parts, place, look, look.fields[side])
            contour = look.contours[side]
            if contour is not None and len(contour):
                _draw_contour(canvas, parts, place, contour * (1, 1 if parts is upper else -1))
    occupied = canvas.last_used()
    _draw_axis(canvas, place, keys)
    notes = tuple(dict.fromkeys(f"{key} not to scale" for key in (*upper.thickened, *lower.thickened)))
    if not look.small:
        _draw_balloons(canvas, upper, lower, look)
        _write_names(canvas, section, look)
        for span in section.spans:
            _write_span(canvas, span, place)
        _write_call_outs(canvas, section, place, keys, occupied)
        if upper.regions or lower.regions:
            legend = any(field is not None for field in look.fields) and look.mode != "difference"
            _write_scale(canvas, place, view, notes, LEGEND if legend else "")
    return Drawn(place, keys, notes)


def _draw_half(canvas: Canvas, parts: Half, place: Projection, look: Look, field: Field | None) -> None:
    cells = majority(parts, canvas)
    for number, region in enumerate(parts.regions, 1):
        mine = cells == number
        marked = look.highlight == region.key
        role = "key" if marked else "ink"
        if field is None:
            canvas.set_areas(mine, region.key)
        if canvas.plain:
            letter = region.key if marked else letter_of(region.key, region.flip)
            canvas.set_characters(mine, letter, role)
        elif field is None and (marked or not look.highlight):
            origin = (0, place.axis_row * CELL_HEIGHT)
            hatch = hatch_mask(region.key, canvas.height, canvas.width, region.changed, region.flip, origin)
            canvas.add_dots(hatch & parts.mask(number), role)
    if not canvas.plain:
        canvas.add_dots(parts.outline(), "quiet" if field is not None else "ink")
        for number, region in enumerate(parts.regions, 1):
            if look.highlight == region.key:
                canvas.add_dots(parts.outline(number), "key")
    if field is not None:
        _draw_field(canvas, parts, place, field, cells)


def _draw_field(
    canvas: Canvas, parts: Half, place: Projection, field: Field, cells: NDArray[np.int8]
) -> None:
    """The greatest utilisation in each cell of steel as its first decimal, `#` above 1, `.` in the core."""
    steel = np.isin(cells, [number for number, region in enumerate(parts.regions, 1) if region.key in STEEL])
    greatest = _greatest(canvas, parts, place, field, cells == 0)
    shown = steel & np.isfinite(greatest)
    for row, column in zip(*np.nonzero(shown), strict=True):
        value = float(greatest[row, column])
        number = utilisation_class(value)
        digit = "#" if number == 7 else str(min(max(int(value * 10 + 1e-9), 0), 9))
        canvas.write(int(column), int(row), digit, f"use{number}", f"u{number}")
    for number, region in enumerate(parts.regions, 1):
        rest = (cells == number) & ~shown
        if region.key == "B":
            canvas.set_characters(rest, ".", "quiet")
        elif canvas.plain:
            canvas.set_characters(rest, " ")


def _draw_contour(canvas: Canvas, parts: Half, place: Projection, contour: Array) -> None:
    """A line through the digits, which give way to it: dots, or `*` in plain glyphs; r is signed."""
    x, y = place.dots(*contour.T)
    column, row, _ = trace(x, y, canvas.width, canvas.height)
    dots = np.zeros((canvas.height, canvas.width), dtype=bool)
    dots[row, column] = True
    dots &= parts.inside
    if canvas.plain:
        canvas.set_characters(canvas.cells_with(dots), CONTOUR, "key", "ground")
    else:
        canvas.clear_characters(canvas.cells_with(dots))
        canvas.add_dots(dots, "key")


def _greatest(
    canvas: Canvas, parts: Half, place: Projection, field: Field, void: NDArray[np.bool_]
) -> NDArray[np.float64]:
    """The greatest value in each cell, -inf where there is none; the rim in a cell that is mostly `void` counts in the
    cells beside it, so that a peak at the surface is not lost."""
    z, r = place.centres(canvas)
    mine = parts.inside[:, 0]
    values = np.full((canvas.height, canvas.width), -np.inf)
    values[mine] = field(z, np.abs(r[mine]))
    values[np.isnan(values)] = -np.inf
    greatest = values.reshape(canvas.rows, CELL_HEIGHT, canvas.columns, CELL_WIDTH).max(axis=(1, 3))
    rim = np.pad(np.where(void, greatest, -np.inf), 1, constant_values=-np.inf)
    beside = np.maximum.reduce([rim[:-2, 1:-1], rim[2:, 1:-1], rim[1:-1, :-2], rim[1:-1, 2:]])
    return np.where(np.isfinite(greatest), np.maximum(greatest, beside), -np.inf)


def _draw_difference(canvas: Canvas, section: Section, place: Projection, upper: Half, lower: Half) -> None:
    """Outlines; above the axis what the reference loses as `o`, below it what the variant gains as `+`."""
    for parts, other, sign in ((upper, section.variant, REMOVED), (lower, section.reference, ADDED)):
        above = sign == REMOVED
        against = half(other, place, canvas, above)
        differs = (parts.material > 0) & (_identity(parts) != _identity(against))
        if canvas.plain:
            canvas.set_characters(canvas.cells_with(parts.outline()), ".", "quiet")
        else:
            canvas.add_dots(parts.outline(), "quiet")
        changed = canvas.count(differs) >= CELL_WIDTH * CELL_HEIGHT // 2
        canvas.set_characters(changed, sign, "outdated" if above else "met")


def _identity(parts: Half) -> NDArray[np.int16]:
    """Per dot a number that is equal where both halves have the same material."""
    numbers = [0, *(ord(region.key) + (128 if region.changed else 0) for region in parts.regions)]
    return np.array(numbers, dtype=np.int16)[parts.material]


def _draw_axis(canvas: Canvas, place: Projection, keys: NDArray[np.str_]) -> None:
    """The axis as a chain line, a little longer than the part."""
    y = place.axis_row * CELL_HEIGHT
    filled = np.flatnonzero((keys != "").any(axis=0))
    if canvas.plain or not 0 <= y < canvas.height or not filled.size:
        return
    first, last = (int(filled[0]) - 2) * CELL_WIDTH, (int(filled[-1]) + 3) * CELL_WIDTH
    pattern = np.resize(np.array(CHAIN, dtype=bool), canvas.width)
    canvas.dots[y, max(first, 0):last] |= pattern[max(first, 0):last]


def _draw_balloons(canvas: Canvas, upper: Half, lower: Half, look: Look) -> None:
    """The letter of each region once, deep inside it; again below the axis where its material is another."""
    lettered: set[str] = set()
    if look.mode == "difference" or any(field is not None for field in look.fields):
        return
    for parts in (upper, lower):
        for number, region in enumerate(parts.regions, 1):
            if region.key in lettered and not region.changed:
                continue
            spot = _deepest(canvas.count(parts.mask(number)), CELL_WIDTH * CELL_HEIGHT)
            if spot is not None:
                lettered.add(region.key)
                canvas.write(spot[1], spot[0], region.key, "heading")


def _deepest(counts: NDArray[np.intp], full: int) -> tuple[int, int] | None:
    """A cell far from the edges of a region, towards the right of it; None when it fills less than half a cell."""
    cells = counts >= full
    if not cells.any():
        cells = counts >= max(full // 2, 1)
        if not cells.any():
            return None
    deepest = cells
    while True:
        padded = np.pad(deepest, 1)
        inner = padded[1:-1, 1:-1] & padded[:-2, 1:-1] & padded[2:, 1:-1] & padded[1:-1, :-2] & padded[1:-1, 2:]
        if not inner.any():
            break
        deepest = inner
    rows, columns = np.nonzero(deepest)
    order = np.argsort(columns, kind="stable")
    chosen = order[(3 * len(order)) // 4]
    return int(rows[chosen]), int(columns[chosen])


def _write_names(canvas: Canvas, section: Section, look: Look) -> None:
    names = {"variant": (section.names[1], ""), "reference": (section.names[0], "")}.get(look.mode, section.names)
    for name, row in zip(names, (0, canvas.rows - 1), strict=True):
        for told in (name, SHORT_NAMES.get(name, "")):
            text = cut(grid_text(told, canvas.plain), max(canvas.columns // 3, 4))
            # A free cell behind it: without outlines, what a field writes would run on from the name.
            if text and canvas.is_free(1, row, min(len(text) + 1, canvas.columns - 1)):
                canvas.write(1, row, text, "heading")
                break


def _write_call_outs(
    canvas: Canvas, section: Section, place: Projection, keys: NDArray[np.str_], occupied: list[int]
) -> None:
    texts = [grid_text(entry.text, canvas.plain) for entry in section.call_outs]
    common = max(occupied, default=-1) + 4
    if common + max(map(len, texts), default=0) > canvas.columns:
        common = 0
    taken: set[int] = set()
    for entry, text in zip(section.call_outs, texts, strict=True):
        target = place.cell(entry.z, entry.r if entry.upper else -entry.r)[1]
        halves = range(place.axis_row) if entry.upper else range(place.axis_row, canvas.rows - 1)
        for row in sorted(halves, key=lambda candidate: abs(candidate - target)):
            if row in taken or not 0 <= row < canvas.rows or abs(row - target) > 4:
                continue
            start = max(occupied[row] + 2, common)
            if canvas.is_free(start, row, len(text)):
                canvas.write(start, row, text, "ink")
                taken.add(row)
                _write_leader(canvas, keys, entry.key, row, occupied[row] + 1, start - 1)
                break


def _write_leader(canvas: Canvas, keys: NDArray[np.str_], key: str, row: int, first: int, last: int) -> None:
    """Points from the region's own edge to its text; none where another region lies outermost."""
    point = grid_text("⋅", canvas.plain)
    if first > 0 and keys[row, first - 1] == key and canvas.is_free(first, row, last - first):
        canvas.write(first, row, point * (last - first), "rule")


def _write_span(canvas: Canvas, span: Span, place: Projection) -> None:
    first, row = place.cell(span.z0, 0.0)[0], canvas.rows - 1
    length = place.cell(span.z1, 0.0)[0] - first + 1
    text = f" {grid_text(span.text, canvas.plain)} "
    dashes = length - 4 - len(text)
    if dashes >= 2 and canvas.is_free(first, row, length):
        canvas.write(first, row, f"|<{'-' * (dashes // 2)}{text}{'-' * (dashes - dashes // 2)}>|", "quiet")


def _write_scale(canvas: Canvas, place: Projection, view: View, notes: tuple[str, ...], legend: str) -> None:
    """Notes and scale at the right of the last row; the legend of the digits before them where nothing else stands."""
    parts = [*notes, f"{view.zoom}x"] if view.zoom > 1 else list(notes)
    text = f" {', '.join([*parts, f'1 column = {place.mm:.3g} mm'])}"[: canvas.columns]
    first = canvas.columns - len(text)
    canvas.write(first, canvas.rows - 1, text, "quiet")
    if legend and canvas.is_free(first - len(legend), canvas.rows - 1, len(legend)):
        canvas.write(first - len(legend), canvas.rows - 1, legend, "quiet")
