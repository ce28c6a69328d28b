"""Load–deflection curve of the pre-stressed layer at finite strain, with pin and clamp in series."""

from __future__ import annotations

from typing import Any

from dossier import units
from dossier.methods.bands import band_causes
from dossier.methods.base import Basis, Contribution, Method, Outcome, ResultField, Value
from dossier.methods.layer_assembly import describe_inputs
from dossier.methods.layer_curve_case import TANGENT, TURNING, CurveInput, Points, levels_of, reach_of, run_curve, series_of
from dossier.methods.layer_curve_friction import FRICTION_RESULTS, describe_friction, friction_outcome
from dossier.methods.layer_finite import (
    FINITE_BASIS,
    FINITE_LEFT_OUT,
    FINITE_VALID_FOR,
    LAW_WORDS,
    MESH_ORDER,
    banded_inputs,
    free_faces_in_words,
    gap_warnings,
    half_cells,
    law_warnings,
    mesh_line,
    outside_faces,
    spherical_layer,
)
from dossier.methods.working import Working


class LayerCurveMethod(Method):
    """Secant over the evaluated range, load and travel at the end, hardening; the curve is computed again when drawn."""

    id = "layer.curve"
    version = 2
    title = "Load–deflection curve of the layer, finite strain"
    step = "3"
    input_model = CurveInput
    results = (
        ResultField("stiffness", "N/mm", "secant stiffness over the evaluated range, radial or axial", "kN/mm", "c", 1e-5),
        ResultField("turning_stiffness", "N·mm/rad", "secant stiffness over the evaluated range, torsional or conical", "N·m/°",
                    "c", 1e-5),
        ResultField("force", "N", "force at the end of the curve", "kN", "F_e", 1e-5),
        ResultField("displacement", "mm", "displacement at the end of the curve", symbol="s_e", tolerance=1e-5),
        ResultField("moment", "N·mm", "moment at the end of the curve", "N·m", "M_e", 1e-5),
        ResultField("angle", "rad", "angle at the end of the curve", "°", "φ_e", 1e-5),
        ResultField("hardening", "-", "tangent at the end over tangent at the start", symbol="h", tolerance=1e-3),
        *FRICTION_RESULTS,
    )  # fmt: skip
    basis = Basis(
        "library",
        FINITE_BASIS + "; radial and conical motion by coupled harmonics 0 to 3 around the axis",
        left_out=(*FINITE_LEFT_OUT, "large motions of pin and clamp in series, which are taken as linear"),
        valid_for=(*FINITE_VALID_FOR, "one direction at a time, the others held", "a slow test: no hysteresis"),
    )  # fmt: skip

    def run(self, given: CurveInput) -> Outcome:
        from dossier.mechanics.curves import LayerCurveStopped

        series = series_of(given)
        levels, outside = levels_of(given), []
        try:
            found = Points(given, run_curve(given, levels, series.compliance), levels)
        except LayerCurveStopped as stopped:
            if not stopped.curve.forces:
                raise ArithmeticError(str(stopped)) from None
            found = Points(given, stopped.curve, levels)
            farther = "; mesh = coarse reaches farther, with a greater mesh error" if given.mesh == "usual" else ""
            outside = [*outside, f"{stopped}; the curve reached {found.end_in_words()}{farther}"]
        values: dict[str, Value | float] = {}
        name = "turning_stiffness" if given.direction in TURNING else "stiffness"
        secant = found.secant()
        if secant is not None:
            lines, missed = _band(given, secant, series.compliance)
            values[name] = Value(secant, lines)
            outside = [*outside, *missed]
        end = found.end
        values |= {"moment": end[1], "angle": end[0]} if given.direction in TURNING else {"force": end[1], "displacement": end[0]}
        if found.tangents() is not None:
            values["hardening"] = _ratio(found.tangents())
        more, told, loads = friction_outcome(given, found)
        values, outside = values | more, [*outside_faces(given, followed=bool(loads)), *outside, *told]
        detail = {"points": found, "series": series, "friction": loads}
        return Outcome(values, [*law_warnings(given), *gap_warnings(given), *_warnings(found)], outside, detail)

    def working(self, given: CurveInput, outcome: Outcome) -> Working:
        working, found = Working(), outcome.detail["points"]
        working.fact("model", "rubber only, both faces bonded; metal rigid but for what stands in series; other motions held")
        working.fact("order", "assembly as in layer.assembly, then loading in equilibrium steps, halved where none is found")
        working.fact("law", LAW_WORDS[given.law])
        working.fact("mesh", _mesh_in_words(given))
        working.fact("free faces", free_faces_in_words(given))
        working.fact("curve", found.in_words())
        describe_inputs(working, given)
        outcome.detail["series"].describe(working)
        describe_friction(working, given, outcome.detail["friction"])
        _secant_lines(working, given, found)
        _tangent_lines(working, given, found)
        return working


def _band(given: CurveInput, secant: float, compliance: float) -> tuple[tuple[Contribution, ...], list[str]]:
    """Contributions of G, K and mesh to the secant; an end that is not reached is told and widens no band."""
    from dossier.mechanics.curves import LayerCurveStopped

    levels = [end for end in (given.low, given.high) if end]

    def again(**changed: Any) -> float:
        found = Points(given, run_curve(given, levels, compliance, **changed), levels).secant()
        assert found is not None
        return found

    lines, missed = [], []
    for cause, ends in band_causes(banded_inputs(given)).items():
        differences = []
        for change in ends:
            try:
                differences.append(again(**change) - secant)
            except LayerCurveStopped as stopped:
                ((name, value),) = change.items()
                missed.append(f"at {name} = {value:g} MPa, an end of its band: {stopped}")
        if any(differences):
            lines.append(Contribution(cause, min(0.0, *differences), max(0.0, *differences)))
    try:
        coarse = given.mesh == "coarse"
        lines.append(_coarse_mesh_error(given, secant, compliance) if coarse else mesh_line(secant, again(mesh="coarse")))
    except LayerCurveStopped as stopped:
        missed.append(f"on the other mesh, so the mesh error is not known: {stopped}")
    return tuple(lines), missed


def _coarse_mesh_error(given: CurveInput, secant: float, compliance: float) -> Contribution:
    """From the tangents at the start on both meshes: the coarse one errs by 2^order/(2^order − 1) of their difference."""
    levels = [TANGENT * reach_of(given)]
    slopes = []
    for mesh in ("usual", "coarse"):
        point = Points(given, run_curve(given, levels, compliance, mesh=mesh), levels).at(levels[0])
        assert point is not None
        slopes.append(point[1] / point[0])
    line = mesh_line(secant, secant * slopes[0] / slopes[1])
    return Contribution("mesh", 2.0**MESH_ORDER * line.minus, 2.0**MESH_ORDER * line.plus)


def _warnings(found: Points) -> list[str]:
    if not any(found.curve.folded):
        return []
    return ["at an edge of a bonded face the mesh is turned inside out on the way: the force hardly feels it, and no local "
            "strain is stated"]  # fmt: skip


def _mesh_in_words(given: CurveInput) -> str:
    from dossier.mechanics.finite_layer import finite_cells

    layer, lateral = spherical_layer(given), given.direction in ("radial", "conical")
    across, along = half_cells(layer, coarse=lateral) if given.mesh == "coarse" else finite_cells(layer, coarse=lateral)
    return f"{across} cells across the layer, {along} along it; nodes on the edges of the gap"


def _ratio(tangents: tuple[tuple[float, float], tuple[float, float], tuple[float, float]]) -> float:
    first, before, last = tangents
    return (last[1] - before[1]) / (last[0] - before[0]) / (first[1] / first[0])


def _units(given: CurveInput) -> tuple[str, str, str]:
    """Units of travel, load and stiffness in the working: those of requirements."""
    return ("°", "N·m", "N·m/°") if given.direction in TURNING else ("mm", "kN", "kN/mm")


def _in_units(given: CurveInput, travel: float, load: float) -> tuple[float, float]:
    stored = ("rad", "N·mm") if given.direction in TURNING else ("mm", "N")
    shown = _units(given)
    return units.convert(travel, stored[0], shown[0]), units.convert(load, stored[1], shown[1])


def _secant_lines(working: Working, given: CurveInput, found: Points) -> None:
    ends = found.ends()
    if ends is None:
        working.fact("secant", "an end of the evaluated range was not reached")
        return
    travel, load, stiffness = _units(given)
    for mark, words, point in (("1", "lower", ends[0]), ("2", "upper", ends[1])):
        s, f = _in_units(given, *point)
        working.given(f"s_{mark}", f"travel at the {words} end of the evaluated range", s, travel, "finite elements")
        working.given(f"F_{mark}", "load there", f, load, "finite elements")
    working.line("c", "secant stiffness over the evaluated range", "(F_2 − F_1)/(s_2 − s_1)", stiffness, "as evidence.static",
                 result=True)  # fmt: skip


def _tangent_lines(working: Working, given: CurveInput, found: Points) -> None:
    tangents = found.tangents()
    if tangents is None:
        working.fact("hardening", "the end of the curve was not reached")
        return
    travel, load, stiffness = _units(given)
    first, before, last = tangents
    for mark, words, point in (("0", "at the first twentieth", first), ("3", "a twentieth before the end", before),
                               ("4", "at the end", last)):  # fmt: skip
        s, f = _in_units(given, *point)
        working.given(f"s_{mark}", f"travel {words}", s, travel, "finite elements")
        working.given(f"F_{mark}", f"load {words}", f, load, "finite elements")
    working.line("c_0", "tangent at the start", "F_0/s_0", stiffness)
    working.line("c_4", "tangent at the end", "(F_4 − F_3)/(s_4 − s_3)", stiffness)
    working.line("h", "hardening", "c_4/c_0", "-", result=True)


METHODS: tuple[Method, ...] = (LayerCurveMethod(),)
