"""A sample document that uses every flowable; parts, persons and numbers are invented."""

from __future__ import annotations

import hashlib

import sample_parts as parts

from dossier.release.axes import Scale
from dossier.release.charts import BreakEven, Range, RangeRow, SavingLine, Waterfall
from dossier.release.curves import Curve, Forest, ForestRow, Gap, stiffness_band
from dossier.release.document import DocumentInfo
from dossier.release.flow import Columns, IfFits, Keep, Wide, block, space
from dossier.release.heads import Figures, KeyFigure, masthead, sheet
from dossier.release.manifest import manifest
from dossier.release.marks import Legend, MarginBar, ResultBar, state
from dossier.release.matrix import (
    Input,
    MassRow,
    MatrixGroup,
    MatrixRow,
    Step,
    input_table,
    mass_table,
    matrix_table,
    working_table,
)  # fmt: skip
from dossier.release.section import Dimension, SectionDrawing, SmallSection
from dossier.release.signals import caution
from dossier.release.tables import Column, Row, table
from dossier.release.text import bold, formula, grouped, join, mono, signed
from dossier.release.trace import Anchor, sheet_id

ATTACHMENTS = {"SHA256SUMS": b"0" * 64 + b"  project.toml\n", "raw.bin": bytes(range(256))}


def info(*, released: bool = False, **changes: object) -> DocumentInfo:
    fields = {
        "owner": "Sample works (invented)", "title": "Sample joint, light variant", "subtitle": "against sample S-1",
        "identification": "SJ-01", "revision": "B", "created_by": "A. Writer PE", "approved_by": "B. Checker",
        "date_of_issue": "2026-11-25", "status": "released" if released else "draft", "released": released,
        "manifest": digest("manifest"), "notice": "DEMO, numbers invented",
        "draft_lines": ("not signed, not frozen, not for manufacture", "2 checks open, see page 1"),
    }  # fmt: skip
    return DocumentInfo(**{**fields, **changes})


def digest(name: str) -> str:
    return hashlib.sha256(name.encode()).hexdigest()


MARGINS = [
    (0.73, 0.70),
    (0.62, 0.31),
    (0.01, 0.01),
    (0.06, -0.03),
    (-0.09, -0.14),
    (-0.3, -0.4),
    (None, None),
]
DECISIONS = ["met", "met", "met", "undecided", "not met", "conceded", "open"]


def story(kit):
    return [
        *statement(kit), *requirements(kit), *design(kit), *calculation(kit), *evidence(kit), *cost(kit),
        *cautions(kit), *standards(kit), *signatures(kit),
    ]  # fmt: skip


def statement(kit):
    held = table(
        kit, [Column("", 46), Column(""), Column("", 80), Column("", 70), Column("", 34, "r"), Column("", 56)],
        [
            (kit.ref(f"R-00{i + 1}"), f"sample requirement number {i + 1}", "12.3 ± 0.6 kN", MarginBar(m, w), signed(w),
             state(d))
            for i, ((m, w), d) in enumerate(zip(MARGINS, DECISIONS, strict=True)) if m is not None
        ], head=False,
    )  # fmt: skip
    contents = [(str(n), title) for n, title in enumerate(TITLES, 1)]
    sheets = [
        table(
            kit, [Column("", 14), Column(""), Column("", 20, "r", 0)],
            [(bold(n), title, kit.trace.page_of(sheet_id(n))) for n, title in half], head=False, pad=0.4,
        ) for half in (contents[:5], contents[5:])
    ]  # fmt: skip
    return [
        *masthead(
            kit, "release document, revision B, 2026-11-25", "Sample joint SJ-01, light variant S-2",
            ["against the sample reference S-1; sample vehicle, 18 t class", "sample: everything is invented"],
            SmallSection(kit, parts.REFERENCE, parts.VARIANT),
        ),
        *sheet(
            kit, "1", "Statement of release", "May this part be built, and under which conditions?",
            "Yes, with four conditions. The variant is 27.9 % lighter; 3 of 7 requirements are met, one is conceded "
            "until 2027-06-30, one is open.", "Released with four conditions; 3 of 7 met.", room_needed=200,
        ),
        Wide(kit, Figures(kit, [
            KeyFigure("−27.9", "%", "mass, 1940 > 1398 g", "required −25 %, R-002"),
            KeyFigure("3", "of 7", "requirements met", "1 conceded, 1 open, 0 outdated"),
            KeyFigure("≤ 0.01", "", "tightest margin of those met", "R-003 sample, worst end"),
            KeyFigure("+4.1", "%", "unit cost, 19.42 > 20.22 EUR", "allowed +6 %, R-044"),
        ])),
        block(kit, "What it is", [kit.paragraph(
            ["Sample joint with a fit diameter of 76 mm for a tandem trailer of the 18 t class. Variant ", bold("S-2"),
             " differs from the reference in three places: a bore of 18 mm, two light rings, two plugs."])],
            "Scope: one part number, one vehicle class"),
        block(kit, "What holds and what does not", [held, kit.paragraph(
            ["Conceded by B. Checker, because the retaining ring alone holds 31 kN (", kit.ref("K-01"), ")."],
            "caption")],
            "margin bar: zero is the limit, right is good; whisker is the band"),
        block(kit, "Signed", [table(
            kit, [Column("", 60), Column(""), Column("", 92), Column("", 90)],
            [("released", "B. Checker, releaser", "2026-11-25 09:12 UTC", mono(grouped(digest("B")[:16])))],
            head=False)],
            ["all: ", kit.trace.ref(sheet_id("9"), label="sheet 9")]),
        block(kit, "Sheets", [Columns(kit, [(None, [sheets[0]]), (None, [sheets[1]])], gap=24)]),
        IfFits(kit, [block(kit, "How to read", [Legend(kit)], "the same marks in every sheet")]),
    ]  # fmt: skip


TITLES = [
    "Statement of release", "Requirements", "Design", "Evidence", "Cost and CO₂", "Cautions", "Standards",
    "Concessions and changes", "Signatures and manifest",
]  # fmt: skip


def requirement_groups():
    rows = [
        MatrixRow(
            f"R-{i + 1:03d}", f"Sample limit, case {i + 1}" + " under all loads of the collective" * (i % 9 == 0),
            "47.6 .. 64.4" if i % 2 else "≤ 1420",
            ["54.8", "1398", "0.993", "done"][i % 4], ["1.1", "4", "0.031", ""][i % 4], ["kN/mm", "g", "–", ""][i % 4],
            *MARGINS[i % 7], None, DECISIONS[i % 7], ["E-011"] if i % 3 else ["E-011", "C-009"],
            reason="" if DECISIONS[i % 7] != "conceded" else [
                state("not met", heavy=False), " by the numbers; conceded K-01: 10.9 ± 0.6 kN, limit 12 kN"],
        ) for i in range(47)
    ]  # fmt: skip
    names = ("Mass and geometry", "Stiffness, condition C0", "Strength", "Retention", "Rubber", "Life", "Use")
    return [MatrixGroup(name, rows[7 * i : 7 * i + 7]) for i, name in enumerate(names)]


def requirements(kit):
    coverage = table(
        kit, [Column("verified by"), *(Column(word, 54, "r") for word in ("met", "not met", "open"))],
        [("test", "33", "2", "–"), ("analysis", "6", "–", "–"), Row(("all", "39", "2", "–"), kind="total")],
    )  # fmt: skip
    return [
        *sheet(kit, "2", TITLES[1], "Is each requirement decided?",
               "No: 20 of 47 are met; the margin at the unfavourable end of the band is the one that counts.",
               "20 of 47 met; margins at the unfavourable end."),
        Wide(kit, matrix_table(kit, requirement_groups()), before=2),
        block(kit, "Marks", [Legend(kit)]),
        block(kit, "Coverage", [coverage], "each requirement has at least one verification"),
    ]  # fmt: skip


def design(kit):
    drawing = SectionDrawing(kit, parts.REFERENCE, parts.VARIANT, [
        Dimension("variant", (40, 0), (40, 9), "⌀18 (ref –)"),
        Dimension("variant", (67.5, 9), (75, 9), "7.5 (ref –)"),
        Dimension("reference", (-22.5, 38), (22.5, 38), "45"),
    ])  # fmt: skip
    masses = [
        MassRow("A", "pin, steel", 1268, 1004), MassRow("B", "plugs", None, 38), MassRow("C", "rubber", 88, 88),
        MassRow("D", "rings", 556, 224), MassRow("F", "retaining rings", 28, 44),
    ]  # fmt: skip
    dimensions = table(
        kit, [Column("", 16), Column("dimension"), Column("reference", 50, "d"), Column("S-2", 50, "d"),
              Column("difference", 52, "d", 3), Column("unit", 26), Column("touches", 100)],
        [(bold("A"), "pin bore, diameter", "–", "18.0", "+18.0", "mm", kit.refs(["R-001", "R-018"], page=False)),
         (bold("D"), "interference in eye, mean", "0.165", "0.190", "+0.025", "mm", kit.ref("R-020", page=False)),
         (bold("F"), "retaining rings", "1", "2", "+1", "pc", kit.ref("R-022", page=False))],
    )  # fmt: skip
    return [
        *sheet(kit, "3", TITLES[2], "Where does the steel go, and does the part still hold?",
               "542 g leave the sample joint: most of it from the pin and the rings; plugs and a second retaining "
               "ring add 54 g back.", "1940 > 1398 g; static safety 1.35."),
        Wide(kit, drawing, before=4),
        block(kit, "Dimensions that differ", [dimensions], "All others are equal", kit.trace.note(serves=["R-001"])),
        block(kit, "Mass", [Keep(kit, [
            mass_table(kit, masses, variant="S-2", total="joint, computed from the section above"),
            kit.paragraph("Weighed: 1398 ± 4 g, n = 5; density of rubber 1140 kg/m³.", "caption")])],
            "From the same polygons as the drawing"),
    ]  # fmt: skip


def calculation(kit):
    inputs = [
        Input("F", "radial overload, load case 3", "118.0", "kN", "–", "L-03"),
        Input(formula("R_pN"), "yield strength, test piece size", "500", "MPa", "minimum", kit.ref("M-02")),
        Input(
            "κ", "share of clamping at the pin ends", "0.60", "–", "± 0.04", "A-003, accepted by B. Checker"
        ),
    ]
    steps = [
        Step("A", "section of the neck", formula("π (d² − b²) / 4"), "d 36, b 18", "763.41", "mm²", "ring area"),
        Step(formula("M_b"), "moment, partly held", formula("κ M_h + (1 − κ) M_s"), "0.60, line 4, line 3", "1375.3",
             "N⋅m", kit.ref("A-003")),
        Step(formula("σ_v"), "equivalent stress", formula("√(σ_b² + 3 τ²)"), "320.27, 77.285", "347.12", "MPa",
             "distortion energy"),
        Step("S", "safety against yield", formula("R_p / σ_v"), "470, 347.12", "1.35", "–", "", result=True),
    ]  # fmt: skip
    note = kit.trace.note(serves=["R-018"], rests_on=["A-003", "M-02"], beside=["E-011"])
    return [
        *sheet(kit, "4", TITLES[3], "What did the machine show?",
               "The variant behaves like the reference in all directions; one sample test failed and is explained.",
               "Equivalent in all directions; 1 test failed, explained."),
        block(kit, "C-009 Static safety of the sample pin", [
            kit.paragraph("The sample pin carries 118 kN at yield safety 1.35; required 1.30.", "lead"),
            ResultBar(kit, 1.35, (1.31, 1.39), low=1.3, high=None, shown="1.35 ± 0.04")], note, identifier="C-009"),
        block(kit, "Inputs", [input_table(kit, inputs)], "links are resolved; both link and value are kept"),
        block(kit, "Working", [working_table(kit, steps)], "printed numbers give the printed values"),
        block(kit, "Valid for", [table(
            kit, [Column("", 120), Column("", 70), Column("", 110), Column("", 60)],
            [("b / d", "0.50", "0 .. 0.6", state("met"))], head=False, pad=1.5)]),
        block(kit, "Record", [kit.paragraph(
            [mono(f"inputs {grouped(digest('i')[:16])}"), "   method pin.static 3   ", state("current")], "small")]),
    ]  # fmt: skip


def evidence(kit):
    x, y = Scale(-0.3, 0.3, "displacement pin to eye, mm"), Scale(-15, 15, "radial force, kN")
    curve = Curve(kit, 262, 190, x, y, parts.loops(), [stiffness_band("band 47.6 .. 64.4 kN/mm", 47.6, 64.4, 13.2)],
                  ends=(-0.2, 0.2))  # fmt: skip
    gap = Gap(kit, 262, 78, x, Scale(-0.3, 0.3, "variant minus reference, kN", 3), parts.difference())
    specimens = [(f"S2-{i:02d}", f"{54 + i / 10:.1f}", "0.203", "0.43") for i in range(5)]
    columns = [Column("part"), Column("kN/mm", 32, "d"), Column("mm", 30, "d"), Column("loss, J", 32, "d", 0)]
    last = [Row(("mean", "54.2", "0.203", "0.43"), kind="total")]
    side = table(kit, columns, [*specimens, *last, *specimens, *last], size=7, pad=1.1)
    rows = [
        ForestRow("radial, 5 + 5", 0.972, 0.993, 1.013, "met", "inside"),
        ForestRow("conical, 5 + 5", 0.883, 0.941, 1.001, "undecided"),
        ForestRow("axial, 5 + 5", 0.995, 0.999, 1.003, "met", "inside"),
    ]
    return [
        block(kit, "E-011 Radial stiffness", [
            kit.paragraph("54.8 ± 1.1 kN/mm, n = 5; limits 47.6 and 64.4.", "lead"),
            Keep(kit, [Columns(kit, [(264, [curve, gap]), (None, [side])]), kit.paragraph(
                "Dotted: reference. Line with rings: variant. Grey: band of the requirement. Thick ticks: ends of the "
                "secant.", "caption")]),
            ResultBar(kit, 54.8, (53.7, 55.9), low=47.6, high=64.4, shown="54.8 ± 1.1 kN/mm", digits=1)],
            kit.trace.note(serves=["R-007"]), "machine P-3, force class 0.5", identifier="E-011"),
        block(kit, "E-015 Equivalence", [
            kit.paragraph("Each 90 % interval of the ratio but one lies inside 0.90 .. 1.10.", "lead"),
            Forest(kit, rows, (0.9, 1.1), name="quantity, n + n", interval="90 % interval")],
            kit.trace.note(serves=["R-011"]), identifier="E-015"),
    ]  # fmt: skip


def cost(kit):
    steps = [
        ("bar, gross", -0.45), ("bore, wash", 0.71), ("plugs", 0.34), ("rings, aluminium", 0.38),
        ("ring turning", -0.46),
        ("second retaining ring", 0.22), ("heat treatment", -0.19), ("scrap", 0.09), ("overhead", 0.16),
    ]  # fmt: skip
    lines = [
        SavingLine("weight worth 0", -74, -0.8, (1, 2)),
        SavingLine("4.50 EUR/kg", -74, 1.64, None, "45.1"),
        SavingLine("7.00 EUR/kg", -74, 2.99, (5, 2), "24.7"),
    ]
    ranges = [
        RangeRow("steel left out", -1.4, -1.1, -0.5), RangeRow("aluminium, plugs added", 0.5, 1.9, 2.9),
        RangeRow("fuel on the road", -1.0, -0.6, -0.35), RangeRow("sum", -1.6, 0.2, 2.0, total=True),
    ]  # fmt: skip
    chart = BreakEven(
        kit, 250, 150, Scale(0, 60, "pieces, thousands"), Scale(-140, 120, "sum of savings, kEUR"), lines
    )
    return [
        *sheet(kit, "5", TITLES[4], "What does the saved kilogram cost, and what is it worth?",
               "One piece costs 0.80 EUR more (+4.1 %); it pays back only if a kilogram is worth something to "
               "the buyer.",
               "+0.80 EUR per piece; break-even depends on an agreed value of mass."),
        block(kit, "C-030 From 19.42 to 20.22 EUR", [
            Waterfall(kit, 19.42, steps, 20.22),
            kit.paragraph("EUR per piece. Hatched: dearer, solid: cheaper, grey: totals, their feet broken off.",
                          "caption")],
            kit.trace.note(serves=["R-044"]), identifier="C-030"),
        block(kit, "Break-even", [Columns(kit, [(254, [chart]), (None, [kit.paragraph(
            "Without an agreed value of mass there is no break-even: the piece is dearer.", "small")])])]),
        block(kit, "C-031 CO₂", [Range(kit, ranges, "kg CO₂e"), kit.paragraph(
            [bold("The sign is open."), " No claim is made in this release."], "caption")], identifier="C-031"),
    ]  # fmt: skip


def cautions(kit):
    words = ["DANGER", "WARNING", "CAUTION", "NOTICE"]
    return [
        *sheet(kit, "6", TITLES[5], "Who can be hurt, and how is it avoided?",
               "Four cautions were chosen; one is a danger.", "Four cautions, one danger."),
        kit.paragraph("Where this document and the law differ, the stricter rule applies."),
        *(caution(kit, word, f"W-{i:02d}", f"Sample caution {i}",
                  [["Never cut or heat the sample ring; it holds ", bold("24 kN"),
                    ". " + "Stay out of the axis line. " * 6]],
                  ["R-028", "C-009"] if i < 2 else []) for i, word in enumerate(words)),
    ]  # fmt: skip


def standards(kit):
    columns = [Column("number", 60), Column("edition", 46), Column("used for"), Column("why", 54),
               Column("cited by", 80),
               Column("edition confirmed by", 110)]  # fmt: skip
    rows = [(bold(f"ISO {1000 + i}"), "2018", "a sample of a standard", "contract",
             kit.refs(["R-001", "E-011"], page=False),
             "A. Writer 2026-03-04") for i in range(9)]  # fmt: skip
    changes = [("2026-11-24 16:40", "A. Writer", "step 5 signed", "released")]
    return [
        *sheet(kit, "7", TITLES[6], "Which editions, and who confirmed them?",
               "9 standards are cited; every edition is confirmed by name.", "9 standards, all confirmed."),
        Wide(kit, table(kit, columns, rows)),
        space(26),
        *sheet(kit, "8", TITLES[7], "What deviates, and what changed since A?", "One concession, dated and named.",
               "One concession.", room_needed=180),
        Wide(kit, table(kit, [Column("", 34), Column("what"), Column("until", 70)],
                        [Row((bold("K-01"), kit.ref("R-006"), "2027-06-30"), anchor="K-01", anchor_title="K-01")])),
        block(kit, "History", [table(kit, [Column("time, UTC", 80), Column("who", 60), Column("record", 90),
                                           Column("change")], changes, pad=1.6),
                               table(kit, [Column("nothing here")], [])]),
    ]  # fmt: skip


def signatures(kit):
    files = [
        (f"{folder}/{kind}-{i:03d}.toml", digest(f"{kind}{i}"))
        for folder, kind in (("calculations", "C"), ("evidence", "E"))
        for i in range(1, 60)
    ]
    files.append(
        ("evidence/files/a very long name of a measured file with its date 2026-10-06.csv", digest("raw"))
    )
    return [
        *sheet(kit, "9", TITLES[8], "How would you know that something was altered?",
               f"{len(files)} files, one chain: any changed byte breaks the digest below.", f"{len(files)} files."),
        block(kit, "Verify", [kit.paragraph(
            mono(join(["sha256sum -c SHA256SUMS", "second command"], "\n"), 6.6), "code")],
              "with common tools"),
        block(kit, "Manifest", [
            kit.paragraph(["Digest of this list: ", mono(grouped(digest("m"), 8))], "small"),
            Anchor(kit.trace, "manifest"), Wide(kit, manifest(kit, files))], "SHA-256 of each file"),
    ]  # fmt: skip
