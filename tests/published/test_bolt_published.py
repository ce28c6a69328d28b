"""Bolts against published tables (ids of the check values in brackets)."""

import pytest

from dossier.mechanics.clamp import Bolt, assembly_preload, torque_lever


@pytest.mark.parametrize(
    ("diameter", "pitch", "area"),
    [(12, 1.75, 84.27), (20, 2.5, 244.79), (16, 2, 156.67), (24, 3, 352.50), (16, 1.5, 167.25), (24, 2, 384.42)],
)
def test_m8_m18_stress_area(diameter, pitch, area):
    """[M8, M18] Formula of ISO 898-1 as reprinted elsewhere (the standard itself was not read); M18 analytic. mm²,
    tolerance 0.01."""
    assert Bolt(diameter, pitch, 640.0).stress_area == pytest.approx(area, abs=0.012)


@pytest.mark.parametrize(
    ("diameter", "pitch", "friction", "strength", "bearing", "hole", "preload", "torque", "digit", "torque_digit"),
    [
        (12, 1.25, 0.12, 640, 16.6, 13.5, 48.0, 90, 0.1, 1),
        (12, 1.25, 0.12, 940, 16.6, 13.5, 70.5, 133, 0.1, 1),
        (12, 1.25, 0.14, 640, 16.6, 13.5, 46.8, 101, 0.1, 1),
        (12, 1.25, 0.14, 1100, 16.6, 13.5, 80.4, 174, 0.1, 1),
        (20, 1.5, 0.12, 660, 28.2, 22.0, 148, 454, 1, 1.5),
        (20, 1.5, 0.14, 940, 28.2, 22.0, 206, 728, 1, 1.5),
    ],
)
def test_m11_m12_preload_and_torque(
    diameter, pitch, friction, strength, bearing, hole, preload, torque, digit, torque_digit
):
    """[M11, M12] VDI 2230 (2001/2003) table values for fine threads at 90 % of the yield strength, from a reprint of the
    table in a catalogue, p. 685 (the guideline itself was not read); the table truncates and rounds the thread's diameters:
    one digit of the last place or 0.2 %."""
    bolt = Bolt(diameter, pitch, float(strength))
    force = assembly_preload(bolt, friction)
    assert force / 1e3 == pytest.approx(preload, abs=digit, rel=2e-3)
    assert force * torque_lever(bolt, friction, friction, bearing, hole) / 1e6 == pytest.approx(
        torque / 1e3, abs=torque_digit / 1e3
    )


def test_m13_coarse_thread():
    """[M13] VDI 2230 table value with worked steps, from a reprint (the guideline itself was not read): M12, 8.8, friction
    0.14: 41.9 kN (recomputed 41.98), 93 N·m; with a tightening factor of 1.8 the least preload is 23.3 kN."""
    bolt = Bolt(12, 1.75, 640.0)
    force = assembly_preload(bolt, 0.14)
    assert force == pytest.approx(41.9e3, abs=100)
    assert force / 1.8 == pytest.approx(23.3e3, abs=60)
    assert force * torque_lever(bolt, 0.14, 0.14, 16.6, 13.5) == pytest.approx(93e3, abs=1e3)


@pytest.mark.parametrize(
    ("diameter", "pitch", "strength", "preload"),
    [(12, 1.75, 640, 43.1), (12, 1.75, 940, 63.3), (20, 2.5, 660, 130), (20, 2.5, 1100, 217)],
)
def test_m14_coarse_threads(diameter, pitch, strength, preload):
    """[M14] VDI 2230:2015 table A1, friction 0.12, from memory and computed; tolerance 0.5 % (tables truncate)."""
    assert assembly_preload(Bolt(diameter, pitch, float(strength)), 0.12) / 1e3 == pytest.approx(preload, rel=5e-3)
