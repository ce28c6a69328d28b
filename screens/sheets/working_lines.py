"""A calculation's working as lines of text: inputs, givens, lines, results, bands, basis, state."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from dossier import units
from dossier.checks.told_numbers import digits_beside, digits_of
from dossier.methods.base import Method, ResultField
from dossier.methods.links import GIVEN
from dossier.methods.registry import all_methods
from dossier.methods.working import Line as Step
from dossier.methods.working import Working
from dossier.records.base import field_facts
from dossier.records.calculation import Calculation, Result, ResultValue
from screens.cells import cell_len, wrap
from screens.glyphs import OF_FRESHNESS
from screens.paint import LineLike, Piece, line, state
from screens.session import Session
from screens.widgets.columns import Column, cells_line, fitted, head_line

BASIS = {"read": "read", "library": "own method, checked in tests", "memory": "from memory"}


def working_lines(session: Session, record: Calculation, columns: int) -> list[LineLike]:
    """The whole page for a width."""
    method, result = all_methods().get(record.method), record.result
    lines = [*_head(session, record, columns), rule_line(columns)]
    if method is None:
        return [*lines, f" {record.method} is no method this version knows; `dossier methods` lists them."]
    if result is None:
        problems = session.opened.view.freshness[record.id].problems
        told = "it waits for what is told below, then c runs it." if problems else "c runs it."
        return [*lines, f" It has no result yet; {told}", *(f" {problem}" for problem in problems)]
    for note in result.validity_notes:
        lines += told_lines("outside" if result.validity == "outside" else result.validity, note, columns, "notmet")
    working = _derived(method, result)
    if working is None:
        lines.append(" Its working cannot be derived from the stored input by this version; c runs it again.")
    else:
        struck = result.validity != "inside" and any(field.holds == "inside" for field in method.results)
        lines += worked_lines(working, columns, struck, _source_of_symbol(method, result))
    lines += _sources(result, columns)
    lines += [rule_line(columns), *_results(method, result, columns)]
    lines += [*_bands(method, result, columns), rule_line(columns), *_basis(method, result, columns)]
    return [*lines, "", *_record_lines(session, record, result, columns)]


def _derived(method: Method, result: Result) -> Working | None:
    """The working belongs to the stored input; it is derived again from it."""
    try:
        given = method.input_model.model_validate(result.inputs)
        return method.working(given, method.run(given))
    except ValueError:
        return None


def _head(session: Session, record: Calculation, columns: int) -> list[LineLike]:
    version = f" version {record.result.method_version}" if record.result else ""
    on = f" on {record.design}" + (f" against {record.reference}" if record.reference else "") if record.design else ""
    served = " ".join(dict.fromkeys(entry.requirement for entry in record.serves)) or "nothing"
    rests = " ".join(session.opened.project.rests_on(record.id)) or "nothing"
    lead = line(" ", Piece(f"{record.id} ", "key"), Piece(record.title, "heading"))
    return [lead, *told_lines("method", f"{record.method}{version}{on}", columns), *told_lines("serves", served, columns),
            *told_lines("rests on", rests, columns)]  # fmt: skip


def _source_of_symbol(method: Method, result: Result) -> dict[str, str]:
    """Where the value behind a symbol of the working came from, for inputs that have a symbol of their own."""
    fields = method.input_model.model_fields
    symbols = {name: field_facts(info).get("symbol", "") for name, info in fields.items()}
    return {symbols[name]: source for name, source in result.sources.items() if symbols.get(name)}


def _sources(result: Result, columns: int) -> list[LineLike]:
    """The record and field each input came from; those that the calculation itself gives, counted together."""
    words = {name: name.replace("_", " ") for name in result.sources}
    linked = [f"{words[name]} {source}" for name, source in result.sources.items() if source != GIVEN]
    here = [words[name] for name, source in result.sources.items() if source == GIVEN]
    linked += [f"given in the calculation itself: {', '.join(here)}"] if here else []
    return told_lines("taken from", "; ".join(linked), columns) if linked else []


def worked_lines(working: Working, columns: int, struck: bool, sources: dict[str, str]) -> list[LineLike]:
    """Facts, what is put in with its source, and the numbered lines of a working."""
    lines: list[LineLike] = []
    for what, words in working.facts:
        lines += told_lines(what, words, columns)
    if working.givens:
        lines.append(line(" ", Piece("put in", "heading")))
        found = [given.source or sources.get(given.symbol, "") for given in working.givens]
        sourced = any(found)
        last = (Column("", 20),) if sourced else ()
        lines += _table(
            (Column("", 8), Column("", 0), Column("", 9, "right"), Column("", 9, gap=1), *last),
            [(given.symbol, given.meaning, _trimmed(given.printed), _unit(given.unit), Piece(source, "quiet"))
             for given, source in zip(working.givens, found, strict=True)], columns, head=False,
        )  # fmt: skip
    role = "struck" if struck else "ink"
    lines += ["", *_steps(working.lines, columns, role)]
    return lines


def _steps(steps: Sequence[Step], columns: int, role: str) -> list[LineLike]:
    """The numbered lines; where formula and numbers do not fit beside, they stand in a line of their own below."""
    table = (Column("", 2, "right"), Column("symbol", 10), Column("meaning", 0), Column("value", 10, "right"), Column("unit", 9))
    rows = [(str(number), Piece(step.symbol, "key"), step.meaning, Piece(step.printed, role), _unit(step.unit))
            for number, step in enumerate(steps, 1)]  # fmt: skip
    lines: list[LineLike] = _table(table, (), columns)
    for step, row in zip(steps, rows, strict=True):
        lines += _row_lines(table, row, columns)
        put_in = ", ".join(f"{symbol} {_trimmed(number)}" for symbol, number in step.printed_numbers.items())
        source = f"   [{step.source}]" if step.source else ""
        text = f"{step.symbol} = {step.formula}"
        beside = f"{text}    {put_in}{source}"
        told = [beside] if cell_len(beside) <= columns - 8 else [text, *([put_in + source] if put_in or source else [])]
        lines += [line(Piece(f"     {part}", "quiet")) for entry in told for part in wrap(entry, columns - 7)]
    return lines


def _results(method: Method, result: Result, columns: int) -> list[LineLike]:
    rows = []
    for field in method.results:
        value = result.value(field.name)
        if value is None:
            if field.holds == "within":
                rows.append((Piece(field.symbol, "key"), field.meaning, Piece("outside", "notmet"), "", "validity"))
            continue
        rows.append(_result_row(field, value, result.validity != "inside" and field.holds == "inside"))
    table = (Column("", 10), Column("result", 0), Column("value", 10, "right"), Column("unit", 9), Column("band", 18))
    return _table(table, rows, columns)


def _result_row(field: ResultField, value: ResultValue, struck: bool) -> tuple[str | Piece, ...]:
    """Symbol, meaning, value, unit and band of one result."""
    shown, digits = field.shown or field.unit, digits_of(field.unit)
    found = [None if number is None else units.convert(number, value.unit, shown)
             for number in (value.value, value.low, value.high)]  # fmt: skip
    if None not in found:
        digits = digits_beside(found[0], (found[2] - found[1]) / 2, digits)
    numbers = ["-" if number is None else units.show(number, digits) for number in found]
    band = f"{numbers[1]} .. {numbers[2]}" if value.low is not None and value.high is not None else ""
    return (Piece(field.symbol, "key"), field.meaning, Piece(numbers[0], "struck" if struck else "ink"), _unit(shown), band)


def _bands(method: Method, result: Result, columns: int) -> list[LineLike]:
    lines: list[LineLike] = []
    for value in result.values:
        if not value.value or not value.lines:
            continue
        ordered = sorted(value.lines, key=lambda entry: -max(abs(entry.minus), abs(entry.plus)))
        size = abs(value.value)
        causes = "; ".join(f"{entry.cause} {units.show_signed(100 * entry.minus / size, 1)} "
                           f"{units.show_signed(100 * entry.plus / size, 1)} %" for entry in ordered)  # fmt: skip
        field = method.result_field(value.name)
        lines += told_lines("band of", f"{field.symbol or field.meaning}: {causes}", columns)
    return lines


def _basis(method: Method, result: Result, columns: int) -> list[LineLike]:
    basis = method.basis
    lines = told_lines("basis", f"{BASIS[basis.kind]}: {basis.text}", columns)
    lines += told_lines("valid for", "; ".join(basis.valid_for), columns) if basis.valid_for else []
    lines += told_lines("left out", "; ".join(basis.left_out), columns) if basis.left_out else []
    for warning in result.warnings:
        lines += told_lines("warning", warning, columns, "notmet")
    return lines


def _record_lines(session: Session, record: Calculation, result: Result, columns: int) -> list[LineLike]:
    fresh = session.opened.view.freshness[record.id]
    lines: list[LineLike] = []
    for name in record.beside:
        other = session.opened.project.find(name)
        lines += told_lines("beside", f"{name} {getattr(other, 'title', 'not there')}", columns)
    digest = result.inputs_sha256
    grouped = " ".join(digest[start : start + 4] for start in range(0, 16, 4))
    when = f"computed {result.computed_at.replace('T', ' ').replace('Z', ' UTC')} by {result.computed_by or 'nobody named'}"
    lines += told_lines("inputs", f"digest {grouped}   {when}", columns)
    lines += told_lines("with", ", ".join(f"{name} {number}" for name, number in result.libraries.items()), columns)
    word = state(OF_FRESHNESS[fresh.state])
    lines.append(line(Piece(f" {'state':<11}", "quiet"), Piece(f"{word.text[0]} {fresh.state}", word.role)))
    for difference in fresh.differences[:20]:
        told = f"{difference.field}: computed with {_value(difference.stored)}, now {_value(difference.now)}"
        lines += told_lines("", told, columns, "outdated")
    for problem in fresh.problems:
        lines += told_lines("", problem, columns, "outdated")
    return lines + (told_lines("remark", record.remark, columns) if record.remark else [])


def _value(value: object) -> str:
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def _table(columns: Sequence[Column], rows: Iterable[Sequence[str | Piece]], width: int, head: bool = True) -> list[LineLike]:
    lines: list[LineLike] = [line(" ", head_line(fitted(columns, width - 2)))] if head else []
    return [*lines, *(made for row in rows for made in _row_lines(columns, row, width))]


def _row_lines(columns: Sequence[Column], row: Sequence[str | Piece], width: int) -> list[LineLike]:
    """One row of a table, texts that are longer than their column wrapped in it."""
    sized = fitted(columns, width - 2)
    pieces = [Piece(cell) if isinstance(cell, str) else cell for cell in row]
    parts = [wrap(piece.text, column.width) if column.align == "left" else [piece.text]
             for piece, column in zip(pieces, sized, strict=False)]  # fmt: skip
    return [
        line(" ", cells_line([piece._replace(text=part[number] if number < len(part) else "")
                              for piece, part in zip(pieces, parts, strict=False)], sized))
        for number in range(max(map(len, parts), default=0))
    ]  # fmt: skip


def told_lines(name: str, text: str, columns: int, role: str = "ink") -> list[LineLike]:
    """A text behind its name, wrapped beside it."""
    wide = max(10, cell_len(name))
    parts = wrap(text, columns - wide - 3)
    return [line(Piece(f" {name if number == 0 else '':<{wide}} ", "quiet"), Piece(part, role))
            for number, part in enumerate(parts)]  # fmt: skip


def rule_line(columns: int) -> LineLike:
    """A rule across the page."""
    return line(" ", Piece("─" * (columns - 2), "rule"))


def _unit(unit: str) -> str:
    return "" if unit in ("-", "1") else unit


def _trimmed(number: str) -> str:
    """A printed number without zeros at its end."""
    if "." not in number or "e" in number:
        return number
    return number.rstrip("0").rstrip(".")
