"""One calculation as a good handbook example prints it: inputs, working, result, band, margin, basis."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from reportlab.platypus import Flowable

from dossier import units
from dossier.checks.margin import limit_in_words
from dossier.checks.told import calculation_sentence
from dossier.checks.told_agreement import comparisons, support_words
from dossier.checks.told_numbers import digits_of, with_band
from dossier.checks.verdict import Support, support_of_calculation
from dossier.methods.base import Method, ResultField
from dossier.methods.freshness import STANDS
from dossier.methods.registry import all_methods
from dossier.methods.working import Line, Working
from dossier.records.base import field_facts
from dossier.records.calculation import BandLine, Calculation, Result, ResultValue
from dossier.records.design import Tolerance
from dossier.records.requirement import Requirement
from dossier.release.chapters.common import linked_source, listed, places_of, trimmed, unparted, without_zeros
from dossier.release.chapters.field import field_block
from dossier.release.chapters.rebuilt import Rebuilt, rebuilt
from dossier.release.facts import Facts
from dossier.release.flow import Wide, block
from dossier.release.kit import Kit
from dossier.release.marks import ResultBar, state
from dossier.release.matrix import Input, Step, input_table, working_table
from dossier.release.tables import Column, table
from dossier.release.text import Content, formula, grouped, join, mono
from dossier.release.typefaces import BOOK, width
from dossier.store.digest import sha256_of_document

TOLD_AS_NOTES = ("cost.piece", "co2.saving")  # levers, break-even and boundary: what the result says, no warning
WHOLE = 0.55  # share of a page up to which a calculation stays on one
FACT_SIZE = 6.9
FELT = 0.0005  # share of a value below which a cause of its band is only named
DECISIONS = ("met", "undecided", "not met")

_NEGATIVE = re.compile(r"(?<![\w)])-(?=\d)")


def calculation(kit: Kit, facts: Facts, record: Calculation) -> list[Flowable]:
    """One calculation; a short one stays on one page."""
    method = all_methods().get(record.method)
    serves = [served.requirement for served in record.serves]
    note = kit.trace.note(serves=serves, rests_on=facts.project.rests_on(record.id), beside=record.beside)
    lead: list[Flowable] = [kit.paragraph(calculation_sentence(facts.view, record), "lead")]
    result = record.result
    lead += [kit.paragraph(words, "small") for words in _apart(kit, facts, record)]
    head = block(kit, f"{record.id} {record.title}", [*lead, *_bars(kit, facts, record)], note, identifier=record.id)
    if result is None or method is None:
        return unparted(kit, [head])
    story: list[Flowable] = [head, block(kit, "Inputs", [Wide(kit, _inputs(kit, method, result))])]
    again = rebuilt(facts, record, method)
    if isinstance(again, Rebuilt):
        story.append(working_block(kit, again.working, "Working"))
    else:
        told = f"The working cannot be shown: {again}; calculate {record.id} again."
        story.append(block(kit, "Working", [kit.paragraph(told, "small")]))
    story.append(block(kit, "Results", [_results(kit, method, result)], old_words(facts, record)))
    story += field_block(kit, facts, record)
    bands = _bands(kit, method, result)
    if bands is not None:
        story.append(block(kit, "Band", [bands], "root of the sum of squares"))
    story.append(block(kit, "Basis", [_limits(kit, facts, record, method, result)], "what it holds for"))
    return unparted(kit, story, share=WHOLE)


def old_words(facts: Facts, record: Calculation) -> Content:
    """A mark beside numbers that are not the result of today's records, or nothing."""
    fresh = facts.view.freshness[record.id].state
    return "" if fresh in STANDS else [state(fresh), ": not from today's records"]


def _apart(kit: Kit, facts: Facts, record: Calculation) -> list[Content]:
    """What evidence shows otherwise, one line each."""
    return [
        [state("not met", "apart"), " from what is shown for ", kit.ref(one.requirement.id), ": calculated ",
         support_words(one, one.calculated), ", ", kit.ref(one.shown.record), " ", support_words(one, one.shown), "."]
        for one in comparisons(facts.view) if one.apart and one.calculated.record == record.id
    ]  # fmt: skip


def _bars(kit: Kit, facts: Facts, record: Calculation) -> list[Flowable]:
    found: list[Flowable] = []
    for served in record.serves:
        requirement = facts.project.find(served.requirement)
        if not isinstance(requirement, Requirement) or (requirement.limit.min is None and requirement.limit.max is None):
            continue
        support = support_of_calculation(requirement, record, served.value, facts.view.freshness[record.id])
        if support.value is not None:
            found.append(_bar(kit, requirement, support))
    return found


def _bar(kit: Kit, requirement: Requirement, support: Support) -> Flowable:
    value, unit, limit = support.value or 0.0, requirement.unit, requirement.limit
    low, high = (value if end is None else end for end in (support.low, support.high))
    told = with_band(value, low, high, unit, digits_of(unit))
    decided = f"{support.state} by calculation" if support.state in DECISIONS else support.state
    words = f"{requirement.id} {decided}, {limit_in_words(limit, unit)}: {told}"
    return ResultBar(
        kit, value, (low, high), low=limit.min, high=limit.max, shown=words, digits=places_of(limit.min, limit.max),
        unit="" if unit in ("-", "1") else unit,
    )  # fmt: skip


def _inputs(kit: Kit, method: Method, result: Result) -> Flowable:
    rows = []
    for name, info in method.input_model.model_fields.items():
        if name not in result.inputs:
            continue
        facts = field_facts(info)
        value = result.inputs[name]
        source = linked_source(kit, result.sources.get(name, "default"))
        symbol = formula(str(facts.get("symbol") or "")) if facts.get("symbol") else ""
        unit, band, text = str(facts.get("unit", "")), "–", ""
        if isinstance(value, dict) and set(value) <= {"value", "low", "high", "source"}:
            text = trimmed(value["value"])
            if "low" in value and "high" in value:
                band = f"{trimmed(value['low'], 4)} .. {trimmed(value['high'], 4)}"
        elif isinstance(value, bool):
            text, unit = "yes" if value else "no", ""
        elif isinstance(value, (int, float)):
            text = trimmed(float(value))
        elif isinstance(value, dict) and set(value) == set(Tolerance.model_fields):
            band = f"{_deviation(value['lower'])} .. {_deviation(value['upper'])}"
        elif isinstance(value, (dict, list)):
            rows.append(_nested(info.description or name, value, source))
            continue
        else:
            text, unit = str(value).replace("_", " "), ""
        rows.append(Input(symbol, info.description or name, text, "" if unit == "-" else unit, band, source))
    return input_table(kit, rows, wide=True)


def _deviation(value: float) -> str:
    return f"{'+' if value > 0 else ''}{trimmed(value)}"


def _nested(label: str, value: Any, source: Any) -> Input:
    """A part of a design or a list of records as one line: they stand on sheet 3, the digest ties them to this run.

    What a description says behind a semicolon tells how to give such an input, and is left out.
    """
    count, unit = (len(value), "entries") if isinstance(value, list) else (len(_leaves(value)), "fields")
    digest = mono(grouped(sha256_of_document(value)[:16]))
    return Input("", label.partition(";")[0].replace("_", " "), f"{count}", unit, "–", [source, " ", digest])


def _leaves(value: Any, path: str = "") -> list[tuple[str, Any]]:
    if isinstance(value, dict):
        return [
            leaf for name, item in value.items() for leaf in _leaves(item, f"{path}.{name}" if path else name)
        ]
    if isinstance(value, list):
        return [leaf for number, item in enumerate(value, 1) for leaf in _leaves(item, f"{path} {number}")]
    return [(path, value)]


def working_block(kit: Kit, working: Working, title: str) -> Flowable:
    """What is put in, then each line with its formula and the numbers put in."""
    content: list[Flowable] = []
    if working.facts:
        facts = [(what, _NEGATIVE.sub(units.MINUS, words)) for what, words in working.facts]
        widest = max(width(what, BOOK, FACT_SIZE) for what, _ in facts)
        columns = [Column("", min(widest + 8, 0.3 * kit.page.main)), Column("")]
        content.append(table(kit, columns, facts, head=False, size=FACT_SIZE, pad=1.0))
    if working.givens:
        content.append(Wide(kit, _givens(kit, working.givens)))
    steps = [
        Step(
            formula(line.symbol), line.meaning, formula(line.formula),
            join([[formula(symbol), f" {number}"] for symbol, number in _put_in(line).items()]),
            line.printed, "" if line.unit == "-" else line.unit, line.source, result=line.digits == 3,
        )
        for line in working.lines
    ]  # fmt: skip
    content.append(Wide(kit, working_table(kit, steps, wide=True)))
    return block(kit, title, content, "the printed numbers give the printed values")


def _put_in(line: Line) -> dict[str, str]:
    return {symbol: without_zeros(number) for symbol, number in line.printed_numbers.items()}


def _givens(kit: Kit, givens: Sequence[Line]) -> Flowable:
    """What is put in, in two columns side by side."""
    cells = [
        (formula(g.symbol), join([g.meaning, g.source], ", ") if g.source else g.meaning, without_zeros(g.printed),
         "" if g.unit == "-" else g.unit)
        for g in givens
    ]  # fmt: skip
    half = (len(cells) + 1) // 2
    rows = [(*cells[i], *(cells[half + i] if half + i < len(cells) else ())) for i in range(half)]
    side = [Column("put in", 36), Column(""), Column("", 52, "d", 3), Column("", 40)]
    return table(kit, [*side, Column("", 36), *side[1:]], rows, size=6.7, pad=0.9)


def _results(kit: Kit, method: Method, result: Result) -> Flowable:
    """Values with their bands; outside the method's validity each of them is marked."""
    rows: list[tuple[Content, ...]] = []
    marked = False
    for field in method.results:
        value = result.value(field.name)
        if value is None and field.holds != "within":
            continue
        beyond = value is None or (result.validity == "outside" and field.holds == "inside")
        marked |= beyond
        cells = _value_cells(field, value)
        rows.append((*cells, state("not met", "outside")) if beyond else cells)
    columns = [Column("", 38), Column("result"), Column("value", 60, "d", 3), Column("unit", 54), Column("band", 90)]
    columns += [Column("validity", 46)] if marked else []
    return table(kit, columns, rows, size=6.9, pad=1.1)


def _value_cells(field: ResultField, value: ResultValue | None) -> tuple[Content, ...]:
    """Symbol, meaning, value, unit and band; a dash for a value that the result does not give."""
    shown, digits = field.shown or field.unit, digits_of(field.unit)
    stored = (value.value, value.low, value.high) if value else (None, None, None)
    numbers = ["–" if number is None else units.show(units.convert(number, field.unit, shown), digits) for number in stored]
    banded = value is not None and value.low is not None and value.high is not None and value.high > value.low
    band = f"{numbers[1]} .. {numbers[2]}" if banded else "–"
    symbol = formula(field.symbol) if field.symbol else ""
    return symbol, field.meaning, numbers[0], "" if shown in ("-", "1") else shown, band


def _bands(kit: Kit, method: Method, result: Result) -> Flowable | None:
    """One row a value, its causes in a line, the largest first."""
    rows = []
    for value in result.values:
        if not value.value or not value.lines:
            continue
        ordered = sorted(value.lines, key=lambda line: -max(abs(line.minus), abs(line.plus)))
        field = method.result_field(value.name)
        rows.append((field.meaning, _causes(ordered, value, field.shown or field.unit)))
    if not rows:
        return None
    return table(kit, [Column("value", 130), Column("causes, down and up in % of the value")], rows, size=6.7, pad=1.0)


def _causes(lines: Sequence[BandLine], value: ResultValue, shown: str) -> str:
    """Both ends of each cause in % of the value; in its unit, named at the end, where the value is small against them."""
    size = abs(value.value or 0.0)
    if max(max(abs(each.minus), abs(each.plus)) for each in lines) < size:
        felt = [each for each in lines if max(abs(each.minus), abs(each.plus)) >= FELT * size]
        told = [f"{each.cause} {_percent(each.minus, size)} {_percent(each.plus, size)}" for each in felt]
        rest = ", ".join(each.cause for each in lines if each not in felt)
        return "; ".join([*told, f"below {100 * FELT:g} each: {rest}"] if rest else told)
    ends = [(each.cause, *(units.convert(end, value.unit, shown) for end in (each.minus, each.plus))) for each in lines]
    told = "; ".join(f"{cause} {units.show(low, 2)} +{units.show(high, 2)}" for cause, low, high in ends)
    return f"{told}; in {'points of %' if shown == '%' else shown}"


def _percent(end: float, size: float) -> str:
    return units.show_signed(100 * end / size, 1) if end else "0"


def _limits(kit: Kit, facts: Facts, record: Calculation, method: Method, result: Result) -> Flowable:
    """Basis, validity, what is left out, warnings and the record's own data, one line each."""
    basis = method.basis
    words = {"read": "read", "library": "own method, checked in tests", "memory": "from memory"}[basis.kind]
    rows: list[tuple[Content, Content]] = [("basis", f"{words}: {basis.text}")]
    if result.validity != "inside":
        rows += [(state("not met", result.validity), note) for note in result.validity_notes]
    rows += [("valid for", "; ".join(basis.valid_for))] if basis.valid_for else []
    rows += [("left out", "; ".join(basis.left_out))] if basis.left_out else []
    word = "note" if result.method in TOLD_AS_NOTES else "warning"
    rows += [(word, text) for text in result.warnings if word == "warning" or not text.startswith("worth ")]
    rows.append(("record", _record(kit, facts, record, result)))
    return table(kit, [Column("", 46), Column("")], rows, head=False, size=6.9, pad=1.2)


def _record(kit: Kit, facts: Facts, record: Calculation, result: Result) -> Content:
    fresh = facts.view.freshness[record.id].state
    libraries = ", ".join(f"{name} {number}" for name, number in result.libraries.items())
    return join([[
        mono(f"inputs {grouped(result.inputs_sha256[:32])}"),
        f"; method {result.method} {result.method_version}; {libraries}; computed {result.computed_at} by "
        f"{result.computed_by or '–'}; ",
        state(fresh),
        "; remark: " + record.remark.rstrip(". ") if record.remark else "",
        "; serves ", listed(kit, [served.requirement for served in record.serves]) if record.serves else "nothing",
    ]], "")  # fmt: skip
