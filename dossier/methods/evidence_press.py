"""Press-in and push-out of variant and reference part from their measured curves."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from pydantic import Field

from dossier.methods.base import Basis
from dossier.methods.evidence_base import (
    Evaluated,
    EvidenceMethod,
    GroupsInput,
    RawFiles,
    SampleIn,
    compared_groups,
    group_values,
    ratio_values,
    specimen_values,
)
from dossier.methods.evidence_files import curve_of, of_specimen
from dossier.methods.evidence_working import groups_working
from dossier.methods.working import Working
from dossier.records.base import q
from dossier.records.calculation import ResultValue
from dossier.records.reading_settings import PressWindow

if TYPE_CHECKING:
    from dossier.evidence.press import PressEvaluation
    from dossier.evidence.reading import Curve

FORCE = "N"
DECIDES = {"press_in": "highest force up to the seat", "push_out": "break-loose peak"}
END = {"press_in": "force at the seat", "push_out": "sliding force"}


class PressInput(GroupsInput):
    """Operation, reading scheme, and what the scheme says of press curves."""

    operation: Literal["press_in", "push_out"]
    reading: dict[str, Any]
    press_length: float | None = q("mm", "travel from first contact at which the joint is seated", None, above=0)
    windows: list[PressWindow] = Field(default_factory=list)


class PressCurves(EvidenceMethod):
    """Highest force up to the seat (press-in) or break-loose peak (push-out); beside it end force, work, scoring, windows."""

    id = "evidence.press"
    version = 1
    title = "Press-in and push-out from measured curves"
    input_model = PressInput
    basis = Basis(
        "library",
        "own evaluation of the way forward: seat where the lines before and in the steep wall meet, scoring from three sudden "
        "drops of the force; checked on curves with known truth; mean with expanded uncertainty following JCGM 100, from "
        "memory; ratio by two one-sided tests on the log scale",
        left_out=("speed and temperature of the press", "bending of the press"),
    )

    def run(self, given: PressInput, files: RawFiles) -> Evaluated:
        values: list[ResultValue] = []
        warnings: list[str] = []
        means: dict[str, list[float]] = {}
        for name in ("variant", "reference"):
            samples: list[SampleIn] = getattr(given, name)
            if not samples:
                continue
            found = [evaluated_press(given, sample, files)[1] for sample in samples]
            means[name] = [one.peak_force for one in found]
            values += group_values(name, means[name], FORCE, given.budget) + specimen_values(samples, means[name], FORCE)
            values += _beside(given, name, samples, found)
            for sample, one in zip(samples, found, strict=True):
                warnings += [f"{sample.specimen}: {note}" for note in (*one.notes, *_faults(given, one))]
        if not means:
            raise ValueError("no specimen has a measured file; import the files of this item")
        compared, notes = compared_groups(given, means)
        values += ratio_values(given, compared)
        return Evaluated(values, notes + warnings, detail={"means": means, "compared": compared})

    def working(self, given: PressInput, found: Evaluated) -> Working:
        working = Working()
        working.fact("evaluated", DECIDES[given.operation])
        if given.press_length:
            working.fact("seated", f"{given.press_length:g} mm from first contact")
        for number, window in enumerate(given.windows, 1):
            working.fact(f"window {number}", window.words)
        for name in means_of(found):
            told = [found.value(f"{what}_{name}") for what in ("scored", "outside_windows", "seated")]
            words = ("scored", "outside a window", "seated")
            shown = [f"{value.value:g} {word}" for value, word in zip(told, words, strict=True) if value is not None]
            working.fact(f"curves of the {name}", ", ".join(shown))
        groups_working(working, given, FORCE, found)
        return working


def means_of(found: Evaluated) -> list[str]:
    """Groups that were measured."""
    return list(found.detail["means"])


def evaluated_press(given: PressInput, sample: SampleIn, files: RawFiles) -> tuple[Curve, PressEvaluation]:
    """The curve of a part and what was found of it. Raises as the evaluation of the item does."""
    from dossier.evidence.press import Gate, evaluate_press

    curve = curve_of(given.reading, sample, files)
    gates = [Gate(w.travel_low, w.travel_high, w.force_low, w.force_high) for w in given.windows]
    return curve, of_specimen(sample, lambda: evaluate_press(
        curve.channel("displacement"), curve.channel("force"), operation=given.operation, press_length=given.press_length,
        gates=gates,
    ))  # fmt: skip


def _beside(given: PressInput, name: str, samples: list[SampleIn], found: list[PressEvaluation]) -> list[ResultValue]:
    """End force, work, largest force, and how many curves are scored, left a window, or reached the seat."""
    values = []
    ends = [one.end_force for one in found]
    if all(end is not None for end in ends):
        values += group_values(f"end_{name}", [end for end in ends if end is not None], FORCE, given.budget)
    values += group_values(f"work_{name}", [one.work for one in found], "N·mm", given.budget)
    values.append(ResultValue(name=f"largest_force_{name}", value=max(one.peak_force for one in found), unit=FORCE))
    counts = [("scored", sum(one.scored for one in found))]
    if given.windows:
        counts.append(("outside_windows", sum(bool(one.crossings) for one in found)))
    if given.operation == "press_in":
        counts.append(("seated", sum(bool(one.seat_reached) for one in found)))
    values += [ResultValue(name=f"{what}_{name}", value=float(count), unit="1") for what, count in counts]
    return values + specimen_values(samples, [float(one.drops) for one in found], "1", "drops")


def _faults(given: PressInput, one: PressEvaluation) -> list[str]:
    told = []
    if one.scored:
        told.append(
            f"{one.drops} sudden drops of the force, the largest {100 * one.largest_drop:.2g} % of the peak, from row "
            f"{one.drop_rows[0]}: scored, or stick and slip; inspect both faces"
        )
    for crossing in one.crossings:
        window = given.windows[crossing.gate]
        told.append(
            f"leaves window {crossing.gate + 1} ({window.travel_low:g} .. {window.travel_high:g} mm) at {crossing.travel:.4g} mm "
            f"with {crossing.load:.4g} N, limit {crossing.limit:.4g} N"
        )
    return told
