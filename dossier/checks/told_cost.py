"""What the piece costs more and what pays for it, in the words of terminal and document."""

from __future__ import annotations

from dossier import units
from dossier.checks.view import View
from dossier.records.calculation import Calculation, Result

CURRENT = ("current", "newer method available")
WORTHS = ("low", "mid", "high")


def piece_cost_sentence(view: View, run: Calculation) -> str:
    """ "+3.89 % a piece; a saved kilogram must be worth 1.21 EUR", whether it is earned back, and the state if not current."""
    result = run.result
    state = view.freshness[run.id].state
    change = _number(result, "change") if result else None
    if result is None or change is None:
        return f"{run.id} has no value: {state}."
    told = [f"{units.show_signed(100 * change)} % a piece"]
    needed, saved = _number(result, "worth_needed"), _number(result, "saved_mass")
    if needed and saved and saved > 0:
        told.append(f"a saved kilogram must be worth {units.show(needed, 3)} {currency_of(result)}")
    earned = _earned_back(result)
    told += [earned] if earned else []
    told += [] if state in CURRENT else [state]
    return f"{'; '.join(told)}."


def currency_of(result: Result) -> str:
    """Currency of the cost sheet the result was calculated with."""
    return str(result.inputs.get("cost", {}).get("variant", {}).get("basis", {}).get("currency", "EUR"))


def planned_pieces(result: Result) -> float:
    """Pieces a year times years, as the cost sheet plans them."""
    given = result.inputs.get("cost", {})
    return (given.get("variant", {}).get("basis", {}).get("annual_volume") or 0) * given.get("years", 1)


def pieces_to_earn_back(result: Result, worth: str) -> float | None:
    """Pieces after which the investment is earned back at a worth of a kilogram; None if never."""
    investment, gain = _number(result, "investment") or 0.0, _number(result, f"gain_{worth}") or 0.0
    if investment <= 0 <= gain:
        return 0.0
    return investment / gain if gain > 0 else None


def count_words(pieces: float) -> str:
    """A number of pieces in three digits with thousands apart: a break-even is not known finer."""
    return f"{float(f'{pieces:.3g}'):,.0f}".replace(",", "\N{NO-BREAK SPACE}")


def worth_sentences(result: Result) -> list[str]:
    """For each worth of a kilogram after how many pieces the investment is earned back."""
    worth, planned = result.inputs.get("cost", {}).get("worth", {}), planned_pieces(result)
    found = []
    for name in WORTHS:
        pieces = pieces_to_earn_back(result, name)
        if pieces is None:
            told = "never earned back"
        elif pieces == 0:
            told = "nothing to earn back"
        else:
            told = f"earned back after {count_words(pieces)} pieces"
            if pieces > planned:
                told += f", more than the {count_words(planned)} planned"
        found.append(f"Worth {worth.get(name, 0):g} {currency_of(result)}/kg: {told}.")
    return found


def _earned_back(result: Result) -> str:
    planned = planned_pieces(result)
    found = {name: pieces_to_earn_back(result, name) for name in WORTHS}
    if not planned or (_number(result, "investment") or 0.0) <= 0:
        return ""
    within = [name for name in ("mid", "high") if (pieces := found[name]) is not None and pieces <= planned]
    if not within:
        return "not earned back within the planned pieces at any worth"
    worth = "at the middle worth" if within[0] == "mid" else "only at the high worth"
    return f"{worth} the investment is earned back after {count_words(found[within[0]] or 0.0)} pieces"


def _number(result: Result, name: str) -> float | None:
    value = result.value(name)
    return None if value is None else value.value
