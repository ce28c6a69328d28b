"""Charts of items that are no single curve, and of single values: what the document draws, in the terminal."""

from __future__ import annotations

from dossier.checks.told_plots import plot_limits
from dossier.methods.evidence_files import raw_files_of
from dossier.methods.evidence_plots import PLOTTED, Plot, recorded_plots
from dossier.methods.judged_plots import judged_plots
from dossier.records.evidence import EvidenceItem
from screens.session import Session
from screens.widgets.chart import Chart, Curve, Mark

SHORT = {"variant": "variant", "reference": "ref"}  # in the read-out, where the label is too long
FORMS = {"rows": "part"}


def recorded_chart(session: Session, item: EvidenceItem, part: int, second: bool) -> Chart:
    """The first plot of an item, or the second where there is one. Raises LookupError without a result or a line."""
    try:
        if item.quantity in PLOTTED:
            plots = recorded_plots(item, raw_files_of(session.opened.folder.root), part)
        else:
            plots = judged_plots(item, plot_limits(session.opened.view, item))
    except ValueError as error:
        raise LookupError(str(error)) from error
    plot = plots[1 if second and len(plots) > 1 else 0]
    if not plot.lines and plot.points is None:
        raise LookupError(f"{item.id}: one step only, nothing to draw a line through")
    marks = [Mark(mark.letter, mark.x, mark.y) for mark in plot.marks]
    return Chart(_curves(plot), plot.x_unit, plot.y_unit, marks=marks, x_name=plot.x_name, y_name=plot.y_name,
                 x_scale=plot.x_scale, y_scale=plot.y_scale, zero=plot.zero, told=plot.told,
                 others=len(plots) - 1)  # fmt: skip


def _curves(plot: Plot) -> list[Curve]:
    """Lines by their form, both edges of the band, and the points, joined where their order matters."""
    curves = []
    for line in plot.lines:
        form = FORMS.get(line.form, line.form)
        curves.append(Curve(line.label, line.x, line.y, form, SHORT.get(line.form, line.label)))
    if plot.band is not None:
        edges = (plot.band.lower, plot.band.upper)
        curves += [Curve(plot.band.label if number == 0 else "", *edge, "bound") for number, edge in enumerate(edges)]
    if plot.points is not None:
        points = plot.points
        if points.joined:
            curves.append(Curve("", points.x, points.y, "path"))
        curves.append(Curve(points.label, points.x, points.y, "points", signs=points.signs, words=points.words))
    return curves
