"""Damage of measured load histories against the design programme, by rainflow counting and Palmgren-Miner."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field

from dossier.methods.base import Basis
from dossier.methods.evidence_base import (
    Evaluated,
    EvidenceMethod,
    GroupsInput,
    RawFiles,
    SampleIn,
    group_values,
    specimen_values,
)
from dossier.methods.evidence_files import curve_of, of_specimen
from dossier.methods.evidence_working import mean_working
from dossier.methods.working import Working
from dossier.records.base import Part, q
from dossier.records.calculation import ResultValue


class LevelIn(Part):
    """One level of the design programme."""

    range: float = Field(ge=0, description="twice the amplitude, in the unit of the channel")
    cycles: float = q("cycles", "cycles in one programme", at_least=0)


class LoadHistoryInput(GroupsInput):
    """Reading scheme, S-N line, and the levels of the programme it is held against."""

    reading: dict[str, Any]
    channel: Literal["force", "torque", "displacement", "angle"] = "force"
    sn_range: float = Field(gt=0)
    sn_cycles: float = Field(gt=0)
    exponents: list[float] = Field(min_length=1)
    hysteresis: float = Field(0.0, ge=0)
    repeats: float = Field(1.0, gt=0)
    programme: list[LevelIn] = Field(default_factory=list)


class LoadHistoryDamage(EvidenceMethod):
    """Damage of the measured histories; where a programme is named, as a share of what the programme does."""

    id = "evidence.load_history"
    version = 1
    title = "Damage of measured load histories"
    input_model = LoadHistoryInput
    basis = Basis(
        "library",
        "rainflow counting after ASTM E1049-85, from memory, half cycles counted 0.5, each cycle equal to an open library; "
        "Palmgren-Miner sums for straight S-N lines without endurance limit",
        left_out=("mean loads", "order of the loads", "heating", "other directions at the same time"),
        valid_for=("histories of one channel; a comparison of damages, no prediction of a life",),
    )

    def run(self, given: LoadHistoryInput, files: RawFiles) -> Evaluated:
        from dossier.evidence.load_history import evaluate_load_history

        values: list[ResultValue] = []
        warnings: list[str] = []
        means: dict[str, list[float]] = {}
        for name in ("variant", "reference"):
            samples: list[SampleIn] = getattr(given, name)
            found = []
            for sample in samples:
                signal = curve_of(given.reading, sample, files).channel(given.channel)
                told = {"sn_range": given.sn_range, "sn_cycles": given.sn_cycles, "exponents": given.exponents}
                history = of_specimen(
                    sample, lambda s=signal, t=told: evaluate_load_history(s, hysteresis=given.hysteresis or None, **t)
                )
                found.append(history)
                warnings += [f"{sample.specimen}: {note}" for note in history.notes]
            if not samples:
                continue
            for place, exponent in enumerate(given.exponents):
                damages = [given.repeats * history.damage[float(exponent)] for history in found]
                design = programme_damage(given, exponent)
                shares = [damage / design for damage in damages] if design else damages
                if place == 0:
                    means[name] = shares
                    values += group_values(name, shares, "-", given.budget) + specimen_values(samples, shares, "-")
                values.append(_mean(f"damage of {name} at k = {exponent:g}", damages, "-"))
                if design:
                    values.append(_mean(f"share of {name} at k = {exponent:g}", shares, "-"))
            values.append(_mean(f"cycles_{name}", [history.cycles for history in found], "cycles"))
        if not values:
            raise ValueError("no specimen has a measured file; import the files of this item")
        for exponent in given.exponents:
            if design := programme_damage(given, exponent):
                values.append(ResultValue(name=f"damage of programme at k = {exponent:g}", value=design, unit="-"))
        return Evaluated(values, warnings, detail={"means": means, "unit": "-", "compared": None})

    def working(self, given: LoadHistoryInput, found: Evaluated) -> Working:
        working = Working()
        exponent = given.exponents[0]
        working.fact("S-N line", f"N = {given.sn_cycles:g}·(range/{given.sn_range:g})^−{exponent:g}, no endurance limit")
        working.fact("counting", f"rainflow, half cycles 0.5; history driven {given.repeats:g} times")
        if given.programme:
            parts = []
            for place, level in enumerate(given.programme, 1):
                working.given(f"n_{place}", f"cycles of level {place}", level.cycles, "cycles")
                working.given(f"a_{place}", f"range of level {place} over that of the line", level.range / given.sn_range, "-")
                parts.append(f"n_{place}·a_{place}^(k)")
            working.given("k", "exponent", exponent, "-")
            working.given("N_0", "cycles of the line", given.sn_cycles, "cycles")
            working.line("D", "damage of one programme", f"({' + '.join(parts)})/N_0", "-")
        for name, mark in (("variant", "v"), ("reference", "r")):
            if name in found.detail["means"]:
                mean_working(working, mark, name, found.detail["means"][name], "-", found)
        return working


def programme_damage(given: LoadHistoryInput, exponent: float) -> float:
    """Σ cycles·(range/sn_range)^exponent/sn_cycles of one programme; 0 without one."""
    return sum(level.cycles * (level.range / given.sn_range) ** exponent for level in given.programme) / given.sn_cycles


def _mean(name: str, values: list[float], unit: str) -> ResultValue:
    return ResultValue(name=name, value=sum(values) / len(values), unit=unit)
