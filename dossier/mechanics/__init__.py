"""Mechanics of the joint: plain numbers in, plain numbers out.

The names below are loaded on first use, so that importing the package costs neither numpy nor scipy.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dossier.mechanics.closed_forms import (
        sphere_rotation_stiffness,
        sphere_translation_stiffness,
        zone_torsion_stiffness,
    )
    from dossier.mechanics.layer import (
        LayerEstimate,
        LayerStiffness,
        MeshError,
        layer_stiffness,
        layer_stiffness_with_estimate,
    )
    from dossier.mechanics.whole_section import SectionSolution, section_stiffness

_HOME = {
    "LayerEstimate": "layer",
    "LayerStiffness": "layer",
    "MeshError": "layer",
    "layer_stiffness": "layer",
    "layer_stiffness_with_estimate": "layer",
    "SectionSolution": "whole_section",
    "section_stiffness": "whole_section",
    "sphere_rotation_stiffness": "closed_forms",
    "sphere_translation_stiffness": "closed_forms",
    "zone_torsion_stiffness": "closed_forms",
}

__all__ = [
    "LayerEstimate",
    "LayerStiffness",
    "MeshError",
    "SectionSolution",
    "layer_stiffness",
    "layer_stiffness_with_estimate",
    "section_stiffness",
    "sphere_rotation_stiffness",
    "sphere_translation_stiffness",
    "zone_torsion_stiffness",
]


def __getattr__(name: str):
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOME[name]}"), name)


def __dir__() -> list[str]:
    return sorted(__all__)
