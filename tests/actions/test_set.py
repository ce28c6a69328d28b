"""Setting one field: every kind of field, the exact words of the history, refusals that name field, value and remedy."""

from __future__ import annotations

from typing import Any

import pytest
import small_project as small

from dossier.actions.edit import clear_field, replace_record, set_field, unit_of
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.actions.told import changed_in_words, in_words
from dossier.store.project import NoRecord

ME = small.ENGINEER

# record, field, typed, stored, words of the history
TAKEN: list[tuple[str, str, str, Any, str]] = [
    ("R-012", "limit.max", "50", 50.0, "R-012 limit.max 45 → 50 kN"),
    ("R-012", "limit.max", "50000 N", 50.0, "R-012 limit.max 45 → 50 kN"),
    ("R-012", "limit.max", "  0.05 MN ", 50.0, "R-012 limit.max 45 → 50 kN"),
    ("R-012", "limit.max", "−2.5", -2.5, "R-012 limit.max 45 → −2.5 kN"),
    ("R-012", "limit.max", "1e3", 1000.0, "R-012 limit.max 45 → 1000 kN"),
    ("R-012", "limit.nominal", "40", 40.0, "R-012 limit.nominal empty → 40 kN"),
    ("R-012", "sample_size", "5", 5, "R-012 sample_size empty → 5"),
    ("R-012", "priority", "should", "should", 'R-012 priority empty → "should"'),
    ("R-012", "verification", "test; analysis", ["test", "analysis"], 'R-012 verification "test" → "test"; "analysis"'),
    ("R-012", "standards", "N-001 ;; N-002", ["N-001", "N-002"], 'R-012 standards empty → "N-001"; "N-002"'),
    ("R-012", "conditions.temperature", "23 °C", "23 °C", 'R-012 conditions.temperature empty → "23 °C"'),
    ("R-012", "agreed", '{by = "E. Sund", on = "2026-01-31"}', {"by": "E. Sund", "on": "2026-01-31"},
     'R-012 agreed empty → (by "E. Sund", on "2026-01-31")'),
    ("V1", "layer.outer_radius", "3.41 cm", 34.1, "V1 layer.outer_radius 34 → 34.1 mm"),
    ("V1", "pin.bores.0.diameter", "17", 17.0, "V1 pin.bores.0.diameter 18 → 17 mm"),
    ("V1", "pin.bores.0.filled", "yes", True, "V1 pin.bores.0.filled empty → yes"),
    ("REF", "pin.bores.0", "{diameter = 10.0, start = -20.0, end = 20.0}",
     {"diameter": 10.0, "start": -20.0, "end": 20.0}, "REF pin.bores.0 empty → (diameter 10, start −20, end 20)"),
    ("REF", "pin.bores", "[{diameter = 10.0, start = -20.0, end = 20.0}]",
     [{"diameter": 10.0, "start": -20.0, "end": 20.0}], "REF pin.bores empty → (diameter 10, start −20, end 20)"),
    ("V1", "tolerances.layer.outer_radius.upper", "60 µm", 0.06, "V1 tolerances.layer.outer_radius.upper 0.05 → 0.06 mm"),
    ("V1", "tolerances.layer.polar_end.lower", "-2", -2.0, "V1 tolerances.layer.polar_end.lower −1 → −2 °"),
    ("V1", "tolerances.pin.length", "{lower = -0.3, upper = 0.3}", {"lower": -0.3, "upper": 0.3},
     "V1 tolerances.pin.length empty → (lower −0.3, upper 0.3)"),
    ("V1", "core", '{kind = "bore_fill", material = "M-002"}', {"kind": "bore_fill", "material": "M-002"},
     'V1 core (kind "none") → (kind "bore_fill", material "M-002")'),
    ("V1", "rest.0.mass", "21 g", 0.021, "V1 rest.0.mass 0.02 → 0.021 kg"),
    ("V1", "remark", "two\nlines", "two\nlines", 'V1 remark empty → "two lines"'),
    ("V1", "remark", "x" * 70, "x" * 70, f'V1 remark empty → "{"x" * 59}…"'),
    ("M-001", "density.value", "7.84 g/cm³", 7840.0, "M-001 density.value 7850 → 7840 kg/m³"),
    ("M-001", "friction", "{value = 0.12}", {"value": 0.12}, "M-001 friction empty → (value 0.12)"),
    ("L-001", "torsion", "6 deg", 6.0, "L-001 torsion 5 → 6 °"),
    ("A-002", "value", "91000 N", 91.0, "A-002 value 90 → 91 kN"),
    ("project", "annual_volume", "12 000", 12000, "project annual_volume empty → 12000"),
    ("project", "people.1.organisation", "Works 2", "Works 2", 'project people.1.organisation empty → "Works 2"'),
    ("project", "people.1.roles", "RV; AU", ["RV", "AU"], 'project people.1.roles "RV" → "RV"; "AU"'),
    ("idea", "mass_goal", "25 %", 0.25, "idea mass_goal 0.2 → 0.25"),
    ("idea", "concept.0.fate", "chosen", "chosen", 'idea concept.0.fate empty → "chosen"'),
    ("idea", "interfaces", "bolts; bracket", ["bolts", "bracket"], 'idea interfaces empty → "bolts"; "bracket"'),
    ("C-002", "inputs.force", "118 kN", "118 kN", 'C-002 inputs.force (record "L-001", field "radial") → "118 kN"'),
    ("C-002", "inputs.force.field", "axial", "axial", 'C-002 inputs.force.field "radial" → "axial"'),
    ("C-002", "inputs.force", "118000", 118000, 'C-002 inputs.force (record "L-001", field "radial") → 118000'),
    ("C-001", "serves.0.value", "pin", "pin", 'C-001 serves.0.value "total" → "pin"'),
    ("C-001", "serves.1", '{requirement = "R-002", value = "x"}', {"requirement": "R-002", "value": "x"},
     'C-001 serves.1 empty → (requirement "R-002", value "x")'),
]  # fmt: skip


def stored_at(raw: Any, value: Any) -> bool:
    """Whether `value`, of the same type, stands somewhere in the stored fields."""
    if raw == value and type(raw) is type(value):
        return True
    below = raw.values() if isinstance(raw, dict) else raw if isinstance(raw, list) else ()
    return any(stored_at(item, value) for item in below)


def named(rows: list) -> list[str]:
    """How the rows are called in the report of a test run."""
    return [f"{row[0]}.{row[1]}={row[2][:12]}" for row in rows]


@pytest.mark.parametrize(("record", "field", "typed", "stored", "words"), TAKEN, ids=named(TAKEN))
def test_a_field_is_set_recorded_and_read_back(
    opened: Opened, record: str, field: str, typed: str, stored: Any, words: str
) -> None:
    change = set_field(opened.project, record, field, typed, ME)
    assert change.message == words
    before = set(opened.project.records)
    opened.record(change)
    assert opened.project.problems == [] and set(opened.project.records) == before
    assert stored_at(opened.project.raw[record], stored)
    newest = next(opened.folder.history().log())
    assert (newest.message, newest.author) == (words, ME)


REFUSED = [
    ("R-012", "limit.max", "45", "R-012.limit.max is 45 already; nothing to change"),
    ("A-002", "unit", "kN", 'A-002.unit is "kN" already; nothing to change'),
    ("R-012", "limit.max", "fifty", 'limit.max: "fifty" is not a number with a unit; expected for example "12.5 kN"'),
    ("R-012", "limit.max", "4,5", 'limit.max: "4,5" has a decimal comma; write 4.5'),
    ("R-012", "limit.max", "50 mm", 'limit.max: "mm" is length, but "kN" is force; give a value in kN'),
    ("R-012", "limit.max", "", 'limit.max: "" is not a number with a unit'),
    ("R-012", "limit.max", "1e400", "limit.max: 1e400 is not a finite number; give a value in kN"),
    ("R-012", "limit.max", "nan", 'limit.max: "nan" is not a number'),
    ("R-012", "limit.maxx", "50", "R-012: limit.maxx is not a field of Limit; did you mean max?"),
    ("R-012", "limit", "50", "limit is a table; write { field = … }, or name one of its fields"),
    ("R-012", "limit.kind", "most", 'limit.kind = "most" is none of max, min, range, target, pass_fail, capability'),
    ("R-012", "limit.kind", "range", 'limit: a limit of kind "range" needs min; add it'),
    ("R-012", "sample_size", "2.5", 'sample_size = "2.5" must be a whole number, such as 12'),
    ("R-012", "sample_size", "0", "sample_size = 0 must be at least 1; correct the value"),
    ("R-012", "sample_size", "٣", 'sample_size = "٣" must be a whole number'),
    ("R-012", "unit", "kNm/h", 'unit "kNm/h" not accepted; accepted: '),
    ("R-012", "title", "", "title is empty; fill it in"),
    ("R-012", "id", "R-013", "id R-012 cannot become R-013; add a new record and withdraw this one"),
    ("R-012", "id", "../R", 'id = "../R" must begin with a letter'),
    ("R-012", "verification", "test; guess", 'verification = "guess" is none of analysis, test, inspection'),
    ("R-012", "agreed.on", "2026-01-31", "agreed.by is missing; add it"),
    ("R-012", "agreed", '{by = "x"', "agreed: the typed table or list is not readable as TOML"),
    ("R-012", "agreed", '{by = "x", on = "2026-01-31"}\nother = 1', "agreed: more than one value was typed"),
    ("V1", "layer.outer_radius", "28 mm",
     "layer.outer_radius = 28.0 mm must exceed layer.inner_radius = 29.0 mm; enlarge it or reduce the ball"),
    ("V1", "layer.inner_face", "glued", 'layer.inner_face = "glued" is none of bonded, friction; choose one of them'),
    ("V1", "pin.bores.0.filled", "maybe", 'pin.bores.0.filled = "maybe" must be yes or no'),
    ("V1", "pin.bores.3.diameter", "5", "V1: pin.bores has 1 entries, counted from 0; 3 names none of them"),
    ("V1", "pin.bores.1.diameter", "5", "pin.bores.1.end is missing (axial position where the bore ends); add it"),
    ("V1", "pin.bores", "10 mm", "pin.bores is a list of tables; write [{ diameter = "),
    ("V1", "tolerances.layer.outer_radius.upper", "-1", "upper = -1.0 must be at least lower = -0.05; swap the two"),
    ("V1", "carrier.parting_gap", "1", "V1: carrier.parting_gap is not a field of Rings"),
    ("M-001", "density.value", "7850 mm", 'density.value: "mm" is length, but "kg/m³" is density; give a value in kg/m³'),
    ("M-001", "density.high", "7000", "density.value = 7850.0 kg/m³ must lie between low = 7850.0 and high = 7000.0"),
    ("A-001", "value", "3", "an assumption holds either a value or a choice in words; fill exactly one"),
    ("C-002", "inputs.force", "118 mm", 'inputs.force: "mm" is length, but "N" is force; give a value in N'),
    ("C-002", "inputs.support", "welded", 'inputs.support = "welded" is none of simple_at_bolt_axis, held_at_bolt_axis'),
    ("C-002", "inputs.forse", "118 kN", "inputs.forse is not an input of pin.bending; its inputs are pin, core, force"),
    ("project", "people.0.name", "A <i>", 'people.0.name = "A <i>" must be a name of 1 to 80 characters without < and >'),
    ("project", "project_id", "x", 'project_id = "x" must be 32 hexadecimal digits in lower case; copy it again'),
]


@pytest.mark.parametrize(("record", "field", "typed", "words"), REFUSED, ids=named(REFUSED))
def test_a_refusal_says_what_and_why_and_writes_nothing(
    opened: Opened, record: str, field: str, typed: str, words: str
) -> None:
    before = small.bytes_of(opened.folder.root)
    with pytest.raises(Refusal) as caught:
        set_field(opened.project, record, field, typed, ME)
    assert words in str(caught.value)
    assert small.bytes_of(opened.folder.root) == before


def test_an_unknown_record_is_named(opened: Opened) -> None:
    with pytest.raises(NoRecord) as caught:
        set_field(opened.project, "R-099", "title", "x", ME)
    assert str(caught.value) == "R-099 names no record of this project; check its spelling"


CLEARED = [
    ("V1", "pin.bores", "V1 pin.bores (diameter 18, start −75, end 75) → empty"),
    ("V1", "pin.bores.0", "V1 pin.bores.0 (diameter 18, start −75, end 75) → empty"),
    ("V1", "tolerances.layer.polar_end", "V1 tolerances.layer.polar_end (lower −1, upper 1) → empty"),
    ("C-001", "serves.0", 'C-001 serves.0 (requirement "R-001", value "total") → empty'),
    ("A-002", "high", "A-002 high 95 kN → empty"),
]


@pytest.mark.parametrize(("record", "field", "words"), CLEARED, ids=[f"{r[0]}.{r[1]}" for r in CLEARED])
def test_a_field_is_cleared(opened: Opened, record: str, field: str, words: str) -> None:
    change = clear_field(opened.project, record, field, ME)
    assert change.message == words
    opened.record(change)
    assert opened.project.problems == []
    with pytest.raises(Refusal, match="empty already|names none of them"):
        clear_field(opened.project, record, field, ME)
        clear_field(opened.project, record, f"{field}.0", ME)


def test_a_field_that_is_needed_is_not_cleared(opened: Opened) -> None:
    with pytest.raises(Refusal, match="title is missing; add it"):
        clear_field(opened.project, "R-012", "title", ME)
    with pytest.raises(Refusal, match=r"layer.outer_radius is missing \(outer radius of the layer\); add it"):
        clear_field(opened.project, "V1", "layer.outer_radius", ME)


def test_nothing_but_the_field_changes_in_the_file(opened: Opened) -> None:
    path = opened.folder.root / "requirements/main.toml"
    before = path.read_text("utf-8").splitlines()
    opened.record(set_field(opened.project, "R-012", "limit.max", "50", ME))
    after = path.read_text("utf-8").splitlines()
    assert len(before) == len(after)
    assert [(old, new) for old, new in zip(before, after, strict=True) if old != new] == [("max = 45.0", "max = 50.0")]


def test_the_unit_of_a_field_is_told(opened: Opened) -> None:
    assert [unit_of(opened.project, *where) for where in (("R-012", "limit.max"), ("V1", "layer.polar_end"),
                                                          ("M-001", "density.value"), ("R-012", "title"))] == [
        "kN", "°", "kg/m³", "",
    ]  # fmt: skip


def test_values_in_words() -> None:
    assert [in_words(value) for value in (None, "", [], {}, True, False, 0, -1.5, 1 / 3, "a\n b", {"a": [1, "x"]})] == [
        "empty", "empty", "empty", "empty", "yes", "no", "0", "−1.5", "0.3333333333", '"a b"', '(a 1; "x")',
    ]  # fmt: skip
    assert in_words(["word"] * 100) == "100 entries"
    assert in_words([[1.1, 0.26], [1.2, -0.5]]) == "[1.1, 0.26]; [1.2, −0.5]"
    assert changed_in_words("R-1", "f", 2, 3, "-") == "R-1 f 2 → 3"
    assert changed_in_words("R-1", "f", True, False, "mm") == "R-1 f yes → no"


@pytest.mark.parametrize(("field", "value", "words"), [
    ("carrier.outer_radius", "900 mm", "must be at most 38.38 mm, set by eye.bore_radius = 38.0 mm; correct one of the two"),
    ("layer.outer_radius", "39 mm", "carrier.outer_radius = 38.08 mm must exceed layer.outer_radius = 39.0 mm"),
    ("pin.bores.0.diameter", "30 mm", "must be below pin.ends.flat_thickness = 26.0 mm"),
])  # fmt: skip
def test_dimensions_that_cannot_stand_together_are_refused(opened: Opened, field: str, value: str, words: str) -> None:
    eye = {"bore_radius": 38.0, "outer_radius": 53.0, "width": 54.0}
    opened.record(replace_record(opened.project, "V1", {**opened.project.raw["V1"], "eye": eye}, "eye", ME))
    with pytest.raises(Refusal) as caught:
        set_field(opened.project, "V1", field, value, ME)
    assert words in str(caught.value)


def test_dimensions_that_must_be_equal_are_changed_one_after_the_other(opened: Opened) -> None:
    opened.record(set_field(opened.project, "V1", "pin.ball_radius", "29.5 mm", ME))
    opened.record(set_field(opened.project, "V1", "layer.inner_radius", "29.5 mm", ME))
    with pytest.raises(Refusal, match="must be below"):
        set_field(opened.project, "V1", "pin.neck_radius", "29.6 mm", ME)


def test_a_limit_below_zero_is_refused_where_nothing_is_below_zero(opened: Opened) -> None:
    with pytest.raises(Refusal, match="limit.max = -5 kg must not be below 0 for the quantity mass; correct the limit"):
        set_field(opened.project, "R-001", "limit.max", "-5 kg", ME)


def test_a_required_field_is_not_emptied(opened: Opened) -> None:
    for field, words in (("title", "title is missing; add it"), ("limit.max", 'a limit of kind "max" needs max')):
        with pytest.raises(Refusal, match=f"R-001.{field} is required and cannot be emptied .*{words}.*; set another value"):
            clear_field(opened.project, "R-001", field, ME)


def test_a_part_is_told_in_words_without_digest_or_structure():
    part = {"design": "V2", "shape_sha256": "ab" * 32, "reason": "r" * 80, "by": "", "on": {"day": 1}}
    told = in_words(part)
    assert told.startswith('(design "V2", shape digest abababab…, reason "rrr') and told.endswith("on (day 1))")
    many = {f"field_{n}": "x" * 50 for n in range(12)}
    assert in_words(many).endswith("and 7 more fields)") and in_words(many).startswith('(field 0 "xxx')
