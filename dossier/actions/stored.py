"""A result as it is stored: what it was computed from and by whom, then values, warnings and validity."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.metadata import version
from typing import Any

from dossier.methods.links import Resolved
from dossier.store.digest import sha256_of_document


def begun(method: str, method_version: int, resolved: Resolved, person: str, moment: str) -> dict[str, Any]:
    """The stored result before it has values: method, exact input with its sources and digest, person, time."""
    return {
        "method": method,
        "method_version": method_version,
        "computed_at": moment,
        "computed_by": person,
        "validity": "inside",
        "inputs_sha256": sha256_of_document(resolved.plain),
        "values": [],
        "inputs": resolved.plain,
        "sources": resolved.sources,
        "libraries": {name: version(name) for name in ("numpy", "scipy")},
    }


def failed(stored: dict[str, Any], reason: str) -> dict[str, Any]:
    """The result of a run that failed, with its reason."""
    return stored | {"validity": "failed", "validity_notes": [reason]}


def ended(
    stored: dict[str, Any], values: list[dict[str, Any]], outside: Sequence[str], warnings: Sequence[str]
) -> dict[str, Any]:
    """The result with its values, what lies outside the method's validity, and warnings."""
    found = stored | {"values": values}
    if outside:
        found |= {"validity": "outside", "validity_notes": list(outside)}
    return found | ({"warnings": list(warnings)} if warnings else {})
