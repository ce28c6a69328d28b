"""Dynamic stiffness and loss angle of reference part and variant from harmonic records, per frequency and amplitude."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pydantic import Field

from dossier import units
from dossier.methods.base import Basis
from dossier.methods.evidence_base import (
    BudgetIn,
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
from dossier.methods.evidence_working import SHOWN, groups_working
from dossier.methods.working import Working
from dossier.records.base import q
from dossier.records.calculation import ResultValue

if TYPE_CHECKING:
    from dossier.evidence.dynamic import DynamicStep

ANGLE = "°"
NEAR_FREQUENCY, NEAR_AMPLITUDE = 0.05, 0.10
DISTORTED = 0.05


class DynamicInput(GroupsInput):
    """Reading scheme, inertia and delay, the step that decides, static stiffness by specimen where it is related to one."""

    reading: dict[str, Any]
    frequency: float = q("Hz", "frequency of the step that decides", above=0)
    amplitude: float | None = q("mm", "travel amplitude of the step that decides", None, above=0)
    angle_amplitude: float | None = q("°", "of torque over angle: angle amplitude of that step", None, above=0)
    moving_mass: float = q("kg", "between specimen and load cell, moves with the travel", 0.0, at_least=0)
    moving_inertia: float | None = q("kg·mm²", "of torque over angle: turns along", None, at_least=0)
    channel_delay: float = q("s", "the load is recorded later than the travel by this", 0.0)
    settling: float = q("cycles", "left out at the start of a step", 1.0, at_least=0)
    static: dict[str, float] = Field(default_factory=dict, description="specimen → static stiffness, N/mm or N·mm/rad")

    @property
    def rotational(self) -> bool:
        """Whether torque over angle is evaluated."""
        return self.angle_amplitude is not None

    @property
    def unit(self) -> str:
        """Unit of the stiffness."""
        return "N·mm/rad" if self.rotational else "N/mm"

    @property
    def half_range(self) -> float:
        """Amplitude of the step that decides, mm or °."""
        return self.angle_amplitude or self.amplitude or 0.0

    @property
    def channels(self) -> tuple[str, str]:
        """Travel and load."""
        return ("angle", "torque") if self.rotational else ("displacement", "force")


class DynamicStiffness(EvidenceMethod):
    """|K*| and loss angle at every common step of frequency and amplitude; one step decides."""

    id = "evidence.dynamic"
    version = 1
    title = "Dynamic stiffness and loss angle from harmonic records"
    input_model = DynamicInput
    basis = Basis(
        "library",
        "first harmonic of load over travel by least squares, definitions of ISO 4664-1 from memory; checked on parts of "
        "other laws; mean with expanded uncertainty following JCGM 100, from memory; ratio by two one-sided tests on the log "
        "scale",
        left_out=("a fixture that gives way", "temperature rise of the part", "uncertainty of the channel delay"),
        valid_for=("steps of constant frequency and amplitude, four rows or more per cycle",),
    )

    def run(self, given: DynamicInput, files: RawFiles) -> Evaluated:
        found = {
            name: [self._steps(given, sample, files) for sample in getattr(given, name)]
            for name in ("variant", "reference")
            if getattr(given, name)
        }
        if not found:
            raise ValueError("no specimen has a measured file; import the files of this item")
        warnings = [note for group in found.values() for _, notes in group for note in notes]
        steps = {name: [each for each, _ in group] for name, group in found.items()}
        values, means = self._deciding(given, steps, warnings)
        compared, notes = compared_groups(given, means)
        values += ratio_values(given, compared)
        values += self._every_step(given, steps)
        return Evaluated(values, notes + warnings, detail={"means": means, "unit": given.unit, "compared": compared})

    def _steps(self, given: DynamicInput, sample: SampleIn, files: RawFiles) -> tuple[list[DynamicStep], list[str]]:
        from dossier.evidence.dynamic import evaluate_dynamic

        curve = curve_of(given.reading, sample, files)
        found = of_specimen(
            sample,
            lambda: evaluate_dynamic(
                curve.channel("time"), *(curve.channel(name) for name in given.channels), moving_mass=given.moving_mass,
                channel_delay=given.channel_delay, settling=given.settling, rotational=given.rotational,
                moving_inertia=given.moving_inertia or 0.0,
            ),
        )  # fmt: skip
        return list(found.steps), [f"{sample.specimen}: {note}" for note in found.notes if "taken out" not in note][:3]

    def _deciding(
        self, given: DynamicInput, steps: dict[str, list[list[DynamicStep]]], warnings: list[str]
    ) -> tuple[list[ResultValue], dict[str, list[float]]]:
        values: list[ResultValue] = []
        means: dict[str, list[float]] = {}
        for name, of_group in steps.items():
            samples: list[SampleIn] = getattr(given, name)
            chosen = [_at(given, each, s.specimen) for s, each in zip(samples, of_group, strict=True)]
            means[name] = [step.dynamic_stiffness for step in chosen]
            values += group_values(name, means[name], given.unit, [*given.budget, *_of_fit(chosen, "dynamic_stiffness")])
            angles = [step.loss_angle_degrees for step in chosen]
            values += group_values(f"loss_angle_{name}", angles, ANGLE, _of_fit(chosen, "loss_angle"))
            values += specimen_values(samples, means[name], given.unit)
            values += specimen_values(samples, angles, ANGLE, "loss_angle")
            values += specimen_values(samples, [step.distortion for step in chosen], "-", "distortion")
            values += self._to_static(given, name, samples, means[name], warnings)
        return values, means

    def _to_static(
        self, given: DynamicInput, name: str, samples: list[SampleIn], stiffness: list[float], warnings: list[str]
    ) -> list[ResultValue]:
        """Dynamic over static stiffness of the same parts; on one rig the systematic lines of the budget cancel."""
        if not given.static:
            return []
        missing = [sample.specimen for sample in samples if sample.specimen not in given.static]
        if missing:
            warnings.append(f"{', '.join(missing)}: no static stiffness, so no ratio of dynamic to static for the {name}")
            return []
        ratios = [value / given.static[sample.specimen] for value, sample in zip(stiffness, samples, strict=True)]
        lines = [line for line in given.budget if not line.systematic]
        return [*group_values(f"to_static_{name}", ratios, "-", lines), *specimen_values(samples, ratios, "-", "to_static")]

    def _every_step(self, given: DynamicInput, steps: dict[str, list[list[DynamicStep]]]) -> list[ResultValue]:
        """Means of the groups and their ratio at each step that all parts have, named by frequency and amplitude."""
        every = [step for group in steps.values() for part in group for step in part]
        values: list[ResultValue] = []
        for frequency, amplitude in _conditions(every):
            label = step_words(frequency, amplitude, rotational=given.rotational)
            means: dict[str, list[float]] = {}
            for name, group in steps.items():
                chosen = [_near(frequency, amplitude, part) for part in group]
                if any(step is None for step in chosen):
                    continue
                means[name] = [step.dynamic_stiffness for step in chosen if step]
                angles = [step.loss_angle_degrees for step in chosen if step]
                values.append(_renamed(group_values(name, means[name], given.unit, given.budget)[0], f"{name} at {label}"))
                values.append(_renamed(group_values(name, angles, ANGLE, [])[0], f"loss angle of {name} at {label}"))
            compared, _ = compared_groups(given, means)
            if compared is not None:
                values.append(
                    ResultValue(name=f"ratio at {label}", value=compared.ratio, unit="-", low=compared.low, high=compared.high)
                )
        return values

    def working(self, given: DynamicInput, found: Evaluated) -> Working:
        working = Working()
        working.fact("step that decides", step_words(given.frequency, given.half_range, rotational=given.rotational))
        if given.moving_inertia:
            told = f"{given.moving_inertia:g} kg·mm² beside the part, J·ω² added to the measured stiffness"
            working.fact("inertia", told)
        if given.moving_mass:
            working.fact("inertia", f"{given.moving_mass:g} kg beside the part, m·ω² added to the measured stiffness")
        if given.channel_delay:
            working.fact("delay", f"load recorded {1000 * given.channel_delay:g} ms late, ω times that added to the loss angle")
        groups_working(working, given, given.unit, found)
        for name, mark in (("variant", "v"), ("reference", "r")):
            if found.value(f"to_static_{name}") is not None:
                _static_working(working, given, name, mark, found)
        return working


def _static_working(working: Working, given: DynamicInput, name: str, mark: str, found: Evaluated) -> None:
    """Dynamic over static stiffness of each part of a group, behind `groups_working`, and their mean with its uncertainty."""
    shown, places = SHOWN[given.unit], range(1, len(getattr(given, name)) + 1)
    for place, sample in zip(places, getattr(given, name), strict=True):
        static = units.convert(given.static[sample.specimen], given.unit, shown)
        source = "the static item it is related to"
        working.given(f"c_{mark}{place}", f"static stiffness of {sample.specimen}", static, shown, source)
        working.line(f"y_{mark}{place}", f"dynamic over static, {sample.specimen}", f"{mark}_{place}/c_{mark}{place}", "-")
    value, mean = found.value(f"to_static_{name}"), f"({' + '.join(f'y_{mark}{place}' for place in places)})/{len(places)}"
    working.line(f"y_{mark}", f"dynamic over static, mean of the {name}", mean, "-", result=True)
    if value is None or not value.lines:
        return
    for place, line in enumerate(value.lines, 1):
        working.given(f"w_{mark}{place}", f"{line.cause} of dynamic over static, expanded", line.plus, "-")
    squares = " + ".join(f"w_{mark}{place}²" for place in range(1, len(value.lines) + 1))
    working.line(f"Y_{mark}", f"expanded uncertainty of dynamic over static, {name}, 95 %", f"√({squares})", "-")


def step_words(frequency: float, amplitude: float, *, rotational: bool = False) -> str:
    """ "10 Hz ±0.2 mm", "10 Hz ±2 °"."""
    return f"{frequency:.3g} Hz ±{amplitude:.3g} {'°' if rotational else 'mm'}"


def _near(frequency: float, amplitude: float, steps: list[DynamicStep]) -> DynamicStep | None:
    near = [
        step
        for step in steps
        if abs(step.frequency / frequency - 1) <= NEAR_FREQUENCY and abs(step.amplitude / amplitude - 1) <= NEAR_AMPLITUDE
    ]
    return max(near, key=lambda step: step.cycles) if near else None


def _at(given: DynamicInput, steps: list[DynamicStep], specimen: str) -> DynamicStep:
    found = _near(given.frequency, given.half_range, steps)
    if found is None:
        shown = ", ".join(step_words(step.frequency, step.amplitude, rotational=step.rotational) for step in steps)
        wanted = step_words(given.frequency, given.half_range, rotational=given.rotational)
        raise ValueError(f"{specimen} has no step at {wanted}; found are {shown}: correct the scheme's dynamic part")
    return found


def _conditions(steps: list[DynamicStep]) -> list[tuple[float, float]]:
    """Frequencies and amplitudes that are told apart, rising; each the first one found of those near to it."""
    kept: list[DynamicStep] = []
    for step in steps:
        if _near(step.frequency, step.amplitude, kept) is None:
            kept.append(step)
    return sorted((step.frequency, step.amplitude) for step in kept)


def _of_fit(steps: list[DynamicStep], name: str) -> list[BudgetIn]:
    """The standard error of the fits as a line of the budget, the largest of the parts; it does not cancel in a ratio."""
    relative = max(getattr(step, f"{name}_error") / abs(getattr(step, name)) for step in steps)
    return [BudgetIn(cause="fit of the harmonic", relative=relative, systematic=False)] if relative > 1e-6 else []


def _renamed(value: ResultValue, name: str) -> ResultValue:
    return value.model_copy(update={"name": name, "lines": []})
