"""The printed test order: planned tests with parts, conditions, procedure, drawn order and cautions."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random
from textwrap import wrap

from dossier.actions.edit import set_field
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.checks.told_power import power_sentence
from dossier.checks.told_reach import plan_words
from dossier.checks.view import View
from dossier.records.evidence import EvidenceItem, Specimen
from dossier.store.change import Change
from dossier.units import amount

# Common practice of the trade and ISO 23529, from memory.
CONDITIONS = (
    "Unless an item says otherwise: 23 ± 2 °C, parts conditioned at least 16 h there, rubber at least 24 h after cure, at "
    "least 24 h of rest between tests of one part. Three conditioning cycles, the fourth is evaluated, the first is kept; "
    "the same history for variant and reference part. Travel measured between pin and eye, fixture compliance from a blank "
    "test. Non-destructive tests first, then environment, then destructive ones. Keep the drawn order; what is started is "
    "recorded, aborted and failed runs too, each with its reason."
)
CAUTION = (
    "WARNING: pinch points at actuator and grips, sudden movement, parts and fragments that fly. Guard closed, "
    "displacement and force limits set, actuator depressurised and secured before hands go in. The instructions of the "
    "machine's maker and the local accident-prevention rules apply; where they differ from this sheet, the stricter rule."
)
NO_PARTS = "No specimen of this design is registered yet."


def print_test_order(opened: Opened, target: Path, seed: int = 1) -> tuple[int, int]:
    """Write the order of all planned tests as a PDF, or as text to a name that ends in .txt.

    Returns pages (0 for text) and number of tests. Raises Refusal when nothing is planned.
    """
    items = [item for item in opened.project.evidence if item.state == "planned"]
    if not items:
        raise Refusal("no test is planned; `dossier plan-test` plans one")
    if target.suffix.lower() == ".txt":
        target.write_text("\n".join(_lines(opened, items, seed)) + "\n", "utf-8")
        return 0, len(items)
    from dossier.release.document import build_document
    from dossier.release.furniture import DocumentInfo
    from dossier.release.page import Page

    header = opened.project.header
    info = DocumentInfo(
        owner=header.legal_owner, title=header.title, subtitle="test order", identification=header.short_title or "–",
        revision="–", created_by=next((p.name for p in header.people if "TL" in p.roles), "–"), approved_by="–",
        date_of_issue=opened.today.isoformat(), status="in work", released=True, document_type="test order",
        notice=header.demo,
    )  # fmt: skip
    report = build_document(lambda kit: _story(kit, opened, items, seed), info, Page("a4"), target)
    return report.pages, len(items)


def drawn_order(opened: Opened, item: EvidenceItem, seed: int) -> list[str]:
    """Specimens of the designs the item tests, as many as planned, mixed by a seeded draw."""
    random = Random(f"{seed} {item.id}")
    chosen: list[str] = []
    for design, count in ((item.variant, item.planned_variant), (item.reference, item.planned_reference)):
        parts = sorted(s.id for s in opened.project.of_kind(Specimen) if s.design == design)
        chosen += parts[:count]
    random.shuffle(chosen)
    return chosen


def record_order(opened: Opened, seed: int, author: str) -> Change:
    """Write the drawn order with its seed into the field `order` of every planned test with parts. Raises Refusal."""
    files: dict[str, bytes | None] = {}
    told = []
    for item in opened.project.evidence:
        parts = drawn_order(opened, item, seed) if item.state == "planned" else []
        if parts:
            order = f"drawn with seed {seed}: {', '.join(parts)}"
            files |= set_field(opened.project, item.id, "order", order, author).files
            told.append(f"{item.id}: {order}")
    if not files:
        raise Refusal("no planned test has registered parts; add them to specimens.toml first")
    return Change(f"Order of {amount(len(told), 'test')} drawn with seed {seed}\n\n" + "\n".join(told), author, files)


def _lines(opened: Opened, items: list[EvidenceItem], seed: int) -> Iterator[str]:
    yield f"TEST ORDER, {opened.today.isoformat()}, {opened.project.header.title}"
    yield _answer(items, seed)
    yield from ("", *wrap(CAUTION, 100), "", *wrap(CONDITIONS, 100))
    if power := power_sentence(opened.view):
        yield from ("", *wrap(power, 100))
    for item in items:
        yield from ("", f"{item.id} {item.title}")
        for name, words in _facts(opened.view, item):
            yield from wrap(words, 100, initial_indent=f"  {name:<12} ", subsequent_indent=" " * 15)
        parts = drawn_order(opened, item, seed)
        yield from (f"  {number:>3}  {part:<12} value ____________ seen ____________________ by, on ____________"
                    for number, part in enumerate(parts, start=1))  # fmt: skip
        if not parts:
            yield f"  {NO_PARTS}"


def _answer(items: list[EvidenceItem], seed: int) -> str:
    count = "1 test is" if len(items) == 1 else f"{len(items)} tests are"
    return f"{count} planned; the order of the parts was drawn with seed {seed}."


def _facts(view: View, item: EvidenceItem) -> list[tuple[str, str]]:
    planned = f"{item.planned_variant} of {item.variant or 'no design'}"
    if item.reference:
        planned += f", {item.planned_reference} of {item.reference}"
    return [
        ("procedure", item.procedure or "not stated"),
        ("machine", ", ".join(item.equipment) or "not named"),
        ("temperature", "not stated" if item.temperature is None else f"{item.temperature:g} °C"),
        ("conditioning", "not stated" if item.conditioning is None else f"{item.conditioning / 3600:g} h"),
        ("rest", "not stated" if item.rest is None else f"{item.rest / 3600:g} h since the last test of the same parts"),
        ("parts", planned),
        *([("margin", f"{item.margin.words}, agreed {item.margin.agreed.on} by {item.margin.agreed.by}")] if item.margin else []),
        *(("can show", words) for words in plan_words(view, item)),
        ("serves", ", ".join(served.requirement for served in item.serves) or "nothing"),
    ]


def _story(kit, opened: Opened, items: list[EvidenceItem], seed: int) -> list:
    from dossier.release.flow import block
    from dossier.release.heads import sheet
    from dossier.release.tables import Column, table

    title, question = "Test order", "What is to be tested, on which parts, in which order?"
    answer = _answer(items, seed)
    story = [*sheet(kit, "4", title, question, answer, answer, room_needed=200)]
    story += [kit.paragraph(CAUTION), kit.paragraph(CONDITIONS)]
    if power := power_sentence(opened.view):
        story.append(kit.paragraph(power, "lead"))
    for item in items:
        parts = drawn_order(opened, item, seed)
        rows = [(str(number), part, "", "", "") for number, part in enumerate(parts, start=1)]
        columns = [Column("order", 34, "r"), Column("part", 70), Column("file or value"), Column("seen", 120),
                   Column("by, on", 90)]  # fmt: skip
        content = [table(kit, [Column("", 74), Column("")], _facts(opened.view, item), head=False, pad=1.2)]
        content.append(table(kit, columns, rows) if rows else kit.paragraph(NO_PARTS))
        story.append(block(kit, f"{item.id} {item.title}", content, identifier=item.id))
    return story
