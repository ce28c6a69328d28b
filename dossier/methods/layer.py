"""Stiffness of the rubber layer between rigid faces, with its band."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Literal

from dossier import units
from dossier.methods.bands import Ends, OneAtATime, band_causes, tolerance_causes
from dossier.methods.base import Basis, Contribution, Method, MethodInput, Outcome, ResultField, Value
from dossier.methods.working import Working
from dossier.records.base import Banded, q
from dossier.records.design import Tolerance

if TYPE_CHECKING:
    from dossier.mechanics.layer import LayerEstimate, LayerStiffness

DIRECTIONS = ("radial", "axial", "torsional", "conical", "coupling")


class LayerBodyInput(MethodInput):
    """Dimensions and moduli of the layer, and how its faces are held."""

    inner_radius: float = q("mm", "inner radius of the layer", above=0, symbol="a", link="design.layer.inner_radius")
    outer_radius: float = q("mm", "outer radius of the layer", above=0, symbol="b", link="design.layer.outer_radius")
    polar_start: float = q(
        "°", "polar angle of the first free edge", at_least=0, below=180, symbol="θ_1", link="design.layer.polar_start"
    )
    polar_end: float = q(
        "°", "polar angle of the second free edge", above=0, at_most=180, symbol="θ_2", link="design.layer.polar_end"
    )
    shear_modulus: Banded = q(
        "MPa", "shear modulus with its band from hardness", symbol="G", link="design.layer.compound->shear_modulus"
    )
    bulk_modulus: Banded = q(
        "MPa", "bulk modulus with its band", symbol="K", link="design.layer.compound->bulk_modulus"
    )
    inner_face: Literal["bonded", "friction"] = q("-", "inner face", "bonded", link="design.layer.inner_face")
    outer_face: Literal["bonded", "friction"] = q("-", "outer face", "bonded", link="design.layer.outer_face")


class LayerInput(LayerBodyInput):
    """Dimensions and moduli of the layer, with tolerances."""

    inner_tolerance: Tolerance | None = q(
        "mm", "deviations of the inner radius", None, link="design.tolerances.layer.inner_radius"
    )
    outer_tolerance: Tolerance | None = q(
        "mm", "deviations of the outer radius", None, link="design.tolerances.layer.outer_radius"
    )


class LayerStiffnessMethod(Method):
    """Axial, radial, torsional, conical stiffness and the radial–conical coupling at small strain."""

    id = "layer.stiffness"
    version = 1
    title = "Stiffness of the rubber layer between rigid faces"
    step = "3"
    input_model = LayerInput
    results = (
        ResultField("radial", "N/mm", "radial stiffness", "kN/mm", "c_r", 1e-6),
        ResultField("axial", "N/mm", "axial stiffness", "kN/mm", "c_a", 1e-6),
        ResultField("torsional", "N·mm/rad", "torsional stiffness", "N·m/°", "c_t", 1e-6),
        ResultField("conical", "N·mm/rad", "conical stiffness, pin held against radial motion", "N·m/°", "c_k", 1e-6),
        ResultField("coupling", "N/rad", "radial force per unit tilt", symbol="c_rk", tolerance=1e-3),
    )
    basis = Basis(
        "library",
        "own finite elements for this one problem: Fourier harmonics 0 and 1 on the meridional section, nine-node "
        "quadrilaterals with discontinuous linear pressure; checked against exact solutions of the full sphere and "
        "of torsion",
        left_out=(
            "a hollow or fillets of the free faces, which are taken as conical (section.stiffness follows them)",
            "pre-stress (it stiffens radially and softens torsionally)",
            "flexibility of pin, rings and eye",
            "slots between half shells, and that these close in one direction only",
            "large strain, lift-off, slip, cavitation, viscosity",
        ),
        valid_for=("small strain", "both faces bonded, or held closed by pre-stress without slip"),
    )

    def run(self, given: LayerInput) -> Outcome:
        from dossier.mechanics.layer import layer_stiffness_with_estimate

        estimate = layer_stiffness_with_estimate(*_arguments(given))
        nominal = without_roundoff(estimate.stiffness)
        alone = OneAtATime(partial(_stiffness, given), _causes(given))
        values = {name: Value(value, (*alone.contributions(name, alone.nominal[name]), _mesh_line(estimate, name)))
                  for name in DIRECTIONS for value in [getattr(nominal, name)]}  # fmt: skip
        outside = [
            f"the {face} face is held by friction: this method takes it as bonded and shows neither lift-off nor slip"
            for face, kind in (("inner", given.inner_face), ("outer", given.outer_face))
            if kind == "friction"
        ]
        return Outcome(dict(values), outside=outside, detail={"estimate": estimate})

    def working(self, given: LayerInput, outcome: Outcome) -> Working:
        from dossier.mechanics.closed_forms import zone_torsion_stiffness

        working = Working()
        for name, info in LayerInput.model_fields.items():
            value = getattr(given, name)
            facts = info.json_schema_extra or {}
            if isinstance(facts, dict) and facts.get("symbol"):
                number = value.value if isinstance(value, Banded) else value
                working.given(str(facts["symbol"]), str(info.description), number, str(facts["unit"]))
        estimate: LayerEstimate = outcome.detail["estimate"]
        across, along = estimate.cells
        error = max(getattr(estimate.mesh_error, name) for name in DIRECTIONS[:4])
        working.fact("model", "rubber only; pin and rings rigid; outer face held, inner face moved as a rigid body")
        cells = f"{across} cells across the layer, {along} along it, {estimate.nodes} nodes, refined to the edges"
        working.fact("mesh", cells)
        working.fact("convergence", f"estimated mesh error at most {units.show(100 * error, 2)} % (halved mesh)")
        working.line("Δ_1", "opening term at the first edge", "cos(θ_1)³/3 − cos(θ_1)", "-")
        working.line("Δ_2", "opening term at the second edge", "cos(θ_2)³/3 − cos(θ_2)", "-")
        working.line(
            "c_t", "torsional stiffness, closed form", "6·π·G·(Δ_2 − Δ_1)/(1/a³ − 1/b³)·π/180000", "N·m/°",
            "exact for free conical faces, derived in the method's tests", result=True,
        )  # fmt: skip
        closed = zone_torsion_stiffness(*_arguments(given)[:5])
        elements: Value = outcome.values["torsional"]  # type: ignore[assignment]
        deviation = elements.value / closed - 1
        told = f"finite elements against the closed form: {_deviation(deviation)}"
        working.fact("cross-check", told)
        return working


def without_roundoff(stiffness: LayerStiffness) -> LayerStiffness:
    """The coupling of a symmetric layer is zero; what round-off leaves of it is dropped."""
    scale = (stiffness.radial * stiffness.conical) ** 0.5
    return stiffness if abs(stiffness.coupling) > 1e-9 * scale else replace(stiffness, coupling=0.0)


def _deviation(share: float) -> str:
    return f"{units.show_signed(100 * share, 3)} %" if abs(share) >= 5e-6 else "less than 0.001 %"


def _arguments(given: LayerInput, **changed: float) -> tuple[float, float, float, float, float, float]:
    from math import radians

    return (
        changed.get("inner_radius", given.inner_radius),
        changed.get("outer_radius", given.outer_radius),
        radians(given.polar_start),
        radians(given.polar_end),
        changed.get("shear_modulus", given.shear_modulus.value),
        changed.get("bulk_modulus", given.bulk_modulus.value),
    )


def _causes(given: LayerInput) -> dict[str, Ends]:
    moduli: dict[str, tuple[str, Banded]] = {"shear modulus (hardness)": ("shear_modulus", given.shear_modulus),
                                             "bulk modulus": ("bulk_modulus", given.bulk_modulus)}  # fmt: skip
    return band_causes(moduli) | tolerance_causes({
        "tolerance of the inner radius": ("inner_radius", given.inner_radius, given.inner_tolerance),
        "tolerance of the outer radius": ("outer_radius", given.outer_radius, given.outer_tolerance)})  # fmt: skip


def _stiffness(given: LayerInput, **changed: float) -> dict[str, float]:
    from dossier.mechanics.layer import layer_stiffness

    found = without_roundoff(layer_stiffness(*_arguments(given, **changed)))
    return {name: getattr(found, name) for name in DIRECTIONS}


def _mesh_line(estimate: LayerEstimate, name: str) -> Contribution:
    stiffness = estimate.stiffness
    scale = getattr(stiffness, name) if name != "coupling" else (stiffness.radial * stiffness.conical) ** 0.5
    error = getattr(estimate.mesh_error, name) * abs(scale)
    error = error if error > 1e-9 * scale or name != "coupling" else 0.0
    return Contribution("mesh", -error, error)


METHODS: tuple[Method, ...] = (LayerStiffnessMethod(),)
