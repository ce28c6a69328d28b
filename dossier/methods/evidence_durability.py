"""Durability of reference part and variant: life to a stiffness criterion, or where each part was stopped."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

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
    survived_values,
)
from dossier.methods.evidence_files import curve_of, of_specimen
from dossier.methods.evidence_working import groups_working
from dossier.methods.working import Working
from dossier.records.base import q
from dossier.records.calculation import ResultValue

if TYPE_CHECKING:
    from dossier.evidence.durability import Durability
    from dossier.evidence.reading import Curve

CYCLES = "cycles"


class DurabilityInput(GroupsInput):
    """Reading scheme, end criterion, planned cycles, correction for temperature."""

    reading: dict[str, Any]
    loss: float = q("-", "lost share of the stiffness that ends the life", above=0)
    reference_cycles: float | None = q("cycles", "cycles of the reference stiffness", None, at_least=0)
    planned_cycles: float | None = q("cycles", "cycles the test is planned for", None, above=0)
    temperature_factor: float | None = q("1/K", "relative change of stiffness per K", None)
    reference_temperature: float = q("°C", "temperature the stiffness is brought to", 23.0)


class DurabilityLife(EvidenceMethod):
    """Life of each part, the least cycles where a part was stopped before its end; stiffness lost, temperature."""

    id = "evidence.durability"
    version = 1
    title = "Durability from stiffness over cycles"
    input_model = DurabilityInput
    basis = Basis(
        "library",
        "first sustained crossing of the criterion by the smoothed stiffness, own evaluation, checked on parts of other laws; "
        "mean with expanded uncertainty following JCGM 100, from memory",
        left_out=("statistics of the lives: see the life evaluation", "recovery of the rubber in rests"),
        valid_for=("stiffness that falls by damage; a rise behind the criterion is told, not taken for recovery",),
    )

    def run(self, given: DurabilityInput, files: RawFiles) -> Evaluated:
        values: list[ResultValue] = []
        warnings: list[str] = []
        means: dict[str, list[float]] = {}
        for name in ("variant", "reference"):
            samples: list[SampleIn] = getattr(given, name)
            if not samples:
                continue
            found = [durability_of(given, sample, files) for sample in samples]
            warnings += [f"{s.specimen}: {note}" for s, f in zip(samples, found, strict=True) for note in f.notes]
            values += self._group(given, name, samples, found, means)
        if not values:
            raise ValueError("no specimen has a measured file; import the files of this item")
        compared, notes = compared_groups(given, means)
        values += ratio_values(given, compared)
        return Evaluated(values, notes + warnings, detail={"means": means, "unit": CYCLES, "compared": compared})

    def _group(
        self, given: DurabilityInput, name: str, samples: list[SampleIn], found: list[Durability], means: dict[str, list[float]]
    ) -> list[ResultValue]:
        lives = [each.applied if each.life is None else each.life for each in found]
        ended = [
            sample.model_copy(update={"value": life, "survived": each.censored})
            for sample, life, each in zip(samples, lives, found, strict=True)
        ]
        if any(each.censored for each in found):
            values = survived_values(name, ended, CYCLES)
        else:
            means[name] = lives
            values = group_values(name, lives, CYCLES, [*given.budget, *_of_reading(found)])
        values += specimen_values(samples, lives, CYCLES)
        values += specimen_values(samples, [each.applied for each in found], CYCLES, "applied")
        values += specimen_values(samples, [float(each.censored) for each in found], "1", "censored")
        if given.planned_cycles:
            share = [sample.model_copy(update={"value": (sample.value or 0.0) / given.planned_cycles}) for sample in ended]
            values += survived_values(f"share_{name}", share, "-")
            values += specimen_values(samples, [each.value or 0.0 for each in share], "-", "share")
        lost = [each.end_loss if each.planned_loss is None else each.planned_loss for each in found]
        values += group_values(f"stiffness_loss_{name}", lost, "-", given.budget)
        values += specimen_values(samples, lost, "-", "stiffness_loss")
        warm = [each.temperature_max for each in found if each.temperature_max is not None]
        return [*values, ResultValue(name=f"temperature_max_{name}", value=max(warm), unit="°C")] if warm else values

    def working(self, given: DurabilityInput, found: Evaluated) -> Working:
        working = Working()
        reference = "the first settled rows" if given.reference_cycles is None else f"{given.reference_cycles:,.0f} cycles"
        working.fact("end criterion", f"{given.loss:.0%} of the stiffness lost against that at {reference}")
        if given.temperature_factor is not None:
            working.fact(
                "temperature",
                f"stiffness brought to {given.reference_temperature:g} °C with {given.temperature_factor:+.3%} per K",
            )
        groups_working(working, given, CYCLES, found)
        for name, mark in (("variant", "v"), ("reference", "r")):
            survived, count, least = (found.value(f"{part}{name}") for part in ("survived_", "n_", ""))
            if survived and count and least and least.value is not None:
                told = f"{survived.value:g} of {count.value:g} stopped before the criterion"
                working.given(f"s_{mark}", f"least cycles of the {name}, {told}", least.value, CYCLES)
                if given.planned_cycles:
                    working.given(f"p_{mark}", "planned cycles", given.planned_cycles, CYCLES)
                    words = f"least share of the planned cycles, {name}"
                    working.line(f"h_{mark}", words, f"s_{mark}/p_{mark}", "-", result=True)
        return working


def _of_reading(found: list[Durability]) -> list[BudgetIn]:
    """The standard error of the lives read from the smoothed course, the largest of the parts."""
    relative = max((each.life_error or 0.0) / each.life for each in found if each.life)
    return [BudgetIn(cause="life read from the course", relative=relative, systematic=False)] if relative > 1e-6 else []


def durability_of(given: DurabilityInput, sample: SampleIn, files: RawFiles) -> Durability:
    """The evaluated table or record of one specimen."""
    from dossier.evidence.durability import evaluate_durability

    curve = curve_of(given.reading, sample, files)

    def evaluated() -> Durability:
        counter, stiffness, damping = _columns(curve)
        whole = len(counter) == curve.rows
        return evaluate_durability(
            counter, stiffness, loss=given.loss, reference_cycles=given.reference_cycles, planned_cycles=given.planned_cycles,
            temperature=curve.channels.get("temperature") if whole else None,
            temperature_factor=given.temperature_factor, reference_temperature=given.reference_temperature,
            damping=damping, time=curve.channels.get("time") if whole else None,
        )  # fmt: skip

    return of_specimen(sample, evaluated)


def _columns(curve: Curve) -> tuple[Any, Any, Any]:
    """Counter, stiffness and damping: as columns, from amplitudes, or from each cycle of a force-displacement record."""
    from dossier.evidence.cycle_table import cycle_table
    from dossier.evidence.durability import stiffness_of

    channels = curve.channels
    if "stiffness" in channels:
        return curve.channel("cycles"), channels["stiffness"], channels.get("loss_angle")
    load, travel = curve.channel("force"), curve.channel("displacement")
    if "cycles" in channels and load.min() > 0 and travel.min() > 0:
        return channels["cycles"], stiffness_of(load, travel), channels.get("loss_angle")
    table = cycle_table(travel, load, counter=channels.get("cycles"))
    return table.cycles, table.stiffness, table.damping
