"""Axial, radial and tilting motion at once: agreement with the single curves, work, and messages."""

from math import nan, radians

import pytest

from dossier.mechanics import (
    CombinedLoadStopped,
    MetalCompliance,
    PinDemand,
    PinPlacement,
    RingTravel,
    ShellClosing,
    SphericalLayer,
    combined_loads,
    layer_curve,
    loads_under,
    pre_stressed_layer,
)
from dossier.mechanics.layer import LayerStiffness

ZONE = (20.0, 35.0, radians(50), radians(130), 1.0, 2000.0)
ASYMMETRIC = (15.0, 22.0, radians(40), radians(120), 0.8, 1500.0)
COARSE = {"cells": (2, 6)}
ALL_FOUR = PinPlacement(1.0, 0.8, 0.05, 0.1)
SOFT = MetalCompliance(axial=1e-3, radial=3e-4, torsional=5e-6, conical=1e-5, coupling=1e-5)
NAMES = ("axial", "radial", "moment", "torque")


def felt(load):
    return [getattr(load, name) for name in NAMES]


@pytest.fixture(scope="module")
def under_soft_metal():
    return loads(ZONE, ALL_FOUR, metal=SOFT)[0]


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


def test_a_turn_alone_is_the_torsional_curve():
    """The curve's unknown is the angle, here it is u_θ: on this mesh 5e-4 lie between them, falling with the mesh."""
    curve = layer_curve(*ZONE, direction="torsional", displacements=[0.2], **COARSE)
    found = loads(ZONE, PinPlacement(turn=0.2))[0]
    assert found.torque == pytest.approx(curve.forces[0], rel=5e-4)
    assert (found.axial, found.radial, found.moment) == pytest.approx((0.0, 0.0, 0.0), abs=1e-6)


def test_torque_and_the_other_loads_come_from_one_energy():
    """Reciprocity of torque with moment and radial force, at a place where all four motions act."""
    base, step = ALL_FOUR.vector, 1e-3

    def at(motion, sign):
        place = base.copy()
        place[motion] += sign * step
        return loads(ASYMMETRIC, PinPlacement(*place))[0]

    def slopes(motion):
        ahead, behind = at(motion, 1), at(motion, -1)
        return {name: (getattr(ahead, name) - getattr(behind, name)) / (2 * step) for name in NAMES}

    radial, tilt, turn = slopes(1), slopes(2), slopes(3)
    assert turn["radial"] == pytest.approx(radial["torque"], rel=1e-3)
    assert turn["moment"] == pytest.approx(tilt["torque"], rel=1e-3)
    assert abs(turn["moment"]) > 10.0


def test_a_turn_the_other_way_mirrors_the_load():
    one, other = (loads(ASYMMETRIC, PinPlacement(0.3, 0.4, 0.03, sign * 0.1))[0] for sign in (1, -1))
    assert felt(other)[:3] == pytest.approx(felt(one)[:3], rel=1e-9)
    assert other.torque == pytest.approx(-one.torque, rel=1e-9)


def test_soft_metal_in_series_adds_its_own_motion(under_soft_metal):
    """Far end = layer's part + compliance · load, the layer's loads those of its part between rigid metal."""
    found = under_soft_metal
    assert found.placement.vector == pytest.approx(ALL_FOUR.vector, rel=1e-9)
    metal = [SOFT.axial * found.axial, SOFT.radial * found.radial + SOFT.coupling * found.moment,
             SOFT.coupling * found.radial + SOFT.conical * found.moment, SOFT.torsional * found.torque]  # fmt: skip
    assert found.placement.vector - found.layer.vector == pytest.approx(metal, rel=1e-9)
    assert (found.layer.vector < 0.9 * ALL_FOUR.vector).all()
    assert felt(loads(ZONE, found.layer)[0]) == pytest.approx(felt(found), rel=1e-7)


def test_stiff_metal_in_series_is_rigid():
    rigid = loads(ZONE, PinPlacement(0.5, 0.8, 0.05))[0]
    stiff = LayerStiffness(axial=1e12, radial=1e12, torsional=1e15, conical=1e15, coupling=1e11)
    assert felt(loads(ZONE, PinPlacement(0.5, 0.8, 0.05), metal=MetalCompliance.of(stiff))[0]) == pytest.approx(
        felt(rigid), rel=1e-7
    )


def test_metal_in_series_at_small_motions_is_that_of_the_linear_stiffnesses():
    """Small motions of layer and metal: their compliances add up, coupled as they are."""
    layer = pre_stressed_layer(SphericalLayer(*ASYMMETRIC), assembly=ShellClosing(0.2), **COARSE).stiffness
    metal = LayerStiffness(axial=900.0, radial=3000.0, torsional=1e5, conical=6e4, coupling=-2000.0)
    both = layer.in_series(metal)
    radial, tilt = (loads(ASYMMETRIC, place, closing=0.2, metal=MetalCompliance.of(metal))[0]
                    for place in (PinPlacement(radial=1e-4), PinPlacement(tilt=1e-5)))  # fmt: skip
    assert (radial.radial / 1e-4, radial.moment / 1e-4) == pytest.approx((both.radial, both.coupling), rel=1e-3)
    assert (tilt.radial / 1e-5, tilt.moment / 1e-5) == pytest.approx((both.coupling, both.conical), rel=1e-3)


def test_forces_and_angles_asked_for_together_are_met(under_soft_metal):
    """A load case gives forces and angles: at the loads found for a placement the placement comes back."""
    asked = PinDemand(under_soft_metal.axial, under_soft_metal.radial, 0.05, 0.1)
    (found,) = loads_under(SphericalLayer(*ZONE), demands=[asked], metal=SOFT, **COARSE)
    assert (found.axial, found.radial) == pytest.approx((asked.axial_force, asked.radial_force), rel=1e-7)
    assert found.placement.vector == pytest.approx(ALL_FOUR.vector, rel=1e-6)


def test_a_force_beyond_reach_keeps_what_was_found():
    told = r"combined.demands\[1\] = PinDemand\(axial_force=0.0, radial_force=5000000.0, tilt=0.0, turn=0.0\) not reached"
    with pytest.raises(CombinedLoadStopped, match=told) as stopped:
        loads_under(SphericalLayer(*ZONE), demands=[PinDemand(radial_force=500.0), PinDemand(radial_force=5e6)], **COARSE)
    assert [load.radial for load in stopped.value.loads] == pytest.approx([500.0])
    assert stopped.value.last.radial > 500.0


def test_more_harmonics_change_little():
    """At 1.5 mm, a tenth of the thickness: three against four harmonics."""
    three, four = (loads(ZONE, PinPlacement(radial=1.5), harmonics=count)[0].radial for count in (3, 4))
    assert three == pytest.approx(four, rel=1e-4)


def test_a_placement_that_is_not_reached_keeps_the_loads_before():
    with pytest.raises(CombinedLoadStopped) as stopped:
        loads(ZONE, PinPlacement(radial=1.0), PinPlacement(2.0, 30.0, 0.1))
    message = str(stopped.value)
    assert message.startswith(
        "combined.placements[1] = PinPlacement(axial=2.0, radial=30.0, tilt=0.1, turn=0.0) not reached: step "
    )
    assert "last loads " in message and "ask for less" in message
    assert 1.0 < stopped.value.last.placement.radial < 30.0
    assert stopped.value.loads == loads(ZONE, PinPlacement(radial=1.0))


def test_a_closing_that_is_not_reached_keeps_no_load():
    with pytest.raises(CombinedLoadStopped, match="combined.closing = 14 mm not reached: no equilibrium between") as stopped:
        loads(ZONE, PinPlacement(radial=1.0), closing=14.0)
    assert stopped.value.loads == ()


def test_values_out_of_range_are_refused():
    with pytest.raises(ValueError, match="placement.tilt = nan rad must be a finite number; correct the entry"):
        PinPlacement(tilt=nan)
    with pytest.raises(ValueError, match=r"combined.placements = \[\] must hold at least one of them"):
        loads(ZONE)
    with pytest.raises(ValueError, match="placement.tilt = 4 rad must lie between -1.571 and 1.571 rad; convert degrees"):
        PinPlacement(tilt=4)
    with pytest.raises(ValueError, match=r"demand.turn = 12 rad must lie between -3.142 and 3.142 rad; convert degrees"):
        PinDemand(turn=12)
    with pytest.raises(ValueError, match="demand.axial_force = nan N must be a finite number; correct the entry"):
        PinDemand(axial_force=nan)
    with pytest.raises(ValueError, match="metal.radial = -1 mm/N must be at least 0 mm/N; 0 is rigid metal"):
        MetalCompliance(radial=-1)
    with pytest.raises(ValueError, match="metal.coupling = 0.2 rad/N must have a square of at most metal.radial"):
        MetalCompliance(radial=0.1, conical=0.1, coupling=0.2)
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
