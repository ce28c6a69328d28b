"""What an outsider may get wrong in the public functions: each is refused at once with field, value, limit and remedy."""

from dataclasses import replace
from math import inf, nan, radians

import pytest

from dossier.mechanics import RingTravel, ShellClosing, layer_curve, layer_stiffness, section_stiffness
from dossier.mechanics.section_mesh import MeshSize
from dossier.mechanics.shapes import Bore
from dossier.mechanics.whole_section import Elastic
from tests.mechanics.joints import long_arm, short_arm, steel_and

LAYER = {"inner_radius": 20.0, "outer_radius": 35.0, "polar_start": radians(50), "polar_end": radians(130),
         "shear_modulus": 1.0, "bulk_modulus": 2000.0}  # fmt: skip
MATERIALS = steel_and((1.1, 2000.0))


def refused(call, *args, **given):
    with pytest.raises(ValueError) as caught:
        call(*args, **given)
    return str(caught.value)


@pytest.mark.parametrize(("given", "words"), [
    ({"inner_radius": nan}, "layer.inner_radius = nan mm must be a finite number; correct the entry"),
    ({"inner_radius": "20"}, "layer.inner_radius = '20' must be a number in mm; correct the entry"),
    ({"inner_radius": True}, "layer.inner_radius = True must be a number in mm"),
    ({"outer_radius": 20.0}, "layer.outer_radius = 20.0 mm must exceed layer.inner_radius = 20.0 mm; enlarge it"),
    ({"outer_radius": 20.001}, "layer.length_ratio = 2.79e+04 (polar length over thickness) must lie between 0.25 and 1000"),
    ({"inner_radius": 0.020, "outer_radius": 0.035}, "layer.outer_radius = 0.035 mm must lie between 0.1 and 100000 mm; check"),
    ({"inner_radius": 1e300, "outer_radius": 2e300}, "layer.outer_radius = 2e+300 mm must lie between 0.1 and 100000 mm"),
    ({"polar_start": 50, "polar_end": 130}, "layer.polar_end = 130 rad must be at most π = 3.14159 rad; measure it from"),
    ({"polar_start": 2.0, "polar_end": 1.0}, "layer.polar_end = 1 rad must exceed layer.polar_start = 2 rad; exchange"),
    ({"shear_modulus": 0.0}, "layer.shear_modulus = 0 MPa must exceed 0 MPa; give the shear modulus of the rubber"),
    ({"shear_modulus": 1.1e6, "bulk_modulus": 2e9}, "layer.shear_modulus = 1.1e+06 MPa must be at most 10000 MPa; rubber has"),
    ({"bulk_modulus": inf}, "layer.bulk_modulus = inf MPa must be a finite number"),
    ({"bulk_modulus": 0.5}, "layer.bulk_modulus = 0.5 MPa must exceed layer.shear_modulus = 1 MPa; rubber has some"),
    ({"cells": (8,)}, "layer.cells = (8,) must be two whole numbers of at least 2, 10000 cells in all at most; give cells"),
    ({"cells": (500, 500)}, "layer.cells = (500, 500) must be two whole numbers"),
    ({"cells": "fine"}, "layer.cells = 'fine' must be two whole numbers"),
])  # fmt: skip
def test_a_layer_that_cannot_be(given, words):
    assert words in refused(layer_stiffness, **LAYER | given)


@pytest.mark.parametrize(("direction", "displacements", "given", "words"), [
    ("Axial", [1], {}, "curve.direction = 'Axial' must be one of axial, torsional, radial, conical; choose one"),
    ("axial", [], {}, "curve.displacements = [] must hold at least one value in mm; add the points"),
    ("axial", 3.0, {}, "curve.displacements = 3.0 must be a list of numbers in mm; put them into a list"),
    ("axial", "12", {}, "curve.displacements = '12' must be a list of numbers in mm"),
    ("axial", [1, nan], {}, "curve.displacements[1] = nan mm must be a finite number; correct the entry"),
    ("axial", [[1, 2]], {}, "curve.displacements[0] = [1, 2] must be a number in mm; correct the entry"),
    ("torsional", [12.0], {}, "curve.displacements[0] = 12 rad must lie between -3.142 and 3.142 rad; convert degrees"),
    ("conical", [-4.0], {}, "curve.displacements[0] = -4 rad must lie between -1.571 and 1.571 rad; convert degrees to radians"),
    ("axial", [1], {"closing": 15.0}, "curve.closing = 15 mm must be at least 0 mm and less than the layer's thickness 15 mm"),
    ("axial", [1], {"closing": nan}, "curve.closing = nan mm must be a finite number"),
    ("axial", [1], {"press_in": 1.0}, "ring.press_in = 1.0 mm must be 0 mm without an assembly; give the assembly before it"),
    ("axial", [1], {"closing": 1.0, "assembly": ShellClosing(1.0)}, "curve.closing = 1 mm must be 0 mm beside an assembly"),
    ("axial", [1], {"assembly": "rings"}, "assembly = 'rings' must be a ShellClosing or a RingTravel; give one with its travel"),
    ("axial", [1], {"assembly": RingTravel(0.1, nan)}, "rings.gap = nan mm must be a finite number; correct the entry"),
    ("axial", [1], {"law": "yeoh"}, "layer.law = 'yeoh' must be NeoHookean, MooneyRivlin or Yeoh; leave it out"),
    ("axial", [1], {"pin_stiffness": 0.0}, "curve.pin_stiffness = 0.0 N/mm must exceed 0 N/mm; leave it out for a rigid pin"),
    ("axial", [1], {"pin_stiffness": 1e-9}, "curve.pin_stiffness = 1e-09 must be at least 0.0012 for these displacements"),
])  # fmt: skip
def test_a_curve_that_cannot_be(direction, displacements, given, words):
    assert words in refused(layer_curve, **LAYER | given, direction=direction, displacements=displacements)


def test_displacements_in_any_order_keep_their_order():
    """Zero, repeated and falling values are no mistake: each has its own force, where it was asked for."""
    curve = layer_curve(**LAYER, direction="axial", displacements=[1, 0, -0.5, 1, 0.5], cells=(2, 6))
    assert curve.displacements == (1, 0, -0.5, 1, 0.5)
    assert curve.forces[0] == curve.forces[3] > curve.forces[4] == pytest.approx(-curve.forces[2]) and curve.forces[1] == 0.0


def pin(**changes):
    joint = long_arm()
    return replace(joint, pin=replace(joint.pin, **changes))


def rubber(**changes):
    joint = long_arm()
    return replace(joint, layer=replace(joint.layer, **changes))


def carrier(joint, **changes):
    return replace(joint, carrier=replace(joint.carrier, **changes))


@pytest.mark.parametrize(("joint", "words"), [
    (None, "joint = None must be a JointShape; give pin, core, layer and carrier"),
    (replace(long_arm(), carrier=None), "carrier = None must be Rings or HalfShells; give its dimensions"),
    (pin(neck_radius="17"), "pin.neck_radius = '17' must be a number; enter the dimension"),
    (pin(neck_radius=nan), "pin.neck_radius = nan mm must be a finite number; enter the dimension"),
    (pin(neck_radius=30.0), "pin.neck_radius = 30.0 mm must be below pin.ball_radius = 28.0 mm; reduce the neck"),
    (pin(bores=(Bore(40.0, -80.0, 80.0),)), "pin.bores[0].diameter = 40.0 mm must be below 34.0 mm, set by pin.neck_radius"),
    (pin(bores=[Bore("10", -80.0, 80.0)]), "pin.bores[0].diameter = '10' must be a number; enter the dimension"),
    (pin(bores=(Bore(33.9, -80.0, 80.0),)), "pin.bores[0].diameter = 33.9 mm leaves a wall of 0.05 mm, which must be at least"),
    (rubber(outer_radius=28.0), "layer.outer_radius = 28.0 mm must exceed layer.inner_radius = 28.0 mm; enlarge it"),
    (rubber(polar_start=130.0, polar_end=50.0), "layer.polar_start = 130.0° must be below layer.polar_end = 50.0°; exchange"),
    (rubber(polar_start=radians(50), polar_end=radians(130)), "layer.polar_start = 0.872664626° must be at least 39.2965°"),
    (carrier(long_arm(), outer_radius=36.01), "carrier.outer_radius = 36.01 mm leaves a wall of 0.01 mm, which must be at least"),
    (carrier(short_arm(), gap=50.0), "carrier.gap = 50.0 mm must be below 44.0 mm, set by carrier.half_width = 22.0 mm"),
])  # fmt: skip
def test_a_section_that_cannot_be(joint, words):
    assert words in refused(section_stiffness, joint, MATERIALS)


@pytest.mark.parametrize(("materials", "words"), [
    (None, "materials = None must be Materials; give pin, carrier and the moduli of the rubber"),
    (replace(MATERIALS, pin=None), "pin = None must be Elastic; give Young's modulus and Poisson's ratio"),
    (replace(MATERIALS, pin=Elastic(210.0, 0.3)), "pin.youngs_modulus = 210 MPa must be at least 1000 MPa; give it in MPa"),
    (replace(MATERIALS, pin=Elastic("steel", 0.3)), "pin.youngs_modulus = 'steel' must be a number in MPa; correct the entry"),
    (replace(MATERIALS, carrier=Elastic(7e4, nan)), "carrier.poisson_ratio = nan must be a finite number; correct the entry"),
    (replace(MATERIALS, shear_modulus=None), "layer.shear_modulus = None must be a number in MPa; correct the entry"),
    (replace(MATERIALS, shear_modulus=1.1e6, bulk_modulus=2e9), "MPa must exceed 0 MPa and be at most 10000 MPa; give the shear"),
])  # fmt: skip
def test_materials_that_cannot_be(materials, words):
    assert words in refused(section_stiffness, long_arm(), materials)


@pytest.mark.parametrize(("size", "words"), [
    ({"layer_cells": 6}, "size.layer_cells = 6 must be two whole numbers; give cells across and along"),
    ({"layer_cells": (0, 20)}, "size.layer_cells = 0 must be a whole number from 2 to 10000; correct the entry"),
    ({"layer_cells": (200, 200)}, "size.layer_cells = (200, 200) must be 10000 in all at most; mesh it coarser"),
    ({"coarse": 0.001}, "size.coarse = 0.001 must lie between 0.02 and 2; it is a share of the neck's radius"),
    ({"coarse": nan}, "size.coarse = nan must be a finite number; correct the entry"),
    ({"fillet_sides": 5000}, "size.fillet_sides = 5000 must be a whole number from 1 to 500; correct the entry"),
])  # fmt: skip
def test_a_mesh_that_cannot_be(size, words):
    assert words in refused(MeshSize, **size)
