"""What people type into records prints literally, whatever it is, in every field the document prints."""

from collections import Counter

from chapters_case import body, built, copied_demo, demo_documents, facts_of, squeezed, strings_replaced
from pdf_words import overlaps

from dossier.release.trace import landing_problems

FREE = {
    "title", "statement", "text", "source", "origin", "reason", "remark", "procedure", "order", "observation", "deviations",
    "criterion", "rationale", "place", "serial", "certificate", "classification", "fixture_source", "used_for", "limit", "by",
    "designation", "problem", "pressed_in", "storage", "steel_heat", "ring_heat", "batch", "index", "file_name", "drawing",
    "part_number", "customer_reference", "customer", "left_out", "confirmed_by", "accepted_by", "edition", "number",
    "operator", "organisation", "document", "reviewed_by", "plant", "answered", "name", "chapter",
}  # fmt: skip
# Choices of a list, and names that other records repeat: they cannot hold any text.
CHOICES = {
    ("concepts", "origin"), ("cost", "origin"), ("specimens", "origin"), ("designs", "origin"), ("project", "name"),
    ("reading_schemes", "name"), ("cost", "name"),
}  # fmt: skip
# Not printed: an outline's entry instead of the page, a source that stands with the machine.
ELSEWHERE = {("cost", "remark"), ("evidence", "source"), ("project", "remark"), ("assumptions", "title")}
BOUND_TO_INPUT = ("result", "sources", "inputs")
# Printed unless another text takes the place: the source of the worth of weight, an older answer to a check.
SOMETIMES = {("cost", "source"), ("steps", "by"), ("steps", "remark")}
HOSTILE = "<b>[/b]&amp;R&D</para>${x(%)"


def marked(hostile: str):
    """The demonstration records with a hostile string behind every free text, and the field of each mark."""
    fields: dict[str, tuple[str, str]] = {}

    def changed(path: tuple, value: str) -> str:
        kind, name = path[0].split("/")[0].removesuffix(".toml"), str(path[-1])
        if name not in FREE or (kind, name) in CHOICES or set(path) & set(BOUND_TO_INPUT) or not value:
            return value
        if (name == "number" and kind != "standards") or (kind == "cost" and "basis" in path and name != "plant"):
            return value
        mark = f"{hostile}{len(fields):04d}x"
        fields[mark] = (kind, name)
        return value + mark

    documents = {
        path: strings_replaced(data, lambda where, value, path=path: changed((path, *where), value))
        for path, data in demo_documents().items()
    }
    return documents, fields


def test_hostile_text_of_every_field_prints_literally(tmp_path):
    documents, fields = marked(HOSTILE)
    document = built(facts_of(copied_demo(tmp_path / "demo"), documents))
    text = body(document)
    lost = Counter(field for mark, field in fields.items() if squeezed(mark) not in text)
    total = Counter(fields.values())
    assert {field for field in lost if field[0] != "standards"} - ELSEWHERE - SOMETIMES == set()
    for field in SOMETIMES:
        assert lost[field] <= 0.2 * total[field], field
    cited = [s for s in document.facts.project.standards if document.facts.project.serves(s.id)]
    assert total["standards", "number"] - lost["standards", "number"] == len(cited) > 20
    assert len(fields) > 800
    assert landing_problems(document.data) == []
    assert all(overlaps(pieces) == [] for pieces in document.pieces)


def test_very_long_texts_do_not_break_the_document(tmp_path):
    def longer(path, value):
        return f"{value} {'word ' * 300}end" if path[-1] in ("title", "reason", "text") else value

    kept = ("project", "concepts", "designs/", "requirements/1", "evidence/E-05", "cautions", "steps/", "loads")
    documents = {
        path: strings_replaced(data, longer) for path, data in demo_documents().items() if path.startswith(kept)
    }
    document = built(facts_of(tmp_path, documents))
    assert landing_problems(document.data) == []
    assert body(document).count(squeezed("word end")) > 30
