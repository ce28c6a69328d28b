"""Documents of the four-point link demo, each with the day it was written and registered and what it says; all invented."""

from __future__ import annotations

from tests.demo.papers import Paper

PAPERS = (
    Paper("B-001", "Drawing DW-8400, reference part", "drawing", "C", "2021-05-17", "2026-10-20", "the reference part"),
    Paper("B-002", "Enquiry FP-84 of the customer (invented)", "specification", "1", "2026-10-12", "2026-10-20",
          "six pages: mass, interfaces, stiffnesses, loads; the programme of blocks is to follow"),
    Paper("B-003", "Photos of the reference part", "photo", "1", "2026-10-27", "2026-10-29", "weighing of five parts"),
    Paper("B-004", "Minutes FP-84/01: interfaces that must not change (invented)", "minutes", "1", "2026-11-06", "2026-11-09",
          "the customer's axle development agrees to the list of interfaces"),
    Paper("B-005", "Sketch DW-8410, variant V1", "drawing", "A", "2026-11-11", "2026-11-12", "bore and plugs of the variant"),
    Paper("B-006", "Minutes FP-84/02: first demands agreed (invented)", "minutes", "1", "2026-11-18", "2026-11-19",
          "mass, saving, hole distance, radial and axial stiffness are agreed; all else is to be talked over again"),
)  # fmt: skip
