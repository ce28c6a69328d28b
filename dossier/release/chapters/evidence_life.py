"""Lives of an item on Weibull paper, for the document."""

from __future__ import annotations

from dossier.checks.told_evidence import life_words
from dossier.evidence.errors import EvaluationError
from dossier.evidence.weibull import fit_weibull
from dossier.evidence.weibull_plot import weibull_plot
from dossier.records.evidence import EvidenceItem
from dossier.release.chapters.evidence_curves import HEIGHT, WIDTH, Figure
from dossier.release.facts import Facts
from dossier.release.kit import Kit
from dossier.release.probability import ProbabilityPlot


def life_figure(kit: Kit, facts: Facts, item: EvidenceItem) -> Figure | str:
    """The plot of each group whose lives carry a fit; what a run without failure shows, in words, where none does."""
    if item.quantity != "life" or item.result is None:
        return ""
    parts, told = [], []
    given = item.result.inputs
    for group in ("variant", "reference"):
        samples = given.get(group, [])
        lives, stopped = [s.get("value") for s in samples], [bool(s.get("survived")) for s in samples]
        try:
            fit = fit_weibull(lives, stopped)
            plot = facts.once(("weibull", item.id, group), lambda f=fit: weibull_plot(f, max(2 * given["confidence"] - 1, 0.1)))
        except (EvaluationError, TypeError, ValueError):
            continue
        parts.append(ProbabilityPlot(kit, WIDTH, HEIGHT, plot, item.unit))
        told.append(f"{group}, {fit.failures} failed, {fit.censored} stopped")
    if not parts:
        return " ".join(life_words(item))
    caption = (
        f"Weibull paper: {'; then '.join(told)}. Rings: failures at their median ranks. Arrows at the foot: stopped without "
        f"failure. Grey: bounds of the life, each at {100 * given['confidence']:.3g} % (likelihood profile)."
    )
    return Figure(parts, caption)
