"""Methods told as data: what `dossier methods` prints and help texts show."""

from __future__ import annotations

from typing import Any

from annotated_types import Ge, Gt, Le, Lt
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from dossier.methods.base import Method
from dossier.records.base import field_facts

_SIGNS = {Gt: (">", "gt"), Ge: ("≥", "ge"), Lt: ("<", "lt"), Le: ("≤", "le")}


def method_facts(method: Method) -> dict[str, Any]:
    """Id, version, title, inputs, results and basis of a method as plain data."""
    return {
        "id": method.id,
        "version": method.version,
        "title": method.title,
        "step": method.step,
        "inputs": [
            _input_facts(name, info, method.input_model) for name, info in method.input_model.model_fields.items()
        ],
        "results": [
            {"name": result.name, "unit": result.unit, "meaning": result.meaning, "tolerance": result.tolerance}
            for result in method.results
        ],
        "basis": {
            "kind": method.basis.kind,
            "text": method.basis.text,
            "valid_for": list(method.basis.valid_for),
            "left_out": list(method.basis.left_out),
        },
    }


def _input_facts(name: str, info: FieldInfo, model: type[BaseModel]) -> dict[str, Any]:
    facts = field_facts(info)
    return {
        "name": name,
        "unit": facts.get("unit", "-"),
        "meaning": info.description or "",
        "limits": limits_of(info),
        "required": info.is_required(),
        "default": _plain_default(info),
        "usual_source": facts.get("link", ""),
    }


def _plain_default(info: FieldInfo) -> Any:
    if info.is_required():
        return None
    default = info.get_default(call_default_factory=True)
    return default.model_dump(mode="json") if isinstance(default, BaseModel) else default


def limits_of(info: FieldInfo) -> str:
    """The limits of a field in signs, such as "> 0, < 180"."""
    found = []
    for limit in info.metadata:
        for kind, (sign, attribute) in _SIGNS.items():
            if isinstance(limit, kind):
                found.append(f"{sign} {getattr(limit, attribute):g}")
    return ", ".join(found)
