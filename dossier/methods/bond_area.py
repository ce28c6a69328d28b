"""Bonded areas of variant and reference part, their ratio, and mean stresses on them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dossier.methods.base import Basis, Method, MethodInput, Outcome, ResultField
from dossier.methods.shapes_in import DesignIn, joint_shape
from dossier.methods.working import Working
from dossier.records.base import q

if TYPE_CHECKING:
    from dossier.mechanics.bond import BondedFace

FACES = ("inner", "outer")


class BondInput(MethodInput):
    """Both designs and the loads that the bond carries."""

    design: DesignIn = q("-", "dimensions of the variant", link="design")
    reference: DesignIn = q("-", "dimensions of the reference part", link="reference")
    radial_force: float = q("N", "radial force", 0.0, at_least=0, shown="kN", symbol="F_r")
    axial_force: float = q("N", "axial force", 0.0, at_least=0, shown="kN", symbol="F_a")
    torque: float = q("N·mm", "torque about the pin axis", 0.0, at_least=0, shown="N·m", symbol="T")


class BondArea(Method):
    """Area ratio variant / reference on both faces; mean pressure and shear of the variant."""

    id = "bond.area"
    version = 1
    title = "Bonded area against the reference part"
    step = "3"
    input_model = BondInput
    results = (
        ResultField("ratio", "-", "bonded area variant / reference, the smaller of both faces", symbol="q"),
        *(ResultField(f"ratio_{f}", "-", f"area ratio of the {f} face", symbol=f"q_{f[0]}") for f in FACES),
        *(ResultField(f"area_{f}", "mm²", f"bonded area of the variant's {f} face", symbol=f"A_{f[0]}") for f in FACES),
        *(ResultField(f"pressure_{f}", "MPa", f"mean pressure on the loaded half of the {f} face") for f in FACES),
        *(ResultField(f"shear_axial_{f}", "MPa", f"mean shear of the axial force on the {f} face") for f in FACES),
        *(ResultField(f"shear_torsion_{f}", "MPa", f"mean shear of the torque on the {f} face") for f in FACES),
    )
    basis = Basis(
        "library",
        "areas and levers of spherical zones in closed form, from the same outlines as mass and drawing",
        left_out=("peaks at the bonded edges", "quality of the bond itself"),
        valid_for=("comparison of a variant with its reference part",),
    )

    def run(self, given: BondInput) -> Outcome:
        from dossier.mechanics.bond import bond_ratios, bonded_faces, face_stress

        variant = joint_shape(given.design)
        ratios = bond_ratios(joint_shape(given.reference), variant)
        faces = bonded_faces(variant)
        stresses = [face_stress(face, given.radial_force, given.axial_force, given.torque) for face in faces]
        values: dict[str, float] = {"ratio": min(ratio.area for ratio in ratios)}
        for face, ratio, bonded, stress in zip(FACES, ratios, faces, stresses, strict=True):
            values[f"ratio_{face}"] = ratio.area
            values[f"area_{face}"] = bonded.area
            values[f"pressure_{face}"] = stress.radial_pressure
            values[f"shear_axial_{face}"] = stress.axial_shear
            values[f"shear_torsion_{face}"] = stress.torsion_shear
        return Outcome(dict(values), detail={"faces": faces})

    def working(self, given: BondInput, outcome: Outcome) -> Working:
        working = Working()
        symbols = []
        for mark, design in (("V", given.design), ("R", given.reference)):
            for face in FACES:
                symbols.append(_area_line(working, mark, face, design))
        working.line("q_i", "area ratio of the inner face", f"{symbols[0]}/{symbols[2]}", "-")
        working.line("q_o", "area ratio of the outer face", f"{symbols[1]}/{symbols[3]}", "-")
        working.given("F_r", "radial force", given.radial_force, "N")
        faces: tuple[BondedFace, ...] = outcome.detail["faces"]
        working.given("P_o", "projected area of the outer face's loaded half", faces[1].radial_projection, "mm²")
        working.line("p_o", "mean pressure on the outer face", "F_r/P_o", "MPa")
        working.line("q", "smaller ratio", "min(q_i, q_o)", "-", result=True)
        return working


def _area_line(working: Working, mark: str, face: str, design: DesignIn) -> str:
    layer, tail = design.layer, f"{mark}{face[0]}"
    radius = layer.inner_radius if face == "inner" else layer.outer_radius
    working.given(f"R_{tail}", f"radius of the {face} face, {mark}", radius, "mm")
    working.given(f"θ_{mark}1", f"first edge, {mark}", layer.polar_start, "°")
    working.given(f"θ_{mark}2", f"second edge, {mark}", layer.polar_end, "°")
    zone = f"2·π·R_{tail}²·(cos(θ_{mark}1) − cos(θ_{mark}2))"
    if face == "outer" and design.carrier.kind == "rings":
        working.given(f"g_{mark}", f"gap between the rings, {mark}", design.carrier.gap, "mm")
        zone += f" − 2·π·R_{tail}·g_{mark}"
    if face == "outer" and design.carrier.kind == "half_shells":
        working.given(f"s_{mark}", f"parting gap, {mark}", design.carrier.parting_gap, "mm")
        turns = f"(arcsin(cos(θ_{mark}1)) − arcsin(cos(θ_{mark}2)))"
        zone += f" − 2·s_{mark}·R_{tail}·π/180·{turns}"
    working.line(f"A_{tail}", f"bonded area of the {face} face, {mark}", zone, "mm²")
    return f"A_{tail}"


METHODS: tuple[Method, ...] = (BondArea(),)
