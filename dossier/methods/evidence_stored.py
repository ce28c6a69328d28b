"""The working of an evaluated item, derived again from its stored result without reading its files."""

from __future__ import annotations

from pathlib import Path

from dossier.methods.evidence_base import Evaluated, compared_groups
from dossier.methods.evidence_links import method_of_item
from dossier.methods.evidence_statistics import JUDGED
from dossier.methods.working import Working
from dossier.records.evidence import EvidenceItem


def stored_working(item: EvidenceItem) -> Working | None:
    """From the values of the specimens to means, uncertainties and ratio; None where the result does not keep them."""
    method, result = method_of_item(item), item.result
    if result is None:
        return None
    try:
        given = method.input_model.model_validate(result.inputs)
        if item.quantity in JUDGED:
            return method.working(given, method.run(given, Path))  # these read no file
        means = {}
        for name in ("variant", "reference"):
            parts = [result.value(f"specimen:{sample.specimen}") for sample in getattr(given, name)]
            values = [part.value for part in parts if part is not None and part.value is not None]
            if values and len(values) == len(parts):
                means[name] = values
        if not means:
            return None
        unit = next(value.unit for value in result.values if value.name in means)
        compared = compared_groups(given, means)[0]
        return method.working(given, Evaluated(result.values, detail={"means": means, "unit": unit, "compared": compared}))
    except (ValueError, KeyError, TypeError):
        return None
