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
    from dossier.mechanics.combined import CombinedLoadStopped, PinDemand, PinLoad, combined_loads, loads_under
    from dossier.mechanics.compliance import MetalCompliance
    from dossier.mechanics.curves import LayerCurve, LayerCurveStopped, layer_curve, layer_curve_at_forces
    from dossier.mechanics.friction_layer import friction_held_layer
    from dossier.mechanics.layer import (
        LayerEstimate,
        LayerStiffness,
        MeshError,
        SphericalLayer,
        layer_stiffness,
        layer_stiffness_with_estimate,
    )
    from dossier.mechanics.placement import PinPlacement
    from dossier.mechanics.prestress import AssemblyStopped, PreStressedLayer, RingTravel, ShellClosing, pre_stressed_layer
    from dossier.mechanics.whole_section import SectionSolution, section_stiffness

_HOME = {
    "AssemblyStopped": "prestress",
    "CombinedLoadStopped": "combined",
    "LayerCurve": "curves",
    "LayerCurveStopped": "curves",
    "LayerEstimate": "layer",
    "LayerStiffness": "layer",
    "MeshError": "layer",
    "PinLoad": "combined",
    "MetalCompliance": "compliance",
    "PinDemand": "combined",
    "PinPlacement": "placement",
    "loads_under": "combined",
    "PreStressedLayer": "prestress",
    "RingTravel": "prestress",
    "ShellClosing": "prestress",
    "SphericalLayer": "layer",
    "combined_loads": "combined",
    "layer_curve": "curves",
    "layer_curve_at_forces": "curves",
    "layer_stiffness": "layer",
    "layer_stiffness_with_estimate": "layer",
    "SectionSolution": "whole_section",
    "section_stiffness": "whole_section",
    "friction_held_layer": "friction_layer",
    "pre_stressed_layer": "prestress",
    "sphere_rotation_stiffness": "closed_forms",
    "sphere_translation_stiffness": "closed_forms",
    "zone_torsion_stiffness": "closed_forms",
}

__all__ = [
    "AssemblyStopped",
    "CombinedLoadStopped",
    "LayerCurve",
    "LayerCurveStopped",
    "LayerEstimate",
    "LayerStiffness",
    "MeshError",
    "MetalCompliance",
    "PinDemand",
    "PinLoad",
    "PinPlacement",
    "PreStressedLayer",
    "RingTravel",
    "SectionSolution",
    "ShellClosing",
    "SphericalLayer",
    "combined_loads",
    "layer_curve",
    "layer_curve_at_forces",
    "layer_stiffness",
    "layer_stiffness_with_estimate",
    "loads_under",
    "friction_held_layer",
    "pre_stressed_layer",
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
