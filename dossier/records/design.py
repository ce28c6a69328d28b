"""Part designs: the parametric meridional section, materials, fits and what is not in the section."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from dossier.records.base import EMPTY, Part, Record, q

Face = Literal["bonded", "friction"]


class Bore(Part):
    """A coaxial bore between two axial positions; several bores make a stepped one."""

    diameter: float = q("mm", "bore diameter", above=0)
    start: float = q("mm", "axial position where the bore begins (0 = ball centre)")
    end: float = q("mm", "axial position where the bore ends")
    filled: bool = False
    end_radius: float | None = q("mm", "radius of the corner where the bore ends in steel or at a step", None, above=0)


class PinEnds(Part):
    """The bolted ends: two parallel flats and one bolt hole each."""

    flat_thickness: float = q("mm", "thickness between the two flats, 0 for round ends", 0.0, at_least=0)
    flat_start: float = q("mm", "axial distance from the ball centre where the flats begin", 0.0, at_least=0)
    hole_diameter: float = q("mm", "bolt hole diameter", above=0)
    hole_distance: float = q("mm", "distance between the two bolt axes", above=0)
    clamp_edge: float = q("mm", "axial distance from the ball centre where the bracket begins to hold", above=0)


class Pin(Part):
    """Steel pin with its ball contour, neck, fillet, ends and bores."""

    material: str
    length: float = q("mm", "overall length", above=0)
    ball_radius: float = q("mm", "radius of the ball contour", above=0)
    neck_radius: float = q("mm", "radius of the neck", above=0)
    neck_fillet: float = q("mm", "fillet radius between ball and neck", at_least=0)
    ends: PinEnds
    bores: list[Bore] = Field(default_factory=list)
    straight_radius: float = q("mm", "radius of a slim straight pin inside a ball contour of other material, "
                               "0 if the ball is steel", 0.0, at_least=0)  # fmt: skip
    minimum_wall: float | None = q("mm", "least wall the drawing asks for around the bore", None, above=0)


class Core(Part):
    """Filler that replaces steel inside the pin."""

    kind: Literal["none", "bore_fill", "ball_contour"] = "none"
    material: str = EMPTY
    bonded: bool = True


class Layer(Part):
    """The rubber layer between ball contour and rings or half shells."""

    compound: str
    inner_radius: float = q("mm", "inner radius of the layer", above=0, symbol="a")
    outer_radius: float = q("mm", "outer radius of the layer", above=0, symbol="b")
    polar_start: float = q("°", "polar angle of the first free edge, from the pin axis", at_least=0, below=180,
                           symbol="θ_1")  # fmt: skip
    polar_end: float = q("°", "polar angle of the second free edge", above=0, at_most=180, symbol="θ_2")
    free_surface: Literal["straight", "concave"] = "straight"
    hollow_depth: float = q("mm", "depth of a concave free surface", 0.0, at_least=0)
    edge_fillet: float = q("mm", "fillet radius at the bonded edges", 0.0, at_least=0)
    inner_face: Face = "bonded"
    outer_face: Face = "bonded"
    minimum_bond_share: float | None = q(
        "-", "least bonded area as a share of the reference part's, agreed with the bonding shop", None, above=0
    )

    @model_validator(mode="after")
    def _ordered(self) -> Layer:
        if self.outer_radius <= self.inner_radius:
            raise ValueError(
                f"layer.outer_radius = {self.outer_radius} mm must exceed layer.inner_radius = "
                f"{self.inner_radius} mm; enlarge it or reduce the ball"
            )
        if self.polar_end <= self.polar_start:
            raise ValueError(
                f"layer.polar_end = {self.polar_end}° must exceed layer.polar_start = {self.polar_start}°; "
                "enlarge it or swap the two"
            )
        return self


class Rings(Part):
    """Two closed rings, pushed together axially against the rubber (axial pre-stress)."""

    kind: Literal["rings"] = "rings"
    material: str
    outer_radius: float = q("mm", "outer radius (fit diameter / 2)", above=0)
    half_width: float = q("mm", "axial distance from the ball centre to the outer ring face", above=0)
    gap: float = q("mm", "axial gap between the two rings after assembly", 0.0, at_least=0)
    travel: float = q("mm", "axial travel of each ring at assembly (pre-stress)", 0.0, at_least=0)
    roughness: float | None = q("mm", "roughness depth Rz of the fit face", None, above=0, shown="µm")


class HalfShells(Part):
    """Two half shells, closed radially by pressing into the eye (radial pre-stress)."""

    kind: Literal["half_shells"] = "half_shells"
    material: str
    outer_radius: float = q("mm", "outer radius in the eye (fit diameter / 2)", above=0)
    half_width: float = q("mm", "axial distance from the ball centre to the shell's face", above=0)
    parting_gap: float = q("mm", "gap at each parting plane after assembly", 0.0, at_least=0)
    closing: float = q("mm", "radial closing of each shell when pressed in (pre-stress)", 0.0, at_least=0)


class Eye(Part):
    """The eye of the link that holds the joint. Not part of the joint: no mass is counted."""

    material: str = EMPTY
    bore_radius: float = q("mm", "bore radius of the eye", above=0)
    outer_radius: float = q("mm", "outer radius of the eye", above=0)
    width: float = q("mm", "width of the eye", above=0)
    roughness: float | None = q("mm", "roughness depth Rz of the bore", None, above=0, shown="µm")


class Rest(Part):
    """A part outside the section: retaining ring, plug, marking plate."""

    name: str = Field(min_length=1)
    mass: float = q("kg", "mass", at_least=0, shown="g")
    position: float = q("mm", "axial position of its centre of gravity", 0.0)
    origin: Literal["weighed", "CAD", "calculated", "estimated"] = "estimated"


class Tolerance(Part):
    """Deviations of a dimension from its nominal value."""

    lower: float
    upper: float

    @model_validator(mode="after")
    def _ordered(self) -> Tolerance:
        if self.lower > self.upper:
            raise ValueError(f"upper = {self.upper} must be at least lower = {self.lower}; swap the two")
        return self


class Design(Record):
    """One part design: the reference part or a variant."""

    title: str = Field(min_length=1)
    kind: Literal["reference", "variant"]
    part_number: str = EMPTY
    drawing: str = EMPTY
    drawing_index: str = EMPTY
    pin: Pin
    core: Core = Core()
    layer: Layer
    carrier: Annotated[Rings | HalfShells, Field(discriminator="kind")]
    eye: Eye | None = None
    rest: list[Rest] = Field(default_factory=list)
    tolerances: dict[str, Tolerance] = Field(default_factory=dict)

    @property
    def carrier_word(self) -> str:
        """ "ring" or "half shell": one of the two parts that hold the rubber outside."""
        return self.carrier.kind.replace("_", " ").removesuffix("s")

    @property
    def prestress(self) -> str:
        """"axial" for rings, "radial" for half shells."""
        return "axial" if self.carrier.kind == "rings" else "radial"


def carrier_word(*designs: Design | None) -> str:
    """ "ring", "half shell", or "carrier" where the designs differ or there is none."""
    found = {design.carrier_word for design in designs if design is not None}
    return found.pop() if len(found) == 1 else "carrier"
