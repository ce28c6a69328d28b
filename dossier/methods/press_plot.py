"""The drawn curve of a press-in or push-out: force over travel with its peak, seat or sliding force, and windows."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from dossier.evidence.press import forward_way
from dossier.methods.evidence_base import RawFiles, SampleIn
from dossier.methods.evidence_plots import Plot, PlotLine, PlotMark
from dossier.methods.evidence_press import DECIDES, PressInput, evaluated_press
from dossier.records.calculation import Result

if TYPE_CHECKING:
    from dossier.evidence.press import PressEvaluation

KN = 1e-3


def press_plot(result: Result, files: RawFiles, part: int | None) -> Plot:
    """One variant's and one reference part's way forward in kN over mm: `part` counts through both groups; without a
    number a scored part or one that left a window first, else the one nearest to its group's mean."""
    given = PressInput.model_validate(result.inputs)
    lines: list[PlotLine] = []
    marks: list[PlotMark] = []
    told = []
    for name, samples in (("variant", given.variant), ("reference", given.reference)):
        if not samples:
            continue
        sample = _faulty_or_middle(result, name, samples) if part is None else samples[part % len(samples)]
        curve, found = evaluated_press(given, sample, files)
        rows, travel, force = forward_way(curve.channel("displacement"), curve.channel("force"))
        lines.append(PlotLine(f"{name} {sample.specimen}", travel, force * KN, name))
        if name == "variant" or not given.variant:
            marks, words = _marks(given, found, rows, travel, force)
            lines += _sliding(given, found, travel)
            told += [f"Letters on {sample.specimen}: {words}."]
    return Plot("travel", "mm", "force", "kN", (*lines, *_windows(given)), " ".join([*told, *_windows_told(given)]), tuple(marks))


def _faulty_or_middle(result: Result, group: str, samples: list[SampleIn]) -> SampleIn:
    """The first part that an evaluation warned of as scored or out of a window, else the one nearest to the mean."""
    for sample in samples:
        notes = [note for note in result.warnings if note.startswith(f"{sample.specimen}: ")]
        if any("scored" in note or "leaves window" in note for note in notes):
            return sample
    mean = result.value(group)

    def distance(sample: SampleIn) -> float:
        value = result.value(f"specimen:{sample.specimen}")
        return abs((value.value or 0.0) - (mean.value or 0.0)) if value and mean else 0.0

    return min(samples, key=distance)


def _marks(
    given: PressInput, found: PressEvaluation, rows: np.ndarray, travel: np.ndarray, force: np.ndarray
) -> tuple[list[PlotMark], str]:
    """Peak, seat, first sudden drop and where a window is left, and the words for them."""
    marks = [PlotMark("P", found.travel_of_peak, found.peak_force * KN)]
    told = [f"P {DECIDES[given.operation]}, {found.peak_force * KN:.4g} kN at {found.travel_of_peak:.4g} mm"]
    if found.seat_travel is not None and found.end_force is not None:
        marks.append(PlotMark("S", found.seat_travel, found.end_force * KN))
        told.append(f"S seat, where the steep wall begins, {found.end_force * KN:.4g} kN at {found.seat_travel:.4g} mm")
    if found.scored:
        place = min(int(np.searchsorted(rows, found.drop_rows[0])), len(rows) - 1)
        marks.append(PlotMark("D", float(travel[place]), float(force[place]) * KN))
        told.append(f"D first of {found.drops} sudden drops: scored, or stick and slip")
    for crossing in found.crossings:
        marks.append(PlotMark("W", crossing.travel, crossing.load * KN))
        told.append(f"W leaves window {crossing.gate + 1} at {crossing.travel:.4g} mm with {crossing.load * KN:.4g} kN")
    return marks, "; ".join(told)


def _sliding(given: PressInput, found: PressEvaluation, travel: np.ndarray) -> list[PlotLine]:
    """The force at which a part slides once it broke loose, from its peak to the end of the way."""
    if given.operation != "push_out" or found.end_force is None:
        return []
    ends = np.array([found.travel_of_peak, float(travel[np.abs(travel - found.travel_of_peak).argmax()])])
    return [PlotLine("sliding force", ends, np.full(2, found.end_force * KN), "limit")]


def _windows(given: PressInput) -> list[PlotLine]:
    """The limits of each window over its travel."""
    lines = []
    for number, window in enumerate(given.windows, 1):
        ends = np.array([window.travel_low, window.travel_high])
        for word, limit in (("least", window.force_low), ("most", window.force_high)):
            if limit is not None:
                lines.append(PlotLine(f"{word}, window {number}", ends, np.full(2, limit * KN), "limit"))
    return lines


def _windows_told(given: PressInput) -> list[str]:
    return [f"Window {number}: {window.words}." for number, window in enumerate(given.windows, 1)]
