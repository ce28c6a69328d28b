"""Whether the limits a planned item serves are in reach of its parts and its uncertainty, told before anything is tested."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from dossier import units
from dossier.checks.margin import decide, limit_in_words
from dossier.checks.told_plan import planned_words
from dossier.checks.told_power import SCATTER
from dossier.checks.verdict import DECIDED, Support
from dossier.checks.view import View
from dossier.methods.evidence_base import CONFIDENCE, REPEATABILITY, BudgetIn
from dossier.methods.evidence_budget import budget_line
from dossier.methods.evidence_links import CURVES, PRESS
from dossier.methods.links import Resolved
from dossier.records.evidence import EvidenceItem
from dossier.records.requirement import Requirement

MEASURED = ("single", "adhesion", "dynamic", *CURVES, *PRESS)
BOUNDED = ("min", "max", "range")
Half = Callable[[float], float]


def plan_words(view: View, item: EvidenceItem) -> list[str]:
    """All that can be said of a planned or running item before its result: power, lives, and limits in reach."""
    return [*planned_words(item), *reach_words(view, item)]


def reach_words(view: View, item: EvidenceItem) -> list[str]:
    """For each limit that a planned item of measured values serves: the uncertainty its parts and budget give, from which
    value on the limit is met, and whether what is expected reaches it. Nothing for other items."""
    if item.state not in ("planned", "running") or item.quantity not in MEASURED or not item.planned_variant:
        return []
    wanted = [(link.value, view.project.find(link.requirement)) for link in item.serves]
    served = [
        requirement for value, requirement in wanted
        if isinstance(requirement, Requirement) and value == "variant" and requirement.limit.kind in BOUNDED
    ]  # fmt: skip
    if not served:
        return []
    resolved = Resolved()
    lines = [BudgetIn(**budget_line(view.project, item, place, resolved)) for place in range(len(item.budget))]
    if resolved.problems:
        return [f"uncertainty not known: {'; '.join(resolved.problems)}"]
    return [words for requirement in served for words in _against(view, item, requirement, lines)]


@dataclass(frozen=True)
class _Expected:
    """Expanded uncertainty (95 %) of the value that decides, at a value in the item's unit."""

    item: EvidenceItem
    lines: Sequence[BudgetIn]
    single: bool

    @property
    def scatter(self) -> float:
        """Expected standard deviation of single parts, relative."""
        return self.item.expected_scatter or SCATTER["curve" if self.item.quantity in CURVES else "single"]

    @property
    def count(self) -> int:
        """Parts whose mean decides."""
        return 1 if self.single else self.item.planned_variant

    def half(self, value: float) -> float:
        """As an evaluation would find it: lines of the budget and, of a mean, the scatter s/√n with n − 1 degrees of freedom."""
        from dossier.evidence.uncertainty import Contribution, budget_against_limit

        counting = [line for line in self.lines if self.count == 1 or line.kind != REPEATABILITY]
        found = [Contribution(line.cause, line.standard(abs(value), self.count)) for line in counting]
        if self.count > 1:
            scatter = self.scatter * abs(value) / math.sqrt(self.count)
            found.append(Contribution("scatter", scatter, self.count - 1))
        return budget_against_limit(found, CONFIDENCE).expanded if found else 0.0


def _against(view: View, item: EvidenceItem, requirement: Requirement, lines: Sequence[BudgetIn]) -> list[str]:
    count = item.planned_variant
    single = count == 1 or requirement.decided_by == "worst part"
    expected = _Expected(item, lines, single)
    limit = requirement.limit
    unit = item.unit if item.quantity in ("single", "adhesion") else requirement.unit
    bound = limit.max if limit.kind == "max" else limit.min
    if bound is None or not units.same_dimension(unit, requirement.unit):
        return []
    who = f"the mean of {count} parts" if not single else "1 part" if count == 1 else f"the worst of {count} parts"
    lead = f"{requirement.id} {limit_in_words(limit, requirement.unit)} by {who}"
    told = f"{lead}: {_uncertainty(expected, units.convert(bound, requirement.unit, unit))}{_fewer(requirement, count)}"

    def half(value: float) -> float:
        return units.convert(expected.half(units.convert(value, requirement.unit, unit)), unit, requirement.unit)

    where = f"; {_met_where(requirement, half)}" if half(bound) else ""
    return [f"{told}{where}{_in_reach(view, item, requirement, half)}"]


def _fewer(requirement: Requirement, count: int) -> str:
    wanted = requirement.sample_size
    return f"; fewer than the {wanted} that {requirement.id} asks for" if wanted and count < wanted else ""


def _uncertainty(expected: _Expected, value: float) -> str:
    """ "expanded uncertainty ±9.3 % (scatter 10 %, common practice, no source; budget of 3 lines)"; what one part leaves open."""
    half, lines = expected.half(value), len(expected.lines)
    if not half:
        return "no uncertainty, its budget is empty; enter calibration and resolution, check 4.12 asks for them"
    shown = f"{units.show(100 * half / abs(value), 2)} %" if value else units.show_quantity(half, expected.item.unit)
    told = f"expanded uncertainty ±{shown}"
    budget = f"budget of {units.amount(lines, 'line')}" if lines else "its budget is empty, check 4.12 asks for it"
    if expected.count == 1:
        tail = "" if expected.item.planned_variant > 1 else "; how far parts differ stays unknown"
        return f"{told} ({budget}{tail})"
    source = "" if expected.item.expected_scatter else ", common practice, no source"
    return f"{told} (scatter {units.show(100 * expected.scatter, 3)} %{source}; {budget})"


def _met_where(requirement: Requirement, half: Half) -> str:
    """Values that would be met with their uncertainty."""
    limit, unit = requirement.limit, "" if requirement.unit in ("-", "1") else f" {requirement.unit}"
    low = None if limit.kind == "max" else _from(limit.min or 0.0, half, 1)
    high = None if limit.kind == "min" else _from(limit.max or 0.0, half, -1)
    if low is not None and high is not None:
        if low > high:
            return "no value can be met, the uncertainty is wider than the range: more parts, or a better budget"
        return f"met from {units.show(low, 3)} to {units.show(high, 3)}{unit}"
    return f"met from {units.show(low, 3)}{unit} on" if low is not None else f"met up to {units.show(high or 0.0, 3)}{unit}"


def _from(bound: float, half: Half, side: int) -> float:
    """The value whose band just ends at the bound: v = bound ± half(v)."""
    value = bound
    for _ in range(30):
        value = bound + side * half(value)
    return value


def _in_reach(view: View, item: EvidenceItem, requirement: Requirement, half: Half) -> str:
    """Whether what was calculated, else what another item found, would be met with this uncertainty."""
    support = _expectation(view, item, requirement)
    if support is None or support.value is None:
        return "; nothing calculated or measured tells what to expect"
    band = half(support.value)
    if not band:
        return f"; {_said(support, requirement)}: {_room(requirement, support.value)}"
    word = {"met": "in reach", "not met": "out of reach"}.get(
        decide(requirement.limit, support.value - band, support.value + band) or "", "not in reach, it would stay undecided"
    )
    return f"; {_said(support, requirement)}: {word}"


def _said(support: Support, requirement: Requirement) -> str:
    """ "C-009 calculates 21.2 kN", with the state of a result that does not stand."""
    verb = "calculates" if support.way == "analysis" else "found"
    state = "" if support.state in DECIDED else f" ({support.state})"
    return f"{support.record} {verb} {units.show_quantity(support.value or 0.0, requirement.unit, None, 3)}{state}"


def _room(requirement: Requirement, value: float) -> str:
    """The expanded uncertainty at which an expected value would still be met."""
    limit = requirement.limit
    distances = [value - limit.min] if limit.kind != "max" and limit.min is not None else []
    distances += [limit.max - value] if limit.kind != "min" and limit.max is not None else []
    if min(distances) <= 0 or not value:
        return "out of reach"
    return f"met with an expanded uncertainty up to ±{units.show(100 * min(distances) / abs(value), 2)} %"


def _expectation(view: View, item: EvidenceItem, requirement: Requirement) -> Support | None:
    known = [s for s in view.supports(requirement) if s.value is not None and s.record != item.id]
    return next((s for s in known if s.way == "analysis"), known[0] if known else None)
