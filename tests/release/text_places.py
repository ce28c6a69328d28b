"""Every place of the document that takes text from outside: name, whether long text stays whole, and how to fill it."""

from __future__ import annotations

import sample_parts as parts
from sample_story import digest

from dossier.release.axes import Scale
from dossier.release.charts import BreakEven, Range, RangeRow, SavingLine, Waterfall
from dossier.release.curves import Band, Curve, Forest, ForestRow, Gap, Series
from dossier.release.flow import Columns, IfFits, Keep, Stack, Wide, block
from dossier.release.heads import Figures, KeyFigure, masthead, sheet
from dossier.release.manifest import manifest
from dossier.release.marks import ResultBar, state
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
from dossier.release.outlines import Half
from dossier.release.section import Dimension, SectionDrawing
from dossier.release.signals import caution
from dossier.release.tables import Column, Row, table
from dossier.release.text import bold, coloured, link, mono, oblique, subscript, superscript

X = Scale(0, 1, "x")


def _matrix(kit, **changes):
    fields = {
        "identifier": f"M-{sorted(changes.items())}"[:12], "statement": "s", "limit": "1", "value": "1",
        "uncertainty": "1",
        "unit": "N", "nominal": 0.1, "worst": 0.1, "best": 0.1, "decision": "met",
    }  # fmt: skip
    return [Wide(kit, matrix_table(kit, [MatrixGroup("g", [MatrixRow(**{**fields, **changes})])]))]


def _half(label="h", notes=()):
    return Half(label, parts.REFERENCE.regions, notes)


def _section(kit, reference=None, variant=None, dimensions=(), **options):
    drawing = SectionDrawing(kit, reference or _half(), variant or _half(), dimensions, scale=0.5, **options)
    return [Wide(kit, drawing)]


def _waterfall(kit, step="a", names=("r", "v")):
    return [Waterfall(kit, 1.0, [(step, 0.5), ("b", 0.5)], 2.0, names=names, height=100)]


def _curve(kit, x="x", y="y", label="", band=""):
    line = Series(label, [0, 0.5, 1], [0, 0.2, 1])
    bands = [Band(band, ([0, 1], [0, 0.8]), ([0, 1], [0.1, 0.9]))] if band else []
    return [Curve(kit, 300, 120, Scale(0, 1, x), Scale(0, 1, y), [line], bands)]


def _forest(kit, row="q", label="", **options):
    return [Forest(kit, [ForestRow(row, 0.95, 1.0, 1.05, "met", label)], (0.9, 1.1), **options)]


def _saving(kit, crossing):
    return [BreakEven(kit, 250, 100, X, Scale(-1, 1, "y"), [SavingLine("", -0.5, 1.2, None, crossing)])]


def _sheet(kit, value, **changes):
    fields = {"number": value[-4:], "title": "t", "question": "q", "answer": "a", "short": "s"}
    return sheet(kit, *{**fields, **changes}.values(), room_needed=150)


def _step(kit, **changes):
    fields = {
        "symbol": "s",
        "meaning": "m",
        "formula": "f",
        "numbers": "n",
        "value": "1",
        "unit": "N",
        "source": "-",
    }
    return [working_table(kit, [Step(**{**fields, **changes})])]


def _input(kit, **changes):
    fields = {"symbol": "s", "name": "n", "value": "1", "unit": "N", "band": "-", "source": "-"}
    return [input_table(kit, [Input(**{**fields, **changes})])]


WHOLE, CUT = True, False

PLACES = [
    ("paragraph", WHOLE, lambda kit, v: [kit.paragraph(v)]),
    ("paragraph piece", WHOLE, lambda kit, v: [kit.paragraph(["before ", v, " after"])]),
    ("bold", WHOLE, lambda kit, v: [kit.paragraph(bold(v))]),
    ("oblique", WHOLE, lambda kit, v: [kit.paragraph(oblique(v))]),
    ("mono", WHOLE, lambda kit, v: [kit.paragraph(mono(v))]),
    ("coloured", WHOLE, lambda kit, v: [kit.paragraph(coloured(v, "#112233"))]),
    ("subscript", WHOLE, lambda kit, v: [kit.paragraph(["x", subscript(v)])]),
    ("superscript", WHOLE, lambda kit, v: [kit.paragraph(["x", superscript(v)])]),
    ("link", WHOLE, lambda kit, v: [kit.paragraph(link(v, "r" + b"place".hex()))]),
    ("state label", WHOLE, lambda kit, v: [kit.paragraph(state("met", v))]),
    ("record id", WHOLE, lambda kit, v: [kit.paragraph(kit.ref(v))]),
    ("record label", WHOLE, lambda kit, v: [kit.paragraph(kit.trace.ref("place", label=v))]),
    ("trace note", WHOLE, lambda kit, v: [block(kit, "b", [], kit.trace.note(serves=[v]))]),
    ("column head", CUT, lambda kit, v: [table(kit, [Column(v), Column("b")], [("1", "2")])]),
    ("table cell", WHOLE, lambda kit, v: [table(kit, [Column("a", 40), Column("b")], [("1", v)])]),
    ("narrow table cell", WHOLE, lambda kit, v: [table(kit, [Column("a", 60), Column("b")], [(v, "1")])]),
    ("right cell", WHOLE, lambda kit, v: [table(kit, [Column("a"), Column("b", None, "r")], [("1", v)])]),
    ("decimal cell", WHOLE, lambda kit, v: [table(kit, [Column("a"), Column("b", None, "d")], [("1", v)])]),
    ("centred cell", WHOLE, lambda kit, v: [table(kit, [Column("a"), Column("b", None, "c")], [("1", v)])]),
    ("group row", WHOLE, lambda kit, v: [table(kit, [Column("a"), Column("b")], [Row((v,), "group"), ("1", "2")])]),
    ("note row", WHOLE, lambda kit, v: [table(kit, [Column("a"), Column("b")], [("1", "2"), Row((v,), "note", 1)])]),
    ("total row", WHOLE, lambda kit, v: [table(kit, [Column("a"), Column("b")], [("1", "2"), Row((v, "3"), "total")])]),
    ("empty table", WHOLE, lambda kit, v: [table(kit, [Column("a"), Column("b")], [], empty=v)]),
    ("matrix group", WHOLE, lambda kit, v: [Wide(kit, matrix_table(kit, [MatrixGroup(v, [])]))]),
    ("matrix id", WHOLE, lambda kit, v: _matrix(kit, identifier=v)),
    ("matrix statement", WHOLE, lambda kit, v: _matrix(kit, statement=v)),
    ("matrix limit", WHOLE, lambda kit, v: _matrix(kit, limit=v)),
    ("matrix value", WHOLE, lambda kit, v: _matrix(kit, value=v)),
    ("matrix uncertainty", WHOLE, lambda kit, v: _matrix(kit, uncertainty=v)),
    ("matrix unit", WHOLE, lambda kit, v: _matrix(kit, unit=v)),
    ("matrix reason", WHOLE, lambda kit, v: _matrix(kit, reason=v)),
    ("matrix rests on", WHOLE, lambda kit, v: _matrix(kit, rests_on=[v])),
    *[(f"step {f}", WHOLE, lambda kit, v, f=f: _step(kit, **{f: v}))
      for f in ("symbol", "meaning", "formula", "numbers", "value", "unit", "source")],
    *[(f"input {f}", WHOLE, lambda kit, v, f=f: _input(kit, **{f: v}))
      for f in ("symbol", "name", "value", "unit", "band", "source")],
    ("mass region", WHOLE, lambda kit, v: [mass_table(kit, [MassRow("A", v, 2, 1)], variant="v", total="t")]),
    ("mass key", WHOLE, lambda kit, v: [mass_table(kit, [MassRow(v, "r", 2, 1)], variant="v", total="t")]),
    ("mass variant", CUT, lambda kit, v: [mass_table(kit, [MassRow("A", "r", 2, 1)], variant=v, total="t")]),
    ("mass total", WHOLE, lambda kit, v: [mass_table(kit, [MassRow("A", "r", 2, 1)], variant="v", total=v)]),
    ("masthead kind", CUT, lambda kit, v: masthead(kit, v, "t")),
    ("masthead title", WHOLE, lambda kit, v: masthead(kit, "k", v)),
    ("masthead sub-title", WHOLE, lambda kit, v: masthead(kit, "k", "t", [v])),
    ("sheet title", CUT, lambda kit, v: _sheet(kit, v, title=v)),
    ("sheet question", CUT, lambda kit, v: _sheet(kit, v, question=v)),
    ("sheet answer", WHOLE, lambda kit, v: _sheet(kit, v, answer=v)),
    ("sheet number", CUT, lambda kit, v: _sheet(kit, v, number=v)),
    ("figure", CUT, lambda kit, v: [Wide(kit, Figures(kit, [KeyFigure(v, "N", "l", "a")]))]),
    ("figure unit", CUT, lambda kit, v: [Wide(kit, Figures(kit, [KeyFigure("1", v, "l", "a")]))]),
    ("figure label", CUT, lambda kit, v: [Wide(kit, Figures(kit, [KeyFigure("1", "N", v, "a")]))]),
    ("figure against", CUT, lambda kit, v: [Wide(kit, Figures(kit, [KeyFigure("1", "N", "l", v)]))]),
    ("block title", WHOLE, lambda kit, v: [block(kit, v, [kit.paragraph("c")])]),
    ("block note", WHOLE, lambda kit, v: [block(kit, "b", [kit.paragraph("c")], v)]),
    ("block id", WHOLE, lambda kit, v: [block(kit, v, [kit.paragraph("c")], identifier=v)]),
    ("block content", WHOLE, lambda kit, v: [block(kit, "b", [kit.paragraph(v)])]),
    ("kept", WHOLE, lambda kit, v: [Keep(kit, [kit.paragraph(v)])]),
    ("if it fits", CUT, lambda kit, v: [IfFits(kit, [kit.paragraph(v)])]),
    ("stack in cell", WHOLE, lambda kit, v: [table(kit, [Column("a")], [(Stack(kit, [kit.paragraph(v)]),)])]),
    ("columns", WHOLE, lambda kit, v: [Columns(kit, [(200, [kit.paragraph(v)]), (None, [kit.paragraph("c")])])]),
    ("caution id", WHOLE, lambda kit, v: [caution(kit, "NOTICE", v, "t", ["p"])]),
    ("caution title", WHOLE, lambda kit, v: [caution(kit, "CAUTION", "Q" + v[-3:], v, ["p"])]),
    ("caution text", WHOLE, lambda kit, v: [caution(kit, "WARNING", "U" + v[-3:], "t", [v])]),
    ("caution source", WHOLE, lambda kit, v: [caution(kit, "DANGER", "V" + v[-3:], "t", ["p"], [v])]),
    ("result", CUT, lambda kit, v: [ResultBar(kit, 1.0, (0.9, 1.1), low=0.5, high=2.0, shown=v)]),
    ("result unit", CUT, lambda kit, v: [ResultBar(kit, 1.0, (0.9, 1.1), low=None, high=2.0, shown="1", unit=v)]),
    ("section label", CUT, lambda kit, v: _section(kit, _half(v))),
    ("section note line", CUT, lambda kit, v: _section(kit, None, _half("h", (v,)))),
    ("section note", CUT, lambda kit, v: _section(kit, note=v)),
    ("dimension", CUT, lambda kit, v: _section(kit, dimensions=[Dimension("variant", (-20, 0), (-20, 10), v)])),
    ("axis x", CUT, lambda kit, v: _curve(kit, x=v)),
    ("axis y", CUT, lambda kit, v: _curve(kit, y=v)),
    ("curve label", CUT, lambda kit, v: _curve(kit, label=v)),
    ("band label", CUT, lambda kit, v: _curve(kit, band=v)),
    ("gap label", CUT, lambda kit, v: [Gap(kit, 250, 80, X, X, Series(v, [0, 1], [0, 1]))]),
    ("forest row", CUT, lambda kit, v: _forest(kit, v)),
    ("forest decision", CUT, lambda kit, v: _forest(kit, label=v)),
    ("forest name", CUT, lambda kit, v: _forest(kit, name=v)),
    ("forest interval", CUT, lambda kit, v: _forest(kit, interval=v)),
    ("forest axis", CUT, lambda kit, v: _forest(kit, axis=v)),
    ("waterfall step", CUT, lambda kit, v: _waterfall(kit, v)),
    ("waterfall name", CUT, lambda kit, v: _waterfall(kit, names=(v, "b"))),
    ("saving label", CUT, lambda kit, v: [BreakEven(kit, 250, 100, X, X, [SavingLine(v, 0.1, 0.3)])]),
    ("saving crossing", CUT, lambda kit, v: _saving(kit, v)),
    ("range row", CUT, lambda kit, v: [Range(kit, [RangeRow(v, -1, 0, 1)], "kg")]),
    ("range unit", CUT, lambda kit, v: [Range(kit, [RangeRow("r", -1, 0, 1)], v)]),
    ("manifest file", WHOLE, lambda kit, v: [Wide(kit, manifest(kit, [(v.replace("/", "|"), digest("a"))]))]),
    ("manifest folder", WHOLE, lambda kit, v: [Wide(kit, manifest(kit, [(f"{v}/a", digest("a"))]))]),
]  # fmt: skip
