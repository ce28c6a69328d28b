"""A face held by pressure and Coulomb friction at finite strain: consistent tangent, exact solutions, limits of friction."""

from math import inf, pi, radians

import numpy as np
import pytest

from dossier.mechanics import RingTravel, ShellClosing, pre_stressed_layer
from dossier.mechanics.axisymmetric import AxisymmetricKinematics
from dossier.mechanics.finite_layer import finite_layer
from dossier.mechanics.friction import STIFFNESS, FrictionContact, Slip, face_points
from dossier.mechanics.friction_layer import FrictionLoadStopped, friction_held_layer
from dossier.mechanics.friction_support import FrictionEquilibrium, FrictionSupport, Placement, follow
from dossier.mechanics.hyperelastic import NeoHookean
from dossier.mechanics.layer import SphericalLayer
from dossier.mechanics.newton import Equilibrium
from dossier.mechanics.prestress import AssemblyStopped
from dossier.mechanics.rigid_profile import RigidProfile

INNER, OUTER, PRESSED = 20.0, 35.0, 34.0
ZONE = SphericalLayer(20.0, 35.0, radians(50), radians(130), 1.0, 2000.0)
CELLS = (4, 14)
RINGS = [RigidProfile(35.0, side=side, edge=1.0, edge_radius=0.3) for side in (1, -1)]


class Sphere:
    """A whole hollow sphere whose outer metal sphere shrinks; the cavity is free, turned by its face when `turn` is not 0."""

    def __init__(self, friction, cells=(4, 16), bulk_modulus=1e5):
        layer = SphericalLayer(INNER, OUTER, 0.0, pi, 1.0, bulk_modulus)
        self.finite = finite_layer(layer, NeoHookean(1.0), cells)
        self.inner = self.finite.mesh.inner
        self.kinematics = AxisymmetricKinematics(self.finite.body, torsion=True)
        metal = [RigidProfile(OUTER)]
        stiffness = STIFFNESS * 2000.0 / (OUTER - INNER)
        self.contact = FrictionContact(self.finite.mesh.nodes, face_points(self.finite.mesh, -1, metal), friction, stiffness)
        held = np.zeros((len(self.finite.mesh.nodes), 3), bool)
        held[self.inner, 2] = True
        held[self.inner[len(self.inner) // 2], 1] = True
        self.support = FrictionSupport(self.kinematics, held, self.contact)
        still = np.zeros(held.shape)
        touch = self.contact.state(still, metal, self.contact.at_rest(metal))
        self.still = still
        self.start = FrictionEquilibrium(Equilibrium(self.kinematics.rest, still, 0, 1.0), touch)

    def pressed(self):
        path = lambda way: Placement(self.still, [RigidProfile(OUTER - way)])  # noqa: E731
        return follow(self.support, path, self.start, OUTER - PRESSED, 0.5)[-1][1]

    def moment(self, pressed, turn):
        def path(way):
            prescribed = self.still.copy()
            prescribed[self.inner, 2] = way
            return Placement(prescribed, [RigidProfile(PRESSED)])

        return follow(self.support, path, pressed, turn, 0.1)[-1][1].equilibrium.forces[self.inner, 2].sum()


def exact_pressure():
    """Pressure on the outside of an incompressible neo-Hookean sphere with a free cavity: G [q(a/A) - q(b/B)],
    q(λ) = λ⁻⁴/2 + 2/λ (Green and Zerna, Theoretical Elasticity, from memory; also in test_finite_exact)."""
    cavity = (INNER**3 - (OUTER**3 - PRESSED**3)) ** (1.0 / 3.0)

    def q(stretch):
        return stretch**-4 / 2.0 + 2.0 / stretch

    return q(cavity / INNER) - q(PRESSED / OUTER)


@pytest.mark.parametrize("friction", [0.0, 0.3, inf])
def test_pressure_of_a_shrinking_sphere(friction):
    """Everywhere within the mesh's error; penetration of p/ε = 0.7 µm changes it by 1e-3 of 1 mm of closing."""
    sphere = Sphere(friction)
    found = sphere.pressed()
    current = found.contact.pressure * (OUTER / PRESSED) ** 2
    assert current == pytest.approx(exact_pressure(), rel=5e-3)
    assert current.mean() == pytest.approx(exact_pressure(), rel=1.5e-3)


def test_torsion_before_and_after_slip():
    """Sticking: as the bonded sphere, (8π/3) G over an integral. Sliding everywhere: μ p ∫ r dA = μ p π² b³ for small μ,
    less a part of the order μ²; on top of it 0.1 % from Simpson's rule and penetration."""
    from scipy.integrate import quad

    sphere = Sphere(inf)
    shift = INNER**3 - (OUTER**3 - PRESSED**3) - INNER**3
    exact = 8.0 * pi / 3.0 / quad(lambda r: 1.0 / (r**2 * (r**3 + shift) ** (2.0 / 3.0)), INNER, OUTER)[0]
    # Elastic slip gives way by 1/ε against the layer's 15 mm/G: 1e-3 of G/(ε·15 mm) is far below the mesh's 3e-4.
    assert sphere.moment(sphere.pressed(), 0.01) / 0.01 == pytest.approx(exact, rel=1e-3)
    lost = []
    for friction in (0.02, 0.04, 0.08):
        sphere = Sphere(friction)
        moment = sphere.moment(sphere.pressed(), 0.8)
        lost.append(1.0 - moment / (friction * exact_pressure() * pi**2 * PRESSED**3))
    assert (lost[2] - lost[1]) / (lost[1] - lost[0]) == pytest.approx(4.0, rel=0.1)
    assert lost[0] - (lost[1] - lost[0]) / 3.0 == pytest.approx(0.0, abs=2e-3)


@pytest.mark.parametrize("friction", [0.0, 0.3, inf])
@pytest.mark.parametrize("metal", [[RigidProfile(35.0)], RINGS, [RigidProfile(34.99, rubber_inside=False)]])
def test_the_contact_tangent_is_the_derivative_of_its_force(friction, metal):
    """Central differences over 1e-7 mm of points that touch, stick, slide and pass the rounded edges."""
    finite = finite_layer(ZONE, NeoHookean(1.0), CELLS, gap=2.0)
    contact = FrictionContact(finite.mesh.nodes, face_points(finite.mesh, -1, metal), friction, 100.0)
    random = np.random.default_rng(3)
    moved = random.normal(size=(len(finite.mesh.nodes), 3)) * [2e-2, 2e-2, 1e-3]
    before = contact.at_rest(metal)
    before = Slip(0.3 * random.normal(size=before.shear.shape), before.place, before.turn)
    found = contact.state(moved, metal, before)
    assert (found.pressure > 0.0).mean() > 0.1
    for component in range(3):
        step = np.zeros(3)
        step[component] = 1e-7
        change = contact.state(moved + step, metal, before).force - contact.state(moved - step, metal, before).force
        assert np.abs(change / 2e-7 - found.tangent[:, :, component]).max() < 1e-5 * np.abs(found.tangent).max()


def test_the_normal_of_a_ring_turns_steadily_into_its_flat_end():
    """Along an arc, over the tangent point, round the edge and up the flat end: gap 0 and no jump of the normal."""
    ring = RINGS[0]
    height = ring.edge + ring.edge_radius
    corner = np.array([np.sqrt((ring.radius + ring.edge_radius) ** 2 - height**2), height])
    inwards = np.arctan2(-corner[1], -corner[0])
    around = np.linspace(inwards, -pi / 2.0, 40)
    edge = corner + ring.edge_radius * np.stack([np.cos(around), np.sin(around)], axis=1)
    polar = np.linspace(radians(60), np.arctan2(*corner), 200)
    arc = ring.radius * np.stack([np.sin(polar), np.cos(polar)], axis=1)
    end = np.stack([np.linspace(corner[0], corner[0] + 1.0, 20), np.full(20, ring.edge)], axis=1)
    found = ring.touch(np.concatenate([arc, edge, end]))
    assert np.abs(found.gap).max() < 1e-12
    assert np.abs(np.diff(found.normal, axis=0)).max() < 0.06


def test_infinite_friction_is_a_bond_where_all_of_the_face_is_pressed():
    """Half shells: contact stiffness of 10 K over the thickness gives way by a tenth of the layer's share in K, 0.15 %."""
    bonded = pre_stressed_layer(ZONE, assembly=ShellClosing(0.75), cells=CELLS)
    held = friction_held_layer(ZONE, friction=inf, assembly=ShellClosing(0.75), motions=[0.01], cells=CELLS)
    turned = friction_held_layer(
        ZONE, friction=inf, assembly=ShellClosing(0.75), direction="torsional", motions=[1e-3], cells=CELLS
    )
    assert held.stages[0].face.apart == held.stages[0].face.sliding == 0.0
    assert held.stages[0].radial_resultant == pytest.approx(bonded.stages[0].radial_resultant, rel=2.5e-3)
    assert held.loads[0].force / 0.01 == pytest.approx(bonded.stiffness.axial, rel=2e-3)
    assert turned.loads[0].force / 1e-3 == pytest.approx(bonded.stiffness.torsional, rel=1e-3)


def test_less_friction_closes_with_less_force_and_without_any_nothing_turns():
    found = [
        friction_held_layer(ZONE, friction=each, assembly=ShellClosing(0.75), direction="torsional", motions=[0.02], cells=CELLS)
        for each in (inf, 0.5, 0.2, 0.0)
    ]
    resultants = [each.stages[0].radial_resultant for each in found]
    assert resultants == sorted(resultants, reverse=True)
    assert [each.stages[0].face.sliding for each in found][::3] == [0.0, 1.0]
    assert abs(found[-1].loads[0].force) < 1e-5


def test_rings_press_rubber_into_their_gap():
    """29/34 mm, 0.4 mm on each ring over a gap of 1.4 mm: the force of a bonded face led in the gap is 12 % higher."""
    thin = SphericalLayer(29.0, 34.0, radians(50), radians(130), 1.06, 1150.0)
    (sticking,), (sliding,) = (
        friction_held_layer(thin, friction=each, assembly=RingTravel(0.4, 1.4), cells=(4, 14)).stages for each in (inf, 0.0)
    )
    led = pre_stressed_layer(thin, assembly=RingTravel(0.4, 1.4), cells=(4, 14))
    assert sticking.ring_force == pytest.approx(led.stages[0].ring_force, rel=0.15)
    assert 0.0 < sliding.ring_force < 0.3 * sticking.ring_force
    assert sticking.face.bulge > sliding.face.bulge > 0.0


def test_the_pin_of_an_asymmetric_layer_rests_where_both_rings_press_alike():
    layer = SphericalLayer(15.0, 22.0, radians(40), radians(120), 0.8, 1500.0)
    found = friction_held_layer(layer, friction=inf, assembly=RingTravel(0.3, 3.0), cells=CELLS, motions=[1e-6])
    assert found.pin_offset != 0.0
    # 700 N/mm of the layer times 1e-6 mm of motion.
    assert abs(found.loads[0].force) < 2e-3


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"friction": -0.1}, "friction.friction = -0.1 must be a number of at least 0"),
        ({"friction": "0.3"}, "friction.friction = '0.3' must be a number"),
        ({"edge_radius": 0.0}, "friction.edge_radius = 0.0 mm must exceed 0 mm"),
        ({"direction": "radial"}, "friction.direction = 'radial' must be axial or torsional"),
    ],
)
def test_what_cannot_be_is_refused(changes, words):
    with pytest.raises(ValueError, match=words):
        friction_held_layer(ZONE, **{"friction": 0.3, "assembly": ShellClosing(0.5)} | changes)


def test_a_stop_names_step_and_keeps_the_loads_before():
    with pytest.raises(FrictionLoadStopped, match=r"friction\.motions\[1\] = 40 mm not reached: no equilibrium between") as stop:
        friction_held_layer(ZONE, friction=inf, assembly=ShellClosing(0.5), motions=[0.2, 40.0], cells=(2, 4))
    assert len(stop.value.found.loads) == 1
    with pytest.raises(AssemblyStopped, match="half shells closed: travel 14 mm not reached: no equilibrium between"):
        friction_held_layer(ZONE, friction=inf, assembly=ShellClosing(14.0), cells=(2, 4))
