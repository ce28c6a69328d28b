"""Invented evidence on press fit and retention.

The measured forces lie within the calculated bands of C-009, at a friction near the middle of A-005.
"""

from __future__ import annotations

from tests.demo import parts
from tests.demo.evidence_kinds import DAY, Recorded, Values

VALUES = (
    Values("E-014", "Push-out force after ageing, 80 °C", "test", "R-022", parts.PUSHED_HOT, "2026-09-29", "2026-10-06",
           "7 d at 80 °C, tested at 80 °C, 10 mm/min", "Q-001", temperature=80.0, conditioning=7 * DAY,
           unit="kN", values=(31.4, 33.0, 30.8), u=0.006, destroys=True, modes=("slip",)),
    Values("E-015", "Push-out force at −35 °C", "test", "R-023", parts.PUSHED_COLD, "2026-09-29", "2026-10-07",
           "after 7 d at 80 °C, 16 h at −35 °C, 10 mm/min", "Q-001", temperature=-35.0, conditioning=57600.0,
           unit="kN", values=(16.6, 17.1, 16.7), u=0.006, destroys=True, modes=("slip",)),
    Values("E-016", "Push-through of the pin", "test", "R-024", parts.PUSHED_THROUGH, "2026-10-14", "2026-10-14",
           "force on the pin against the rings", "Q-001", unit="kN", values=(61.2, 58.4, 60.1), u=0.006, destroys=True,
           observations=("rubber tears, rings hold",), modes=("rubber",), least_ratio=0.9,
           reference=parts.REFERENCE_PUSHED_THROUGH, reference_values=(61.9, 59.6, 60.8), reference_mode="rubber"),
    Values("E-018", "Peak torsion without slip", "test", "R-016", parts.COMPARED, "2026-09-30", "2026-09-30",
           "30°/min to the first plateau, witness mark", "Q-001", unit="°", values=(17.2, 16.8, 17.9, 17.4, 16.9), u=0.006,
           destroys=True, modes=("slip",)),
    Values("E-036", "Push-out after salt spray, share of R-021", "test", "R-047", parts.SALT, "2026-10-21", "2026-10-21",
           "after E-041 and two days at 23 °C, 10 mm/min", "Q-001", unit="%", values=(108, 112, 105), u=0.006, destroys=True,
           modes=("slip",)),
    Values("E-054", "Retaining ring alone, −35 °C", "test", "R-048", parts.SECOND_LOCK, "2026-10-13", "2026-10-14",
           "rings turned to 75.90 mm so that they slide in the eye, 16 h at −35 °C, 10 mm/min towards the retaining ring",
           "Q-001", temperature=-35.0, conditioning=57600.0, unit="kN", values=(38.2, 39.5, 37.6), u=0.006, destroys=True,
           observations=("retaining ring shears at its inner edge, its seat in the eye holds",), modes=("metal break",)),
)  # fmt: skip

PRESSED = (
    Recorded("E-013", "Push-out force, new", "test", "R-021", parts.PUSHED_NEW, "2026-09-30", "2026-09-30",
             "10 mm/min, two days after pressing in, peak of break-loose", "Q-001", quantity="push_out", scheme="RS-08",
             scheme_title="Push-out, machine M-3", serves=(("R-021", "variant"),), u=0.006, destroys=True,
             forces=(26.9, 28.4, 25.8, 27.6, 27.1, 46.2, 48.7, 44.9), reference=parts.REFERENCE_PUSHED, modes=("slip",),
             reference_mode="slip"),
    Recorded("E-017", "Press-in force", "test", "R-020", parts.PUSHED_NEW, "2026-09-28", "2026-09-28",
             "100 mm/min, assembly fluid of the process sheet, highest force up to the shoulder of the eye", "Q-001",
             quantity="press_in", scheme="RS-07", scheme_title="Press-in, machine M-3", serves=(("R-020", "variant"),), u=0.006,
             forces=(31.2, 32.6, 30.4, 31.9, 31.5, 54.8, 57.3, 53.6), reference=parts.REFERENCE_PUSHED),
)  # fmt: skip

# Work on B: rings in the upper half of their tolerance, three parts tested cold and three to slip. Hot is still to be done.
NEXT = (
    Values("E-058", "Push-out force at −35 °C, rings of the upper half", "test", "R-023", parts.NEXT_COLD, "2026-11-12",
           "2026-11-20", "after 7 d at 80 °C, 16 h at −35 °C, 10 mm/min", "Q-001", temperature=-35.0, conditioning=57600.0,
           unit="kN", values=(18.3, 18.9, 18.1), u=0.006, destroys=True, modes=("slip",)),
    Values("E-059", "Peak torsion without slip, rings of the upper half", "test", "R-016", parts.NEXT_SLIP, "2026-11-23",
           "2026-11-23", "30°/min to the first plateau, witness mark", "Q-001", unit="°", values=(16.1, 21.4, 19.0), u=0.006,
           destroys=True, observations=("plateau hard to read, the torque rises on",), modes=("slip",)),
    Values("E-060", "Push-out force after ageing, 80 °C, rings of the upper half", "test", "R-022", (), "", "",
           "7 d at 80 °C, tested at 80 °C, 10 mm/min, three parts", unit="kN", state="planned", planned=3),
)  # fmt: skip
