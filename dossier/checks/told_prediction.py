"""The predicted curve that belongs to a measured one, and in words how far the two secants are apart."""

from __future__ import annotations

from dataclasses import dataclass

from dossier import units
from dossier.methods.evidence_links import CURVES
from dossier.methods.freshness import STANDS, freshness
from dossier.records.calculation import Calculation
from dossier.records.evidence import EvidenceItem
from dossier.store.project import Project

METHOD = "layer.curve"
TURNING = ("torsional", "conical")
VALUES = {"radial": "stiffness", "axial": "stiffness", "torsional": "turning_stiffness", "conical": "turning_stiffness"}


@dataclass(frozen=True)
class Prediction:
    """A calculation of the curve that an item measures."""

    calculation: Calculation
    item: EvidenceItem

    @property
    def label(self) -> str:
        """Its name in a diagram."""
        return f"predicted {self.calculation.id}"

    def points(self) -> tuple[list[float], list[float]]:
        """Travels in mm or °, loads in N or N·mm, computed again from the stored input.

        Raises ValueError or ArithmeticError when that is not possible any more.
        """
        from dossier.methods.layer_curve_case import CurveInput, curve_of

        assert self.calculation.result is not None
        given = CurveInput.model_validate(self.calculation.result.inputs)
        return curve_of(given, self._reached(given.between))

    def deviation(self) -> float | None:
        """(Predicted − measured)/measured of the secants; None where they are not of the same range."""
        predicted, measured = self._predicted(), self._measured()
        if predicted is None or measured is None or self._apart():
            return None
        return predicted / measured - 1.0

    def in_words(self) -> str:
        """One sentence: predicted secant against the measured mean, or why they are not compared."""
        said = self._said()
        result = self.calculation.result
        if result is None or result.validity == "inside":
            return f"{said}."
        return f"{said}; the prediction lies outside its method's validity: {'; '.join(result.validity_notes)}."

    def _reached(self, between: str) -> float | None:
        """The end of a run that stopped, in the unit of its range; None for one that did not."""
        result, turning = self.calculation.result, self.item.quantity in TURNING
        if result is None or result.validity == "inside":
            return None
        name = {"load": ("force", "moment"), "travel": ("displacement", "angle")}[between][turning]
        value = result.value(name)
        if value is None or value.value is None:
            return None
        return units.convert(value.value, "rad", "°") if name == "angle" else value.value

    def _said(self) -> str:
        name, predicted, measured = self.calculation.id, self._predicted(), self._measured()
        if predicted is None:
            return f"{name} predicts no secant"
        shown = self._shown(predicted)
        if measured is None:
            return f"{name} predicts a secant of {shown}; none is measured"
        apart = self._apart()
        if apart:
            return f"{name} predicts a secant of {shown}, not compared with the measured {self._shown(measured)}: {apart}"
        deviation = units.show_signed(100 * (predicted / measured - 1.0), 1)
        return (f"{name} predicts a secant of {shown}, the variant measured {self._shown(measured)} on average: "
                f"{deviation} % (predicted less measured, over measured)")  # fmt: skip

    def _predicted(self) -> float | None:
        value = self.calculation.result.value(VALUES[self.item.quantity]) if self.calculation.result else None
        return value.value if value else None

    def _measured(self) -> float | None:
        value = self.item.result.value("variant") if self.item.result else None
        return value.value if value else None

    def _apart(self) -> str:
        """What keeps the two secants from being compared, in words."""
        predicted, measured = self.calculation.result, self.item.result
        assert predicted is not None and measured is not None
        if measured.inputs.get("stiffness", "secant") != "secant":
            return f"the measured value is a {measured.inputs['stiffness']} slope"
        ranges = [tuple(result.inputs.get(name) for name in ("between", "low", "high")) for result in (predicted, measured)]
        if _same(*ranges):
            return ""
        turning = self.item.quantity in TURNING
        return f"evaluated over {_range_in_words(ranges[0], turning)}, measured over {_range_in_words(ranges[1], turning)}"

    def _shown(self, stiffness: float) -> str:
        if VALUES[self.item.quantity] == "stiffness":
            return units.show_quantity(stiffness, "N/mm", "kN/mm")
        return units.show_quantity(stiffness, "N·mm/rad", "N·m/°")


def prediction_of(project: Project, item: EvidenceItem) -> Prediction | None:
    """The curve drawn over a measured one: the first calculation with layer.curve of the item's variant and direction
    that serves a requirement the item serves and whose result stands."""
    if item.quantity not in CURVES:
        return None
    wanted = {served.requirement for served in item.serves}
    for calculation in project.calculations:
        result = calculation.result
        if calculation.method != METHOD or calculation.design != item.variant or result is None:
            continue
        if result.inputs.get("direction") != item.quantity or result.validity == "failed":
            continue
        if wanted & {served.requirement for served in calculation.serves} and freshness(project, calculation).state in STANDS:
            return Prediction(calculation, item)
    return None


def _same(one: tuple, other: tuple) -> bool:
    if one[0] != other[0] or None in one or None in other:
        return False
    return all(abs(a - b) <= 1e-9 * max(abs(a), abs(b)) for a, b in zip(one[1:], other[1:], strict=True))


def _range_in_words(found: tuple, turning: bool) -> str:
    between, low, high = found
    unit, shown = ("°", "°") if turning else ("mm", "mm")
    if between == "load":
        unit, shown = ("N·mm", "N·m") if turning else ("N", "kN")
    return f"{units.show(units.convert(low, unit, shown), 3)} .. {units.show_quantity(high, unit, shown)}"
