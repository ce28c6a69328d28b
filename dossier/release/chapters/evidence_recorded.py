"""Figures of dynamic, durability, load-history and press items: stiffness over frequency or cycles, ranges over cycles,
force over travel."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dossier.evidence.errors import UnreadableFile
from dossier.evidence.thin import thin
from dossier.methods.evidence_files import raw_files_of
from dossier.methods.evidence_plots import Plot, PlotLine, recorded_plots
from dossier.records.evidence import EvidenceItem
from dossier.release.curves import Band, Curve, Mark, Points, Series
from dossier.release.facts import Facts
from dossier.release.kit import Kit
from dossier.release.scales import scale_around
from dossier.store.errors import StoreError

HEIGHTS = (150, 92)
DOTS = (420, 300)
FORMS = {"variant": "Line with rings: variant.", "reference": "Dotted: reference."}



def recorded_figure(kit: Kit, facts: Facts, item: EvidenceItem, width: float) -> tuple[list[Curve], str] | str:
    """The plots with their caption, or in words why there are none."""
    if item.result is None:
        return ""
    try:
        plots = facts.once(("recorded", item.id), lambda: recorded_plots(item, raw_files_of(facts.project.folder)))
    except (UnreadableFile, StoreError, ValueError, OSError) as error:
        return f"No curve: {error}"
    drawn = [plot for plot in plots if plot.lines]
    if not drawn:
        return "No curve: no line has two points."
    curves = [curve_of_plot(kit, plot, width, height) for plot, height in zip(drawn, HEIGHTS, strict=False)]
    return curves, " ".join(filter(None, dict.fromkeys((*(plot.told for plot in drawn), _forms(drawn)))))


def _forms(plots: Sequence[Plot]) -> str:
    """What each form of line means, of the forms that are drawn."""
    lines = [line for plot in plots for line in plot.lines]
    forms = {line.form for line in lines}
    told = [words for form, words in FORMS.items() if form in forms]
    limits = dict.fromkeys(line.label for line in lines if line.form == "limit")
    return " ".join([*told, f"Long dashes: {', '.join(limits)}." if limits else ""]).strip()


def curve_of_plot(kit: Kit, plot: Plot, width: float, height: float) -> Curve:
    """The plot as a figure of that size in points."""
    shown = [line for line in plot.lines if line.form != "rows"]
    edges = [plot.band.lower, plot.band.upper] if plot.band else []
    single = [(plot.points.x, plot.points.y)] if plot.points else []
    places = [np.concatenate(axis) for axis in zip(*((line.x, line.y) for line in shown), *edges, *single, strict=True)]
    x = scale_around(plot.x_scale, places[0], _with_unit(plot.x_name, plot.x_unit), zero=plot.zero)
    y = scale_around(plot.y_scale, places[1], _with_unit(plot.y_name, plot.y_unit), zero=plot.zero)
    points = Points(plot.points.x, plot.points.y, plot.points.signs, plot.points.joined) if plot.points else None
    return Curve(kit, width, height, x, y, [_series(line) for line in shown],
                 [Band("", plot.band.lower, plot.band.upper)] if plot.band else [],
                 marks=[Mark(mark.letter, mark.x, mark.y) for mark in plot.marks], points=points)  # fmt: skip


def _series(line: PlotLine) -> Series:
    x, y = (line.x, line.y) if len(line.x) < DOTS[0] else thin(line.x, line.y, *DOTS)
    known = np.isfinite(x) & np.isfinite(y)
    return Series(line.label, x[known], y[known], reference=line.form == "reference", predicted=line.form == "limit",
                  fit=line.form == "fit")  # fmt: skip


def _with_unit(name: str, unit: str) -> str:
    return f"{name}, {unit}" if unit else name
