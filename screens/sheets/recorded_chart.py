"""Charts of dynamic, durability, load-history and press items: what the document draws, in the terminal."""

from __future__ import annotations

from dossier.methods.evidence_files import raw_files_of
from dossier.methods.evidence_plots import recorded_plots
from dossier.records.evidence import EvidenceItem
from screens.session import Session
from screens.widgets.chart import Chart, Curve, Mark

SHORT = {"variant": "variant", "reference": "ref"}  # in the read-out, where the label is too long
FORMS = {"variant": "variant", "reference": "reference", "limit": "second", "rows": "part"}


def recorded_chart(session: Session, item: EvidenceItem, part: int, second: bool) -> Chart:
    """The first plot of an item, or the second where there is one. Raises LookupError without a result or a line."""
    try:
        plots = recorded_plots(item, raw_files_of(session.opened.folder.root), part)
    except ValueError as error:
        raise LookupError(str(error)) from error
    plot = plots[1 if second and len(plots) > 1 else 0]
    if not plot.lines:
        raise LookupError(f"{item.id}: one step only, nothing to draw a line through")
    curves = [Curve(line.label, line.x, line.y, FORMS[line.form], SHORT.get(line.form, line.label)) for line in plot.lines]
    marks = [Mark(mark.letter, mark.x, mark.y) for mark in plot.marks]
    return Chart(curves, plot.x_unit, plot.y_unit, marks=marks, x_name=plot.x_name, y_name=plot.y_name)
