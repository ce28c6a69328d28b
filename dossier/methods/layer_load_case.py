"""The assembled layer under a load case: forces, tilt and torsion at once, finite strain, pin and clamp in series."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import radians
from typing import TYPE_CHECKING

from dossier import units
from dossier.methods.bands import OneAtATime, band_causes
from dossier.methods.base import Basis, Contribution, InputError, Method, Outcome, ResultField, Value
from dossier.methods.layer_assembly import describe_inputs
from dossier.methods.layer_finite import (
    FINITE_BASIS,
    FINITE_LEFT_OUT,
    FINITE_VALID_FOR,
    LAW_WORDS,
    assembly_of,
    banded_inputs,
    free_faces_in_words,
    gap_warnings,
    half_cells,
    law_warnings,
    material_at,
    mesh_line,
    outside_faces,
    press_in_of,
    spherical_layer,
)
from dossier.methods.load_case_series import SeriesInput, metal_of
from dossier.methods.working import Working
from dossier.records.base import q

if TYPE_CHECKING:
    from dossier.mechanics.combined import PinDemand, PinLoad
    from dossier.mechanics.compliance import MetalCompliance

ROUND_OFF = 1e-6
"""Share of a case's greatest load, or travel, that is none of its own."""


class LoadCaseInput(SeriesInput):
    """Assembled layer, what stands in series, and the forces and angles that act together."""

    radial_force: float = q("N", 'radial force; as of a load case: { record = "L-01", field = "radial" }', 0.0, shown="kN",
                            symbol="F_r")  # fmt: skip
    axial_force: float = q("N", "axial force", 0.0, shown="kN", symbol="F_a")
    tilt: float = q("°", "conical angle in the plane of the radial force", 0.0, at_least=-45, at_most=45, symbol="φ_k")
    torsion: float = q("°", "torsion about the pin axis", 0.0, at_least=-90, at_most=90, symbol="φ_t")


class LayerLoadCaseMethod(Method):
    """Travels of the pin's ends and moments of the joint under one load case, and how the motions change each other."""

    id = "layer.load_case"
    version = 1
    title = "Joint under forces, tilt and torsion at once, finite strain"
    step = "3"
    input_model = LoadCaseInput
    results = (
        ResultField("radial_travel", "mm", "radial travel of the pin's ends", symbol="s_r", tolerance=1e-5),
        ResultField("axial_travel", "mm", "axial travel of the pin's ends", symbol="s_a", tolerance=1e-5),
        ResultField("tilt_moment", "N·mm", "moment that the tilt takes", "N·m", "M_k", 1e-5),
        ResultField("torque", "N·mm", "torque that the torsion takes", "N·m", "M_t", 1e-5),
        ResultField("radial_change", "-", "radial travel against that of the radial force alone", "%", tolerance=1e-3),
        ResultField("axial_change", "-", "axial travel against that of the axial force alone", "%", tolerance=1e-3),
        ResultField("reached", "-", "share of the load case for which an equilibrium was found", "%", tolerance=0.1,
                    holds="always"),
    )  # fmt: skip
    basis = Basis(
        "library",
        FINITE_BASIS + "; harmonics 0 to 3 around the axis, with torsion also their twins turned by a quarter period; the "
        "linear compliance of pin and clamp enters Newton's method as four more unknowns",
        left_out=(
            *FINITE_LEFT_OUT,
            "large motions of pin and clamp in series, which are taken as linear",
            "side force and side tilt across the plane of the radial force, which torsion brings about: the pin is led there",
        ),
        valid_for=(*FINITE_VALID_FOR, "a slow test: no hysteresis", "tilt in the plane of the radial force"),
    )  # fmt: skip

    def run(self, given: LoadCaseInput) -> Outcome:
        from dossier.mechanics.combined import CombinedLoadStopped

        demand, metal = _demand(given), metal_of(given)
        outside = outside_faces(given)
        try:
            nominal = _Case(given, metal, demand)
        except CombinedLoadStopped as stopped:
            if stopped.last is None:
                raise ArithmeticError(str(stopped)) from None
            told = f"{stopped}; {_in_words(stopped.last)}"
            return Outcome({"reached": _share(demand, stopped.last)}, law_warnings(given), [*outside, told], {"metal": metal})
        ends = _Ends(given, metal, demand)
        found = OneAtATime(ends.compute, band_causes(banded_inputs(given)))
        values: dict[str, Value | float] = {"reached": 1.0}
        for name, value in nominal.numbers.items():
            values[name] = _banded(value, found, name) if name not in ("radial_change", "axial_change") else value
        warnings = [*law_warnings(given), *gap_warnings(given), *_warnings(nominal.load)]
        return Outcome(values, warnings, [*outside, *ends.missed], {"found": nominal, "metal": metal})

    def working(self, given: LoadCaseInput, outcome: Outcome) -> Working:
        from dossier.mechanics.finite_layer import finite_cells

        working, metal = Working(), outcome.detail["metal"]
        across, along = finite_cells(spherical_layer(given), coarse=True)
        working.fact("model", "rubber only, both faces bonded; pin, rings and clamp in series by their linear compliance")
        working.fact("order", "assembly as in layer.assembly, then all forces and angles together in proportion, in steps that "
                     "are halved where no equilibrium is found")  # fmt: skip
        working.fact("law", LAW_WORDS[given.law])
        working.fact("mesh", f"{across} cells across the layer, {along} along it; harmonics 0 to 3 around the axis"
                     + (", and their twins" if given.torsion else ""))  # fmt: skip
        working.fact("free faces", free_faces_in_words(given))
        working.fact("bands", "each cause alone on a mesh with doubled lengths, in proportion; the mesh error from that mesh")
        describe_inputs(working, given)
        if "found" in outcome.detail:
            _lines(working, outcome.detail["found"], metal)
        else:
            working.fact("end", outcome.outside[-1])
            working.given("F_r", "radial force asked for", given.radial_force / 1e3, "kN")
            reached = float(outcome.values["reached"])  # type: ignore[arg-type]
            working.given("λ", "share of the load case that was reached", reached, "-", "finite elements")
            working.line("F_x", "radial force reached", "λ·F_r", "kN", result=True)
        return working


def _demand(given: LoadCaseInput) -> PinDemand:
    from dossier.mechanics.combined import PinDemand

    demand = PinDemand(given.axial_force, given.radial_force, radians(given.tilt), radians(given.torsion))
    if not any(demand.vector):
        raise InputError("radial_force, axial_force, tilt and torsion are all 0; give the load case, such as "
                         'radial_force = { record = "L-01", field = "radial" }')  # fmt: skip
    return demand


class _Case:
    """The joint under a load case on one mesh; `changed` moduli in MPa. Raises CombinedLoadStopped."""

    def __init__(self, given: LoadCaseInput, metal: MetalCompliance, demand: PinDemand, *, coarse: bool = False,
                 **changed: float) -> None:  # fmt: skip
        from dossier.mechanics.combined import PinDemand

        self.given, self.metal, self.coarse, self.changed = given, metal, coarse, changed
        self.load = self._under(demand)
        self.radial_alone = self._alone(PinDemand(radial_force=given.radial_force), demand).placement.radial
        self.axial_alone = self._alone(PinDemand(axial_force=given.axial_force), demand).placement.axial

    def _alone(self, part: PinDemand, demand: PinDemand) -> PinLoad:
        return self.load if part == demand or self.coarse or not any(part.vector) else self._under(part)

    def _under(self, demand: PinDemand) -> PinLoad:
        from dossier.mechanics.combined import loads_under

        given = self.given
        law, layer = material_at(given, **self.changed)[0], spherical_layer(given, **self.changed)
        (load,) = loads_under(layer, demands=[demand], metal=self.metal, assembly=assembly_of(given), press_in=press_in_of(given),
                              law=law, cells=half_cells(layer, coarse=True) if self.coarse else None)  # fmt: skip
        return load

    @property
    def numbers(self) -> dict[str, float]:
        """Every result by name; motions that are not part of the case, and what round-off leaves, are 0 or left out."""
        given, load = self.given, self.load
        size = given.inner_radius
        force = max(abs(load.axial), abs(load.radial), abs(load.moment) / size, abs(load.torque) / size)
        travel = max(abs(load.placement.axial), abs(load.placement.radial), size * abs(load.placement.tilt),
                     size * abs(load.placement.turn))  # fmt: skip
        found = {
            "radial_travel": _kept(load.placement.radial, travel), "axial_travel": _kept(load.placement.axial, travel),
            "tilt_moment": _kept(load.moment, force * size),
        }  # fmt: skip
        if given.torsion:
            found["torque"] = load.torque
        if given.radial_force and not self.coarse:
            found["radial_change"] = _kept(load.placement.radial / self.radial_alone - 1.0, 1.0)
        if given.axial_force and not self.coarse:
            found["axial_change"] = _kept(load.placement.axial / self.axial_alone - 1.0, 1.0)
        return found


@dataclass
class _Ends:
    """Results on the mesh with doubled lengths; an end that finds no equilibrium is told in `missed` and widens no band."""

    given: LoadCaseInput
    metal: MetalCompliance
    demand: PinDemand

    def __post_init__(self) -> None:
        self.missed: list[str] = []
        self.values: Mapping[str, float] = {}
        self.values = self.compute()

    def compute(self, **changed: float) -> Mapping[str, float]:
        from dossier.mechanics.combined import CombinedLoadStopped

        if not changed and self.values:
            return self.values
        try:
            return _Case(self.given, self.metal, self.demand, coarse=True, **changed).numbers
        except CombinedLoadStopped as stopped:
            where = ", ".join(f"at {name} = {value:g} MPa, an end of its band" for name, value in changed.items())
            self.missed.append(f"{where or 'on the mesh with doubled lengths, so no band is known'}: {stopped}")
            return self.values


def _kept(value: float, scale: float) -> float:
    return value if abs(value) > ROUND_OFF * scale else 0.0


def _banded(value: float, found: OneAtATime, name: str) -> Value:
    """Contributions of the coarse mesh in proportion, and its error."""
    coarse = found.nominal.get(name, 0.0)
    if not value or not coarse:
        return Value(value)
    share = value / coarse
    lines = [Contribution(line.cause, *sorted((share * line.minus, share * line.plus)))
             for line in found.contributions(name, coarse)]  # fmt: skip
    return Value(value, (*lines, mesh_line(value, coarse)))


def _share(demand: PinDemand, last: PinLoad) -> float:
    """How far along its way a run came, from the first demand that is not 0."""
    reached = (last.axial, last.radial, last.placement.tilt, last.placement.turn)
    return next(float(got / asked) for got, asked in zip(reached, demand.vector, strict=True) if asked)


def _warnings(load: PinLoad) -> list[str]:
    if load.least_volume_ratio > 0.0:
        return []
    return ["at an edge of a bonded face the mesh is turned inside out under this load case: forces and travels hardly feel it, "
            "and no local strain is stated"]  # fmt: skip


def _in_words(load: PinLoad) -> str:
    end = load.placement
    return (f"reached {units.show_quantity(load.radial, 'N', 'kN')} at {units.show_quantity(end.radial, 'mm')} radially, "
            f"{units.show_quantity(load.axial, 'N', 'kN')} at {units.show_quantity(end.axial, 'mm')} axially, "
            f"{units.show_quantity(end.tilt, 'rad', '°')} of tilt, "
            f"{units.show_quantity(end.turn, 'rad', '°')} of torsion")  # fmt: skip


def _lines(working: Working, found: _Case, metal: MetalCompliance) -> None:
    load, numbers = found.load, found.numbers
    elements, inverse = "finite elements", "1/stiffness of what stands in series"
    working.given("F_r", "radial force", load.radial / 1e3, "kN")
    working.given("F_a", "axial force", load.axial / 1e3, "kN")
    working.given("M_k", "moment of the tilt", numbers["tilt_moment"] / 1e3, "N·m", elements)
    working.given("s_rL", "radial travel of the layer", load.layer.radial, "mm", elements)
    working.given("s_aL", "axial travel of the layer", load.layer.axial, "mm", elements)
    working.given("φ_kL", "tilt of the layer", units.convert(load.layer.tilt, "rad", "°"), "°", elements)
    working.given("d_r", "radial compliance in series", metal.radial * 1e3, "mm/kN", inverse)
    working.given("d_a", "axial compliance in series", metal.axial * 1e3, "mm/kN", inverse)
    working.given("d_k", "tilt in series per moment", units.convert(metal.conical * 1e3, "rad", "°"), "°/(N·m)", inverse)
    working.given("d_rk", "radial travel in series per moment", metal.coupling * 1e3, "mm/(N·m)", inverse)
    working.given("d_kr", "tilt in series per radial force", units.convert(metal.coupling * 1e3, "rad", "°"), "°/kN", inverse)
    working.line("s_r", "radial travel of the pin's ends", "s_rL + d_r·F_r + d_rk·M_k", "mm", result=True)
    working.line("s_a", "axial travel of the pin's ends", "s_aL + d_a·F_a", "mm", result=True)
    working.line("φ_x", "tilt of the pin's ends, as asked for", "φ_kL + d_k·M_k + d_kr·F_r", "°", result=True)
    if "torque" in numbers:
        working.given("M_t", "torque", numbers["torque"] / 1e3, "N·m", elements)
        working.given("φ_tL", "torsion of the layer", units.convert(load.layer.turn, "rad", "°"), "°", elements)
        working.given("d_t", "torsion in series per torque", units.convert(metal.torsional * 1e3, "rad", "°"), "°/(N·m)", inverse)
        working.line("φ_y", "torsion of the pin's ends, as asked for", "φ_tL + d_t·M_t", "°", result=True)
    for name, words in (("radial_change", "radial"), ("axial_change", "axial")):
        if name in numbers:
            working.fact(f"{words} travel against its force alone", f"{units.show_signed(100 * numbers[name], 3)} %")


METHODS: tuple[Method, ...] = (LayerLoadCaseMethod(),)
