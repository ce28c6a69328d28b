"""What a planned test can show with the parts planned for it, told before anything is tested."""

from __future__ import annotations

from dossier import units
from dossier.checks.told_power import power_of
from dossier.records.evidence import EvidenceItem, Statistics

USUAL_RELIABILITY = 0.90


def planned_words(item: EvidenceItem) -> list[str]:
    """Sentences on the planned number of parts of an item that is not finished; none where nothing can be said."""
    if item.state not in ("planned", "running"):
        return []
    if item.quantity in _TOLD:
        return _TOLD[item.quantity](item) if item.planned_variant else []
    power = power_of(item)
    return [_short_of(item, power.words)] if power else []


def _short_of(item: EvidenceItem, words: str) -> str:
    """The power, and how many parts of each would give 0.80 at a true ratio of 0.95 where it is less."""
    from dossier.evidence.errors import EvaluationError
    from dossier.evidence.power import specimens_needed

    power = power_of(item)
    if power is None or item.margin is None or power.values[-1] >= 0.80:
        return words
    high = float("inf") if item.margin.high is None else item.margin.high
    try:
        needed = specimens_needed(0.95, power.scatter, 0.80, item.margin.low, high)
    except EvaluationError as error:
        return f"{words}; for 0.80 at 0.95: {error}"
    return f"{words}; 0.80 at 0.95 needs {needed} of each"


def _of_lives(item: EvidenceItem) -> list[str]:
    from dossier.evidence.success_run import length_needed, reliability_shown, specimens_needed

    settings, count = item.statistics or Statistics(), item.planned_variant
    wanted = 1 - settings.share if settings.share else USUAL_RELIABILITY
    confidence, percent = settings.confidence, f"{100 * settings.confidence:.3g} %"
    shown = reliability_shown(count, 0, confidence).value
    told = [
        f"{count} parts without failure show R = {100 * shown:.0f} % at {percent} confidence; "
        f"{100 * wanted:.3g} % needs {specimens_needed(wanted, confidence)} parts without failure, "
        f"{specimens_needed(wanted, confidence, 1)} with one failure"
    ]
    if settings.slope_low and shown < wanted:
        length = length_needed(wanted, confidence, count, settings.slope_low)
        told.append(f"or each of the {count} to {length:.2f} times the life, by the shape's low bound {settings.slope_low:g}")
    return told


def _of_series(item: EvidenceItem) -> list[str]:
    from dossier.evidence.capability import index_needed
    from dossier.evidence.tolerance import two_sided_factor

    settings, count = item.statistics or Statistics(), item.planned_variant
    if count < 2:
        return ["1 value shows no capability; plan 2 or more"]
    held = 1 - (settings.share or 0.05)
    percent, index = f"{100 * settings.confidence:.3g} %", index_needed(1.33, count, settings.confidence)
    return [
        f"{count} values show Cpk ≥ 1.33 at {percent} from a found Cpk of {index:.2f} on",
        f"tolerance interval for {100 * held:.3g} % of the parts: mean ± "
        f"{two_sided_factor(count, held, settings.confidence):.2f} standard deviations",
    ]


def _of_staircase(item: EvidenceItem) -> list[str]:
    from dossier.evidence.staircase import LEAST_SPECIMENS

    count = item.planned_variant
    if count >= LEAST_SPECIMENS:
        return [f"{count} parts: the mean is found, the scatter roughly"]
    least = units.amount(LEAST_SPECIMENS, "part")
    return [f"{count} parts give a mean; the scatter needs {least} and more (common practice, no source)"]


_TOLD = {"life": _of_lives, "capability": _of_series, "staircase": _of_staircase}
