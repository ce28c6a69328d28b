"""Invented evidence on rubber, temperature and environment."""

from __future__ import annotations

from tests.demo import parts
from tests.demo.evidence_kinds import DAY, Values, YesNo

VALUES = (
    Values("E-025", "Cold radial stiffness, ratio", "test", "R-031", parts.STIFF_COLD, "2026-10-06", "2026-10-07",
           "−25 °C after 24 h against 23 °C on the same part", "Q-001", temperature=-25.0,
           values=(1.62, 1.66, 1.60), u=0.01),
    Values("E-026", "Hardness", "test", "R-032", parts.PIECES_HARDNESS, "2026-09-16", "2026-09-16",
           "test pieces of batch 2231, method M", "Q-005", unit="IRHD", values=(60.4, 59.8, 60.9), u=0.004),
    Values("E-027", "Tensile strength", "test", "R-033a", parts.PIECES_TENSILE, "2026-09-16", "2026-09-16",
           "dumb-bells, median of three", "Q-005", unit="MPa", values=(22.4, 23.1, 22.7), u=0.01, destroys=True),
    Values("E-028", "Elongation at break", "test", "R-033b", parts.PIECES_TENSILE, "2026-09-16", "2026-09-16",
           "the same pull as E-027", "Q-005", unit="%", values=(512, 498, 505), u=0.01, destroys=True),
    Values("E-029", "Compression set", "test", "R-034", parts.PIECES_SET, "2026-09-17", "2026-09-18",
           "24 h, 70 °C, 25 %", "Q-005", unit="%", values=(17.8, 18.4, 18.1), u=0.02),
    Values("E-030", "Change of hardness by ageing", "test", "R-035a", parts.PIECES_HARDNESS, "2026-09-16", "2026-09-24",
           "after E-026, 7 d at 70 °C, 16 h at 23 °C", "Q-005", unit="IRHD", values=(2.9, 3.2, 3.0), u=0.03),
    Values("E-031", "Change of elongation by ageing", "test", "R-035b", parts.PIECES_AGED, "2026-09-16", "2026-09-24",
           "7 d at 70 °C, 16 h at 23 °C, against the mean of E-028", "Q-005", unit="%", values=(-12.1, -13.4, -12.6), u=0.03,
           destroys=True),
    Values("E-032", "Swelling in fertiliser solution", "test", "R-037", parts.PIECES_FERTILISER, "2026-09-16", "2026-09-23",
           "7 d at 23 °C", "Q-003", unit="%", values=(1.9, 2.1, 2.0), u=0.02),
    Values("E-033", "Swelling in hydraulic oil", "test", "R-046a", parts.PIECES_OIL, "2026-09-16", "2026-09-23",
           "7 d at 23 °C", "Q-003", unit="%", values=(44.2, 46.0, 45.1), u=0.02),
)  # fmt: skip

YES_NO = (
    YesNo("E-040", "Ozone on the assembled joint", "test", "R-036", parts.OZONE, "2026-09-28", "2026-10-01",
          "50 pphm, 40 °C, 72 h", "Q-008", temperature=40.0),
    YesNo("E-041", "Neutral salt spray, 480 h", "test", "R-038", parts.SALT, "2026-09-29", "2026-10-19",
          "link and joint painted, 480 h at 35 °C", "Q-008", temperature=35.0),
    YesNo("E-042", "Bore closed against water", "test", "R-039", parts.WATER, "2026-10-12", "2026-10-14",
          "24 h immersion, three cycles, weighed and cut open", "Q-003", destroys=True),
    YesNo("E-045", "Functions after 16 h at −35 °C", "test", "R-029a", parts.SOAKED_COLD, "2026-10-07", "2026-10-09",
          "four stiffnesses and push-out at 23 °C after the soak", "Q-001", destroys=True),
    YesNo("E-046", "Functions after 16 h at +70 °C", "test", "R-029b", parts.SOAKED_HOT, "2026-10-06", "2026-10-08",
          "four stiffnesses and push-out at 23 °C after the soak", "Q-001", destroys=True),
    YesNo("E-047", "Short-term 95 °C", "test", "R-030", parts.SHORT_HOT, "2026-10-08", "2026-10-09",
          "30 min, radial stiffness at 23 °C before and after", "Q-001", conditioning=DAY),
    YesNo("E-048", "Bond after hydraulic oil", "test", "R-046b", parts.OIL, "2026-10-05", "2026-10-12",
          "splash each day for 7 d, both free edges probed"),
)  # fmt: skip
