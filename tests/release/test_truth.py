"""What a statement must not hide: contradictions, what followed, outdated numbers, standards only named, survivors."""

from __future__ import annotations

import re

import pytest
from chapters_case import DEMO, body, built, demo_documents, facts_of, squeezed

from dossier.checks.cited_standards import edition_confirmed
from dossier.checks.told import concession_words
from dossier.checks.told_agreement import apart_words, comparisons
from dossier.checks.told_evidence import deciding_words, decisions, evidence_sentence
from dossier.checks.told_standards import named_standards
from dossier.records.cost import Cost
from dossier.release.chapters.calculation import old_words
from dossier.release.chapters.cautions import cautions
from dossier.release.chapters.cost import PIECE, _amounts, cost, cost_answer
from dossier.release.chapters.design import _against, design
from dossier.release.chapters.drawing import half_of
from dossier.release.chapters.evidence import evidence
from dossier.release.chapters.evidence_working import _worked, uncertainty_words
from dossier.release.chapters.premises import _levels
from dossier.release.chapters.records import citing_records, standards
from dossier.release.chapters.requirements import requirements
from dossier.release.chapters.signatures import _by_folder
from dossier.release.chapters.where import _edition


def _changed(change):
    documents = demo_documents()
    change(documents)
    return facts_of(DEMO, documents)


def _value(document, name):
    return next(value for value in document["result"]["values"] if value["name"] == name)


def _colder(documents):
    """E-015 far below what C-009 calculates."""
    for value in documents["evidence/E-015.toml"]["result"]["values"]:
        if value["name"] in ("variant", "smallest_variant") or value["name"].startswith("specimen:"):
            value["value"] = 7.8
    _value(documents["evidence/E-015.toml"], "variant").update(low=7.2, high=8.6)


def test_a_measured_value_outside_the_calculated_band_is_told_until_they_meet(facts):
    calculated = _value(facts.project.raw["C-009"], "push_out_cold")["value"] / 1000
    found = {(c.calculated.record, c.shown.record): c for c in comparisons(_changed(_colder).view)}
    cold = found["C-009", "E-015"]
    assert cold.apart and cold.decided[1] == "not met" and "bands apart" in cold.words
    assert cold.deviation == pytest.approx(7.8 / calculated - 1)
    meeting = {(c.calculated.record, c.shown.record): c for c in comparisons(facts.view)}
    assert not meeting["C-006", "E-009"].apart and not meeting["C-009", "E-015"].apart


def test_sheets_1_and_4_and_the_calculation_tell_what_lies_apart():
    facts = _changed(_colder)
    words = apart_words(facts.view)
    assert "R-023" in words and "R-007" not in words
    assert squeezed("bands apart") in body(built(facts, chapters=lambda kit, f: evidence(kit, f, "Evidence")))
    page = body(built(facts, chapters=lambda kit, f: design(kit, f, "Design")))
    assert squeezed("apart from what is shown for R-023") in page


def test_what_followed_a_failure_is_told_or_said_to_be_open(facts, sheet_4):
    assert sheet_4.count(squeezed("no record says what followed")) == 2  # E-059 and E-061

    def followed(documents):
        for name in ("E-059", "E-061"):
            documents[f"evidence/{name}.toml"]["deviations"] = "interference raised again, parts in work"

    text = body(built(_changed(followed), chapters=lambda kit, f: evidence(kit, f, "Evidence")))
    assert squeezed("interference raised again, parts in work") in text and squeezed("repeated by E-022") in text
    assert squeezed("no record says what followed") not in text


def test_what_followed_a_run_that_was_left_out_is_its_repetition(sheet_4):
    left = sheet_4[sheet_4.index(squeezed("Failed, aborted, invalid")) :]
    assert squeezed("run 2 counts") in left[: left.index("E-015")]


def test_standards_that_only_texts_name_stand_on_sheet_7(facts):
    assert named_standards(facts.view).others["EN 10083-3"] == ["M-01"]
    text = body(built(facts, chapters=lambda kit, f: standards(kit, f, "Standards")))
    assert squeezed("Not in the register") in text and squeezed("EN 10083-3") in text

    def registered(documents):
        entries = documents["standards.toml"]["standard"]
        entries.append({**entries[0], "id": "N-999", "number": "DIN EN 10083-3", "edition": "2006"})

    later = _changed(registered)
    found = named_standards(later.view)
    assert "EN 10083-3" not in found.others and found.registered["N-999"] == ["M-01"]


def test_numbers_of_outdated_calculations_are_marked_where_they_stand(facts):
    assert old_words(facts, facts.project.find("C-001")) == ""
    assert "outdated" in str(old_words(facts, facts.project.find("C-002")))
    text = body(built(facts, chapters=lambda kit, f: design(kit, f, "Design")))
    outdated = [c.id for c in facts.project.calculations if facts.view.freshness[c.id].state == "outdated"]
    assert text.count(squeezed("not from today's records")) == len(outdated) + 1  # each result, and the table of masses


def test_concessions_are_counted_one_way(facts):
    assert concession_words(facts.view) == "5 concessions: 1 on a requirement, 4 on checks"

    def none(documents):
        for name in [name for name in documents if name.startswith("steps/")]:
            documents[name].pop("concession", None)

    assert concession_words(_changed(none).view) == "no concession"


def test_a_programme_has_the_levels_of_its_blocks_and_no_zeros(facts):
    assert _levels(facts.project.find("L-07")) == ["blocks", "–", "–", "–"]
    assert _levels(facts.project.find("L-01"))[0] == "11"


def test_survivors_are_counted_and_have_no_band(facts, sheet_4):
    words = evidence_sentence(facts.view, facts.project.find("E-022"))
    assert words.startswith("variant: 3 parts, the least 1.17 × the life asked for; reliability 55 % at 90 %")
    own = sheet_4[sheet_4.index("E-022Block") :]
    own = own[: own.index("E-023Loss")]
    assert "±" not in own.replace("±5°C", "") and squeezed("Uncertainty, 95 %") not in own


def test_the_secant_in_the_working_is_the_stored_stiffness(facts):
    for name in ("E-009", "E-011"):
        item = facts.project.find(name)
        working = _worked(facts, item)
        line = next(line for line in working.lines if line.symbol == "c_v")
        specimen = re.search(r"P-\d+", line.meaning)[0]
        stored = item.result.value(f"specimen:{specimen}").value
        per_unit = 1000 if name == "E-009" else 1000 * 180 / 3.141592653589793
        assert line.value == pytest.approx(stored / per_unit, rel=5e-3)
        assert {"c_r", "U_v", "q_low", "q_high"} <= {line.symbol for line in working.lines}


def test_the_printed_contributions_give_the_printed_uncertainty(facts):
    checked = 0
    for item in facts.project.evidence:
        words = uncertainty_words(item, item.unit) if item.quantity == "single" else ""
        found = re.search(r"U = √\((.*?)\) = (\d+\.?\d*)", words)
        if not found:
            continue
        parts = [float(part.strip().removesuffix("²")) for part in found[1].split("+")]
        assert sum(part**2 for part in parts) ** 0.5 == pytest.approx(float(found[2]), rel=6e-3)
        value = item.result.value("variant")
        assert float(found[2]) == pytest.approx((value.high - value.low) / 2, rel=0.02)
        k, deviation, count = map(float, re.search(r"k·s/√n = ([\d.]+)·([\d.]+)/√(\d+)", words).groups())
        assert k * deviation / count**0.5 == pytest.approx(parts[0], rel=6e-3)
        checked += 1
    assert checked > 10


def test_risks_of_severity_9_and_10_stand_on_sheet_4(sheet_4):
    assert squeezed("Severity 9 and 10") in sheet_4 and squeezed("lines of severity 10 have actions") in sheet_4


def test_amounts_of_cost_lines_add_up_to_the_material_of_the_piece(facts):
    run = facts.project.find("C-011")
    side = facts.project.find("cost").variant
    amounts = _amounts(facts, "variant")
    total = sum(float(amounts[line.name]) for line in (*side.material, *side.bought))
    assert total == pytest.approx(run.result.value("variant_material").value, abs=0.005 * len(amounts))
    text = body(built(facts, chapters=lambda kit, f: cost(kit, f, "Cost")))
    line = facts.project.find("cost").footprint.line[0]
    assert squeezed(f"{line.source}, {line.year}") in text and squeezed("1.6 .. 3") in text


def test_the_section_shows_eye_and_edges_of_holes(facts):
    variant, reference = facts.project.variant, facts.project.reference
    half = half_of(variant, reference)
    eye = next(region for region in half.regions if region.key == "E")
    assert {r for _, r in eye.outlines[0]} == {variant.eye.bore_radius, variant.eye.outer_radius}
    voids = next(region for region in half.regions if region.key == "")
    assert len(voids.outlines) == 2 + len(variant.pin.bores)
    near = (variant.pin.ends.hole_distance - variant.pin.ends.hole_diameter) / 2
    assert near in {z for outline in voids.outlines for z, _ in outline}
    assert any("plug left" in note for note in half.notes)


def test_files_of_a_folder_stand_together_in_the_manifest():
    files = [("calculations/C-001.toml", "c"), ("evidence/files/1", "a"), ("evidence/files/2", "b"), ("project.toml", "d")]
    names = {"a": "E-010.csv", "b": "E-009.csv"}
    ordered = [path for path, _ in sorted(files, key=lambda file: _by_folder(file, names))]
    assert ordered == ["project.toml", "calculations/C-001.toml", "evidence/files/2", "evidence/files/1"]


def test_limits_of_use_come_from_concessions_assumptions_and_loads(facts):
    text = body(built(facts, chapters=lambda kit, f: cautions(kit, f, "Cautions")))
    own = text[text.index(squeezed("Limits of use")) :]
    assert squeezed("vehicles without winter service, until 2027-06-30") in own and squeezed("−35 to 70 °C") in own
    assert squeezed("radial force at most 118 kN") in own and squeezed("torsion at most 9 °") in own  # L-03, a block of L-07

    def heavier(documents):
        documents["loads.toml"]["load"][0]["radial"] = 130000.0

    later = body(built(_changed(heavier), chapters=lambda kit, f: cautions(kit, f, "Cautions")))
    assert squeezed("radial force at most 130 kN") in later


def test_confirmed_editions_are_counted_alike_on_sheets_7_and_9(facts):
    seventh = body(built(facts, chapters=lambda kit, f: standards(kit, f, "Standards")))
    cited, confirmed = re.search(r"(\d+)standardscited,(\d+)with", seventh).groups()
    assert f"{confirmed} of {cited} are confirmed" in _edition(facts).answer
    assert int(cited) > int(confirmed) > 0


def test_statements_name_their_standards_and_agreements_that_many_share_stand_once(facts):
    text = body(built(facts, chapters=lambda kit, f: requirements(kit, f, "Requirements")))
    named = facts.project.find("R-003").standards
    assert named and squeezed(f"standards {', '.join(named)}") in text
    agreed = facts.project.find("R-003").agreed
    assert text.count(squeezed(f"agreed {agreed.on} by {agreed.by}, {agreed.document}")) == 1
    assert text.count(squeezed("agreed a1")) > 10


def test_limits_stand_at_the_bars_as_they_are_written(facts):
    text = body(built(facts, chapters=lambda kit, f: design(kit, f, "Design")))
    assert squeezed("max 1420 g") in text and squeezed("min 1.3") in text and "1420.00" not in text


def test_the_weighed_mass_stands_beside_the_calculated_band(facts):
    run, weighed = facts.project.find("C-001"), facts.project.idea.weighing.mass
    total = run.result.value("total")
    assert total.low <= weighed <= total.high and _against(weighed, run).endswith("holds it.")
    assert "lie apart" in _against(total.high + 0.001, run)


def test_an_outdated_ratio_is_not_counted_as_inside(facts, sheet_4):
    assert squeezed("5 of 5 ratios lie") in sheet_4

    def another_cycle(documents):
        scheme = next(s for s in documents["reading_schemes.toml"]["scheme"] if s["id"] == "RS-01")
        scheme["cycle"] = 3

    text = body(built(_changed(another_cycle), chapters=lambda kit, f: evidence(kit, f, "Evidence")))
    assert squeezed("4 of 5 ratios lie") in text


def test_editions_confirmed_from_memory_are_told_apart(facts):
    text = body(built(facts, chapters=lambda kit, f: standards(kit, f, "Standards")))
    recalled = re.search(r"ofthese(\d+)frommemory", text)
    cited = [s for s in facts.project.standards if citing_records(facts)[s.id]]
    assert int(recalled[1]) == sum(edition_confirmed(s) and s.mark == "memory" for s in cited) > 0


def test_the_worth_of_a_kilogram_has_the_source_of_its_record(facts):
    source = next(iter(facts.project.of_kind(Cost))).worth.source
    printed = body(built(facts, chapters=lambda kit, f: cost(kit, f, "Cost")))
    assert squeezed(f"Worth of a kilogram: {source}") in printed


@pytest.mark.parametrize(
    ("gains", "told"),
    [
        ({"mid": 2.0, "high": 4.0}, "at the middle worth the investment is earned back after 10 000 pieces"),
        ({"mid": 0.01, "high": 4.0}, "only at the high worth the investment is earned back after 5 000 pieces"),
        ({"mid": 0.01, "high": 0.02}, "not earned back within the planned pieces at any worth"),
    ],
)
def test_the_middle_worth_speaks_first(gains, told):
    def change(documents):
        result = documents["calculations/C-011.toml"]
        _value(result, "investment")["value"] = 20000.0
        for name, gain in gains.items():
            _value(result, f"gain_{name}")["value"] = gain

    assert told in cost_answer_of(_changed(change)).replace("\N{NO-BREAK SPACE}", " ")


def cost_answer_of(facts):
    runs = [run for run in facts.project.calculations if run.method == PIECE]
    return cost_answer(facts, next(iter(facts.project.of_kind(Cost))), runs)


def test_where_the_worst_part_decides_its_value_stands_beside_the_margin(facts):
    item = facts.project.get("E-001")
    decided = next(d for d in decisions(facts.view, item) if d.requirement.id == "R-001")
    assert decided.support.part in item.result.value(f"specimen:{decided.support.part}").name
    worst = item.result.value(f"specimen:{decided.support.part}").value
    assert worst == max(v.value for v in item.result.values if v.name.startswith("specimen:"))
    assert deciding_words(item, decided).startswith(f"{worst:.1f} ± ")
    assert f"worst part {decided.support.part} {worst:.1f} ± " in evidence_sentence(facts.view, item)
