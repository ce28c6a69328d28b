"""The state of a requirement: the worst of its verifications, or conceded by a named person."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from dossier import units
from dossier.checks.margin import Margin, decide, margin
from dossier.methods.freshness import STANDS, Freshness
from dossier.records.calculation import Calculation, ResultValue
from dossier.records.requirement import Requirement
from dossier.records.step import Concession

DECIDED = ("met", "not met", "undecided")
# From worst to best. "Undecided" never counts as met.
ORDER = ("not met", "undecided", "outdated", "open", "conceded", "met")


@dataclass(frozen=True)
class Support:
    """What one calculation or evidence item says about a requirement, in the requirement's unit.

    `part` is the specimen whose value decided, where the worst one does.
    """

    record: str
    way: str
    state: str
    value: float | None = None
    low: float | None = None
    high: float | None = None
    margin: Margin = Margin(None)
    reason: str = ""
    older_shape: bool = False
    part: str = ""


@dataclass
class Verdict:
    """State of a requirement with everything it rests on. `before_concession` is the state by the numbers."""

    requirement: Requirement
    state: str
    supports: list[Support] = field(default_factory=list)
    beside: list[Support] = field(default_factory=list)
    reason: str = ""
    concession: Concession | None = None
    before_concession: str = ""

    @property
    def leading(self) -> Support | None:
        """The support that decides: the worst one, of these the one with the least margin."""
        if not self.supports:
            return None
        return min(self.supports, key=lambda support: (ORDER.index(support.state), _margin_key(support)))

    @property
    def margin(self) -> Margin:
        """Margin of the leading support."""
        return self.leading.margin if self.leading else Margin(None)


def _margin_key(support: Support) -> float:
    return float("inf") if support.margin.value is None else support.margin.value


def support_of_calculation(
    requirement: Requirement, calculation: Calculation, value_name: str, fresh: Freshness
) -> Support:
    """What a calculation says about a requirement."""
    state, reason = fresh.state, "; ".join(fresh.problems)
    result = calculation.result
    found = result.value(value_name) if result else None
    if result is None:
        return Support(calculation.id, "analysis", "open", reason=reason or "was never run; run it")
    if state == "failed":
        return Support(calculation.id, "analysis", "not met", reason=f"failed: {reason}")
    if found is None or found.value is None:
        missing = f'gives no value "{value_name}"'
        if result.validity == "outside":
            return Support(calculation.id, "analysis", "not met", reason=f"{missing}: {'; '.join(result.validity_notes)}")
        return Support(calculation.id, "analysis", "open", reason=missing)
    if not _comparable(found.unit, requirement.unit):
        reason = f"{value_name} is in {found.unit}, the requirement in {requirement.unit}; link another value"
        return Support(calculation.id, "analysis", "open", reason=reason)
    value, low, high = _in_unit(found, requirement.unit)
    decided = decide(requirement.limit, low, high)
    distance = margin(requirement.limit, low, high)
    if state in STANDS:
        state, reason = decided or "open", "" if decided else "the limit's kind needs a person or a test"
        if result.validity != "inside":
            state, reason = "not met", "outside the method's validity: " + "; ".join(result.validity_notes)
    return Support(calculation.id, "analysis", state, value, low, high, distance, reason)


def _replaced(support: Support, supports: list[Support]) -> bool:
    return support.older_shape and any(other.way == support.way and other.state in DECIDED for other in supports)


def _comparable(unit: str, other: str) -> bool:
    try:
        return units.same_dimension(unit, other)
    except units.UnitError:
        return False


def _in_unit(found: ResultValue, unit: str) -> tuple[float, float, float]:
    value = found.value or 0.0
    low = min(value, value if found.low is None else found.low)
    high = max(value, value if found.high is None else found.high)
    return tuple(units.convert(number, found.unit, unit) for number in (value, low, high))  # type: ignore[return-value]


def verdict(
    requirement: Requirement, supports: list[Support], concession: Concession | None, today: date
) -> Verdict:
    """Worst of the verifications the requirement asks for; a way without any support leaves it open.

    What was measured on an older shape stands beside once parts of today's shape were measured in the same way.
    """
    counted = [support for support in supports if support.way in requirement.verification and not _replaced(support, supports)]
    beside = [support for support in supports if support not in counted]
    missing = [way for way in requirement.verification if all(support.way != way for support in counted)]
    states = [support.state for support in counted] + ["open"] * len(missing)
    state = min(states, key=ORDER.index) if states else "open"
    reason = f"no {' and no '.join(missing)} yet" if missing and state == "open" else ""
    if not requirement.verification:
        reason = "no way of verification is named; fill its field verification"
    result = Verdict(requirement, state, counted, beside, reason)
    if concession and state in ("not met", "undecided") and date.fromisoformat(concession.until) >= today:
        result.before_concession, result.state, result.concession = state, "conceded", concession
    return result
