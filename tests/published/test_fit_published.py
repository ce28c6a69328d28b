"""Press fits against textbook examples (ids of the check values in brackets)."""

from math import pi

import pytest

from dossier.mechanics.fit import Tube, joint_pressure, sliding_force


def test_m1_two_materials():
    """[M1] Ugural, Mechanical Design, press-fit example after Lamé: hollow steel shaft 25/50 mm (radii), cast-iron disc of
    125 mm, length 100 mm, friction 0.15; hub hoop stress 30 MPa gives p = 21.72 MPa, radial interference 0.0324 mm, force
    102.4 kN, torque 5.12 kN·m. Inputs from a reprint of the example (the book itself was not read), results recomputed;
    printed digits."""
    shaft, hub = Tube(25.0, 50.0, 210e3, 0.3), Tube(50.0, 125.0, 70e3, 0.25)
    pressure = joint_pressure(shaft, hub, 0.0324)
    assert pressure == pytest.approx(21.72, rel=2.5e-3)
    assert hub.stress(50.0, 21.72, 0.0)[1] == pytest.approx(30.0, abs=0.05)
    interference = 21.72 * (shaft.inward_flexibility + hub.outward_flexibility)
    assert interference == pytest.approx(0.0324, abs=5e-5)
    force = sliding_force(21.72, 0.15, 50.0, 100.0)
    assert force == pytest.approx(102.4e3, abs=100)
    assert force * 50.0 == pytest.approx(5.12e6, abs=5e3)


def test_m2_one_material_solid_shaft():
    """[M2] Shigley's Mechanical Engineering Design, 9th ed., eq. 7-39 to 7-45, p. 399 (formula taken from that page, value
    computed): d = 60, d_o = 100 mm, diametral interference 0.060 mm, E = 210 GPa: p = 67.2 MPa, hub hoop 142.8 MPa."""
    shaft, hub = Tube(0.0, 30.0, 210e3, 0.3), Tube(30.0, 50.0, 210e3, 0.3)
    pressure = joint_pressure(shaft, hub, 0.060 / 2)
    d, outer = 60.0, 100.0
    formula = 210e3 * 0.060 / (2 * d**3) * (outer**2 - d**2) * d**2 / outer**2
    assert pressure == pytest.approx(formula, rel=1e-6)
    assert pressure == pytest.approx(67.2, abs=0.05)
    assert hub.stress(30.0, pressure, 0.0)[1] == pytest.approx(142.8, abs=0.1)


def test_lame_equilibrium_of_a_tube():
    """Analytic: the hoop force over the wall balances the pressure on the bore; radial stress meets both faces."""
    tube = Tube(30.0, 45.0, 210e3, 0.3)
    assert tube.stress(30.0, 20.0, 5.0)[0] == pytest.approx(-20.0, rel=1e-12)
    assert tube.stress(45.0, 20.0, 5.0)[0] == pytest.approx(-5.0, rel=1e-12)
    steps = 20_000
    width = 15.0 / steps
    hoop = sum(tube.stress(30.0 + (i + 0.5) * width, 20.0, 5.0)[1] for i in range(steps)) * width
    assert hoop == pytest.approx(20.0 * 30.0 - 5.0 * 45.0, rel=1e-7)
    assert sliding_force(1.0, 1.0, 1.0, 1.0) == pytest.approx(2 * pi)
