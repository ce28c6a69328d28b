"""Dynamic stiffness and loss angle of one harmonic record."""

from __future__ import annotations

from typing import Any

from dossier.evidence.dynamic import DynamicStep, evaluate_dynamic
from dossier.evidence.errors import EvaluationError
from dossier.evidence.kinds.curve_in import Shown, extremes, load_and_travel, read, shown_units, wrong_size
from dossier.evidence.one_file import Asked


def answer(asked: Asked) -> dict[str, Any]:
    """The answer of kind dynamic (one_file.evaluate_file); its main numbers are those of the longest step."""
    shown = shown_units(asked)
    if shown.rotational and asked.moving_mass_kg:
        told = f"moving_mass_kg = {asked.moving_mass_kg:g} with direction = {asked.direction}"
        raise EvaluationError(f"{told}: a turn has an inertia, not a mass; leave it out")
    curve = read(asked, shown)
    load, travel = load_and_travel(curve, shown)
    found = evaluate_dynamic(
        curve.channel("time"), travel, load,
        moving_mass=asked.moving_mass_kg or 0.0, channel_delay=asked.channel_delay_s or 0.0,
    )  # fmt: skip
    warnings = [*curve.problems, *wrong_size(travel, load, asked, shown)]
    if len(found.steps) > 1:
        warnings.append(f"{len(found.steps)} steps of frequency and amplitude found; the longest stands first, all under steps")
    return {
        **extremes(load, travel, shown), **_step(found.longest, shown), "steps": [_step(step, shown) for step in found.steps],
        "notes": [*curve.notes, *found.notes], "warnings": warnings,
    }  # fmt: skip


def _step(step: DynamicStep, shown: Shown) -> dict[str, Any]:
    return {
        "frequency": step.frequency,
        "dynamic_stiffness": step.dynamic_stiffness * shown.stiffness,
        "dynamic_stiffness_error": step.dynamic_stiffness_error * shown.stiffness,
        "storage_stiffness": step.storage * shown.stiffness,
        "loss_stiffness": step.loss * shown.stiffness,
        "loss_angle": step.loss_angle_degrees,
        "loss_factor": step.loss_factor,
        "distortion": step.distortion,
        "displacement_distortion": step.travel_distortion,
        "displacement_amplitude": step.amplitude * shown.displacement,
        "force_amplitude": step.load_amplitude * shown.force,
        "force_mean": step.mean_load * shown.force,
        "energy": step.energy * shown.joule,
        "cycles": step.cycles,
        "first_row": step.first_row,
        "last_row": step.last_row,
    }
