"""Signs of trouble of an item's curves: searched, kept in its result, answered by a person or not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from dossier.evidence.sign_words import CONFIRMATIONS, MEANINGS, TITLES
from dossier.methods.evidence_base import SampleIn
from dossier.records.calculation import Result, ResultValue
from dossier.records.evidence import EvidenceItem
from dossier.records.signs import SignAnswer, SignLimits

if TYPE_CHECKING:
    import numpy as np

    from dossier.evidence.signs import Sign

TOLD_FROM = 0.5
NAME = "sign"
LETTERS = "pqrstuvwxyz"


@dataclass(frozen=True)
class KeptSign:
    """A sign of a stored result: specimen, kind, row at which it begins, its confidence, the answer to it, and the words of
    its evaluation: cycle, load and travel at which it begins, its figure and limit."""

    specimen: str
    kind: str
    row: int
    confidence: float
    letter: str
    answer: SignAnswer | None = None
    told: str = ""

    @property
    def title(self) -> str:
        """Its name in plain words."""
        return TITLES[self.kind]

    @property
    def explanation(self) -> str:
        """What it usually means and how to confirm it."""
        return f"{MEANINGS[self.kind]}; to confirm: {CONFIRMATIONS[self.kind]}"

    @property
    def words(self) -> str:
        """Where it begins, what it usually means, its figure against its limit, and how to confirm it."""
        return self.told or f"{self.title} from row {self.row}: {self.explanation}"

    @property
    def standing(self) -> str:
        """Whether a person answered it, and what."""
        return f"answered: {self.answer.reason} ({self.answer.by}, {self.answer.on})" if self.answer else "not answered"


def search(travel: np.ndarray, load: np.ndarray, limits: SignLimits | None, rotational: bool) -> tuple[Sign, ...]:
    """Signs of a curve that are told: those with a confidence of 0.5 or more. Raises EvaluationError."""
    from dossier.evidence.sign_thresholds import SignThresholds
    from dossier.evidence.signs import find_signs

    settings = SignThresholds(**(limits or SignLimits()).model_dump())
    found = find_signs(travel, load, settings=settings, rotational=rotational)
    return tuple(sign for sign in found if sign.confidence >= TOLD_FROM)


def sign_values(name: str, samples: Sequence[SampleIn], signs: Sequence[Sequence[Sign] | None]) -> list[ResultValue]:
    """Number of signs of a group, and the row at which each begins with its confidence; no number where a curve was too
    short to search."""
    values = []
    if all(found is not None for found in signs):
        values.append(ResultValue(name=f"{NAME}s_{name}", value=float(sum(len(found or ()) for found in signs)), unit="1"))
    for sample, found in zip(samples, signs, strict=True):
        for sign in found or ():
            lead = f"{NAME}:{sample.specimen}:{sign.kind}"
            values.append(ResultValue(name=lead, value=float(sign.row), unit="1"))
            values.append(ResultValue(name=f"confidence:{lead}", value=round(sign.confidence, 3), unit="-"))
    return values


def sign_words(samples: Sequence[SampleIn], signs: Sequence[Sequence[Sign] | None]) -> list[str]:
    """Each sign in plain words with what to do."""
    told = []
    for sample, found in zip(samples, signs, strict=True):
        if found is None:
            told.append(f"{sample.specimen}: signs of trouble were not looked for, the record is too short")
        told += [f"{sample.specimen}: sign of {sign.words}; to confirm: {sign.confirm}" for sign in found or ()]
    return told


def kept_signs(item: EvidenceItem, result: Result | None = None) -> list[KeptSign]:
    """The signs of the item's stored result, each with the answer that holds for it."""
    result = result or item.result
    found = []
    for value in result.values if result else []:
        lead, _, rest = value.name.partition(":")
        if lead != NAME or value.value is None:
            continue
        specimen, _, kind = rest.rpartition(":")
        row = int(value.value)
        confidence = result.value(f"confidence:{value.name}") if result else None
        holds = (a for a in item.sign_answers if (a.specimen, a.sign, a.row) == (specimen, kind, row))
        sure = (confidence.value or 0.0) if confidence else 0.0
        letter = LETTERS[min(len(found), len(LETTERS) - 1)]
        found.append(KeptSign(specimen, kind, row, sure, letter, next(holds, None), _told(result, specimen, kind, row)))
    return found


def _told(result: Result | None, specimen: str, kind: str, row: int) -> str:
    """The words the evaluation kept of a sign, without its specimen, or nothing."""
    lead, place = f"{specimen}: sign of ", f"(row {row})"
    kept = (note.removeprefix(lead) for note in (result.warnings if result else []) if note.startswith(lead))
    return next((words for words in kept if words.startswith(TITLES[kind]) and place in words), "")


def unanswered(item: EvidenceItem) -> list[KeptSign]:
    """Signs that no person has answered yet."""
    return [sign for sign in kept_signs(item) if sign.answer is None]


def _percent(share: float) -> str:
    return f"{100 * share:.3g} %"


def limits_in_words(limits: SignLimits | None) -> str:
    """What is looked for, with the limits of the search."""
    told = limits or SignLimits()
    return (
        f"slip: load missing at a plateau or step from {_percent(told.slip_travel)} of the range, slope there below "
        f"{told.plateau_slope:.2g} of that beside it; metal break: drop from {_percent(told.load_drop)}; crack: "
        f"{_percent(told.side_loss)} of the slope of one side or {_percent(told.cycle_loss)} over cycles, loop "
        f"+{_percent(told.loop_growth)}; loss of pre-stress: slope beyond a knee below {told.knee_ratio:.2g} of it; stop: "
        f"above {told.stop_ratio:.2g} times; play: {_percent(told.clearance)} of the travel; all beyond {told.noises:.2g} "
        "times the noise"
    )


def limits_in_short(limits: SignLimits | None) -> str:
    """The limits of the search in one line."""
    told = limits or SignLimits()
    return (
        f"slip {_percent(told.slip_travel)}, drop {_percent(told.load_drop)}, one side {_percent(told.side_loss)}, cycles "
        f"{_percent(told.cycle_loss)}, knee {told.knee_ratio:.2g}, stop {told.stop_ratio:.2g}, play {_percent(told.clearance)}"
    )
