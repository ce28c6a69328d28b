"""The printed test order: planned tests with parts, conditions, procedure, drawn order and cautions."""

from __future__ import annotations

from pathlib import Path
from random import Random

from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.records.evidence import EvidenceItem, Specimen

CAUTION = (
    "WARNING: pinch points at actuator and grips, sudden movement, parts and fragments that fly. Guard closed, "
    "displacement and force limits set, actuator depressurised and secured before hands go in. The instructions of the "
    "machine's maker and the local accident-prevention rules apply; where they differ from this sheet, the stricter rule."
)


def print_test_order(opened: Opened, target: Path, seed: int = 1) -> tuple[int, int]:
    """Write the order of all planned tests as a PDF; returns pages and number of tests. Raises Refusal without any."""
    items = [item for item in opened.project.evidence if item.state == "planned"]
    if not items:
        raise Refusal("no test is planned; add evidence items in state planned")
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


def _story(kit, opened: Opened, items: list[EvidenceItem], seed: int) -> list:
    from dossier.release.flow import block
    from dossier.release.heads import sheet
    from dossier.release.tables import Column, table

    title, question = "Test order", "What is to be tested, on which parts, in which order?"
    answer = f"{len(items)} tests are planned; the order of the parts was drawn with seed {seed}."
    story = [*sheet(kit, "4", title, question, answer, answer, room_needed=200), kit.paragraph(CAUTION)]
    for item in items:
        parts = drawn_order(opened, item, seed)
        serves = ", ".join(served.requirement for served in item.serves)
        facts = [
            ("procedure", item.procedure or "not stated"),
            ("machine", ", ".join(item.equipment) or "not named"),
            ("temperature", "not stated" if item.temperature is None else f"{item.temperature:g} °C"),
            ("conditioning", "not stated" if item.conditioning is None else f"{item.conditioning / 3600:g} h"),
            ("serves", serves or "nothing"),
        ]
        rows = [(str(number), part, "", "", "") for number, part in enumerate(parts, start=1)]
        columns = [Column("order", 34, "r"), Column("part", 70), Column("file or value"), Column("seen", 120),
                   Column("by, on", 90)]  # fmt: skip
        content = [table(kit, [Column("", 74), Column("")], facts, head=False, pad=1.2)]
        content.append(table(kit, columns, rows) if rows else kit.paragraph("No specimen of this design is registered yet."))
        story.append(block(kit, f"{item.id} {item.title}", content, identifier=item.id))
    return story
