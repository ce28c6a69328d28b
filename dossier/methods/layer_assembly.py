"""Pre-stress of the layer from assembly at finite strain, and the stiffness it leaves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from dossier import units
from dossier.methods.bands import OneAtATime, band_causes
from dossier.methods.base import Basis, InputError, Method, Outcome, ResultField, Value
from dossier.methods.layer import without_roundoff
from dossier.methods.layer_assembly_friction import FRICTION_RESULTS, describe_friction, friction_outcome
from dossier.methods.layer_finite import (
    FINITE_BASIS,
    FINITE_LEFT_OUT,
    FINITE_VALID_FOR,
    LAW_WORDS,
    FiniteLayerInput,
    FrictionFaceInput,
    assembly_of,
    banded_inputs,
    free_faces_in_words,
    gap_before,
    gap_warnings,
    half_cells,
    law_warnings,
    material_at,
    mesh_line,
    outside_faces,
    press_in_of,
    spherical_layer,
    travel_of,
)
from dossier.methods.working import Working
from dossier.records.base import q

if TYPE_CHECKING:
    from dossier.mechanics.prestress import PreStressedLayer, StageLoad

DIRECTIONS = ("radial", "axial", "torsional", "conical")
STIFFNESSES = (*DIRECTIONS, "coupling")
LOADS = ("force", "held", "radial_resultant", "mean_pressure")


class AssemblyInput(FrictionFaceInput):
    """Layer, law and operations of assembly, with the length over which strain is averaged."""

    averaging: float = q("mm", "length over which strain is averaged; the same for all parts compared", 0.5, above=0)


class LayerAssemblyMethod(Method):
    """Loads of assembly, pressure and strain it leaves, four stiffnesses around the pre-stressed state."""

    id = "layer.assembly"
    version = 2
    title = "Pre-stress of the layer from assembly, finite strain"
    step = "3"
    input_model = AssemblyInput
    results = (
        ResultField("force", "N", "force of assembly: axial on each ring; half shells: radial resultant around the face", "kN",
                    "F_m", 1e-5),
        ResultField("held", "N", "force that stays: axial on each ring, held by the retaining ring; half shells: radial "
                    "resultant, held by the eye", "kN", "F_h", 1e-5),
        ResultField("radial_resultant", "N", "radial resultant around the outer face after assembly", "kN", "F_r", 1e-5),
        ResultField("mean_pressure", "MPa", "mean pressure on the outer face, over its projected area", symbol="p_m",
                    tolerance=1e-5),
        ResultField("least_pressure", "MPa", "least pressure on the outer face, cells next to a free edge left out",
                    tolerance=1e-4),
        ResultField("greatest_pressure", "MPa", "greatest pressure there", tolerance=1e-4),
        ResultField("strain", "-", "greatest principal strain of assembly, averaged", "%", "ε_1", 1e-4),
        ResultField("radial", "N/mm", "radial stiffness after assembly", "kN/mm", "c_r", 1e-5),
        ResultField("axial", "N/mm", "axial stiffness after assembly", "kN/mm", "c_a", 1e-5),
        ResultField("torsional", "N·mm/rad", "torsional stiffness after assembly", "N·m/°", "c_t", 1e-5),
        ResultField("conical", "N·mm/rad", "conical stiffness after assembly, pin held against radial motion", "N·m/°", "c_k",
                    1e-5),
        ResultField("coupling", "N/rad", "radial force per unit tilt after assembly", symbol="c_rk", tolerance=1e-3),
        *(ResultField(f"change_{name}", "-", f"change of the {name} stiffness by assembly", "%", tolerance=1e-4)
          for name in DIRECTIONS),
        *FRICTION_RESULTS,
    )  # fmt: skip
    basis = Basis(
        "library", FINITE_BASIS,
        left_out=(
            *FINITE_LEFT_OUT,
            "spring-back of rings or shells before they are held",
            "scatter of the averaged strain over meshes, about 4 %; mesh error of the least and greatest pressure",
        ),
        valid_for=FINITE_VALID_FOR,
    )  # fmt: skip

    def run(self, given: AssemblyInput) -> Outcome:
        from dossier.mechanics.prestress import AssemblyStopped

        if given.carrier == "rings" and given.gap is not None and gap_before(given) == 0:
            raise InputError("travel and gap are both 0 mm: rings that touch and were not moved leave no pre-stress; give the "
                             "travel of each ring, and the gap after assembly")  # fmt: skip
        warnings = [*law_warnings(given), *gap_warnings(given)]
        try:
            nominal = _assembled(given)
        except AssemblyStopped as stopped:
            return _stopped(given, stopped, warnings)
        ends = _Ends(given, nominal)
        found = OneAtATime(ends.compute, band_causes(banded_inputs(given)))
        values: dict[str, Value | float] = dict(found.values())
        for name, coarse in _numbers(given, _assembled(given, cells=half_cells(spherical_layer(given)))).items():
            value = values[name]
            if isinstance(value, Value) and (name in LOADS or name in STIFFNESSES) and coarse != value.value:
                values[name] = replace(value, contributions=(*value.contributions, mesh_line(value.value, coarse)))
        more, told, stages = friction_outcome(given)
        outside = [*outside_faces(given, followed=bool(stages)), *told, *ends.missed]
        detail = {"found": nominal, "friction": stages}
        return Outcome(values | more, [*warnings, *_warnings(given, nominal)], outside, detail)

    def working(self, given: AssemblyInput, outcome: Outcome) -> Working:
        working = Working()
        _describe(working, given)
        stages: tuple[StageLoad, ...] = outcome.detail["stages"] if "stages" in outcome.detail else outcome.detail["found"].stages
        for stage in stages:
            working.fact(stage.name, _stage_in_words(stage))
        if given.carrier == "rings":
            working.line("g_0", "gap between the rings before assembly", "g + 2·s", "mm")
        else:
            working.line("u", "mean radial travel of the outer face", "2·δ/π", "mm", "mean of a motion along a line")
        if "found" in outcome.detail:
            describe_friction(working, given, outcome.detail["friction"])
            _results(working, given, outcome)
        return working


def _assembled(given: AssemblyInput, *, unstressed: bool = False, cells: tuple[int, int] | None = None,
               **changed: float) -> PreStressedLayer:  # fmt: skip
    from dossier.mechanics.prestress import pre_stressed_layer

    law = material_at(given, **changed)[0]
    return pre_stressed_layer(
        spherical_layer(given, **changed), assembly=assembly_of(given, unstressed=unstressed),
        press_in=press_in_of(given, unstressed=unstressed), law=law, averaging_length=given.averaging, cells=cells,
    )  # fmt: skip


def _stage_force(given: AssemblyInput, stage: StageLoad) -> float:
    return stage.radial_resultant if stage.ring_force is None or given.carrier == "half_shells" else stage.ring_force


def _numbers(given: AssemblyInput, layer: PreStressedLayer, before: PreStressedLayer | None = None) -> dict[str, float]:
    """Every result by name; changes where the layer before assembly is given."""
    stages = layer.stages
    last = stages[-1] if stages else None
    stiffness = without_roundoff(layer.stiffness)
    values = {
        "force": _stage_force(given, stages[0]) if stages and travel_of(given) else 0.0,
        "held": _stage_force(given, last) if last else 0.0,
        "radial_resultant": last.radial_resultant if last else 0.0,
        "mean_pressure": last.mean_pressure if last else 0.0,
        "least_pressure": layer.pressure.least,
        "greatest_pressure": layer.pressure.greatest,
        "strain": layer.strain.strain,
        **{name: getattr(stiffness, name) for name in STIFFNESSES},
    }
    if before is not None:
        values |= {f"change_{name}": values[name] / getattr(before.stiffness, name) - 1.0 for name in DIRECTIONS}
    return values


@dataclass
class _Ends:
    """Results at both ends of each band; an end that finds no equilibrium is told in `missed` and widens no band."""

    given: AssemblyInput
    nominal: PreStressedLayer

    def __post_init__(self) -> None:
        self.missed: list[str] = []
        self.values = _numbers(self.given, self.nominal, _assembled(self.given, unstressed=True))

    def compute(self, **changed: float) -> Mapping[str, float]:
        from dossier.mechanics.prestress import AssemblyStopped

        if not changed:
            return self.values
        try:
            return _numbers(self.given, _assembled(self.given, **changed), _assembled(self.given, unstressed=True, **changed))
        except AssemblyStopped as stopped:
            ((name, value),) = changed.items()
            self.missed.append(f"at {name} = {value:g} MPa, an end of its band: {stopped}")
            return self.values


def _stopped(given: AssemblyInput, stopped: Exception, warnings: list[str]) -> Outcome:
    """The loads of the stages that were reached; without any the run failed."""
    stages: tuple[StageLoad, ...] = stopped.stages  # type: ignore[attr-defined]
    if not stages:
        raise ArithmeticError(str(stopped)) from None
    told = "; ".join(f"after {stage.name}: {_stage_in_words(stage)}" for stage in stages)
    values: dict[str, Value | float] = {"force": _stage_force(given, stages[0])}
    return Outcome(values, warnings, [*outside_faces(given), f"{stopped}; {told}"], {"stages": stages})


def _warnings(given: AssemblyInput, found: PreStressedLayer) -> list[str]:
    told = []
    if not found.stages:
        name = "travel" if given.carrier == "rings" else "closing"
        told.append(f"{name} = 0 mm: this assembly leaves no pre-stress")
    elif found.pressure.least < 0:
        told.append(f"the outer face is in tension somewhere after assembly, {units.show(-found.pressure.least, 3)} MPa: "
                    "only a bond holds it there")  # fmt: skip
    if found.folded:
        told.append("at an edge of a bonded face the mesh is turned inside out: forces and stiffnesses hardly feel it, the "
                    "strain there does not count")  # fmt: skip
    return told


def _describe(working: Working, given: AssemblyInput) -> None:
    from dossier.mechanics.finite_layer import finite_cells

    across, along = finite_cells(spherical_layer(given))
    working.fact("model", "rubber only, both faces bonded; pin, rings and shells rigid; the pin rests where its axial force is 0")
    first = "rings pressed together" if given.carrier == "rings" else "half shells closed radially"
    working.fact("order", f"{first}, then the bore shrunk by pressing in, then small motions of the pin")
    working.fact("law", LAW_WORDS[given.law])
    working.fact("mesh", f"{across} cells across the layer, {along} along it; nodes on the edges of the gap")
    working.fact("free faces", free_faces_in_words(given))
    working.fact("averaging", f"strain over discs of radius {units.show(given.averaging, 3)} mm, the same for all parts")
    describe_inputs(working, given)


def describe_inputs(working: Working, given: FiniteLayerInput) -> None:
    """The numbers put in, with their symbols; those of the other carrier, law or free face left out."""
    unused = ["closing"] if given.carrier == "rings" else ["travel", "gap", "press_in"]
    unused += [name for name in ("edge_fillet", "hollow_depth") if not getattr(given, name)]
    for name, info in FiniteLayerInput.model_fields.items():
        facts, value = info.json_schema_extra, getattr(given, name)
        if isinstance(facts, dict) and facts.get("symbol") and value is not None and name not in unused:
            number = getattr(value, "value", value)
            working.given(str(facts["symbol"]), str(info.description), number, str(facts["unit"]))


def _stage_in_words(stage: StageLoad) -> str:
    axial = "" if stage.ring_force is None else f"{units.show_quantity(stage.ring_force, 'N', 'kN')} axially on each ring, "
    return (f"travel {units.show(stage.travel, 3)} mm; {axial}{units.show_quantity(stage.radial_resultant, 'N', 'kN')} radial "
            f"resultant, mean pressure {units.show(stage.mean_pressure, 3)} MPa")  # fmt: skip


def _results(working: Working, given: AssemblyInput, outcome: Outcome) -> None:
    found: PreStressedLayer = outcome.detail["found"]
    numbers = {name: getattr(value, "value", value) for name, value in outcome.values.items()}
    r, z = found.strain.centre
    working.fact("greatest strain", f"{units.show(100 * found.strain.strain, 3)} % about r = {r:.1f} mm, z = {z:.1f} mm")
    working.given("F_r", "radial resultant around the outer face", numbers["radial_resultant"], "N", "finite elements")
    working.given("A_p", "projected area of the deformed outer face", found.pressure.projected_area, "mm²", "finite elements")
    working.line("p_m", "mean pressure on the outer face", "F_r/A_p", "MPa", result=True)
    if given.carrier == "half_shells":
        working.line("F_s", "force that closes one half shell along its line", "F_r/π", "N", "share of the projected area")
    for symbol, name in (("r", "radial"), ("a", "axial"), ("t", "torsional"), ("k", "conical")):
        field = next(field for field in LayerAssemblyMethod.results if field.name == name)
        after = units.convert(numbers[name], field.unit, field.shown)
        before = after / (1.0 + numbers[f"change_{name}"])
        working.given(f"c_{symbol}0", f"{name} stiffness before assembly", before, field.shown, "finite elements, same mesh")
        working.given(f"c_{symbol}", f"{name} stiffness after assembly", after, field.shown, "finite elements")
        working.line(f"q_{symbol}", f"{name} stiffness after over before assembly", f"c_{symbol}/c_{symbol}0", "-", result=True)


METHODS: tuple[Method, ...] = (LayerAssemblyMethod(),)
