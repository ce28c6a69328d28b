"""Section moduli, shear coefficients and beam cases stated outside this project.

Provenance: `analytic` = textbook identity, recomputable by hand; `mem` = from memory of the named source.
"""
from __future__ import annotations

import pytest

from dossier.mechanics.pin import Support, pin_bending, section_modulus, shear_coefficient, shear_peak_factor
from dossier.mechanics.shapes import Pin, PinEnds


def test_f9_section_modulus_of_a_hollow_pin():
    """F9: D = 60, d = 30 mm: W = π(D⁴ − d⁴)/(32 D) = 19880.39 mm³ (textbook; analytic; tolerance 1e-6)."""
    assert section_modulus(60.0, 30.0) == pytest.approx(19880.39, rel=1e-6)


def test_f17_section_modulus_of_a_hollow_pin():
    """F17: 50/25 mm: W = 11504.86 mm³ (textbook; analytic; tolerance 1e-6)."""
    assert section_modulus(50.0, 25.0) == pytest.approx(11504.86, rel=1e-6)


def test_cowper_shear_coefficients():
    """G. R. Cowper, J. Appl. Mech. 33 (1966) 335, from memory (mem), not checked against its text.

    Solid circle 6(1+ν)/(7+6ν): ν = 0.3 → 0.886, ν = 0 → 6/7; thin round tube 2(1+ν)/(4+3ν): ν = 0.3 → 0.531,
    ν = 0 → 1/2.
    """
    assert shear_coefficient(0.3, 10.0) == pytest.approx(0.886, abs=5e-4)
    assert shear_coefficient(0.0, 10.0) == pytest.approx(6 / 7, rel=1e-12)
    assert shear_coefficient(0.3, 10.0, 10.0 - 1e-9) == pytest.approx(0.531, abs=5e-4)
    assert shear_coefficient(0.0, 10.0, 10.0 - 1e-9) == pytest.approx(0.5, rel=1e-6)


def test_greatest_shear_stress_of_round_sections():
    """Textbook (analytic): 4/3 Q/A in a solid circle, 2 Q/A in a thin tube."""
    assert shear_peak_factor(10.0) == pytest.approx(4 / 3, rel=1e-12)
    assert shear_peak_factor(10.0, 10.0 - 1e-9) == pytest.approx(2.0, rel=1e-6)


@pytest.mark.parametrize(("support", "deflection", "moment"), [
    (Support.SIMPLE_AT_BOLT_AXIS, 1 / 48, 1 / 4), (Support.HELD_AT_BOLT_AXIS, 1 / 192, 1 / 8)])
def test_beam_with_a_load_at_mid_span(support, deflection, moment):
    """Textbook beam tables (analytic): F L³/48EI, F L/4 simply supported; F L³/192EI, F L/8 with held ends.

    Bar Ø20 mm, L = 400 mm, F = 1 kN, E = 206 000 MPa: I = π·20⁴/64 = 7853.98 mm⁴ by hand.
    """
    bar = Pin(440.0, 11.0, 10.0, 0.0, PinEnds(0.0, 0.0, 0.0, 400.0, 190.0), straight_radius=10.0)
    result = pin_bending(bar, 1000.0, support, 206_000.0, 0.3, 355.0, rigid_ball=False)
    expected = deflection * 1000 * 400**3 / (206_000 * 7853.98)
    assert result.deflection_bending == pytest.approx(expected, rel=1e-6)
    assert result.critical.M_b == pytest.approx(moment * 1000 * 400, rel=1e-12)
