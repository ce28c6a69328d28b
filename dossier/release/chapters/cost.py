"""Sheet 5: what does the saved kilogram cost, and what is it worth?"""

from __future__ import annotations

from reportlab.platypus import Flowable

from dossier import units
from dossier.checks.told import sheet_answer
from dossier.checks.told_cost import currency_of, planned_pieces, worth_sentences
from dossier.records.base import Banded, field_facts
from dossier.records.calculation import Calculation, Result
from dossier.records.cost import Cost
from dossier.release.axes import Scale
from dossier.release.chapters.calculation import calculation, old_words
from dossier.release.chapters.common import trimmed
from dossier.release.charts import BreakEven, Range, RangeRow, SavingLine, Waterfall
from dossier.release.facts import Facts
from dossier.release.flow import Columns, Wide, block
from dossier.release.heads import sheet
from dossier.release.kit import Kit
from dossier.release.tables import Column, Row, table
from dossier.release.text import bold, signed

QUESTION = "What does the saved kilogram cost, and what is it worth?"
PIECE, FOOTPRINT = "cost.piece", "co2.saving"
METHODS = (PIECE, FOOTPRINT)
ENDS = ("low", "mid", "high")
DASHES = ((1.0, 2.0), (5.0, 2.0), None)


def cost(kit: Kit, facts: Facts, title: str) -> list[Flowable]:
    """Waterfall, break-even, levers, CO2 ranges, then the calculations in full."""
    record = next(iter(facts.project.of_kind(Cost)), None)
    runs = [c for c in facts.project.calculations if c.method in METHODS]
    answer = cost_answer(facts, record, runs)
    story: list[Flowable] = [*sheet(kit, "5", title, QUESTION, answer, answer, room_needed=260)]
    for run in runs:
        if run.result is not None and run.result.validity != "failed":
            piece = run.method == PIECE
            story += _piece(kit, facts, run, run.result, record) if piece else _footprint(kit, facts, run, run.result)
    if record is not None:
        story.append(_basis(kit, record))
        story.append(_lines(kit, facts, record))
        story += _factors(kit, facts)
    for run in runs:
        story += calculation(kit, facts, run)
    return story


def cost_answer(facts: Facts, record: Cost | None, runs: list[Calculation]) -> str:
    """What a piece costs more, and whether the sign of the CO2 balance is known."""
    if record is None and not runs:
        return "No cost is recorded yet."
    told = [sheet_answer(facts.view, "5")]
    for run in runs:
        if run.method == FOOTPRINT and run.result is not None and sign_open(run.result):
            told.append("The sign of the CO₂ balance is open.")
    return " ".join(told)


def sign_open(result: Result) -> bool:
    """Whether the range of the total crosses zero."""
    low, high = result.value("total_low"), result.value("total_high")
    return bool(low and high and (low.value or 0.0) < 0 < (high.value or 0.0))


def _piece(kit: Kit, facts: Facts, run: Calculation, result: Result, record: Cost | None) -> list[Flowable]:
    from dossier.methods.cost import LINES

    reference, variant = _number(result, "reference"), _number(result, "variant")
    currency = currency_of(result)
    steps = [(words, _number(result, f"variant_{name}") - _number(result, f"reference_{name}")) for name, words in LINES]
    steps = [(words, change) for words, change in steps if abs(change) >= 0.005]
    rest = variant - reference - sum(change for _, change in steps)
    if abs(rest) >= 0.005:
        steps.append(("lines below 0.01", rest))
    exact = reference, variant
    steps, variant = _as_printed(reference, steps, variant)
    reference = round(reference, 2)
    caption = f"{currency} per piece. Hatched: dearer, solid: cheaper, grey: totals; broken feet: the axis starts above zero. "
    caption += "Steps are rounded so that the printed numbers add up."
    decimals = 2 if abs(exact[1] - exact[0]) >= 0.1 else 3
    told = f"From {exact[0]:.{decimals}f} to {exact[1]:.{decimals}f} {currency} per piece, "
    told += f"{signed(exact[1] - exact[0], decimals)} {currency}"
    content = [kit.paragraph(f"{told}.", "lead"), Waterfall(kit, reference, steps, variant), kit.paragraph(caption, "caption")]
    notes = [["from ", kit.ref(run.id)], old_words(facts, run)]
    return [block(kit, "Piece cost", content, *notes), _break_even(kit, result, record), _levers(kit, result)]


def _as_printed(start: float, steps: list[tuple[str, float]], end: float) -> tuple[list[tuple[str, float]], float]:
    """Steps as differences of the rounded sums, so that the printed ones lead from one printed total to the other."""
    found, exact, printed = [], start, round(start, 2)
    for number, (words, change) in enumerate(steps, 1):
        exact = end if number == len(steps) else exact + change
        found.append((words, round(round(exact, 2) - printed, 2)))
        printed = round(exact, 2)
    return found, round(end, 2)


def _break_even(kit: Kit, result: Result, record: Cost | None) -> Flowable:
    investment, currency = _number(result, "investment") / 1000, currency_of(result)
    given = result.inputs.get("cost", {})
    worth, pieces = given.get("worth", {}), planned_pieces(result) / 1000 or 1.0
    lines = []
    for name, dash in zip(ENDS, DASHES, strict=True):
        gain = _number(result, f"gain_{name}")
        at = investment / gain if gain > 0 and investment > 0 else 0.0
        crossing = f"{at:.3g}" if 0 < at <= pieces else ""
        lines.append(SavingLine(f"{worth.get(name, 0):g} {currency}/kg", -investment, gain, dash, crossing))
    ends = [-investment, *(-investment + line.slope * pieces for line in lines)]
    y = Scale.around(ends, f"sum of savings, k{currency}")
    chart = BreakEven(kit, 270, 150, Scale(0, pieces, "pieces, thousands"), y, lines)
    words = [kit.paragraph(note, "small") for note in worth_sentences(result)]
    source = (record.worth.source if record else "") or "no source given"
    paid = f"Paid once: {units.show(investment, 3)} k{currency}. Worth of a kilogram: {source}."
    words.append(kit.paragraph(paid, "small"))
    return block(kit, "Break-even", [Columns(kit, [(274, [chart]), (None, words)])], "rings: the investment is earned back")


def _levers(kit: Kit, result: Result) -> Flowable:
    rows = [(note.removeprefix("lever: "),) for note in result.warnings if note.startswith("lever: ")]
    found = table(kit, [Column("")], rows, head=False, pad=1.2, empty="No lever is recorded.")
    return block(kit, "What moves it", [found], "each alone, largest first")


def _footprint(kit: Kit, facts: Facts, run: Calculation, result: Result) -> list[Flowable]:
    rows = [
        RangeRow(words, *sorted(_number(result, f"{name}_{end}") for end in ENDS), total=name == "total")
        for name, words in (("manufacture", "saved in manufacture"), ("use", "saved in use"), ("total", "sum"))
    ]
    crossing = sign_open(result)
    total = rows[-1]
    low, middle, high = (units.show_signed(end) for end in (total.low, total.mid, total.high))
    told = f"{middle} kg CO₂e saved per joint, {low} to {high}."
    lead = [bold("The sign is open. "), told, " No claim is made."] if crossing else [told]
    shown = [note for note in result.warnings if not note.startswith("The sign is open")]
    content = [kit.paragraph(lead, "lead"), Range(kit, rows, "kg CO₂e"), kit.paragraph(
        "Right of zero: saved. Ring: middle of the range. Low and high take every factor at its unfavourable or favourable end.",
        "caption"), *(kit.paragraph(note, "small") for note in shown)]  # fmt: skip
    return [block(kit, "CO₂", content, ["from ", kit.ref(run.id)], old_words(facts, run))]


def _basis(kit: Kit, record: Cost) -> Flowable:
    basis = record.variant.basis
    rows = [
        ("volume", f"{basis.annual_volume:g} pieces a year, {record.years} years"), ("plant", basis.plant),
        ("prices of", str(basis.price_date)), ("interest", f"{100 * record.interest:g} %"),
        ("overheads", f"material {100 * record.rates.material_overhead:g} %, administration and sales "
         f"{100 * record.rates.administration_sales:g} %; {record.rates.source or 'no source given'}"),
        ("worth of a kilogram", f"{record.worth.low:g}, {record.worth.mid:g}, {record.worth.high:g} {basis.currency}/kg; "
         f"{record.worth.confirmed_by or 'an assumption, confirmed by nobody'}"),
    ]  # fmt: skip
    return block(kit, "Basis of cost", [table(kit, [Column("", 90), Column("")], rows, head=False, pad=1.2)],
                 "the same for both parts", identifier=record.id)  # fmt: skip


def _lines(kit: Kit, facts: Facts, record: Cost) -> Flowable:
    """Every line of both sides: what it is, its amount, and where the number comes from."""
    rows: list[Row] = []
    for name, side in (("reference part", record.reference), ("variant", record.variant)):
        rows.append(Row((name,), kind="group"))
        amounts = _amounts(facts, "variant" if side is record.variant else "reference")
        for line in side.lines:
            kind = type(line).__name__.removesuffix("Item").replace("ProcessStep", "step").replace("OneOff", "one-off").lower()
            spread = f"± {100 * line.uncertainty:g} %" if line.uncertainty else "–"
            day = str(line.price_date or side.basis.price_date)
            rows.append(Row((line.name, kind, amounts.get(line.name, "–"), line.origin, line.source or "–", spread, day)))
    columns = [Column("line", 120), Column("kind", 48), Column(side.basis.currency, 56, "r"), Column("origin", 74),
               Column("source"), Column("", 40), Column("price of", 54)]  # fmt: skip
    words = "Material, parts and steps per joint before yields and overheads; one-off amounts as they are paid."
    content = [Wide(kit, table(kit, columns, rows, size=6.7, pad=0.9)), kit.paragraph(words, "caption")]
    return block(kit, "Lines", content, "quote, own calculation or estimate")


def _amounts(facts: Facts, side: str) -> dict[str, str]:
    """Amount of each line of a side by its name, with today's records; empty without a piece cost to calculate."""
    from dossier.methods.cost_in import plan_of

    run = next((c for c in facts.project.calculations if c.method == PIECE), None)
    resolved = facts.view.freshness[run.id].resolved if run else None
    if resolved is None or resolved.given is None:
        return {}
    plan = plan_of(resolved.given.cost, getattr(resolved.given.cost, side))
    found = {line.name: f"{line.cost:.2f}" for line in (*plan.materials, *plan.bought, *plan.steps)}
    return found | {one.name: f"{one.amount:,.0f}".replace(",", " ") for one in plan.one_offs}


def _factors(kit: Kit, facts: Facts) -> list[Flowable]:
    """Factors of the CO2 balance with their range, source and year."""
    record = next(iter(facts.project.of_kind(Cost)), None)
    if record is None or record.footprint is None:
        return []
    rows: list[Row] = []
    for line in record.footprint.line:
        rows.append(Row((line.name, *_banded(line.factor), "kg CO₂e/kg", f"{line.source}, {line.year}")))
    use = record.footprint.use
    for name in ("distance", "fuel_rate", "limited_share", "emission"):
        if (given := getattr(use, name, None)) is not None:
            info = field_facts(type(use).model_fields[name])
            told = type(use).model_fields[name].description or name.replace("_", " ")
            unit = "" if info.get("unit") == "-" else str(info.get("unit", ""))
            rows.append(Row((told, *_banded(given), unit, getattr(use, "source", "") or "no source given")))
    columns = [Column("factor", 120), Column("mid", 40, "r"), Column("low .. high", 78), Column("unit", 64),
               Column("source, year")]  # fmt: skip
    return [block(kit, "Factors", [Wide(kit, table(kit, columns, rows, size=6.7, pad=0.9))], "of the CO₂ balance")]


def _banded(given: Banded) -> tuple[str, str]:
    low, high = given.ends
    return trimmed(given.value), f"{trimmed(low)} .. {trimmed(high)}" if high > low else "–"


def _number(result: Result, name: str) -> float:
    value = result.value(name)
    return 0.0 if value is None or value.value is None else value.value
