"""Mass and centre of gravity of a joint, and the mass a variant saves."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dossier.methods.base import Basis, Contribution, Method, MethodInput, Outcome, ResultField, Value
from dossier.methods.shapes_in import DesignIn, joint_shape
from dossier.methods.working import Working
from dossier.records.base import Banded, q

if TYPE_CHECKING:
    from dossier.mechanics.mass import MassBreakdown

_BASIS = Basis(
    "library",
    "volumes exact from the outlines (Green's theorem on lines and arcs), flats as circular segments, bolt holes "
    "by quadrature of their exact cross-sections; checked against elementary solids and a 3-D quadrature",
    left_out=("chamfers, marking, coating and adhesive", "forging draft and flash"),
    valid_for=("the shape as drawn at nominal dimensions",),
)


def _density(link: str, required: bool = True) -> Any:
    default = ... if required else None
    return q("kg/m³", "density", default, symbol="ρ", link=link)


class MassInput(MethodInput):
    """One design and the densities of its materials."""

    design: DesignIn = q("-", "dimensions of the joint", link="design")
    pin_density: Banded = _density("design.pin.material->density")
    layer_density: Banded = _density("design.layer.compound->density")
    carrier_density: Banded = _density("design.carrier.material->density")
    core_density: Banded | None = _density("design.core.material->density", required=False)


class SavingInput(MassInput):
    """Variant and reference part with their densities."""

    reference: DesignIn = q("-", "dimensions of the reference part", link="reference")
    reference_pin_density: Banded = _density("reference.pin.material->density")
    reference_layer_density: Banded = _density("reference.layer.compound->density")
    reference_carrier_density: Banded = _density("reference.carrier.material->density")
    reference_core_density: Banded | None = _density("reference.core.material->density", required=False)


PARTS = {"pin": "pin", "core": "core", "layer": "rubber", "carrier": "rings or half shells", "rest": "further parts"}
WORDS = {"half_shell": ("half shells", "shell")}  # words and index of the symbols where the region's name does not read


class MassOfJoint(Method):
    """Mass of each part, total, centre of gravity, inertia."""

    id = "mass.joint"
    version = 1
    title = "Mass and centre of gravity of the joint"
    step = "3"
    input_model = MassInput
    basis = _BASIS
    results = (
        ResultField("total", "kg", "mass of the joint", "g", "m"),
        *(ResultField(part, "kg", f"mass of {words}", "g", f"m_{part}") for part, words in PARTS.items()),
        ResultField("centre", "mm", "axial position of the centre of gravity", symbol="z_S", tolerance=1e-4),
        ResultField("inertia_axial", "kg·mm²", "moment of inertia about the pin axis", symbol="J_z"),
        ResultField("inertia_transverse", "kg·mm²", "moment of inertia across, about the ball centre", symbol="J_x"),
    )

    def run(self, given: MassInput) -> Outcome:
        densities = _densities(given)
        masses = _masses(given.design, {name: band.value for name, band in densities.items()})
        contributions = tuple(
            Contribution(f"density of {WORDS.get(name, (name,))[0]}", part.mass * (low / band.value - 1),
                         part.mass * (high / band.value - 1))  # fmt: skip
            for name, band in densities.items()
            for part in masses.parts
            if part.name == name and (low := band.ends[0]) is not None and (high := band.ends[1]) > low
        )
        by_part = _by_part(masses)
        return Outcome(
            {
                "total": Value(masses.total, contributions),
                **by_part,
                "centre": masses.centre_z,
                "inertia_axial": masses.inertia_axial,
                "inertia_transverse": masses.inertia_transverse,
            },
            detail={"masses": masses},
        )

    def working(self, given: MassInput, outcome: Outcome) -> Working:
        working = Working()
        terms = mass_lines(working, given.design, _densities(given), "")
        working.line("m", "mass of the joint", " + ".join(terms), "kg", result=True)
        working.fact("volumes", "exact integrals over the outlines of the drawing, bores, flats and bolt holes cut")
        return working


class MassSaving(Method):
    """Share of the reference part's calculated mass that the variant saves, both calculated the same way."""

    id = "mass.saving"
    version = 1
    title = "Mass saved against the reference part"
    step = "3"
    input_model = SavingInput
    basis = _BASIS
    results = (
        ResultField("saving", "-", "share of mass saved", "%", "s"),
        ResultField("variant", "kg", "mass of the variant", "g", "m_V"),
        ResultField("reference", "kg", "mass of the reference part", "g", "m_R"),
        ResultField("saved", "kg", "mass saved", "g", "Δm"),
    )

    def run(self, given: SavingInput) -> Outcome:
        variant = _masses(given.design, {name: band.value for name, band in _densities(given).items()}).total
        densities = _densities(given, "reference_")
        reference = _masses(given.reference, {name: band.value for name, band in densities.items()}).total
        return Outcome(
            {
                "saving": 1 - variant / reference,
                "variant": variant,
                "reference": reference,
                "saved": reference - variant,
            }
        )

    def working(self, given: SavingInput, outcome: Outcome) -> Working:
        working = Working()
        terms = mass_lines(working, given.reference, _densities(given, "reference_"), "R_")
        working.line("m_R", "mass of the reference part", " + ".join(terms), "kg")
        terms = mass_lines(working, given.design, _densities(given), "V_")
        working.line("m_V", "mass of the variant", " + ".join(terms), "kg")
        working.line("s", "share of mass saved", "1 − m_V/m_R", "-", result=True)
        return working


def mass_lines(working: Working, design: DesignIn, densities: dict[str, Banded], mark: str) -> list[str]:
    """Lines ρ·V of each part; returns the symbols to add up."""
    masses = _masses(design, {name: band.value for name, band in densities.items()})
    symbols = []
    for part in masses.parts:
        if part.volume is None:
            continue
        told, symbol = WORDS.get(part.name, (part.name, part.name))
        name = f"{mark}{symbol}"
        working.given(f"V_{name}", f"volume of {told}", part.volume, "mm³", "exact integral")
        working.given(f"ρ_{name}", f"density of {told}", densities[part.name].value, "kg/m³")
        working.line(f"m_{name}", f"mass of {told}", f"ρ_{name}·V_{name}/10^9", "kg")
        symbols.append(f"m_{name}")
    rest = sum(item.mass for item in design.rest)
    if rest:
        working.given(f"m_{mark}rest", "mass of further parts", rest, "kg", "design record")
        symbols.append(f"m_{mark}rest")
    return symbols


def _densities(given: MassInput, mark: str = "") -> dict[str, Banded]:
    design: DesignIn = given.design if not mark else given.reference  # type: ignore[attr-defined]
    carrier = "ring" if design.carrier.kind == "rings" else "half_shell"
    names = {"pin": "pin", "layer": "layer", carrier: "carrier", "core": "core"}
    found = {name: getattr(given, f"{mark}{field}_density") for name, field in names.items()}
    if design.core.kind == "none":
        found.pop("core")
    elif found["core"] is None:
        raise ValueError(f"{mark}core_density is missing; name the core's material in the design, with its density")
    return found


def _masses(design: DesignIn, densities: dict[str, float]) -> MassBreakdown:
    from dossier.mechanics.mass import joint_masses

    rest = [(item.name, item.mass, item.position) for item in design.rest]
    return joint_masses(joint_shape(design), densities, rest)


def _by_part(masses: MassBreakdown) -> dict[str, float]:
    by_part = dict.fromkeys(PARTS, 0.0)
    for part in masses.parts:
        key = {"ring": "carrier", "half_shell": "carrier"}.get(part.name, part.name)
        by_part[key if key in PARTS and part.volume is not None else "rest"] += part.mass
    return by_part


METHODS: tuple[Method, ...] = (MassOfJoint(), MassSaving())
