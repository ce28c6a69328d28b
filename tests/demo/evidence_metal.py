"""Invented evidence on dimensions, mass, pin, bolts and service."""

from __future__ import annotations

from tests.demo import parts
from tests.demo.evidence_kinds import DAY, Values, YesNo

# Cycles to the first crack of six bare pins at twice the amplitude of L-06, and the safety they stand for: life moves
# with the force to the power of A-008, 5, over the 295 560 cycles of L-06.
BARE_PIN_CYCLES = (152_400, 118_900, 187_300, 141_200, 205_600, 129_800)
REPORTED = "2026-08-28"
BARE_PIN_PLACES = ("crossing", "crossing", "fillet", "crossing", "crossing", "crossing")


def _safety(cycles: int) -> float:
    return round(2 * (cycles / 295_560) ** (1 / 5), 3)


VALUES = (
    Values("E-001", "Mass of the joint", "inspection", "R-001", parts.COMPARED, "2026-09-14", "2026-09-14",
           "weighed dry without bolts", "Q-003", unit="g", values=(1396, 1399, 1398, 1401, 1397), u=0.0004),
    Values("E-002", "Fit diameter", "inspection", "R-003", parts.COMPARED, "2026-09-14", "2026-09-14",
           "four directions in two planes, mean", unit="mm", values=(76.181, 76.176, 76.184, 76.179, 76.182), u=0.00002),
    Values("E-003", "Hole distance", "inspection", "R-004", parts.COMPARED, "2026-09-14", "2026-09-14",
           "between the bolt axes", unit="mm", values=(112.03, 111.98, 112.05, 112.01, 111.99), u=0.0001),
    Values("E-004", "Bolt hole diameter", "inspection", "R-005", parts.COMPARED, "2026-09-14", "2026-09-14",
           "both holes, mean", unit="mm", values=(17.58, 17.61, 17.60, 17.57, 17.62), u=0.0003),
    Values("E-005", "Axial envelope with tilt", "inspection", "R-006", parts.COMPARED[:1], "2026-09-15", "2026-09-15",
           "at 6° tilt to either side", unit="mm", values=(83.1,), u=0.0005),
    Values("E-006", "Static safety of the pin, outside analysis", "analysis", "R-018", parts.PROTOTYPE, REPORTED, REPORTED,
           "finite elements of the bored pin by an outside office, outline of P-200, report B-009", documents=("B-009",),
           values=(2.71,), operator="outside office (invented)",
           statement="least static safety 2.71 at 118 kN, at the neck, with the lowest yield strength of the band", u=0.04),
    Values("E-007", "Radial load at yield, outside analysis", "analysis", "R-017", parts.PROTOTYPE, REPORTED, REPORTED,
           "finite elements of the bored pin by an outside office, outline of P-200, report B-009", documents=("B-009",),
           unit="kN", values=(322.0,), operator="outside office (invented)",
           statement="first yield of the pin at 322 kN, at the neck", u=0.04),
    Values("E-008", "Residual clamp force, outside analysis", "analysis", "R-040", parts.PROTOTYPE, REPORTED, REPORTED,
           "finite elements of bolt, flat and bracket by an outside office, report B-009", documents=("B-009",),
           unit="%", values=(94.1,), operator="outside office (invented)",
           statement="94.1 % of the preload left after settling and 2 h at 70 °C, flats with the bore in them", u=0.02),
    Values("E-035", "Residual clamp force", "test", "R-040", parts.CLAMP, "2026-10-13", "2026-10-15",
           "bolt with strain gauge, settled, 2 h at 70 °C", "Q-006", unit="%", values=(94.8, 93.9, 95.3), u=0.01),
    Values("E-037", "Fatigue safety of the pin, outside analysis", "analysis", "R-019", parts.PROTOTYPE, REPORTED, REPORTED,
           "local stress at fillet, bore mouth and bolt hole, report B-009; the crossing of bore and bolt hole is left to "
           "the test E-055", documents=("B-009",), values=(1.74,), operator="outside office (invented)",
           statement="least safety 1.74, at the bore mouth; fillet 1.82 and bolt hole 1.91; the crossing is left out", u=0.06),
    Values("E-038", "Axial envelope by layout", "analysis", "R-006", parts.PROTOTYPE, "2026-08-13", "2026-08-13",
           "layout at 6° tilt with the outline of P-200, drawing index B", documents=("B-002",),
           unit="mm", values=(83.0,), operator="M. Olsen",
           statement="greatest axial extent 83.0 mm at 6° to either side", u=0.0005),
    Values("E-039", "Pressure under the bolt head, outside analysis", "analysis", "R-041", parts.PROTOTYPE, REPORTED, REPORTED,
           "finite elements of bolt, flat and bracket by an outside office, report B-009", documents=("B-009",),
           values=(0.60,), operator="outside office (invented)",
           statement="greatest mean pressure under the head 0.60 of the limiting pressure, flats with the bore in them", u=0.04),
    Values("E-052", "Separability", "demonstration", "R-045", parts.COMPARED[:1], "2026-10-28", "2026-10-28",
           "taken apart cold after the test of slip E-018, metal weighed", "Q-003", unit="%", values=(91.0,), u=0.01,
           destroys=True, remains_of=("E-018",)),
    Values("E-055", "Fatigue of the bare pin at the crossing of bore and bolt hole", "test", "R-019", parts.BARE_PINS,
           "2026-10-05", "2026-10-16", "pins stripped of the rubber, on the reference bracket, radial ±34.45 kN, twice the "
           "amplitude of L-06, stress ratio −1, until a crack is seen; safety 2·(N/295 560)^(1/5) with the exponent of A-008",
           "Q-002", values=tuple(_safety(cycles) for cycles in BARE_PIN_CYCLES), u=0.01, destroys=True,
           modes=("metal crack",), further=(("damage exponent 4 to 7", 0.02, "A-008"),),
           observations=tuple(f"crack at the {place} after {cycles:,} cycles".replace(",", " ")
                              for place, cycles in zip(BARE_PIN_PLACES, BARE_PIN_CYCLES, strict=True))),
)  # fmt: skip

YES_NO = (
    YesNo("E-049", "Marking", "inspection", "R-043a", parts.COMPARED, "2026-09-14", "2026-09-14",
          "four entries on the ring face"),
    YesNo("E-050", "Marking after life and after salt spray", "inspection", "R-043b", (*parts.LIFE, *parts.SALT),
          "2026-10-27", "2026-10-27", "read at 0.3 m", remains_of=("E-022", "E-036")),
    YesNo("E-051", "Service plan", "demonstration", "R-042a", parts.SERVICE, "2026-10-26", "2026-10-26",
          "plan read with the customer's service department at the joint"),
    YesNo("E-053", "Replacement with a press", "demonstration", "R-042b", parts.SERVICE, "2026-10-28", "2026-10-28",
          "pressed out of a used link and a new joint pressed in, eye measured after", conditioning=DAY, destroys=True),
)  # fmt: skip
