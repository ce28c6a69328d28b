"""Evidence of the invented demo project as data: what was measured, on which parts, with which values.

All values are invented. Curves come from tests/evidence/generator.py, whose laws the product does not know: each
direction is 4 to 8 % off the prediction, differently per direction.
"""

from __future__ import annotations

from tests.demo import evidence_fit, evidence_life, evidence_metal, evidence_rubber
from tests.demo.evidence_kinds import Curves, Item

CURVES = (
    Curves("E-009", "Radial static stiffness", "radial", "R-007", "R-011a", 56.4, 57.1, 0.012, "RS-01", "2026-09-22",
           begun="2026-09-21", loose="P-203", play=0.035,
           left_out="bolts of the fixture found loose after the run, play at zero load; tightened, repeated after a day of rest"),
    Curves("E-010", "Axial static stiffness", "axial", "R-008", "R-011b", 6.52, 6.60, 0.014, "RS-02", "2026-09-23"),
    Curves("E-011", "Torsional stiffness", "torsional", "R-009", "R-011c", 23.6, 23.4, 0.015, "RS-03", "2026-09-24"),
    Curves("E-012", "Conical stiffness", "conical", "R-010", "R-011d", 15.0, 15.2, 0.016, "RS-04", "2026-09-25"),
)
SINGLE = tuple(
    sorted(
        (*evidence_metal.VALUES, *evidence_fit.VALUES, *evidence_life.VALUES, *evidence_life.RECORDED, *evidence_rubber.VALUES,
         *evidence_fit.PRESSED, *evidence_life.SHARES, evidence_life.ABORTED),
        key=lambda item: item.id,
    )
)  # fmt: skip
YES_NO = tuple(
    sorted((*evidence_metal.YES_NO, *evidence_life.YES_NO, *evidence_rubber.YES_NO), key=lambda item: item.id)
)
RELEASED: tuple[Item, ...] = (*SINGLE, *YES_NO)
NEXT = evidence_fit.NEXT
