"""Single values with their spread, and yes-or-no items."""

from __future__ import annotations

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
    survived_values,
)
from dossier.methods.evidence_left_out import left_out_values
from dossier.methods.evidence_working import groups_working
from dossier.methods.working import Working
from dossier.records.calculation import ResultValue


class SingleInput(GroupsInput):
    """Values in the item's unit."""

    unit: str


class YesNoInput(GroupsInput):
    """Passed or not, per specimen."""


class SingleValues(EvidenceMethod):
    """Count, mean, spread, expanded uncertainty; ratio when the reference part was measured too."""

    id = "evidence.single"
    version = 1
    title = "Single measured values"
    input_model = SingleInput
    basis = Basis(
        "library",
        "mean with expanded uncertainty from scatter and budget following JCGM 100, from memory",
        left_out=("scatter between parts when only one was measured",),
    )

    def run(self, given: SingleInput, files: RawFiles) -> Evaluated:
        values: list[ResultValue] = []
        means: dict[str, list[float]] = {}
        for name in ("variant", "reference"):
            samples = getattr(given, name)
            missing = [sample.specimen for sample in samples if sample.value is None]
            if missing:
                raise ValueError(f"{missing[0]} has no value; enter it in {given.unit} or say why it is left out")
            if any(sample.survived for sample in samples):
                values += survived_values(name, samples, given.unit)
                values += specimen_values(samples, [sample.value for sample in samples], given.unit)
                continue
            if samples:
                means[name] = [sample.value for sample in samples]
                values += group_values(name, means[name], given.unit, given.budget)
                values += specimen_values(samples, means[name], given.unit)
        if not values:
            raise ValueError("no value is recorded yet")
        compared, notes = compared_groups(given, means)
        values += ratio_values(given, compared)
        values += left_out_values(given, means, given.unit, lambda sample: sample.value or 0.0, notes)
        return Evaluated(values, notes, detail={"means": means, "compared": compared})

    def working(self, given: SingleInput, found: Evaluated) -> Working:
        working = Working()
        groups_working(working, given, given.unit, found)
        for name in ("variant", "reference"):
            if name not in found.detail["means"] and (least := found.value(name)):
                survived, count = found.value(f"survived_{name}"), found.value(f"n_{name}")
                told = f"{survived.value:g} of {count.value:g} stopped without failure" if survived and count else ""
                working.given(f"s_{name[0]}", f"least value of the {name}, {told}", least.value or 0.0, given.unit)
                working.fact(f"mean of the {name}", "none: how much more these parts would have borne is not known")
        return working


class YesNo(EvidenceMethod):
    """How many of the variant passed of how many; the item is met when all passed. Reference parts are told beside."""

    id = "evidence.yes_no"
    version = 1
    title = "Passed or not passed"
    input_model = YesNoInput
    basis = Basis("library", "count of parts that passed", left_out=("statistical confidence of the count",))

    def run(self, given: YesNoInput, files: RawFiles) -> Evaluated:
        samples = [*given.variant, *given.reference]
        missing = [sample.specimen for sample in samples if sample.passed is None]
        if missing or not samples:
            who = missing[0] if missing else "the item"
            raise ValueError(f"{who} has no result; say whether it passed")
        if not given.variant:
            raise ValueError("only reference parts have a result; say whether the variant passed")
        values = []
        for name, passed_name in (("variant", "passed"), ("reference", "passed_reference")):
            group: list[SampleIn] = getattr(given, name)
            if not group:
                continue
            passed = sum(bool(sample.passed) for sample in group)
            values += [
                ResultValue(name=name, value=passed / len(group), unit="-"),
                ResultValue(name=passed_name, value=float(passed), unit="1"),
                ResultValue(name=f"n_{name}", value=float(len(group)), unit="1"),
            ]
        return Evaluated(values)

    def working(self, given: YesNoInput, found: Evaluated) -> Working:
        working = Working()
        passed, count = found.value("passed"), found.value("n_variant")
        working.given("k", "parts that passed", passed.value if passed else 0.0, "1")
        working.given("n", "parts looked at", count.value if count else 0.0, "1")
        working.line("q", "share that passed", "k/n", "-", result=True)
        return working
