"""Rounded ends of bores: exact volume, the right corner of a step, messages."""

from math import pi

import pytest

from dossier.mechanics.outline import Arc
from dossier.mechanics.section import core_region, pin_region
from dossier.mechanics.shape_check import check_pin
from dossier.mechanics.shapes import Bore, Core, GeometryError, JointShape, Layer, Pin, PinEnds, Rings

ENDS = PinEnds(0.0, 0.0, 0.0, 100.0, 45.0)


def test_rounded_ends_of_a_blind_bore():
    """A flat-ended bore less, per rounded corner, the ring a quarter circle leaves of its square (Pappus)."""

    def taken(radius):
        solid = pin_region(Pin(120.0, 28.0, 17.0, 2.0, ENDS))
        bored = pin_region(Pin(120.0, 28.0, 17.0, 2.0, ENDS, (Bore(20.0, -15.0, 25.0, end_radius=radius),)))
        return 2 * pi * (solid.moment(1, 0) - bored.moment(1, 0))

    radius, wall = 3.0, 10.0
    square = radius**2 * (wall - radius / 2)
    quarter = pi / 4 * radius**2 * (wall - radius + 4 * radius / (3 * pi))
    assert taken(0.0) == pytest.approx(pi * wall**2 * 40.0)
    assert taken(0.0) - taken(radius) == pytest.approx(2 * 2 * pi * (square - quarter))
    # A radius of half the diameter makes both ends half spheres.
    assert taken(10.0) == pytest.approx(pi * wall**2 * 20.0 + 4 / 3 * pi * wall**3)


def test_a_step_is_rounded_in_its_wider_bore():
    bores = (Bore(20.0, -60.0, 5.0, end_radius=2.0), Bore(12.0, 5.0, 60.0))
    region = pin_region(Pin(120.0, 28.0, 17.0, 2.0, ENDS, bores))
    arcs = [edge for edge in region.loops[0] if isinstance(edge, Arc) and edge.radius == 2.0 and edge.centre[0] == 8.0]
    assert [arc.centre for arc in arcs] == [(8.0, 3.0)]
    filled = core_region(JointShape(Pin(120.0, 28.0, 17.0, 2.0, ENDS, (Bore(20.0, -15.0, 25.0, True, 3.0),)), Core("bore_fill"),
                                    Layer(28.0, 34.0, 50.0, 130.0), Rings(38.0, 22.0, 2.0)))  # fmt: skip
    assert len([edge for edge in filled.loops[0] if isinstance(edge, Arc)]) == 2


@pytest.mark.parametrize(
    ("bores", "message"),
    [
        ((Bore(20.0, -15.0, 25.0, end_radius=11.0),), r"radius = 11\.0 mm must be at most 10\.0 mm.*bores\[0\]\.diameter"),
        ((Bore(20.0, -2.0, 2.0, end_radius=3.0),), r"radius = 3\.0 mm must be at most 2\.0 mm.*bores\[0\]\.end"),
        ((Bore(20.0, -60.0, 5.0, end_radius=5.0), Bore(12.0, 5.0, 60.0)),
             r"radius = 5\.0 mm must be at most 4\.0 mm.*bores\[1\]\.diameter"),
    ],
)  # fmt: skip
def test_radii_that_do_not_fit_are_told(bores, message):
    with pytest.raises(GeometryError, match=message):
        check_pin(Pin(120.0, 28.0, 17.0, 2.0, ENDS, bores))
