"""The parts of a design that geometry methods read, and their plain shapes for mechanics."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from pydantic import Field

from dossier.records.base import Part, reduced
from dossier.records.design import Core, HalfShells, Layer, Pin, Rest, Rings

if TYPE_CHECKING:
    from dossier.mechanics import shapes


PinIn = reduced(Pin, "material", "minimum_wall")
CoreIn = reduced(Core, "material", "bonded")
LayerIn = reduced(Layer, "compound", "inner_face", "outer_face", "minimum_bond_share")
RingsIn = reduced(Rings, "material", "travel", "roughness")
HalfShellsIn = reduced(HalfShells, "material", "closing")
CarrierIn = Annotated[RingsIn | HalfShellsIn, Field(discriminator="kind")]
RestIn = reduced(Rest, "origin")


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
        bores=tuple(shapes.Bore(**bore.model_dump(exclude_none=True)) for bore in pin.bores),
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
