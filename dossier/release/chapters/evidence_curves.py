"""Measured curves of an evidence item: the evaluated cycle of one part of each group in the requirement's band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from reportlab.platypus import Flowable

from dossier import units
from dossier.checks.told_evidence import decisions
from dossier.checks.told_prediction import prediction_of
from dossier.methods.evidence_links import CURVES
from dossier.methods.evidence_plots import PLOTTED
from dossier.methods.evidence_signs import kept_signs, limits_in_short
from dossier.methods.evidence_static_way import settings_of_cycle
from dossier.records.evidence import EvidenceItem, SchemeRecord
from dossier.release.axes import Scale
from dossier.release.chapters.evidence_recorded import recorded_figure
from dossier.release.curves import Band, Curve, Gap, Mark, Series, stiffness_band
from dossier.release.facts import Facts
from dossier.release.kit import Kit

WIDTH, HEIGHT, GAP_HEIGHT = 262, 168, 70
MOST_POINTS = 420
_ZERO_ROWS = 5
ROTATIONAL = ("torsional", "conical")


@dataclass(frozen=True)
class Measured:
    """The evaluated cycle of one part: whole loop, loading branch and the (travel, load) of both ends of the evaluated
    range on it, and its signs of trouble where they begin; loads in kN or N·m, travels in mm or °."""

    specimen: str
    loop: tuple[np.ndarray, np.ndarray]
    loading: tuple[np.ndarray, np.ndarray]
    ends: tuple[tuple[float, float], ...] = ()
    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True)
class Figure:
    """The flowables of an item's figure, what its caption must say, and a sentence for each sign that is marked."""

    parts: list[Flowable]
    caption: str
    signs: tuple[str, ...] = ()


def figure(kit: Kit, facts: Facts, item: EvidenceItem) -> Figure | str:
    """Curve and difference, or in words why there is none."""
    if item.quantity in PLOTTED:
        drawn = recorded_figure(kit, facts, item, WIDTH)
        return drawn if isinstance(drawn, str) else Figure(*drawn)
    if item.quantity not in CURVES or item.result is None:
        return ""
    found = measured_parts(facts, item)
    if isinstance(found, str):
        return found
    load, travel = ("torque, N·m", "angle, °") if item.quantity in ROTATIONAL else ("force, kN", "displacement, mm")
    shown = [found[group] for group in ("reference", "variant") if group in found]
    peak = max(float(np.abs(part.loop[1]).max()) for part in shown)
    bands, reach = _bands(facts, item, peak)
    predicted, said = _predicted(facts, item)
    marks = [mark for part in found.values() for mark in part.marks]
    x = Scale.around(np.concatenate([*(part.loop[0] for part in shown), [m.x for m in marks], reach,
                                     *(line.x for line in predicted)]),
                     f"{travel}, pin to eye")  # fmt: skip
    y = Scale.around(np.concatenate([*(part.loop[1] for part in shown), [m.y for m in marks], *(line.y for line in predicted)]),
                     load)  # fmt: skip
    series = [Series(group, *_thinned(part.loop), reference=group == "reference") for group, part in found.items()]
    series += predicted
    curve = Curve(kit, WIDTH, HEIGHT, x, y, series, bands, _ends(found), marks)
    parts: list[Flowable] = [curve]
    told = ", ".join(f"{group} {part.specimen}" for group, part in found.items())
    caption = f"Evaluated cycle of the part nearest to its group's mean{', one with a sign first' if marks else ''}: {told}. "
    if len(found) == 2:
        caption += "Dotted: reference. "
        difference = _difference(found["variant"], found["reference"])
        if difference is not None:
            gap = _beside_zero(difference[1], f"variant less reference, {load.partition(', ')[2]}")
            parts.append(Gap(kit, WIDTH, GAP_HEIGHT, x, gap, Series("", *difference)))
            caption += "Below: difference of the loading branches at the same travel. "
    caption += "Line with rings: variant. Thick ticks: ends of the evaluated range. Grey: what the requirement allows."
    if said:
        caption += f" {said}"
    if marks:
        caption += " Letters: where a sign begins, in the cycle that is told, which need not be the one drawn."
    caption += f" {_looked_for(facts, item)}"
    return Figure(parts, caption, _signs(item))


def _signs(item: EvidenceItem) -> tuple[str, ...]:
    """Each sign with its letter, place, meaning, what confirms it, its confidence, and its answer."""
    return tuple(
        f"Sign {sign.letter} in {sign.specimen}: {sign.words}. Confidence {sign.confidence:.2f} of 1; {sign.standing}."
        for sign in kept_signs(item)
    )


def _looked_for(facts: Facts, item: EvidenceItem) -> str:
    """What signs were looked for, with the limits of the search, and how many were found."""
    if item.result is None or item.result.value("signs_variant") is None:
        return "Signs of trouble were not looked for."
    scheme = facts.project.find(item.scheme)
    limits = scheme.signs if isinstance(scheme, SchemeRecord) else None
    count = len(kept_signs(item))
    return f"Signs looked for ({limits_in_short(limits)}): {f'{count} found' if count else 'none found'}."


def _predicted(facts: Facts, item: EvidenceItem) -> tuple[list[Series], str]:
    """The predicted curve, of a calculation that serves the same requirement, and what the caption says of it."""
    found = prediction_of(facts.project, item)
    if found is None:
        return [], ""
    try:
        travels, loads = facts.once(("predicted", item.id, found.calculation.id), found.points)
    except (ValueError, ArithmeticError) as error:
        return [], f"No predicted curve: {error}."
    line = Series(found.label, np.array(travels), np.array(loads) / 1000, predicted=True)
    return [line], f"Long dashes: {found.label}. {found.in_words()}"


def measured_parts(facts: Facts, item: EvidenceItem) -> dict[str, Measured] | str:
    """The drawn part of each group, read once an issue, or in words why there is none."""
    return facts.once(("curves", item.id), lambda: _measured(facts, item))


def _beside_zero(values: np.ndarray, name: str) -> Scale:
    """A scale with two ticks at least beside zero."""
    scales = (Scale.around(values, name, count) for count in range(3, 9))
    return next((scale for scale in scales if sum(tick != 0 for tick in scale.ticks) >= 2), Scale.around(values, name, 9))


def _measured(facts: Facts, item: EvidenceItem) -> dict[str, Measured] | str:
    from dossier.evidence.errors import UnreadableFile

    scheme = facts.project.find(item.scheme)
    if not isinstance(scheme, SchemeRecord) or item.result is None:
        return "No curve: the item names no reading scheme."
    found: dict[str, Measured] = {}
    for group in ("reference", "variant"):
        samples = [s for s in item.result.inputs.get(group, []) if s.get("file")]
        chosen = _nearest(item, group, samples)
        if chosen is None:
            continue
        try:
            found[group] = _cycle(facts, item, scheme, chosen)
        except (UnreadableFile, ValueError, KeyError, TypeError, OSError) as error:
            return f"No curve: {error}"
    return found or "No curve: no file is imported."


def _nearest(item: EvidenceItem, group: str, samples: Sequence[dict]) -> dict | None:
    signed = {sign.specimen for sign in kept_signs(item)}
    samples = [sample for sample in samples if sample["specimen"] in signed] or list(samples)
    mean = item.result.value(group) if item.result else None
    if not samples or mean is None or mean.value is None:
        return samples[0] if samples else None

    def distance(sample: dict) -> float:
        value = item.result.value(f"specimen:{sample['specimen']}") if item.result else None
        return float("inf") if value is None or value.value is None else abs(value.value - mean.value)

    return min(samples, key=distance)


def _cycle(facts: Facts, item: EvidenceItem, scheme: SchemeRecord, sample: dict) -> Measured:
    from dossier.evidence.cycles import choose, split_cycles
    from dossier.evidence.form import ReadingScheme
    from dossier.evidence.reading import read_curve
    from dossier.evidence.static import evaluate_static
    from dossier.store.rawfiles import find_raw

    path = find_raw(facts.project.folder, sample["file"])
    if path is None:
        raise ValueError(f"{sample.get('file_name') or sample['file'][:16]} is not in the project's folder; import it")
    name = sample.get("file_name") or path.name
    curve = read_curve(path, ReadingScheme.from_dict(scheme.reading), name=name)
    rotational = item.quantity in ROTATIONAL
    load = np.asarray(curve.channel("torque" if rotational else "force"), float)
    travel = np.asarray(curve.channel("angle" if rotational else "displacement"), float)
    evaluated = evaluate_static(travel, load, settings_of_cycle(scheme, scheme.cycle, rotational))
    cycle = choose(split_cycles(load), scheme.cycle)
    if scheme.zero == "start":
        load, travel = load - np.median(load[:_ZERO_ROWS]), travel - np.median(travel[:_ZERO_ROWS])
    travel = travel - scheme.fixture_compliance * load
    if scheme.zero == "loop":
        travel = travel + (evaluated.branch[0][0] - travel[cycle.loading][0])
    return Measured(
        sample["specimen"],
        (travel[cycle.loop], load[cycle.loop] / 1000),
        (travel[cycle.loading], load[cycle.loading] / 1000),
        tuple((point.travel, point.load / 1000) for point in (evaluated.low_point, evaluated.high_point)),
        tuple(
            Mark(sign.letter, float(travel[sign.row]), float(load[sign.row]) / 1000)
            for sign in kept_signs(item) if sign.specimen == sample["specimen"] and sign.row < len(travel)
        ),
    )


def _thinned(line: tuple[np.ndarray, np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    """Every k-th point, first, last and the extremes kept in their order."""
    x, y = line
    every = max(1, len(x) // MOST_POINTS)
    kept = np.union1d(np.arange(0, len(x), every), [x.argmin(), x.argmax(), y.argmin(), y.argmax(), len(x) - 1])
    return x[kept], y[kept]


def _bands(facts: Facts, item: EvidenceItem, peak: float) -> tuple[list[Band], np.ndarray]:
    """The requirement's band up to the load `peak` in kN or N·m, and the travels it reaches."""
    unit = "N·m/°" if item.quantity in ROTATIONAL else "kN/mm"
    for decided in decisions(facts.view, item):
        limit, given = decided.requirement.limit, decided.requirement.unit
        if decided.value != "variant" or limit.min is None or limit.max is None or limit.min <= 0:
            continue
        low, high = (units.convert(end, given, unit) for end in (limit.min, limit.max))
        label = f"{decided.requirement.id}: {limit.min:g} .. {limit.max:g} {given}"
        return [stiffness_band(label, low, high, peak)], np.array([-peak / low, peak / low])
    return [], np.array([])


def _ends(found: dict[str, Measured]) -> list[float]:
    """Travels at the ends of the evaluated range of the variant."""
    return [at for at, _ in found["variant"].ends] if "variant" in found else []


def _difference(variant: Measured, reference: Measured) -> tuple[np.ndarray, np.ndarray] | None:
    low = max(variant.loading[0].min(), reference.loading[0].min())
    high = min(variant.loading[0].max(), reference.loading[0].max())
    if not low < high:
        return None
    at = np.linspace(low, high, 121)
    return at, _at(variant, at) - _at(reference, at)


def _at(part: Measured, travel: np.ndarray) -> np.ndarray:
    """Load of the loading branch at travels; the branch is sorted, since noise lets it step back."""
    order = np.argsort(part.loading[0], kind="stable")
    return np.interp(travel, part.loading[0][order], part.loading[1][order])
