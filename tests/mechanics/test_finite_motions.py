"""Invariances of the finite-strain kinematics and small motions against differences of finite ones."""

from math import radians

import numpy as np
import pytest
from finite_samples import sample, through, zone

from dossier.mechanics.elements import LATERAL_FIELD
from dossier.mechanics.fourier import FourierKinematics
from dossier.mechanics.hyperelastic import MooneyRivlin, NeoHookean, Yeoh
from dossier.mechanics.increments import stiffness_around
from dossier.mechanics.layer import SphericalLayer, _solve
from dossier.mechanics.linear import rigid_motion
from dossier.mechanics.mesh import graded_line, zone_mesh
from dossier.mechanics.newton import NotConverged, State, Support
from dossier.mechanics.placement import PinPlacement, lever_stiffness, placement_of, rigid_placement, rigid_rates
from dossier.mechanics.rubber_body import gradient_operator

ZONE = (20, 35, 50, 130, 1.0, 2000)
ASYMMETRIC = (15, 22, 40, 120, 0.8, 1500)


def ball_layer(law, cells=(2, 6), start=0.0, end=np.pi):
    """Concentric layer 20/35 mm that by default reaches the axis on both sides."""
    radii = 20.0 + 15.0 * graded_line(cells[0], 0.0)
    return sample(zone_mesh(radii, start + (end - start) * graded_line(cells[1], 0.0)), law, 2000.0)


@pytest.mark.parametrize("end", [np.pi, np.radians(120)], ids=["closed", "cap"])
def test_a_tilt_of_the_whole_body_takes_no_force(end):
    """Both faces turned by 20° and moved: the exact field has harmonics 0 to 2, so nothing but round-off is left."""
    body = ball_layer(NeoHookean(1.0), end=end)
    support = body.fourier(2)
    for tilt in (radians(10), radians(20)):
        given = rigid_placement(support.kinematics, body.mesh.nodes, PinPlacement(1.0, 2.0, tilt))
        state = State(given, support.kinematics.rest.pressure)
        found = support.solve(state, given)
        assert np.abs(found.forces).max() < 1e-6
        assert found.least_volume_ratio == pytest.approx(1.0, abs=1e-9)


def test_a_tilt_and_turn_of_the_whole_body_takes_no_force():
    body = ball_layer(NeoHookean(1.0))
    kinematics = FourierKinematics(body.body, 2, torsion=True)
    support = Support(kinematics, body.held(3 * len(kinematics.blocks)))
    given = rigid_placement(kinematics, body.mesh.nodes, PinPlacement(1.0, 2.0, radians(20), radians(30)))
    found = support.solve(State(given, kinematics.rest.pressure), given)
    assert np.abs(found.forces).max() < 1e-6
    assert found.least_volume_ratio == pytest.approx(1.0, abs=1e-9)


def test_a_tilt_of_both_faces_is_found_without_knowing_the_inside():
    """The same from the outside alone: only the faces are told, the inside is found, with no force in the end."""
    body = zone(*ZONE, (2, 6))
    support = body.fourier(2)
    every = rigid_placement(support.kinematics, body.mesh.nodes, PinPlacement(tilt=radians(5)))
    found = through(support, [every / 2, every])[-1]
    assert np.abs(found.forces).max() < 1e-5
    assert found.state.displacement == pytest.approx(every, abs=1e-6)


def test_a_turn_about_the_axis_takes_no_force():
    body = zone(*ZONE, (2, 6))
    given = np.zeros((len(body.mesh.nodes), 3))
    given[body.mesh.inner, 2] = given[body.mesh.outer, 2] = 1.0
    found = through(body.axisymmetric(torsion=True), [given])[-1]
    assert np.abs(found.forces).max() < 1e-6
    assert found.state.displacement[:, 2] == pytest.approx(1.0)


def test_amplitudes_of_a_rigid_motion_and_their_rates():
    """The placement at any angle is the turned and tilted point; rates and lever stiffness its derivatives (differences)."""
    body = zone(*ZONE, (1, 2))
    nodes, centre = body.mesh.nodes, 1.5
    for kinematics, turn in ((FourierKinematics(body.body, 3), 0.0), (FourierKinematics(body.body, 3, torsion=True), 0.6)):
        place = PinPlacement(0.3, -0.7, 0.4, turn)
        given = rigid_placement(kinematics, nodes, place, centre)
        assert placement_of(kinematics, nodes, given, centre).vector == pytest.approx(place.vector)
        for angle in (0.0, 0.7, 2.2):
            around = np.array([0, 0, 1]) * np.ones((len(kinematics.blocks), 1))
            way = np.array([block.order * angle - block.phase for block in kinematics.blocks])[:, None]
            factor = np.where(around * (np.arange(len(way)) > 0)[:, None], np.sin(way), np.cos(way))
            factor[0, 2] = float(kinematics.torsion)
            u = np.einsum("mbc,bc->mc", given.reshape(len(nodes), -1, 3), factor)
            x = (nodes[:, 0] + u[:, 0]) * np.cos(angle) - u[:, 2] * np.sin(angle)
            y = (nodes[:, 0] + u[:, 0]) * np.sin(angle) + u[:, 2] * np.cos(angle)
            start = nodes[:, 0] * np.cos(angle + turn), nodes[:, 1] - centre
            assert x == pytest.approx(np.cos(0.4) * start[0] + np.sin(0.4) * start[1] - 0.7)
            assert y == pytest.approx(nodes[:, 0] * np.sin(angle + turn))
            assert nodes[:, 1] + u[:, 1] == pytest.approx(centre - np.sin(0.4) * start[0] + np.cos(0.4) * start[1] + 0.3)
        step, forces = 1e-6, np.random.default_rng(1).normal(size=given.shape)
        rates, levers = rigid_rates(kinematics, nodes, place, centre), lever_stiffness(kinematics, nodes, place, forces, centre)
        for motion in range(4 if turn else 3):
            shift = step * np.eye(4)[motion]
            ends = [PinPlacement(*(place.vector + sign * shift)) for sign in (1, -1)]
            ahead, behind = (rigid_placement(kinematics, nodes, end, centre) for end in ends)
            assert rates[motion] == pytest.approx((ahead - behind) / (2 * step), abs=1e-8)
            ahead, behind = (rigid_rates(kinematics, nodes, end, centre) for end in ends)
            assert levers[motion, : 4 if turn else 3] == pytest.approx(
                ((ahead - behind) * forces).sum(axis=(1, 2))[: 4 if turn else 3] / (2 * step), abs=1e-5
            )


def test_gradient_operator_of_rigid_motions():
    """Translation has no gradient; a small tilt only the rotation between r and z, and between z and θ."""
    body = zone(*ZONE, (1, 2))
    operator = gradient_operator(body.body.points.geometry, LATERAL_FIELD)

    def gradient(motion):
        nodal = rigid_motion(body.mesh.nodes, motion)[body.mesh.quads].reshape(len(body.mesh.quads), 1, -1, 1)
        return (operator @ nodal)[..., 0]

    assert np.abs(gradient("radial")).max() < 1e-12
    tilt = np.array([0, 1, 0, -1, 0, 1, 0, -1, 0.0])
    assert gradient("conical") == pytest.approx(np.broadcast_to(tilt, gradient("conical").shape), abs=1e-12)


@pytest.mark.parametrize("law", [Yeoh(0.5, -0.02, 0.01), MooneyRivlin(0.3, 0.2)], ids=["Yeoh", "MooneyRivlin"])
def test_newton_converges_quadratically_with_every_law(law):
    """A wrong tangent would need many more iterations than the four seen."""
    body = ball_layer(law, start=radians(50), end=radians(130))
    found = through(body.axisymmetric(), [body.axial(1.5)])[-1]
    assert found.iterations <= 5
    twist = body.axial(1.0, 3)
    twist[body.mesh.inner, 2] = 0.2
    assert through(body.axisymmetric(torsion=True), [twist])[-1].iterations <= 5
    support = body.fourier(2)
    assert through(support, [body.placed(support, axial=0.5, radial=0.8, tilt=0.05)])[-1].iterations <= 5


@pytest.mark.parametrize(
    ("build", "given"),
    [
        (lambda body: body.axisymmetric(torsion=True), 3),
        (lambda body: body.fourier(2), 9),
    ],
    ids=["twisted", "harmonics"],
)
@pytest.mark.parametrize("law", [NeoHookean(1.0), MooneyRivlin(0.3, 0.2)], ids=["NeoHookean", "MooneyRivlin"])
def test_element_tangent_is_the_slope_of_the_element_residual(build, given, law):
    """The pressure eliminated: it follows its own linearised condition when the displacement changes.

    In a state of equilibrium of the pressure the condensed tangent is the slope of the force whose pressure keeps
    that condition.
    """
    body = ball_layer(law, cells=(1, 1), start=radians(60), end=radians(120))
    kinematics = build(body).kinematics
    generator = np.random.default_rng(5)
    displacement = 0.5 * generator.standard_normal((len(body.mesh.nodes), given))
    if given == 3:
        displacement[:, 2] /= 10.0
    state = pressure_at_rest(kinematics, displacement, kinematics.rest.pressure)
    linear = kinematics.linearise(state)
    for unknown in generator.choice(9 * given, 6, replace=False):
        node, component = body.mesh.quads[0, unknown // given], unknown % given
        step = np.zeros_like(displacement)
        step[node, component] = 1e-5
        ahead, behind = (
            kinematics.linearise(pressure_at_rest(kinematics, displacement + sign * step, state.pressure)).force[0]
            for sign in (1, -1)
        )
        slope = (ahead - behind) / 2e-5
        # Truncation of the difference with K/G = 2000; seen 1e-7 of the largest entry.
        assert linear.tangent[0][:, unknown] == pytest.approx(slope, abs=2e-6 * np.abs(linear.tangent).max())


def pressure_at_rest(kinematics, displacement, pressure):
    """State whose pressure meets its condition; two corrections, as the condition is linear in p."""
    for _ in range(2):
        pressure = pressure + kinematics.linearise(State(displacement, pressure)).pressure_defect
    return State(displacement, pressure)


@pytest.mark.parametrize("layer", [ZONE, ASYMMETRIC], ids=["symmetric", "asymmetric"])
def test_the_undeformed_state_has_the_linear_stiffness(layer):
    """Same mesh, same elements: small-strain solution and increments on the state of rest agree to round-off."""
    body = zone(*layer, (3, 8))
    inner, outer, start, end, shear, bulk = layer
    linear = _solve(SphericalLayer(inner, outer, radians(start), radians(end), shear, bulk), body.mesh)
    rest = through(body.axisymmetric(), [body.axial(0.0)])[-1]
    around = stiffness_around(body.body, rest, body.faces)
    for name in ("axial", "torsional", "radial", "conical"):
        assert getattr(around, name) == pytest.approx(getattr(linear, name), rel=1e-9)
    assert around.coupling == pytest.approx(linear.coupling, abs=1e-9 * linear.radial)


def test_small_motions_are_differences_of_finite_ones():
    """Around 1 mm of axial travel of an asymmetric zone; the difference quotients leave 1e-6."""
    body = zone(*ASYMMETRIC, (2, 6))
    travel, small = 1.0, 1e-3
    found = through(body.axisymmetric(), [body.axial(0.5), body.axial(travel)])[-1]
    around = stiffness_around(body.body, found, body.faces, pin_centre=travel)
    support = body.fourier(2)
    state = support.kinematics.from_axisymmetric(found.state)

    def slope(direction, measured):
        loads = []
        for sign in (1, -1):
            motion = {"axial": travel, "radial": 0.0, "tilt": 0.0}
            motion["tilt" if direction == "conical" else direction] += sign * small
            end = support.solve(state, body.placed(support, **motion))
            loads.append(body.pin_load(support, end, measured, motion["tilt"]))
        return (loads[0] - loads[1]) / (2 * small)

    assert slope("axial", "axial") == pytest.approx(around.axial, rel=1e-5)
    assert slope("radial", "radial") == pytest.approx(around.radial, rel=1e-5)
    assert slope("conical", "conical") == pytest.approx(around.conical, rel=1e-5)
    assert slope("conical", "radial") == pytest.approx(around.coupling, rel=1e-5)
    assert slope("radial", "conical") == pytest.approx(around.coupling, rel=1e-5)


def test_a_small_finite_twist_meets_the_torsional_stiffness():
    """The twist interpolates the angle, the small motion u_θ = r φ: equal in the limit of fine cells only."""

    def gap(cells):
        body = zone(*ASYMMETRIC, cells)
        found = through(body.axisymmetric(), [body.axial(0.5), body.axial(1.0)])[-1]
        given = body.axial(1.0, 3)
        given[body.mesh.inner, 2] = 1e-3
        state = np.column_stack([found.state.displacement, np.zeros(len(body.mesh.nodes))])
        twisted = body.axisymmetric(torsion=True).solve(State(state, found.state.pressure), given)
        torque = twisted.forces[body.mesh.inner, 2].sum()
        return abs(torque / 1e-3 / stiffness_around(body.body, found, body.faces).torsional - 1)

    coarse, fine = gap((2, 6)), gap((8, 24))
    # Seen 6e-4 and 9e-6.
    assert fine < 3e-5
    assert fine < coarse / 20


def test_a_step_that_would_fold_the_rubber_is_shortened():
    """An outer face widened by a fifth of the thickness at once ends where small steps end; unshortened it folds."""
    body = zone(*ZONE, (6, 20))
    support = body.axisymmetric()
    given = np.zeros((len(body.mesh.nodes), 2))
    given[body.mesh.outer, 0] = 3.0
    at_once = through(support, [given])[-1]
    by_steps = through(support, [part * given for part in (0.25, 0.5, 0.75, 1.0)])[-1]
    assert at_once.forces[body.mesh.outer, 0].sum() == pytest.approx(by_steps.forces[body.mesh.outer, 0].sum(), rel=1e-7)


def test_no_equilibrium_is_told_and_not_guessed():
    body = zone(*ZONE, (2, 6))
    support = body.axisymmetric()
    with pytest.raises(NotConverged, match="the rubber folded during the iteration|no equilibrium within 12 iterations"):
        support.solve(support.kinematics.rest, body.axial(60.0))


def test_fewer_than_two_harmonics_are_refused():
    body = zone(*ZONE, (1, 2))
    with pytest.raises(ValueError, match="fourier.harmonics = 1 must be a whole number of at least 2; give 3"):
        FourierKinematics(body.body, 1)
