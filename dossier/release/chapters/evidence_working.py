"""How an item's values come from its curves and parts: ends of the secant, means with uncertainty, ratio with interval."""

from __future__ import annotations

import math

from reportlab.platypus import Flowable

from dossier import units
from dossier.checks.told_evidence import told_name
from dossier.methods.evidence_links import CURVES
from dossier.methods.evidence_statistics import JUDGED
from dossier.methods.evidence_stored import stored_working
from dossier.methods.working import Working
from dossier.records.evidence import EvidenceItem
from dossier.release.chapters.calculation import working_block
from dossier.release.chapters.evidence_curves import ROTATIONAL, Measured, measured_parts
from dossier.release.facts import Facts
from dossier.release.kit import Kit

GROUPS = (("reference", "r"), ("variant", "v"))


def working_of_item(kit: Kit, facts: Facts, item: EvidenceItem) -> list[Flowable]:
    """A block with the working of an item with curves, a ratio, lives, a series or a staircase; nothing for others."""
    result = item.result
    if result is None or _angle_only(item):
        return []
    if item.quantity not in (*CURVES, *JUDGED) and not (result.value("ratio") or result.value("to_static_variant")):
        return []
    working = facts.once(("evidence working", item.id), lambda: _worked(facts, item))
    return [working_block(kit, working, f"{item.id}: working")] if working else []


def _angle_only(item: EvidenceItem) -> bool:
    """Whether the item serves with loss angles only: working and ratio of its records are those of the stiffness."""
    return told_name(item, "variant").startswith("loss_angle")


def _worked(facts: Facts, item: EvidenceItem) -> Working | None:
    """The method's own working from the stored values, led by the secants of the parts that are drawn."""
    working = stored_working(item)
    found = measured_parts(facts, item) if working and item.quantity in CURVES else None
    given = item.result.inputs if item.result else {}
    if working and isinstance(found, dict) and given.get("stiffness") == "secant" and "last_cycle" not in given:
        _put_before(working, _secants(item, found))
    return working


def _secants(item: EvidenceItem, found: dict[str, Measured]) -> Working:
    """Both ends of the evaluated range on the loading branch of the drawn parts, and the secant between them."""
    load, travel, stiffness = ("N·m", "°", "N·m/°") if item.quantity in ROTATIONAL else ("kN", "mm", "kN/mm")
    mark = "M" if item.quantity in ROTATIONAL else "F"
    working = Working()
    for group, letter in GROUPS:
        if group not in found:
            continue
        part = found[group]
        for place, (at, force) in enumerate(part.ends, 1):
            end = "lower" if place == 1 else "upper"
            working.given(f"{mark}_{letter}{place}", f"{part.specimen}, load at the {end} end", force, load)
            working.given(f"s_{letter}{place}", f"{part.specimen}, travel at the {end} end", at, travel)
        formula = f"({mark}_{letter}2 − {mark}_{letter}1)/(s_{letter}2 − s_{letter}1)"
        working.line(f"c_{letter}", f"secant stiffness of {part.specimen}, {group}", formula, stiffness, result=True)
    return working


def _put_before(working: Working, first: Working) -> None:
    working.givens[:0] = first.givens
    working.lines[:0] = first.lines


def uncertainty_words(item: EvidenceItem, unit: str) -> str:
    """ "scatter ± 1.98, measurement ± 1.29; U = √(1.98² + 1.29²) = 2.36 g; scatter = k·s/√n = 2.306·1.924/√5", or nothing.

    Each number is an expanded contribution, 95 %. The printed numbers give the printed ones.
    """
    value = item.result.value(told_name(item, "variant")) if item.result else None
    if value is None or not value.lines:
        return ""
    parts = [abs(units.convert(line.plus, value.unit, unit)) for line in value.lines]
    printed = [units.show(part, 3) for part in parts]
    tail = "" if unit in ("-", "1") else f" {unit}"
    told = ", ".join(f"{line.cause} ± {number}" for line, number in zip(value.lines, printed, strict=True))
    if len(printed) > 1:
        total = sum(float(number) ** 2 for number in printed) ** 0.5
        told += f"; U = √({' + '.join(f'{number}²' for number in printed)}) = {units.show(total, 3)}"
    return f"Uncertainty, 95 %: {told}{tail}{_scatter_words(item, unit)}."


def ratio_budget_words(item: EvidenceItem) -> str:
    """The second budget: what of the first counts in a ratio measured on one rig, or nothing without a ratio."""
    result = item.result
    if result is None or _angle_only(item) or result.value("ratio") is None:
        return ""
    cancels = [line["cause"] for line in result.inputs.get("budget", []) if line.get("systematic", True)]
    told = []
    for group, words in (("variant", "variant"), ("reference", "reference part")):
        value = result.value(group)
        lines = [line for line in value.lines if line.cause == "scatter"] if value and value.value else []
        told += [f"{units.show(100 * line.plus / abs(value.value), 3)} % of the {words}" for line in lines]
    cancelled = f"; cancels, systematic: {', '.join(cancels)}" if cancels else ""
    return f"In the ratio on one rig, 95 %: scatter ± {' and ± '.join(told) or 'not known'}{cancelled}."


def _scatter_words(item: EvidenceItem, unit: str) -> str:
    """Coverage factor, standard deviation and number of parts behind the scatter, where it is a contribution."""
    value, count, spread = (
        item.result.value(f"{part}{told_name(item, 'variant')}") for part in ("", "n_", "spread_")
    )
    scatter = next((abs(line.plus) for line in value.lines if line.cause == "scatter"), None)
    if not scatter or not count or not spread or not count.value or not spread.value:
        return ""
    factor = scatter / spread.value * math.sqrt(count.value)
    deviation = units.show(units.convert(spread.value, spread.unit, unit), 4)
    return f"; scatter = k·s/√n = {units.show(factor, 4)}·{deviation}/√{count.value:g}"
