"""Axial, radial and tilting motion at once: agreement with the single curves, work, and messages."""

from math import nan, radians

import pytest

from dossier.mechanics import (
    CombinedLoadStopped,
    PinPlacement,
    RingTravel,
    ShellClosing,
    SphericalLayer,
    combined_loads,
    layer_curve,
)

ZONE = (20.0, 35.0, radians(50), radians(130), 1.0, 2000.0)
ASYMMETRIC = (15.0, 22.0, radians(40), radians(120), 0.8, 1500.0)
COARSE = {"cells": (2, 6)}


def loads(layer, *placements, **rest):
    return combined_loads(SphericalLayer(*layer), placements=placements, **{**COARSE, **rest})


def test_one_motion_alone_is_its_curve():
    for direction, name, motion, load in (
        ("axial", "axial", 1.5, "axial"), ("radial", "radial", 1.0, "radial"), ("conical", "tilt", 0.1, "moment"),
    ):  # fmt: skip
        curve = layer_curve(*ASYMMETRIC, direction=direction, displacements=[motion / 2], closing=0.2, **COARSE)
        found = loads(ASYMMETRIC, PinPlacement(**{name: motion / 2}), closing=0.2)[0]
        # The axial curve runs without harmonics, the others on the same equations.
        assert getattr(found, load) == pytest.approx(curve.forces[0], rel=1e-7)


def test_the_end_does_not_depend_on_the_way():
    """Elastic rubber: whichever motion comes first, and back to the start without force."""
    end = PinPlacement(1.0, 0.8, 0.05)
    direct = loads(ZONE, end)[0]
    around = loads(ZONE, PinPlacement(radial=0.8), PinPlacement(radial=0.8, tilt=0.05), end, PinPlacement())
    assert (around[2].axial, around[2].radial, around[2].moment) == pytest.approx(
        (direct.axial, direct.radial, direct.moment), rel=1e-6
    )
    assert (around[3].axial, around[3].radial, around[3].moment) == pytest.approx((0.0, 0.0, 0.0), abs=1e-5)


def test_loads_come_from_one_energy():
    """Reciprocity ∂F_radial/∂tilt = ∂M/∂radial and ∂F_axial/∂tilt = ∂M/∂axial; difference quotients leave 1e-5."""
    base, step = (0.8, 0.6, 0.04), 1e-3

    def at(axial=0.0, radial=0.0, tilt=0.0):
        return loads(ASYMMETRIC, PinPlacement(base[0] + axial, base[1] + radial, base[2] + tilt))[0]

    def slope(name, **motion):
        ahead, behind = at(**motion), at(**{key: -value for key, value in motion.items()})
        return (getattr(ahead, name) - getattr(behind, name)) / (2 * step)

    assert slope("radial", tilt=step) == pytest.approx(slope("moment", radial=step), rel=1e-4)
    assert slope("axial", tilt=step) == pytest.approx(slope("moment", axial=step), rel=1e-4)
    assert slope("axial", radial=step) == pytest.approx(slope("radial", axial=step), rel=1e-4)


def test_more_harmonics_change_little():
    """At 1.5 mm, a tenth of the thickness: three against four harmonics."""
    three, four = (loads(ZONE, PinPlacement(radial=1.5), harmonics=count)[0].radial for count in (3, 4))
    assert three == pytest.approx(four, rel=1e-4)


def test_a_placement_that_is_not_reached_keeps_the_loads_before():
    with pytest.raises(CombinedLoadStopped) as stopped:
        loads(ZONE, PinPlacement(radial=1.0), PinPlacement(2.0, 30.0, 0.1))
    message = str(stopped.value)
    assert message.startswith("combined.placements[1] = PinPlacement(axial=2.0, radial=30.0, tilt=0.1) not reached: step ")
    assert "last loads " in message
    assert stopped.value.loads == loads(ZONE, PinPlacement(radial=1.0))


def test_a_closing_that_is_not_reached_keeps_no_load():
    with pytest.raises(CombinedLoadStopped, match="combined.closing = 14 mm not reached: no equilibrium between") as stopped:
        loads(ZONE, PinPlacement(radial=1.0), closing=14.0)
    assert stopped.value.loads == ()


def test_values_out_of_range_are_refused():
    with pytest.raises(ValueError, match="placement.tilt = nan must be a finite number in rad; correct the entry"):
        PinPlacement(tilt=nan)
    with pytest.raises(ValueError, match=r"combined.placements = \[\] must hold at least one placement"):
        loads(ZONE)
    with pytest.raises(ValueError, match="combined.closing = -1 mm must be at least 0 mm"):
        loads(ZONE, PinPlacement(), closing=-1)
    with pytest.raises(ValueError, match="fourier.harmonics = 1.5 must be a whole number of at least 2"):
        loads(ZONE, PinPlacement(), harmonics=1.5)


def test_combined_loads_from_assembled_rings_are_those_of_the_curve():
    """Same mesh, same start: only the way to the radial force differs, Newton's tolerance of 1e-8 remains."""
    rings = RingTravel(0.4, 4.0)
    (found,) = loads(ZONE, PinPlacement(radial=0.5), assembly=rings)
    curve = layer_curve(*ZONE, direction="radial", displacements=[0.5], assembly=rings, cells=COARSE["cells"])
    assert found.radial == pytest.approx(curve.forces[0], rel=1e-5)
    with pytest.raises(CombinedLoadStopped, match="half shells closed: travel 14 mm not reached"):
        loads(ZONE, PinPlacement(radial=0.5), assembly=ShellClosing(14.0))
