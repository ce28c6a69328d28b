"""The methods the tool knows, by id."""

from __future__ import annotations

from functools import cache
from importlib import import_module

from dossier.methods.base import Method

_MODULES = (
    "mass", "bond_area", "rubber_moduli", "rubber_fit", "layer", "layer_assembly", "layer_curve", "layer_load_case",
    "section_stiffness", "layer_limits", "section_strength", "core_gap", "pin_bending", "fit", "clamp", "cost", "footprint",
)  # fmt: skip


@cache
def all_methods() -> dict[str, Method]:
    """Every method by id, in the order of the steps."""
    found: dict[str, Method] = {}
    for name in _MODULES:
        module = import_module(f"dossier.methods.{name}")
        for method in module.METHODS:
            found[method.id] = method
    return found


def method_of(method_id: str) -> Method:
    """The method of that id. Raises KeyError naming the known ids."""
    methods = all_methods()
    if method_id not in methods:
        raise KeyError(f'no method "{method_id}"; known: {", ".join(sorted(methods))}')
    return methods[method_id]
