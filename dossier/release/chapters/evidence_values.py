"""Lives, S–N lines, staircases and series as figures of the document: what sheet 4 shows of them."""

from __future__ import annotations

from dossier.checks.told_evidence import life_words
from dossier.checks.told_plots import plot_limits
from dossier.methods.evidence_statistics import JUDGED
from dossier.methods.judged_plots import judged_plots
from dossier.records.evidence import EvidenceItem
from dossier.release.chapters.evidence_curves import HEIGHT, WIDTH, Figure
from dossier.release.chapters.evidence_recorded import curve_of_plot
from dossier.release.facts import Facts
from dossier.release.kit import Kit

SIGNS = (("x ", "cross "), ("> ", "arrow "), ("o ", "ring "), ("- ", "dash "))
LIMITS = "Long dashes: limits."


def values_figure(kit: Kit, facts: Facts, item: EvidenceItem) -> Figure | str:
    """The plot of each group of a judged item; what a run without failure shows, in words, where no line fits lives."""
    if item.quantity not in JUDGED or item.result is None:
        return ""
    try:
        plots = facts.once(("values", item.id), lambda: judged_plots(item, plot_limits(facts.view, item)))
    except (ValueError, ArithmeticError) as error:
        return " ".join(life_words(item)) if item.quantity == "life" else f"No figure: {error}."
    if item.quantity == "life":
        plots = tuple(plot for plot in plots if plot.y_scale == "weibull")
    if not plots:
        return " ".join(life_words(item))
    lead = "Weibull paper. " if item.quantity == "life" else ""
    told = " ".join(plot.told for plot in plots)
    limits = any(line.form == "limit" for plot in plots for line in plot.lines)
    band = "Grey: the band that is told, or the bounds of the line. " if any(plot.band for plot in plots) else ""
    caption = f"{lead}{_in_print(told)} {band}{LIMITS if limits else ''}".strip()
    return Figure([curve_of_plot(kit, plot, WIDTH, HEIGHT) for plot in plots], caption)


def _in_print(told: str) -> str:
    """The signs of the terminal by the names of what is printed: "x failed" is "cross failed"."""
    for sign, name in SIGNS:
        told = told.replace(f": {sign}", f": {name}").replace(f", {sign}", f", {name}")
    return told
