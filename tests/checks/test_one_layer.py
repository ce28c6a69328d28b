"""Analytic limit behind check 2.6: a bonded layer around the ball's equator resists torsion more than tilting, and
radial travel more than axial, compared with the finite elements on thin and thick, narrow and wide layers."""

from __future__ import annotations

from math import pi, radians

import pytest

from dossier.mechanics.layer import layer_stiffness


@pytest.mark.parametrize("first_edge", [25.0, 50.0, 75.0])
@pytest.mark.parametrize("outer_radius", [31.0, 38.0])
@pytest.mark.parametrize("bulk_modulus", [50.0, 2000.0])
def test_torsion_above_tilting_and_radial_above_axial(
    first_edge: float, outer_radius: float, bulk_modulus: float
) -> None:
    start = radians(first_edge)
    found = layer_stiffness(29.0, outer_radius, start, pi - start, 1.0, bulk_modulus)
    assert found.torsional > found.conical
    assert found.radial > found.axial


def test_the_orders_turn_around_towards_the_poles() -> None:
    """A layer on one polar cap breaks the rule, so that it is no tautology: it holds for the equator only."""
    found = layer_stiffness(29.0, 34.0, radians(5.0), radians(35.0), 1.0, 2000.0)
    assert found.torsional < found.conical
    assert found.radial < found.axial
