"""Joints the section tests compute: those of the own reference tables, and a stub-armed one with rings."""

from math import cos, radians

from dossier.mechanics import shapes
from dossier.mechanics.whole_section import Elastic, Materials

STEEL = Elastic(210e3, 0.3)
ALUMINIUM = Elastic(70e3, 0.33)
FILLER = Elastic(3000.0, 0.35)


def long_arm(bore: float = 0.0, *, straight: bool = False, fillet: float = 2.0) -> shapes.JointShape:
    """Ball 28 mm, layer 28 to 36 mm from 50° to 130°, cylinder 43 mm as wide as the layer, neck 17 mm, held at ±70 mm."""
    bores = (shapes.Bore(bore, -80.0, 80.0),) if bore else ()
    pin = shapes.Pin(160.0, 28.0, 17.0, fillet, shapes.PinEnds(0.0, 0.0, 0.0, 140.0, 70.0), bores, 17.0 if straight else 0.0)
    core = shapes.Core("ball_contour" if straight else "none")
    return shapes.JointShape(
        pin, core, shapes.Layer(28.0, 36.0, 50.0, 130.0), shapes.HalfShells(43.0, 36.0 * cos(radians(50.0)), 0.5)
    )


def short_arm(bore: float = 18.0, *, polar_end: float = 130.0, gap: float = 2.4, **layer: float | str) -> shapes.JointShape:
    """Ball 29 mm, layer 29 to 34 mm, two rings on a cylinder of 38 mm, neck 18 mm, held at ±42 mm."""
    bores = (shapes.Bore(bore, -75.0, 75.0),) if bore else ()
    pin = shapes.Pin(150.0, 29.0, 18.0, 2.5, shapes.PinEnds(26.0, 43.0, 17.5, 112.0, 42.0), bores)
    rubber = shapes.Layer(29.0, 34.0, 50.0, polar_end, **layer)
    return shapes.JointShape(pin, shapes.Core(), rubber, shapes.Rings(38.0, 22.0, gap))


def steel_and(rubber: tuple[float, float], *, carrier: Elastic = STEEL, core: Elastic | None = None) -> Materials:
    return Materials(STEEL, carrier, *rubber, core)
