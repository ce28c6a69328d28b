"""Finding: what a typed search asks for, and whether a row or record answers it."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from dossier import units
from dossier.records.calculation import Calculation
from dossier.records.requirement import Requirement
from screens.glyphs import OF_FRESHNESS
from screens.paint import LineLike, cut_line, fit, line

if TYPE_CHECKING:
    from screens.session import Session

STATE_WORDS = ("not met", "undecided", "outdated", "conceded", "met", "open")
MOST_HITS = 40
MOST_TEXT = 4000
TITLE_COLUMNS = 56
_MARGIN = re.compile(r"([<>])=?\s*([+\-−]?\d*\.?\d+)(?=\s|$)")
_QUANTITY = re.compile(r"(?<!\S)([+\-−]?\d*\.?\d+)\s*([^\s\d<>][^\s<>]*)(?=\s|$)")

_NUMBER = re.compile(r"[+\-−]?\d*\.?\d+")


@dataclass(frozen=True)
class Facts:
    """What a search looks at: id, folded text, state word, margin, people, whether dated today, quantities."""

    id: str
    text: str
    state: str = ""
    margin: float | None = None
    mine: bool = False
    today: bool = False
    quantities: tuple[tuple[float, str], ...] = ()

    def joined(self, row: Facts) -> Facts:
        """The facts of a record with the text of the row that shows it."""
        return replace(
            self, text=f"{self.text} {row.text}", state=self.state or row.state, mine=self.mine or row.mine,
            today=self.today or row.today,
        )  # fmt: skip


@dataclass(frozen=True)
class Query:
    """A search, all parts of which must be answered."""

    text: str
    words: tuple[str, ...] = ()
    states: tuple[str, ...] = ()
    margins: tuple[tuple[str, float], ...] = ()
    quantities: tuple[tuple[float, str, float], ...] = ()
    mine: bool = False
    today: bool = False

    @property
    def empty(self) -> bool:
        """Whether nothing is asked for."""
        return not (self.words or self.states or self.margins or self.quantities or self.mine or self.today)

    def matches(self, facts: Facts) -> bool:
        """Whether these facts answer every part."""
        return (
            all(word in facts.text or _has_number(facts, word) for word in self.words)
            and all(state == facts.state for state in self.states)
            and all(_beyond(facts.margin, side, limit) for side, limit in self.margins)
            and all(_holds(facts, wanted) for wanted in self.quantities)
            and (facts.mine or not self.mine)
            and (facts.today or not self.today)
        )


def parse_query(text: str) -> Query:
    """What a typed search asks for."""
    rest = " ".join(text.split()).casefold()
    margins = tuple((found[1], _float(found[2])) for found in _MARGIN.finditer(rest))
    rest = _MARGIN.sub(" ", rest)
    quantities = []
    for found in _QUANTITY.finditer(text):
        if _is_unit(found[2]):
            quantities.append((_float(found[1]), found[2], _half_digit(found[1])))
            rest = rest.replace(" ".join(found[0].split()).casefold(), " ", 1)
    states = []
    for state in STATE_WORDS:
        if re.search(rf"(?<!\S){state}(?!\S)", rest):
            states.append(state)
            rest = re.sub(rf"(?<!\S){state}(?!\S)", " ", rest)
    words = [word for word in rest.split() if word not in ("mine", "today")]
    split = rest.split()
    return Query(text, tuple(words), tuple(states), margins, tuple(quantities), "mine" in split, "today" in split)


def row_facts(texts: Sequence[str], row_id: str) -> Facts:
    """The facts of a row from what it shows."""
    shown = " ".join((row_id, *texts))[:MOST_TEXT].casefold()
    word = next((w for w in STATE_WORDS if any(re.search(rf"(?<!\w){w}\s*$", text.casefold()) for text in texts)), "")
    return Facts(row_id, shown, word)


def facts_of(session: Session, record_id: str) -> Facts | None:
    """The facts of a record, None for an id that names none."""
    project, view = session.opened.project, session.opened.view
    record = project.find(record_id)
    if record is None:
        return None
    strings = list(_strings(project.raw[record_id]))
    state, margin, quantities = "", None, []
    if isinstance(record, Requirement):
        verdict = view.verdicts[record_id]
        state, margin = verdict.state, verdict.margin.value
        limits = (record.limit.min, record.limit.max, record.limit.nominal)
        quantities = [(value, record.unit) for value in limits if value is not None]
        quantities += [(s.value, record.unit) for s in verdict.supports if s.value is not None]
    elif isinstance(record, Calculation):
        fresh = view.freshness[record_id].state
        state = OF_FRESHNESS[fresh]
    result = getattr(record, "result", None)
    for value in getattr(result, "values", ()):
        if value.value is not None:
            quantities.append((value.value, value.unit))
    text = " ".join([record_id, project.kinds[record_id], *strings])[:MOST_TEXT].casefold()
    today = session.opened.today.isoformat()
    mine = session.person in (getattr(record, "owner", ""), getattr(record, "operator", ""), getattr(record, "by", ""))
    return Facts(record_id, text, state, margin, mine, today in text, tuple(quantities))


@dataclass(frozen=True)
class Hit:
    """A record found elsewhere, its line in the strip, and whether its id or title answers, not only its fields."""

    id: str
    line: LineLike
    by_title: bool


def hits_elsewhere(session: Session, query: Query, here: Collection[str]) -> list[Hit]:
    """Records that answer the search and are not among those `here`: by title first, at most 40."""
    found: list[tuple[bool, str]] = []
    for record_id, record in session.opened.project.records.items():
        if record_id in here:
            continue
        facts = facts_of(session, record_id)
        if facts is not None and query.matches(facts):
            title = f"{record_id} {getattr(record, 'title', '')}".casefold()
            found.append((all(word in title for word in query.words), record_id))
    found.sort(key=lambda hit: not hit[0])
    return [Hit(record_id, _hit_line(session, record_id), by_title) for by_title, record_id in found[:MOST_HITS]]


def _hit_line(session: Session, record_id: str) -> LineLike:
    from screens.keys import SHEETS
    from screens.sheets.told import record_line

    sheet = session.sheet_of(record_id)
    told = fit(cut_line(record_line(session, record_id), TITLE_COLUMNS), TITLE_COLUMNS)
    return line(told, f"  {sheet} {SHEETS[int(sheet)]}")


def _strings(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for name, below in value.items():
            if name not in ("inputs", "inputs_sha256", "sources", "libraries"):
                yield from _strings(below)
    elif isinstance(value, list):
        for below in value:
            yield from _strings(below)


def _is_unit(text: str) -> bool:
    try:
        return bool(units.dimensions_of(text))
    except units.UnitError:
        return False


def _float(text: str) -> float:
    return float(text.replace("−", "-"))


def _half_digit(text: str) -> float:
    decimals = len(text.partition(".")[2])
    return 0.5 * 10.0**-decimals * (1 + 1e-9)


def _beyond(margin: float | None, side: str, limit: float) -> bool:
    return margin is not None and (margin < limit if side == "<" else margin > limit)


def _has_number(facts: Facts, word: str) -> bool:
    """Whether a quantity reads as this bare number, in its stored unit or one of a thousand times or thousandth."""
    if not _NUMBER.fullmatch(word):
        return False
    number, half = _float(word), _half_digit(word)
    return any(abs(value * scale - number) <= half for value, _ in facts.quantities for scale in (1.0, 1e-3, 1e3))


def _holds(facts: Facts, wanted: tuple[float, str, float]) -> bool:
    number, unit, half = wanted
    for value, stored in facts.quantities:
        if units.same_dimension(stored, unit) and abs(units.convert(value, stored, unit) - number) <= half:
            return True
    return False
