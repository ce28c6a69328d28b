"""Damage of a measured load history for stated S–N lines."""

from __future__ import annotations

from typing import Any

from dossier.evidence.errors import EvaluationError
from dossier.evidence.kinds.curve_in import shown_units
from dossier.evidence.kinds.history_in import load_of
from dossier.evidence.load_history import evaluate_load_history
from dossier.evidence.one_file import Asked
from dossier.evidence.plausibility import held_at_end, standing_alone

EXPONENTS = (3.0, 5.0)


def answer(asked: Asked) -> dict[str, Any]:
    """The answer of kind load_history (one_file.evaluate_file)."""
    if asked.sn_range is None or asked.sn_cycles is None:
        missing = " and ".join(name for name in ("sn_range", "sn_cycles") if getattr(asked, name) is None)
        raise EvaluationError(f"{missing} missing; the S–N lines pass through the range sn_range at sn_cycles cycles")
    shown = shown_units(asked)
    load, notes, warnings = load_of(asked, shown)
    found = evaluate_load_history(
        load, sn_range=asked.sn_range, sn_cycles=asked.sn_cycles, exponents=asked.exponents or EXPONENTS
    )
    warnings += standing_alone("load", load) + held_at_end(load)
    if not asked.exponents:
        warnings.append(f"no exponents given; {' and '.join(f'{one:g}' for one in EXPONENTS)} are used")
    return {
        "rows": len(load), "force_min": found.smallest, "force_max": found.largest, "force_unit": shown.force_unit,
        "cycles": found.cycles, "residue": found.residue, "largest_range": float(found.counted.ranges.max()),
        "damage": found.damage, "damage_repeated": found.damage_repeated, "equivalent_range": found.equivalent,
        "notes": [*notes, *found.notes], "warnings": warnings,
    }  # fmt: skip
