"""Finite strain of bonded zones against runs of the formulation's prototype; none is a published value.

The prototype was written separately from this code with the same elements, so equal meshes agree to the printed
digits. Its results extrapolated over meshes tell how far a practical mesh is from the limit.
"""

from math import pi, radians

import numpy as np
import pytest
from finite_samples import through, zone

from dossier.mechanics import ShellClosing, SphericalLayer, layer_curve, pre_stressed_layer
from dossier.mechanics.increments import stiffness_around

THICK = (20, 35, 50, 130, 1.0, 2000)
ASYMMETRIC = (15, 22, 40, 120, 0.8, 1500)


def in_radians(layer):
    inner, outer, start, end, shear, bulk = layer
    return inner, outer, radians(start), radians(end), shear, bulk


def axial_run(layer, cells, travels):
    body = zone(*layer, cells)
    return body, through(body.axisymmetric(), [body.axial(travel) for travel in travels])


def closed(layer, cells, travels):
    body = zone(*layer, cells)
    steps = []
    for travel in travels:
        given = np.zeros((len(body.mesh.nodes), 2))
        given[body.mesh.outer, 0] = -travel
        steps.append(given)
    return body, through(body.axisymmetric(), steps)[-1]


def pin_forces(body, run):
    return [found.forces[body.mesh.inner, 1].sum() for found in run]


def test_axial_force_on_the_prototype_mesh():
    body, run = axial_run(THICK, (4, 14), (1.0, 2.0, 3.0))
    assert pin_forces(body, run)[-1] == pytest.approx(1737.218, abs=0.001)


def test_axial_travel_of_the_thick_zone_on_the_finest_prototype_mesh():
    body, run = axial_run(THICK, (14, 48), (1.0, 2.0, 3.0))
    assert pin_forces(body, run) == pytest.approx([581.40, 1159.9, 1732.1], rel=5e-5)
    around = stiffness_around(body.body, run[-1], body.faces, pin_centre=3.0)
    assert (around.torsional, around.radial, around.conical) == pytest.approx((205365, 1764.1, 126910), rel=3e-5)


def test_closing_of_the_thick_zone_on_the_finest_prototype_mesh():
    body, found = closed(THICK, (14, 48), (0.375, 0.75))
    around = stiffness_around(body.body, found, body.faces)
    expected = (631.9, 195932, 2033, 116531)
    # The prototype's figures are printed with four digits.
    assert (around.axial, around.torsional, around.radial, around.conical) == pytest.approx(expected, rel=3e-4)
    assert found.forces[body.mesh.outer, 0].sum() == pytest.approx(-6379, rel=1e-4)


def test_asymmetric_zone_on_the_prototype_mesh():
    body, run = axial_run(ASYMMETRIC, (9, 32), (0.5, 1.0, 1.5))
    assert pin_forces(body, run) == pytest.approx([345.2, 711.6, 1097.5], rel=2e-4)
    body, found = closed(ASYMMETRIC, (9, 32), (0.175, 0.35))
    around = stiffness_around(body.body, found, body.faces)
    expected = (765.9, 77210, 2683, 48666)
    assert (around.axial, around.torsional, around.radial, around.conical) == pytest.approx(expected, rel=2e-4)


def test_radial_and_tilting_curves_on_the_prototype_mesh():
    body = zone(*THICK, (4, 14))
    support = body.fourier(4)
    radial = through(support, [body.placed(support, radial=travel) for travel in (0.8, 1.6)])
    forces = [body.pin_load(support, found, "radial") for found in radial]
    assert forces == pytest.approx([1414.68, 2831.92], abs=0.006)
    tilt = radians(4)
    found = through(support, [body.placed(support, tilt=tilt)])[-1]
    assert body.pin_load(support, found, "conical", tilt) == pytest.approx(8892.95, abs=0.006)


def test_combined_load_on_the_prototype_mesh():
    """Axial and radial 2 mm with a tilt of 6°, four harmonics."""
    body = zone(*THICK, (4, 14))
    support = body.fourier(4)
    way = [body.placed(support, axial=2 * part, radial=2 * part, tilt=radians(6) * part) for part in (0.5, 1.0)]
    found = through(support, way)[-1]
    assert body.pin_load(support, found, "axial") == pytest.approx(1122.126, abs=0.001)
    assert body.pin_load(support, found, "radial") == pytest.approx(3477.03, abs=0.006)


def shells_closed(support, body, travel, along):
    """Prescribed harmonics of an outer face moved by -travel · sgn(cos θ) along x; turned by 90° unless `along`."""
    given = np.zeros(support.held.shape)
    outer = given[body.mesh.outer].reshape(-1, support.kinematics.harmonics + 1, 3)
    outer[:, 0, 0] = -2 * travel / pi
    for k in range(1, support.kinematics.harmonics // 2 + 1):
        sign = (-1) ** (k + 1) if along else -1
        outer[:, 2 * k, 0] = -4 * travel / pi * sign / (4 * k * k - 1)
        outer[:, 2 * k, 2] = 8 * travel / pi * sign * k / (4 * k * k - 1)
    given[body.mesh.outer] = outer.reshape(len(outer), -1)
    return given


@pytest.mark.parametrize(("along", "radial"), [(True, 2030), (False, 1998)], ids=["along", "across"])
def test_half_shells_closed_unevenly_differ_little_from_their_mean(along, radial):
    """Two shells closed by 1 mm each: 2012 N/mm with the mean travel alone, 630 N/mm axially in every case.

    The prototype's mesh has 4x14 cells and four harmonics; its figures are whole numbers.
    """
    body = zone(*THICK, (4, 14))
    support = body.fourier(4)
    closing = [shells_closed(support, body, travel, along) for travel in (0.34, 0.67, 1.0)]
    found = through(support, closing)[-1]
    slope = {}
    for direction in ("radial", "axial"):
        moved = closing[-1] + body.placed(support, **{direction: 1e-3})
        slope[direction] = body.pin_load(support, support.solve(found.state, moved), direction) / 1e-3
    assert slope["radial"] == pytest.approx(radial, abs=1.0)
    assert slope["radial"] == pytest.approx(2012, rel=0.011)
    assert slope["axial"] == pytest.approx(630, abs=1.0)


# Deviations seen: thick zone 0.27 % axially and 0.05 % radially; asymmetric zone 0.83 % at 1.5 mm, where the
# extrapolation itself is uncertain by 0.2 %; stiffness after closing up to 0.9 %.
def test_default_meshes_stay_close_to_the_extrapolated_values():
    axial = layer_curve(*in_radians(THICK), direction="axial", displacements=[1, 2, 3])
    assert axial.forces == pytest.approx((581.1, 1159.1, 1730.5), rel=4e-3)
    asymmetric = layer_curve(*in_radians(ASYMMETRIC), direction="axial", displacements=[0.5, 1.0, 1.5])
    assert asymmetric.forces == pytest.approx((344.9, 709.5, 1091), rel=1e-2)
    radial = layer_curve(*in_radians(THICK), direction="radial", displacements=[4.0])
    assert radial.forces == pytest.approx((7234.8,), rel=2e-3)
    around = pre_stressed_layer(SphericalLayer(*in_radians(THICK)), assembly=ShellClosing(0.75))
    stiffness = around.stiffness
    values = (stiffness.axial, stiffness.torsional, stiffness.radial, stiffness.conical)
    assert values == pytest.approx((629.9, 195908, 2024, 116160), rel=1.1e-2)
    assert around.stages[0].radial_resultant == pytest.approx(6357, rel=1e-2)
