"""Invented evidence on overload, fatigue, dynamic stiffness and bond."""

from __future__ import annotations

from tests.demo import parts
from tests.demo.evidence_kinds import Recorded, Shares, Values, YesNo

BEGUN, ENDED = "2026-09-30", "2026-10-26"

VALUES = (
    Values("E-019", "Radial overload held", "test", "R-017", parts.OVERLOAD, "2026-09-29", "2026-09-29",
           "three applications, held 10 s", "Q-001", unit="kN", values=(120.4, 120.2, 120.3), u=0.006, destroys=True,
           observations=("no crack (magnetic particles), set 0.14 mm, no ring moved",), survived=True, modes=("none",)),
    Values("E-022", "Block fatigue, programme P1", "test", "R-026", parts.LIFE, BEGUN, ENDED,
           "blocks low-high-low, seven passes, six are one programme life; the reference part beside stands in B-011", "Q-002",
           repeats="E-056",
           values=(1.17, 1.17, 1.17), u=0.005, documents=("B-011",),
           observations=("target reached, no failure up to the end of the run",), survived=True, modes=("none",),
           statistics=(("required", 1.0), ("slope_low", 1.5), ("slope_high", 3.0),
                       ("slope_source", "common practice for rubber in fatigue, no source"))),
    Values("E-024", "Crack depth after P1", "inspection", "R-028", parts.LIFE, "2026-10-28", "2026-10-28",
           "cut open, deepest crack at the bonded edge", unit="mm", values=(1.1, 1.6, 0.9), u=0.02, destroys=True,
           remains_of=("E-022",), observations=("cracks in the rubber, no debonding",), modes=("rubber",)),
)  # fmt: skip

SHARES = (
    Shares("E-034", "Share of rubber failure", "test", "R-025", parts.STRIPPED, "2026-10-06", "2026-10-06",
           "stripped, of both bonded faces the one with less failure in the rubber", "Q-004", destroys=True, u=0.02,
           shares=({"R": 92, "RC": 8}, {"R": 95, "RC": 5}, {"R": 90, "RC": 7, "CP": 3}, {"R": 94, "RC": 6},
                   {"R": 93, "RC": 5, "CP": 1, "M": 1}),
           observations=("rest at the free edge of the face",), modes=("rubber",), reference=parts.REFERENCE_STRIPPED,
           reference_shares=({"R": 94, "RC": 6}, {"R": 91, "RC": 8, "CP": 1}, {"R": 95, "RC": 5}), reference_mode="rubber"),
)  # fmt: skip

RECORDED = (
    Recorded("E-020", "Dynamic to static stiffness", "test", "R-012", parts.COMPARED[:3], "2026-09-28", "2026-09-28",
             "1, 5 and 10 Hz, ±0.1 and ±0.2 mm, preload 8 kN, 20 cycles each", "Q-001", quantity="dynamic", scheme="RS-05",
             scheme_title="Harmonic, machine M-3",
             settings=("frequency=10 Hz", "amplitude=0.2 mm", "moving_mass=5 kg", "settling=10", "source=blank test (invented)"),
             serves=(("R-012", "to_static_variant"),), reference=parts.REFERENCE[:3], related_to="E-009", u=0.005),
    Recorded("E-021", "Loss angle", "test", "R-013", parts.COMPARED[:3], "2026-09-28", "2026-09-28",
             "the records of E-020", "Q-001", quantity="dynamic", scheme="RS-05", serves=(("R-013", "loss_angle_variant"),),
             reference=parts.REFERENCE[:3], files_of="E-020", u=0.005),
    Recorded("E-023", "Loss of radial stiffness in P1", "test", "R-027", parts.LIFE, BEGUN, ENDED,
             "stiffness of the rig's own cycles over seven passes, brought to 23 °C; a rest of 16 h and the counter set back "
             "after each pass", "Q-002", quantity="durability", scheme="RS-06", scheme_title="Endurance, rig B-1",
             settings=("loss=20 %", "reference_cycles=1642", "planned_cycles=295560", "temperature_factor=-0.004",
                       "source=stiffness of E-009 at two temperatures (invented)"),
             serves=(("R-027", "stiffness_loss_variant"),), documents=("B-011",), u=0.006),
    Recorded("E-057", "Measured road load against programme P1", "test", "R-049", parts.ON_TRAILER, "2026-10-19", "2026-10-20",
             "10 min of road and field, trailer loaded to 18 t, radial force by strain gauges on all four links, 50 rows/s",
             "Q-010", quantity="load_history", scheme="RS-09", scheme_title="Load history, recorder on the trailer",
             temperature=11.0, settings=("sn_range=68.9 kN", "sn_cycles=150000", "exponents=5, 4, 7", "hysteresis=1 kN",
                                         "repeats=2000", "programme=L-07",
                                         "source=lives of E-055 at ±34.45 kN, exponents of A-008 (invented)"),
             serves=(("R-049", "variant"),), observations=("front left", "front right", "rear left", "rear right"), u=0.05),
)  # fmt: skip

YES_NO = (
    YesNo("E-043", "Torsion ±9° in every pass of P1", "test", "R-014", parts.LIFE, BEGUN, ENDED,
          "angle log of E-022, teardown", "Q-002", documents=("B-011",)),
    YesNo("E-044", "Conical ±6° in every pass of P1", "test", "R-015", parts.LIFE, BEGUN, ENDED,
          "angle log of E-022, teardown", "Q-002", documents=("B-011",)),
)  # fmt: skip

# A test that was begun and failed for a reason of the rig stays in the list with its reason.
ABORTED = Values(
    "E-056", "Block fatigue, programme P1, first start", "test", "R-026", parts.LIFE[:1], "2026-09-28", "2026-09-28",
    "blocks low-high-low", "Q-002", state="aborted",
    reason="a hose of the rig burst in block 2; part P-211 was undamaged (same radial stiffness, no crack by magnetic "
    "particles) and began again as E-022",
    observations=("undamaged",),
)  # fmt: skip
