"""Strain-energy laws: stress and tangent against finite differences, invariances and messages."""

from math import nan

import numpy as np
import pytest

from dossier.mechanics.hyperelastic import MooneyRivlin, NeoHookean, Yeoh, cofactors, modified_invariants, response

LAWS = [NeoHookean(1.3), Yeoh(0.5, -0.05, 0.02), MooneyRivlin(0.4, 0.15)]
STEP = 1e-6


def deformations(count=6):
    """Gradients of large strain, rotation and changed volume, none folded."""
    generator = np.random.default_rng(7)
    every = np.eye(3) + 0.35 * generator.standard_normal((20 * count, 3, 3))
    gradient = every[np.linalg.det(every) > 0.2][:count]
    return gradient, generator.standard_normal(count)


def differences(function, gradient):
    """Central differences of values (..., after 9 components)."""
    parts = []
    for component in range(9):
        step = np.zeros(9)
        step[component] = STEP
        parts.append((function(gradient + step.reshape(3, 3)) - function(gradient - step.reshape(3, 3))) / (2 * STEP))
    return np.stack(parts, axis=-1)


@pytest.mark.parametrize("law", LAWS, ids=str)
def test_stress_is_the_slope_of_the_energy(law):
    gradient, pressure = deformations()

    def energy(f):
        return law.energy(*modified_invariants(f)) + pressure * (np.linalg.det(f) - 1)

    # Round-off of a central difference: 1e-16 · 10 / 1e-6; observed 7e-10.
    assert response(law, gradient, pressure).stress == pytest.approx(differences(energy, gradient), abs=1e-7)


@pytest.mark.parametrize("law", LAWS, ids=str)
def test_tangent_is_the_slope_of_the_stress(law):
    gradient, pressure = deformations()
    answer = response(law, gradient, pressure)
    numeric = differences(lambda f: response(law, f, pressure, tangent=False).stress, gradient)
    assert answer.tangent == pytest.approx(numeric, abs=1e-7)
    # A second derivative of the energy is symmetric; round-off only.
    assert answer.tangent == pytest.approx(np.swapaxes(answer.tangent, -1, -2), abs=1e-12)


@pytest.mark.parametrize("law", LAWS, ids=str)
def test_chosen_components_are_a_part_of_all(law):
    gradient, pressure = deformations()
    rows = (0, 1, 3, 4, 8, 6)
    whole, part = response(law, gradient, pressure), response(law, gradient, pressure, components=rows)
    assert np.array_equal(part.stress, whole.stress[..., rows])
    assert part.tangent == pytest.approx(whole.tangent[..., rows, :][..., rows], abs=1e-13)
    assert np.array_equal(part.cofactor, whole.cofactor[..., rows])


@pytest.mark.parametrize("law", LAWS, ids=str)
def test_rotation_turns_the_stress_and_volume_change_alone_gives_pressure_only(law):
    gradient, pressure = deformations()
    turn = np.linalg.qr(np.random.default_rng(3).standard_normal((3, 3)))[0]
    turn *= np.sign(np.linalg.det(turn))
    plain = response(law, gradient, pressure).stress.reshape(-1, 3, 3)
    turned = response(law, turn @ gradient, pressure).stress.reshape(-1, 3, 3)
    assert turned == pytest.approx(turn @ plain, abs=1e-12)
    inflated = response(law, 1.2 * np.eye(3), np.array(0.7))
    assert inflated.stress == pytest.approx(0.7 * 1.2**2 * np.eye(3).ravel(), abs=1e-12)


@pytest.mark.parametrize(("law", "modulus"), list(zip(LAWS, (1.3, 1.0, 1.1), strict=True)), ids=str)
def test_small_shear_has_the_small_strain_modulus(law, modulus):
    assert law.small_strain_shear_modulus == pytest.approx(modulus)
    sheared = np.eye(3)
    sheared[0, 1] = 1e-6
    assert response(law, sheared, np.array(0.0)).stress[1] / 1e-6 == pytest.approx(modulus, rel=1e-9)


def test_yeoh_without_higher_terms_is_neo_hookean_and_so_is_mooney_rivlin_without_its_second():
    gradient, pressure = deformations()
    plain = response(NeoHookean(1.0), gradient, pressure)
    for law in (Yeoh(0.5, 0.0, 0.0), MooneyRivlin(0.5, 0.0)):
        other = response(law, gradient, pressure)
        assert np.array_equal(other.stress, plain.stress)
        assert np.array_equal(other.tangent, plain.tangent)


def test_cofactors_are_the_volume_ratio_times_the_inverse():
    gradient, _ = deformations()
    ratio, cofactor = cofactors(gradient)
    assert ratio == pytest.approx(np.linalg.det(gradient))
    assert cofactor == pytest.approx(ratio[:, None, None] * np.swapaxes(np.linalg.inv(gradient), -1, -2))


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: NeoHookean(0.0), r"NeoHookean.small_strain_shear_modulus = shear_modulus = 0 MPa must exceed 0 MPa"),
        (lambda: NeoHookean(nan), r"NeoHookean.shear_modulus = nan must be a finite number in MPa"),
        (lambda: Yeoh(-0.1, 0.0, 0.0), r"Yeoh.small_strain_shear_modulus = 2·c10 = -0.2 MPa must exceed 0 MPa; give"),
        (lambda: Yeoh(0.1, "a", 0.0), r"Yeoh.c20 = 'a' must be a finite number in MPa; correct the entry"),
        (lambda: MooneyRivlin(0.1, -0.2), r"2·\(c10 \+ c01\) = -0.2 MPa must exceed 0 MPa"),
    ],
)
def test_constants_that_give_no_rubber_are_refused(make, message):
    with pytest.raises(ValueError, match=message):
        make()
