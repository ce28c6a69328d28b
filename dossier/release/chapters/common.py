"""What several chapters need: numbers with sensible digits, margins, sources in words."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

from dossier import units
from dossier.checks.margin import margin
from dossier.checks.verdict import Verdict
from dossier.release.flow import room
from dossier.release.kit import ENDLESS, Kit
from dossier.release.text import Content, Markup, join


def nominal_margin(verdict: Verdict) -> float | None:
    """Margin of the value itself, without its band."""
    leading = verdict.leading
    if leading is None or leading.value is None or leading.margin.absolute:
        return None
    return margin(verdict.requirement.limit, leading.value, leading.value).value


def worst_margin(verdict: Verdict) -> float | None:
    """Margin at the unfavourable end of the band."""
    return None if verdict.margin.absolute else verdict.margin.value


def best_margin(verdict: Verdict) -> float | None:
    """Margin at the favourable end of the band."""
    leading = verdict.leading
    if leading is None or leading.low is None or leading.high is None or leading.margin.absolute:
        return None
    ends = (margin(verdict.requirement.limit, end, end).value for end in (leading.low, leading.high))
    return max((end for end in ends if end is not None), default=None)


def linked_source(kit: Kit, source: str) -> Content:
    """ "M-04.shear_modulus" with its record as a link."""
    record, dot, field = source.partition(".")
    if not dot and (" " in source or source == "default"):
        return source
    return [kit.ref(record, page=False), f"{dot}{field}"]


def number(value: float, unit: str, shown: str = "", digits: int = 4) -> tuple[str, str]:
    """Value and unit as printed in two columns."""
    target = shown or unit
    return units.show(units.convert(value, unit, target), digits), "" if target in ("-", "1") else target


def listed(kit: Kit, ids: list[str]) -> Markup:
    """Ids as links with commas."""
    return join((kit.ref(record_id, page=False) for record_id in ids), ", ")


def sentences(*parts: str) -> str:
    """Texts one behind the other, each with an end of its own."""
    told = (part.strip() for part in parts)
    return " ".join(part if part.endswith((".", "!", "?", ":")) else f"{part}." for part in told if part)


def without_zeros(number: str) -> str:
    """A printed number without zeros at the end of its decimals: the same number."""
    return number.rstrip("0").rstrip(".") if "." in number and "e" not in number else number


def trimmed(value: float, digits: int = 5) -> str:
    """A number that was put in, with so many digits at most and no zeros behind them."""
    return without_zeros(units.show(value, digits))


def places_of(*limits: float | None) -> int:
    """Decimals that print the limits as they were written, three at most."""
    texts = [f"{limit:.10g}" for limit in limits if limit is not None]
    return min(3, max((len(text.partition(".")[2]) for text in texts), default=0))


def height_of(kit: Kit, flowables: Sequence[Flowable]) -> float:
    """Height in points of flowables one under the other in the main column."""
    total = after = 0.0
    for number, flowable in enumerate(flowables):
        total += max(after, flowable.getSpaceBefore()) if number else 0.0
        total += flowable.wrap(kit.page.main, ENDLESS)[1]
        after = flowable.getSpaceAfter()
    return total


def unparted(kit: Kit, flowables: Sequence[Flowable], *, share: float = 1.0) -> list[Flowable]:
    """The flowables on one page if a page (or that share of it) can hold them, else from where there is room."""
    height, limit = height_of(kit, flowables), kit.page.height
    return [room(height + 8 if height <= share * limit else 0.25 * limit), *flowables]
