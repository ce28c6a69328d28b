"""Documents of the axle link demo, each with the day it was written and registered and what it says; all invented."""

from __future__ import annotations

from tests.demo.papers import Paper

_LOG = """part   passes  begun       ended       highest temperature of the rubber
P-211  7       2026-09-30  2026-10-23  58 °C
P-212  7       2026-10-01  2026-10-24  61 °C
P-213  7       2026-10-02  2026-10-25  60 °C
J-7600 7       2026-10-05  2026-10-26  55 °C, one reference part from series beside, loss of radial stiffness 9.7 %
one pass: 20 000, 4 000, 600, 60, 600, 4 000, 20 000 cycles of L-07; after each pass 16 h of rest and the static check
torsion and conical angle of each block reached in each pass
no failure up to the end of the run"""

PAPERS = (
    Paper("B-001", "Drawing DW-7600, reference part", "drawing", "D", "2019-03-11", "2026-03-27", "the reference part"),
    Paper("B-002", "Drawing DW-7610, variant V2", "drawing", "A", "2026-03-26", "2026-03-27", "layout of the variant"),
    Paper("B-003", "Specification AX-76 of the customer (invented)", "specification", "3", "2026-03-16", "2026-03-27",
          "clauses 4.1 to 4.9 and annex B, programme P1"),
    Paper("B-004", "Photos of the reference part", "photo", "1", "2026-02-16", "2026-03-27", "weighing of five parts"),
    Paper("B-005", "Minutes AX-76/01: interfaces that must not change (invented)", "minutes", "1", "2026-03-31", "2026-04-01",
          "the customer's platform owner agrees to the list of interfaces"),
    Paper("B-006", "Minutes AX-76/03: requirements and margins agreed (invented)", "minutes", "1", "2026-05-06", "2026-05-07",
          "each demand of the customer, the margins 0.90 to 1.10 of the four stiffness ratios and the least ratio 0.90 of the "
          "push-through force are agreed"),
    Paper("B-007", "Letter: customer accepts the list of requirements (invented)", "other", "1", "2026-05-11", "2026-05-12",
          "the list is accepted, with the editions of standards as registered, confirmed or not"),
    Paper("B-002", "Drawing DW-7610, variant V2", "drawing", "B", "2026-08-04", "2026-08-05", "parts for test and release"),
    Paper("B-008", "Inspection document 3.1, steel heat 71-44 (invented)", "certificate", "1", "2026-07-02", "2026-08-05",
          "yield strength 788 MPa, tensile strength 1 034 MPa of the heat"),
    Paper("B-009", "Outside analysis of pin and bolts (invented)", "report", "1", "2026-08-28", "2026-08-31",
          "static safety 2.71, load at yield 322 kN, fatigue safety 1.74 without the crossing of bore and bolt hole, residual "
          "clamp force 94.1 %, pressure under the bolt head 0.60 of its limit"),
    Paper("B-010", "Quotes QU-03 to QU-07 (invented)", "quote", "1", "2026-09-30", "2026-10-01",
          "prices of 2026-10-01, valid to 2027-03-31"),
    Paper("B-011", "Log of blocks, angles and temperature of E-022 (invented)", "report", "1", "2026-10-26", "2026-10-27", _LOG),
    Paper("B-012", "Initial sample report with capability (invented)", "report", "1", "2026-10-29", "2026-10-30",
          "press-in force, stiffness and fit diameter of the first parts; capability judged"),
    Paper("B-013", "Letter: customer accepts the cold deviation for revision A (invented)", "other", "1", "2026-11-02",
          "2026-11-03", "push-out at −35 °C of at least 16 kN and the calculated least push-out are accepted for the first "
          "5 000 joints, on trailers without winter service, until 2027-06-30"),
    Paper("B-014", "Letter: customer approves revision A (invented)", "other", "1", "2026-11-05", "2026-11-05",
          "the samples are approved under the terms of B-013, with the editions of standards as registered"),
    Paper("B-002", "Drawing DW-7610, variant V2", "drawing", "C", "2026-11-09", "2026-11-09",
          "outside diameter of the rings 76.18 mm to 76.20 mm; all else as index B"),
)  # fmt: skip
