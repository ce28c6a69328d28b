"""Whether what was calculated and what evidence shows agree, requirement by requirement."""

from __future__ import annotations

from dataclasses import dataclass

from dossier.checks.margin import decide
from dossier.checks.told_numbers import digits_of, with_band
from dossier.checks.verdict import Support
from dossier.checks.view import View
from dossier.records.calculation import Calculation
from dossier.records.requirement import Requirement


@dataclass(frozen=True)
class Comparison:
    """A calculated and a shown value of one requirement, both in its unit."""

    requirement: Requirement
    calculated: Support
    shown: Support

    @property
    def apart(self) -> bool:
        """Whether the bands have no point in common."""
        calculated, shown = _ends(self.calculated), _ends(self.shown)
        return calculated[1] < shown[0] or shown[1] < calculated[0]

    @property
    def decided(self) -> tuple[str, str]:
        """What each band decides by itself, however old it is."""
        limit = self.requirement.limit
        calculated, shown = (decide(limit, *_ends(support)) or "open" for support in (self.calculated, self.shown))
        return calculated, shown

    @property
    def deviation(self) -> float | None:
        """Shown value over calculated value, less 1."""
        value = self.calculated.value
        return self.shown.value / value - 1 if value and self.shown.value is not None else None

    @property
    def words(self) -> str:
        """ "bands apart", "bands meet", and where the decisions are opposed, which they are."""
        told = "bands apart" if self.apart else "bands meet"
        if set(self.decided) == {"met", "not met"}:
            told += f"; by numbers {self.decided[0]} as calculated, {self.decided[1]} as shown"
        return told


def _ends(support: Support) -> tuple[float, float]:
    value = support.value or 0.0
    return (value if support.low is None else support.low, value if support.high is None else support.high)


def comparisons(view: View) -> list[Comparison]:
    """Every calculated value beside every value that evidence shows for the same requirement."""
    found = []
    for verdict in view.verdicts.values():
        valued = [support for support in (*verdict.supports, *verdict.beside) if support.value is not None]
        calculated = [s for s in valued if isinstance(view.project.find(s.record), Calculation)]
        shown = [s for s in valued if s not in calculated]
        found += [Comparison(verdict.requirement, one, other) for one in calculated for other in shown]
    return found


def apart_words(view: View) -> str:
    """ "calculated and shown values lie apart for R-022, R-023 and decide R-023 oppositely", or nothing."""
    apart = [one for one in comparisons(view) if one.apart]
    if not apart:
        return ""
    named = ", ".join(dict.fromkeys(one.requirement.id for one in apart))
    opposed = dict.fromkeys(one.requirement.id for one in apart if set(one.decided) == {"met", "not met"})
    tail = f" and decide {', '.join(opposed)} oppositely" if opposed else ""
    return f"calculated and shown values lie apart for {named}{tail}"


def support_words(one: Comparison, support: Support) -> str:
    """ "29.7 kN (18.7 to 40.8)" in the unit of the requirement."""
    unit = one.requirement.unit
    return with_band(support.value or 0.0, support.low, support.high, unit, digits_of(unit))
