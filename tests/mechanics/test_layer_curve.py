"""Public curves of the layer: limits, symmetry, closing, a pin in series, loads that are searched, and messages."""

from math import inf, nan, pi, radians

import pytest

from dossier.mechanics import LayerCurveStopped, layer_curve, layer_curve_at_forces, layer_stiffness
from dossier.mechanics.curves import DIRECTIONS
from dossier.mechanics.finite_layer import closed_layer, finite_cells, finite_layer
from dossier.mechanics.hyperelastic import MooneyRivlin, NeoHookean, Yeoh
from dossier.mechanics.increments import stiffness_around
from dossier.mechanics.layer import SphericalLayer, _solve
from dossier.mechanics.prestress import RingTravel, ShellClosing, pre_stressed_layer

ZONE = (20.0, 35.0, radians(50), radians(130), 1.0, 2000.0)
ASYMMETRIC = (15.0, 22.0, radians(40), radians(120), 0.8, 1500.0)
COARSE = {"cells": (2, 6)}
MOVED = {"axial": 1.5, "torsional": 0.3, "radial": 1.0, "conical": 0.1}


def curve(layer, direction, *displacements, **rest):
    return layer_curve(*layer, direction=direction, displacements=displacements, **rest)


@pytest.mark.parametrize("direction", DIRECTIONS)
@pytest.mark.parametrize("layer", [ZONE, ASYMMETRIC], ids=["symmetric", "asymmetric"])
def test_small_displacements_have_the_linear_stiffness(layer, direction):
    """On the same mesh the slope differs by the curvature over 1e-4 of the thickness only."""
    small = 1e-4 * MOVED[direction]
    points = curve(layer, direction, small, -small)
    checked = SphericalLayer(*layer)
    cells = finite_cells(checked, coarse=direction in ("radial", "conical"))
    linear = _solve(checked, finite_layer(checked, NeoHookean(checked.shear_modulus), cells).mesh)
    slope = (points.forces[0] - points.forces[1]) / (2 * small)
    # The twist interpolates the angle instead of the displacement, see the small finite twist: seen 2e-5.
    assert slope == pytest.approx(getattr(linear, direction), rel=5e-5 if direction == "torsional" else 1e-6)
    # Both meshes near the limit: 0.2 % seen for the coarse one.
    assert slope == pytest.approx(getattr(layer_stiffness(*layer), direction), rel=4e-3)


@pytest.mark.parametrize("direction", DIRECTIONS)
def test_the_curve_of_a_symmetric_zone_is_odd(direction):
    moved = MOVED[direction]
    points = curve(ZONE, direction, moved, 0.0, -moved, **COARSE)
    assert points.displacements == (moved, 0.0, -moved)
    assert points.forces[1] == pytest.approx(0.0, abs=1e-9)
    assert points.forces[0] == pytest.approx(-points.forces[2], rel=1e-8)
    assert points.forces[0] > 0.0


@pytest.mark.parametrize("direction", DIRECTIONS)
def test_zero_stays_zero_after_closing_an_asymmetric_zone(direction):
    """The pin rests where its axial force vanishes; motions count from there."""
    points = curve(ASYMMETRIC, direction, 0.0, closing=0.2, **COARSE)
    assert points.pin_offset < -0.1
    assert points.forces[0] == pytest.approx(0.0, abs=1e-5)
    mirrored = (*ASYMMETRIC[:2], pi - ASYMMETRIC[3], pi - ASYMMETRIC[2], *ASYMMETRIC[4:])
    other = curve(mirrored, direction, 0.0, closing=0.2, **COARSE)
    assert other.pin_offset == pytest.approx(-points.pin_offset, rel=1e-5)
    assert curve(ZONE, direction, 0.0, closing=0.2, **COARSE).pin_offset == 0.0


def test_an_asymmetric_zone_is_the_mirror_image_of_its_mirror_image():
    mirrored = (*ASYMMETRIC[:2], pi - ASYMMETRIC[3], pi - ASYMMETRIC[2], *ASYMMETRIC[4:])
    forward = curve(ASYMMETRIC, "axial", 1.0, **COARSE).forces[0]
    backward = curve(ASYMMETRIC, "axial", -1.0, **COARSE).forces[0]
    assert curve(mirrored, "axial", -1.0, **COARSE).forces[0] == pytest.approx(-forward, rel=1e-8)
    assert abs(forward + backward) > 0.01 * forward


@pytest.mark.parametrize("direction", DIRECTIONS)
def test_the_slope_after_closing_is_the_stiffness_around_the_closed_state(direction):
    layer, closing, small = SphericalLayer(*ASYMMETRIC), 0.2, 1e-3
    finite = finite_layer(layer, NeoHookean(0.8), (4, 12))
    closed = closed_layer(finite, closing)
    around = stiffness_around(finite.body, closed.equilibrium, finite.faces, pin_centre=closed.pin_offset)
    points = curve(ASYMMETRIC, direction, small, -small, closing=closing, cells=(4, 12))
    slope = (points.forces[0] - points.forces[1]) / (2 * small)
    # Torsion: angle and displacement are interpolated differently, seen 2e-4 on this mesh.
    assert slope == pytest.approx(getattr(around, direction), rel=5e-4 if direction == "torsional" else 1e-5)


def test_closing_stiffens_translation_and_softens_rotation():
    """As the reference run does by +11 %, +22 %, -6 % and -11.5 % at 1 mm."""
    change = {}
    for direction in DIRECTIONS:
        small = 0.05 * MOVED[direction]
        change[direction] = curve(ZONE, direction, small, closing=1.0).forces[0] / curve(ZONE, direction, small).forces[0]
    expected = {"axial": 1.11, "radial": 1.22, "torsional": 0.94, "conical": 0.885}
    assert change == pytest.approx(expected, abs=0.006)


def test_displacements_in_any_order_give_the_same_points():
    ordered = curve(ZONE, "axial", -1.0, 0.5, 1.0, 2.0, **COARSE)
    mixed = curve(ZONE, "axial", 2.0, -1.0, 1.0, 0.5, **COARSE)
    assert mixed.displacements == (2.0, -1.0, 1.0, 0.5)
    # Other starts, the same equilibria within the tolerance of Newton's method.
    assert sorted(mixed.forces) == pytest.approx(list(ordered.forces), rel=1e-7)


def test_repeated_displacements_are_kept():
    points = curve(ZONE, "axial", 1.0, 1.0, **COARSE)
    assert points.forces[0] == points.forces[1]


@pytest.mark.parametrize("direction", DIRECTIONS)
def test_a_pin_in_series_takes_its_part(direction):
    moved = MOVED[direction]
    rigid = curve(ZONE, direction, moved, **COARSE)
    pin = 4.0 * rigid.forces[0] / moved
    soft = curve(ZONE, direction, moved, -moved, pin_stiffness=pin, **COARSE)
    assert soft.displacements == (moved, -moved)
    for total, layer, force in zip(soft.displacements, soft.layer_displacements, soft.forces, strict=True):
        assert layer + force / pin == pytest.approx(total, rel=1e-6)
    assert curve(ZONE, direction, soft.layer_displacements[0], **COARSE).forces[0] == pytest.approx(soft.forces[0], rel=1e-6)
    assert 0.7 * moved < soft.layer_displacements[0] < 0.9 * moved


@pytest.mark.parametrize("direction", DIRECTIONS)
def test_forces_and_displacements_are_the_two_ways_into_one_curve(direction):
    moved = MOVED[direction]
    given = curve(ZONE, direction, moved, -moved / 2, **COARSE)
    found = layer_curve_at_forces(SphericalLayer(*ZONE), direction=direction, forces=(*given.forces, 0.0), **COARSE)
    assert found.displacements == pytest.approx((moved, -moved / 2, 0.0), abs=1e-6 * moved)
    assert found.forces == pytest.approx((*given.forces, 0.0), rel=1e-6, abs=1e-6)


def test_a_force_on_a_soft_pin_moves_its_end_further():
    pin = 2000.0
    plain = layer_curve_at_forces(SphericalLayer(*ZONE), direction="axial", forces=[800.0], **COARSE)
    soft = layer_curve_at_forces(SphericalLayer(*ZONE), direction="axial", forces=[800.0], pin_stiffness=pin, **COARSE)
    assert soft.displacements[0] == pytest.approx(plain.displacements[0] + 800.0 / pin, rel=1e-6)


def test_laws_of_the_same_modulus_part_at_large_displacement_only():
    laws = {"neo": None, "yeoh": Yeoh(0.5, -0.03, 0.001), "mooney": MooneyRivlin(0.3, 0.2)}
    small = {name: curve(ZONE, "axial", 0.01, law=law, **COARSE).forces[0] for name, law in laws.items()}
    large = {name: curve(ZONE, "axial", 4.0, law=law, **COARSE).forces[0] for name, law in laws.items()}
    assert max(small.values()) == pytest.approx(min(small.values()), rel=1e-5)
    assert large["yeoh"] < 0.99 * large["neo"]
    assert abs(large["mooney"] / large["neo"] - 1) > 1e-3


def test_a_run_that_stops_names_step_and_load_and_keeps_the_steps_before():
    with pytest.raises(LayerCurveStopped) as stopped:
        curve(ZONE, "radial", 1.0, -1.0, 30.0, **COARSE)
    message = str(stopped.value)
    assert message.startswith("curve.displacements[2] = 30 mm not reached: radial step 2 stopped between ")
    assert "mm of the layer, last load " in message
    assert message.endswith("ask for less or make the layer thicker")
    kept = stopped.value.curve
    assert kept.displacements == (1.0, -1.0)
    assert kept.forces == curve(ZONE, "radial", 1.0, -1.0, **COARSE).forces


def test_a_closing_that_stops_is_told():
    with pytest.raises(LayerCurveStopped, match=r"curve.closing = 14 mm not reached: no equilibrium between \d") as stopped:
        curve(ZONE, "axial", 1.0, closing=14.0)
    assert stopped.value.curve.displacements == ()


def test_folded_rubber_at_an_edge_is_flagged():
    """On this mesh the corner cell folds at 6x6 points near 5 mm of axial travel, unseen at 3x3."""
    points = curve(ZONE, "axial", 2.0, 6.0)
    assert points.folded == (False, True)
    assert points.least_volume_ratios[0] > 0.5


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"direction": "sideways"}, "curve.direction = 'sideways' must be one of axial, torsional, radial, conical"),
        ({"displacements": [0.0, nan]}, r"curve.displacements\[1\] = nan mm must be a finite number; correct the entry"),
        ({"displacements": [inf], "direction": "conical"}, r"curve.displacements\[0\] = inf rad must be a finite number"),
        ({"displacements": []}, r"curve.displacements = \[\] must hold at least one value in mm; add the points"),
        ({"displacements": ["a"]}, r"curve.displacements\[0\] = 'a' must be a number in mm; correct the entry"),
        ({"closing": -0.1}, "curve.closing = -0.1 mm must be at least 0 mm and less than the layer's thickness 15 mm"),
        ({"closing": 15.0}, "curve.closing = 15 mm must be at least 0 mm and less than"),
        ({"closing": nan}, "curve.closing = nan mm must be a finite number"),
        ({"pin_stiffness": 0.0}, "curve.pin_stiffness = 0.0 N/mm must exceed 0 N/mm; leave it out"),
        ({"pin_stiffness": nan, "direction": "torsional"}, "curve.pin_stiffness = nan N·mm/rad must be a finite number"),
        ({"law": NeoHookean(1.2)}, "layer.law = NeoHookean has the small-strain shear modulus 1.2 MPa, which must equal"),
        ({"cells": (1, 6)}, r"layer.cells = \(1, 6\) must be two whole numbers of at least 2"),
    ],
)
def test_values_out_of_range_are_refused(change, message):
    with pytest.raises(ValueError, match=message):
        layer_curve(*ZONE, **{"direction": "axial", "displacements": [1.0], **change})


@pytest.mark.parametrize(
    ("place", "value", "message"),
    [
        (1, 20.0, "layer.outer_radius = 20.0 mm must exceed layer.inner_radius"),
        (4, 0.0, "layer.shear_modulus = 0 MPa must exceed 0 MPa"),
        (5, 0.5, "layer.bulk_modulus = 0.5 MPa must exceed layer.shear_modulus = 1 MPa"),
        (3, nan, "layer.polar_end = nan rad must be a finite number"),
    ],
)
def test_layers_out_of_range_are_refused(place, value, message):
    layer = list(ZONE)
    layer[place] = value
    with pytest.raises(ValueError, match=message):
        curve(layer, "axial", 1.0)


@pytest.mark.parametrize("direction", DIRECTIONS)
@pytest.mark.parametrize(
    "layer",
    [(20.0, 30.0, 0.0, radians(120), 1.0, 1e5), (10.0, 40.0, radians(80), radians(100), 1.0, 2000.0),
     (40.0, 41.0, radians(40), radians(140), 1.0, 2000.0)],
    ids=["cap to the axis", "short", "thin"],
)
def test_unusual_layers_have_curves(layer, direction):
    """One step of 0.2 % of the thickness; the meshes are within 0.6 %, the short one being the worst."""
    lever = layer[0] if direction in ("torsional", "conical") else 1.0
    moved = 0.002 * (layer[1] - layer[0]) / lever
    points = curve(layer, direction, moved)
    assert points.forces[0] / moved == pytest.approx(getattr(layer_stiffness(*layer), direction), rel=0.01)


def test_a_curve_starts_from_the_assembled_state():
    """Its first slope is the stiffness after assembly, of rings with their gap and of closed shells."""
    for assembly, press_in in ((RingTravel(0.4, 3.0), 0.1), (ShellClosing(0.4), 0.0)):
        points = curve(ZONE, "axial", 1e-4, -1e-4, assembly=assembly, press_in=press_in)
        assembled = pre_stressed_layer(SphericalLayer(*ZONE), assembly=assembly, press_in=press_in)
        slope = (points.forces[0] - points.forces[1]) / 2e-4
        assert slope == pytest.approx(assembled.stiffness.axial, rel=1e-5)


def test_an_assembly_that_stops_leaves_no_curve():
    with pytest.raises(LayerCurveStopped, match=r"half shells closed: travel 7 mm not reached") as caught:
        curve(ZONE, "axial", 1.0, assembly=ShellClosing(7.0))
    assert caught.value.curve.forces == ()
