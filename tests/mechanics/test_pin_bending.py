"""Pin as a beam: textbook cases, an independent beam model, limits and symmetries."""
from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.mechanics.pin import (
    LEFT_OUT,
    PinBending,
    Support,
    pin_bending,
    second_moment,
    section_area,
    section_modulus,
    shear_coefficient,
    shear_peak_factor,
)
from dossier.mechanics.shapes import Bore, GeometryError, Pin, PinEnds, ball_contour

E, NU, YIELD = 210_000.0, 0.3, 650.0
FORCE = 118_000.0
SIMPLE, BOLTS, CLAMP = Support
ENDS = PinEnds(flat_thickness=26.0, flat_start=34.0, hole_diameter=17.5, hole_distance=112.0, clamp_edge=38.0)
PIN = Pin(150.0, 29.0, 18.0, 0.0, ENDS)
BORED = replace(PIN, bores=(Bore(18.0, -75.0, 75.0),))
SLIM = replace(PIN, straight_radius=18.0)


def bend(pin: Pin = PIN, support: Support | str = SIMPLE, force: float = FORCE, **more: object) -> PinBending:
    return pin_bending(pin, force, support, E, NU, YIELD, **more)


def at(result: PinBending, name: str):
    (found,) = [section for section in result.sections if section.name == name]
    return found


def test_plausible_numbers_of_the_demo_pin():
    """118 kN, 112 mm between bolt axes, Ø58 on Ø36: 428 MPa simply supported, 214 MPa held at the bolt axes.

    The hand formula rounds the neck line to 22.7 mm; unrounded 22.74 mm gives 428.4 and 214.2 MPa.
    """
    simple, held = bend(), bend(support=BOLTS)
    assert simple.arm_start == pytest.approx(22.7, abs=0.05)
    assert at(simple, "neck line").sigma_b == pytest.approx(428, abs=0.5)
    assert at(held, "neck line").sigma_b == pytest.approx(214, abs=0.5)
    assert at(held, "bolt axis").sigma_b == pytest.approx(214, abs=0.5)
    assert at(simple, "bolt axis").sigma_b == pytest.approx(0.0, abs=1e-9)
    assert at(bend(support=CLAMP), "neck line").sigma_b < 214


def test_bore_adds_what_the_fourth_power_says():
    """1/(1 − (18/36)⁴) = 1.0667 while a quarter of the neck's cross-section is saved."""
    solid, bored = at(bend(), "neck line"), at(bend(BORED), "neck line")
    assert bored.sigma_b / solid.sigma_b == pytest.approx(16 / 15, rel=1e-12)
    assert math.isclose(bored.A, 0.75 * solid.A, rel_tol=1e-12)


def straight(**ends: float) -> Pin:
    return replace(SLIM, ends=replace(ENDS, **ends))


@pytest.mark.parametrize(("support", "divisor", "moment"), [(SIMPLE, 48, 4), (BOLTS, 192, 8)])
def test_uniform_beam_under_a_central_load(support, divisor, moment):
    """Textbook beam, span L: δ = FL³/(48 EI), M = FL/4 simply supported; FL³/(192 EI), FL/8 with held ends.

    Shear adds F L/(4 κGA) in both cases.
    """
    result, span = bend(straight(), support, rigid_ball=False), 112.0
    expected = FORCE * span**3 / (divisor * E * second_moment(36))
    assert result.deflection_bending == pytest.approx(expected, rel=1e-12)
    rigidity = shear_coefficient(NU, 36) * E / 2.6 * section_area(36)
    assert result.deflection_shear == pytest.approx(FORCE * span / (4 * rigidity), rel=1e-9)
    assert at(result, "ball centre").M_b == pytest.approx(FORCE * span / moment, rel=1e-12)
    at_support = 0.0 if support is SIMPLE else FORCE * span / 8
    assert at(result, "bolt axis").M_b == pytest.approx(at_support, abs=1e-6 * FORCE)
    assert result.rotation == pytest.approx(0.0, abs=1e-15)


@pytest.mark.parametrize(("support", "share"), [(SIMPLE, 3), (BOLTS, 12), (CLAMP, 12)])
def test_rigid_ball_leaves_two_cantilevers_or_two_guided_arms(support, share):
    """Each arm carries F/2: (F/2) ℓ³/(3 EI) with a free-to-turn end, (F/2) ℓ³/(12 EI) with both ends held."""
    result = bend(support=support)
    end = 38.0 if support is CLAMP else 56.0
    arm = end - math.sqrt(29**2 - 18**2)
    assert result.arm_length == pytest.approx(arm)
    expected = FORCE / 2 * arm**3 / (share * E * second_moment(36))
    assert result.deflection_bending == pytest.approx(expected, rel=1e-9)
    rigidity = shear_coefficient(NU, 36) * result.shear_modulus * section_area(36)
    assert result.deflection_shear == pytest.approx(FORCE / 2 * arm / rigidity, rel=1e-9)
    assert result.stiffness == pytest.approx(FORCE / result.deflection, rel=1e-15)
    assert result.deflection == pytest.approx(result.deflection_bending + result.deflection_shear, rel=1e-12)
    top = at(result, "neck line").M_b
    assert top == pytest.approx(FORCE / 2 * arm * (1 if support is SIMPLE else 0.5), rel=1e-9)


def element(pin: Pin, low: float, high: float, side: int) -> np.ndarray:
    """(4, 4) stiffness of a Timoshenko element |z| = low to high, shear parameter Φ = 12 EI/(κGA h²)."""
    h, middle = high - low, side * (low + high) / 2
    inner = next((b.diameter for b in pin.bores if b.start < middle < b.end), 0.0)
    outer = 2 * pin.neck_radius
    bending = E * math.pi / 64 * (outer**4 - inner**4)
    shear = shear_coefficient(NU, outer, inner) * E / 2.6 * math.pi / 4 * (outer**2 - inner**2)
    phi = 12 * bending / (shear * h**2)
    near, far = (4 + phi) * h**2, (2 - phi) * h**2
    return bending / (h**3 * (1 + phi)) * np.array([
        [12, 6 * h, -12, 6 * h], [6 * h, near, -6 * h, far],
        [-12, -6 * h, 12, -6 * h], [6 * h, far, -6 * h, near]])


def beam_model(pin: Pin, start: float, end: float, held: bool) -> tuple[float, float]:
    """Ball deflection and rotation per unit force: stiffness-matrix elements on both sides of a rigid ball.

    Nodes at every bore step, so that the elements are exact; each side's own degrees follow the ball's two.
    """
    steps = {abs(z) for bore in pin.bores for z in (bore.start, bore.end)}
    heights = sorted({*np.linspace(start, end, 4), *(z for z in steps if start < z < end)})
    per_side = 2 * (len(heights) - 1)
    dofs = 2 + 2 * per_side
    matrix, fixed = np.zeros((dofs, dofs)), []
    for offset, side in ((2, 1), (2 + per_side, -1)):
        for index, (low, high) in enumerate(zip(heights, heights[1:], strict=False)):
            link = np.zeros((4, dofs))
            link[2:, offset + 2 * index:offset + 2 * index + 2] = np.eye(2)
            if index:
                link[:2, offset + 2 * index - 2:offset + 2 * index] = np.eye(2)
            else:
                link[:2, :2] = [[1.0, side * start], [0.0, side]]
            matrix += link.T @ element(pin, low, high, side) @ link
        fixed += [offset + per_side - 2, offset + per_side - 1][: 2 if held else 1]
    free = np.setdiff1d(np.arange(dofs), fixed)
    motion = np.linalg.solve(matrix[np.ix_(free, free)], np.eye(len(free))[0])
    return float(motion[0]), float(motion[1])


ONE_SIDED = replace(PIN, bores=(Bore(24.0, 5.0, 42.0),))
STEPPED = replace(PIN, bores=(Bore(20.0, -75.0, -40.0), Bore(12.0, -40.0, 30.0), Bore(24.0, 30.0, 75.0)))


@pytest.mark.parametrize("support", [SIMPLE, BOLTS, CLAMP])
@pytest.mark.parametrize("pin", [BORED, ONE_SIDED, STEPPED])
def test_deflection_and_rotation_against_a_beam_element_model(pin, support):
    """Both are exact for stepped beams, solved by forces here and by displacements there."""
    result = bend(pin, support)
    deflection, rotation = beam_model(pin, result.arm_start, result.support_z, support is not SIMPLE)
    assert result.deflection / FORCE == pytest.approx(deflection, rel=1e-9)
    assert result.rotation / FORCE == pytest.approx(rotation, rel=1e-7, abs=1e-18)


@pytest.mark.parametrize("support", [SIMPLE, BOLTS, CLAMP])
@pytest.mark.parametrize("pin", [PIN, ONE_SIDED, STEPPED])
def test_forces_and_moments_of_both_supports_balance_the_load(pin, support):
    """Shear forces of the arms add to F; about the ball centre M(neck) ∓ Q z balance to nothing."""
    result = bend(pin, support)
    necks = [section for section in result.sections if section.name == "neck line"]
    if len(necks) == 1:
        necks = necks * 2
    assert sum(section.Q for section in necks) == pytest.approx(FORCE, rel=1e-12)
    right, left = (section.M_b + section.Q * result.arm_start for section in necks)
    assert right == pytest.approx(left, rel=1e-9)


def test_softer_arm_carries_less_and_the_ball_turns():
    result = bend(ONE_SIDED, BOLTS)
    bored, solid = [section for section in result.sections if section.name == "neck line"]
    assert bored.z > 0 > solid.z and bored.d == 24.0 and solid.d == 0.0
    assert bored.Q < solid.Q
    mirrored = bend(replace(PIN, bores=(Bore(24.0, -42.0, -5.0),)), BOLTS)
    assert mirrored.rotation == pytest.approx(-result.rotation, rel=1e-9)
    assert mirrored.deflection == pytest.approx(result.deflection, rel=1e-9)
    assert mirrored.critical.M_b == pytest.approx(result.critical.M_b, rel=1e-9)


def test_bore_step_is_checked_with_the_wider_bore():
    result = bend(ONE_SIDED, BOLTS)
    step = at(result, "bore step")
    assert (step.z, step.d) == (42.0, 24.0)
    assert step.W_b == pytest.approx(section_modulus(36.0, 24.0), rel=1e-12)


def test_fillet_end_lies_below_the_neck_line():
    pin = replace(PIN, neck_fillet=3.0)
    result = bend(pin)
    names = [section.name for section in result.sections]
    assert names == ["neck line", "fillet end", "clamp edge", "bolt axis"]
    assert at(result, "fillet end").z == pytest.approx(ball_contour(pin).fillet_end)
    assert at(result, "fillet end").M_b < at(result, "neck line").M_b
    assert at(result, "neck line").sigma_b == pytest.approx(at(bend(), "neck line").sigma_b)


def test_equivalents_and_safety():
    section = at(bend(BORED), "neck line")
    assert section.sigma_b == pytest.approx(section.M_b / section.W_b)
    assert section.tau_m == pytest.approx(section.Q / section.A)
    assert section.tau_max == pytest.approx(section.tau_m * shear_peak_factor(36, 18))
    assert section.sigma_v == pytest.approx(math.sqrt(section.sigma_b**2 + 3 * section.tau_m**2))
    assert section.safety == pytest.approx(YIELD / section.sigma_v)
    end = at(bend(BORED), "bolt axis")
    assert end.sigma_v == pytest.approx(math.sqrt(3) * end.tau_max)
    assert bend(BORED).critical == section and bend(BORED).safety == section.safety


def test_shear_peak_is_the_first_moment_of_the_half_section():
    """τ = Q S/(I b) with S and b of the half ring integrated numerically."""
    y = np.linspace(0, 18, 400_001)
    width = 2 * (np.sqrt(18**2 - y**2) - np.sqrt(np.maximum(9**2 - y**2, 0)))
    static = float(np.trapezoid(y * width, y))
    peak = static / (second_moment(36, 18) * 18) * section_area(36, 18)
    assert shear_peak_factor(36, 18) == pytest.approx(peak, rel=1e-6)
    assert shear_peak_factor(36) == pytest.approx(4 / 3)
    assert shear_peak_factor(36, 36 * (1 - 1e-9)) == pytest.approx(2.0)


@pytest.mark.parametrize("support", [SIMPLE, BOLTS, CLAMP])
def test_bore_to_nothing_is_the_solid_pin(support):
    thin = bend(replace(PIN, bores=(Bore(1e-3, -75.0, 75.0),)), support)
    solid = bend(PIN, support)
    assert thin.deflection == pytest.approx(solid.deflection, rel=1e-6)
    assert thin.critical.sigma_v == pytest.approx(solid.critical.sigma_v, rel=1e-4)


def test_bonded_core_stiffens_and_a_core_of_steel_restores_the_solid_pin_in_bending():
    filled = replace(PIN, bores=(Bore(18.0, -75.0, 75.0, filled=True),))
    nothing, bonded, steel = (bend(filled, BOLTS, core_young_modulus=e) for e in (0.0, 70_000.0, E))
    assert nothing.deflection == bend(BORED, BOLTS).deflection
    assert steel.deflection_bending == pytest.approx(bend(PIN, BOLTS).deflection_bending, rel=1e-9)
    assert nothing.deflection > bonded.deflection > steel.deflection
    solid = at(bend(PIN, BOLTS), "neck line")
    assert at(steel, "neck line").sigma_b == pytest.approx(solid.sigma_b, rel=1e-9)
    assert at(bonded, "neck line").W_b == pytest.approx(
        section_modulus(36, 18) + 70_000 / E * second_moment(18) / 18, rel=1e-12)


def test_empty_bore_takes_nothing_from_a_core_modulus():
    assert bend(BORED, BOLTS, core_young_modulus=70_000.0).deflection == bend(BORED, BOLTS).deflection


def test_straight_pin_bends_through_a_ball_that_carries_nothing():
    bonded, free = bend(SLIM, BOLTS), bend(SLIM, BOLTS, rigid_ball=False)
    assert bonded.deflection == bend(PIN, BOLTS).deflection
    assert free.deflection > bonded.deflection and free.critical.M_b > bonded.critical.M_b
    with pytest.raises(ValueError, match="needs pin.straight_radius above 0 mm"):
        bend(PIN, BOLTS, rigid_ball=False)


@settings(max_examples=60, deadline=None)
@given(bore=st.floats(1, 25), start=st.floats(-75, 60), span=st.floats(1, 150), scale=st.floats(0.3, 3),
       support=st.sampled_from(list(Support)))
def test_invariants(bore, start, span, scale, support):
    """A bore never stiffens; stresses are linear in F, unchanged when lengths scale by s and F by s²."""
    pin = replace(PIN, bores=(Bore(bore, start, min(start + span, 75.0)),))
    result, solid = bend(pin, support), bend(PIN, support)
    assert result.deflection >= solid.deflection * (1 - 1e-12)
    double = bend(pin, support, force=2 * FORCE)
    assert double.deflection == pytest.approx(2 * result.deflection, rel=1e-12)
    assert double.safety == pytest.approx(result.safety / 2, rel=1e-12)
    ends = PinEnds(*(value * scale for value in (26.0, 34.0, 17.5, 112.0, 38.0)))
    bores = tuple(Bore(b.diameter * scale, b.start * scale, b.end * scale) for b in pin.bores)
    large = bend(Pin(150 * scale, 29 * scale, 18 * scale, 0.0, ends, bores), support, force=FORCE * scale**2)
    assert large.critical.sigma_v == pytest.approx(result.critical.sigma_v, rel=1e-7)
    assert large.deflection == pytest.approx(result.deflection * scale, rel=1e-7)


def test_supports_bracket_the_truth():
    """Any earlier or firmer hold makes the pin stiffer and its greatest moment smaller."""
    results = [bend(support=support) for support in (SIMPLE, BOLTS, CLAMP)]
    stiffness, moment = [r.stiffness for r in results], [r.critical.M_b for r in results]
    assert stiffness == sorted(stiffness) and moment == sorted(moment, reverse=True)


def test_names_of_supports_and_what_is_left_out():
    assert bend(support="held_at_clamp_edge").support is CLAMP
    assert [section.name for section in bend(support=CLAMP).sections] == ["neck line", "clamp edge"]
    assert bend().left_out == LEFT_OUT and any("notch" in line for line in LEFT_OUT)
    with pytest.raises(ValueError, match="welded"):
        bend(support="welded")


@pytest.mark.parametrize(("values", "message"), [
    ((0.0, E, NU, YIELD), "force = 0.0 N must exceed 0 N"),
    ((FORCE, -1.0, NU, YIELD), "young_modulus = -1.0 MPa must exceed 0 MPa"),
    ((FORCE, E, 0.5, YIELD), "poisson_ratio = 0.5 must lie from 0 to below 0.5"),
    ((FORCE, E, math.nan, YIELD), "poisson_ratio = nan must lie from 0"),
    ((FORCE, E, NU, math.nan), "yield_stress = nan MPa must exceed 0 MPa")])
def test_unusable_inputs_are_named(values, message):
    force, young, poisson, yield_stress = values
    with pytest.raises(ValueError, match=message.replace(".", r"\.")):
        pin_bending(PIN, force, SIMPLE, young, poisson, yield_stress)


def test_unusable_core_modulus_is_named():
    with pytest.raises(ValueError, match=r"core_young_modulus = -1\.0 MPa must be at least 0 MPa"):
        bend(core_young_modulus=-1.0)


def test_support_must_lie_outside_the_ball():
    touching = replace(PIN, ends=replace(ENDS, clamp_edge=math.sqrt(29**2 - 18**2)))
    with pytest.raises(ValueError, match=r"pin\.ends\.clamp_edge = 22\.7376 mm must exceed the neck line"):
        bend(touching, CLAMP)
    with pytest.raises(GeometryError, match=r"pin\.ends\.clamp_edge = 20\.0 mm must be at least"):
        bend(replace(PIN, ends=replace(ENDS, clamp_edge=20.0)), CLAMP)
