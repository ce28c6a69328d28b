"""The parts of a design that geometry methods read, and their plain shapes for mechanics."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field

from dossier.records.base import Part, q

if TYPE_CHECKING:
    from dossier.mechanics import shapes


class BoreIn(Part):
    """A coaxial bore."""

    diameter: float = q("mm", "bore diameter", above=0)
    start: float = q("mm", "axial position where the bore begins")
    end: float = q("mm", "axial position where the bore ends")
    filled: bool = False


class PinEndsIn(Part):
    """Flats, bolt holes and clamp edge."""

    flat_thickness: float = q("mm", "thickness between the flats", at_least=0)
    flat_start: float = q("mm", "where the flats begin", at_least=0)
    hole_diameter: float = q("mm", "bolt hole diameter", above=0)
    hole_distance: float = q("mm", "distance between the bolt axes", above=0)
    clamp_edge: float = q("mm", "where the bracket begins to hold", above=0)


class PinIn(Part):
    """Dimensions of the pin."""

    length: float = q("mm", "overall length", above=0)
    ball_radius: float = q("mm", "radius of the ball contour", above=0)
    neck_radius: float = q("mm", "radius of the neck", above=0)
    neck_fillet: float = q("mm", "fillet radius between ball and neck", at_least=0)
    ends: PinEndsIn
    bores: list[BoreIn] = Field(default_factory=list)
    straight_radius: float = q("mm", "radius of a slim straight pin", 0.0, at_least=0)


class CoreIn(Part):
    """Kind of filler."""

    kind: Literal["none", "bore_fill", "ball_contour"] = "none"


class LayerIn(Part):
    """Dimensions of the rubber layer."""

    inner_radius: float = q("mm", "inner radius", above=0)
    outer_radius: float = q("mm", "outer radius", above=0)
    polar_start: float = q("°", "polar angle of the first free edge", at_least=0)
    polar_end: float = q("°", "polar angle of the second free edge", above=0)
    free_surface: Literal["straight", "concave"] = "straight"
    hollow_depth: float = q("mm", "depth of a concave free surface", 0.0, at_least=0)
    edge_fillet: float = q("mm", "fillet radius at the bonded edges", 0.0, at_least=0)


class RingsIn(Part):
    """Dimensions of the two closed rings."""

    kind: Literal["rings"]
    outer_radius: float = q("mm", "outer radius", above=0)
    half_width: float = q("mm", "distance to the outer ring face", above=0)
    gap: float = q("mm", "axial gap between the rings", at_least=0)


class HalfShellsIn(Part):
    """Dimensions of the two half shells."""

    kind: Literal["half_shells"]
    outer_radius: float = q("mm", "outer radius in the eye", above=0)
    half_width: float = q("mm", "distance to the shell's face", above=0)
    parting_gap: float = q("mm", "gap at each parting plane", at_least=0)


CarrierIn = Annotated[RingsIn | HalfShellsIn, Field(discriminator="kind")]


class RestIn(Part):
    """A part outside the section."""

    name: str
    mass: float = q("kg", "mass", at_least=0)
    position: float = q("mm", "axial position of its centre of gravity")


class DesignIn(Part):
    """All dimensions of one joint that decide its masses and areas."""

    pin: PinIn
    core: CoreIn = CoreIn()
    layer: LayerIn
    carrier: CarrierIn
    rest: list[RestIn] = Field(default_factory=list)


def pin_shape(pin: PinIn) -> shapes.Pin:
    """The plain pin of mechanics."""
    from dossier.mechanics import shapes

    return shapes.Pin(
        length=pin.length,
        ball_radius=pin.ball_radius,
        neck_radius=pin.neck_radius,
        neck_fillet=pin.neck_fillet,
        ends=shapes.PinEnds(**pin.ends.model_dump()),
        bores=tuple(shapes.Bore(**bore.model_dump()) for bore in pin.bores),
        straight_radius=pin.straight_radius,
    )


def joint_shape(design: DesignIn) -> shapes.JointShape:
    """The plain joint of mechanics, checked for dimensions in conflict (GeometryError)."""
    from dossier.mechanics import shapes
    from dossier.mechanics.shape_check import check_shape

    sizes = design.carrier.model_dump(exclude={"kind"})
    carrier = shapes.Rings(**sizes) if design.carrier.kind == "rings" else shapes.HalfShells(**sizes)
    joint = shapes.JointShape(
        pin=pin_shape(design.pin),
        core=shapes.Core(kind=design.core.kind),
        layer=shapes.Layer(**design.layer.model_dump()),
        carrier=carrier,
    )
    check_shape(joint)
    return joint
