"""4 Evidence, lines of the block below: lives along their scale, an index, and what a planned number of parts can show."""

from __future__ import annotations

from dossier import units
from dossier.checks.told_evidence import TOLD
from dossier.checks.told_reach import plan_words
from dossier.checks.view import View
from dossier.records.evidence import EvidenceItem
from screens import bars
from screens.cells import cell_len, wrap_most
from screens.paint import LineLike, Piece, line

STRIP, LEAST = 60, 12


def judged_lines(view: View, item: EvidenceItem, columns: int) -> list[LineLike]:
    """The statistics of an item of lives or of a series; before the test, what the planned parts can show."""
    words = TOLD[item.quantity](item) if item.quantity in TOLD and item.result else plan_words(view, item)
    lines: list[LineLike] = [line(f"   {text}") for told in words for text in wrap_most(told, columns - 4, 3)]
    if item.quantity == "life" and item.result:
        for group in ("variant", "reference"):
            lines += _lives(item, group, columns)
    return lines


def _lives(item: EvidenceItem, group: str, columns: int) -> list[LineLike]:
    """ "reference 1.2e6 x..x...2..x.> 4e6 cycles": failures x (or how many at one place) and stopped parts > on a scale
    of the logarithm."""
    samples = [s for s in item.result.inputs.get(group, []) if s.get("value")] if item.result else []
    lives = [float(sample["value"]) for sample in samples]
    if len(lives) < 2 or min(lives) == max(lives):
        return []
    stopped = [bool(sample.get("survived")) for sample in samples]
    lead = f"   {group:<9} {units.show(min(lives), 3)} "
    tail = f" {units.show_quantity(max(lives), item.unit, None, 3)}   x failed  > stopped"
    room = columns - 1 - cell_len(lead) - cell_len(tail)
    if room < LEAST:
        return []
    return [line(Piece(f"{lead}{bars.lives_strip(lives, stopped, min(STRIP, room))}{tail}", "quiet"))]
