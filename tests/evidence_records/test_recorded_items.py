"""Dynamic, durability and load-history items from their files to decisions, checks and curves, in a small project."""

from __future__ import annotations

import pytest

from dossier.actions.edit import set_field
from dossier.actions.measured import new_scheme
from dossier.actions.opened import Opened
from dossier.actions.recompute import recompute_item
from dossier.actions.refusal import Refusal
from dossier.actions.scheme_settings import parsed_settings
from dossier.checks.evidence_support import support_of_evidence
from dossier.checks.told_evidence import evidence_sentence
from dossier.methods.evidence_files import raw_files_of
from dossier.methods.evidence_plots import recorded_plots
from dossier.methods.evidence_recorded import reading_words
from dossier.methods.freshness import Freshness
from dossier.records.evidence import EvidenceItem, SchemeRecord
from tests import recorded_project as recorded
from tests.evidence.recorded import Endurance, Rubber, true_response


@pytest.fixture(scope="module")
def opened(tmp_path_factory) -> Opened:
    folder = tmp_path_factory.mktemp("recorded")
    return recorded.begin(folder / "project", folder)


def result(opened: Opened, kind: str):
    found = opened.project.get(recorded.IDS[kind]).result
    assert found.validity == "inside", found.validity_notes
    return found


def test_dynamic_item_decides_three_requirements(opened):
    found = result(opened, "dynamic")
    true = abs(true_response(Rubber(0.99 * 62_000.0), 0.2, 10.0))
    assert found.value("specimen:P-1").value == pytest.approx(true, rel=4e-3)
    assert found.value("to_static:P-1").value == pytest.approx(found.value("specimen:P-1").value / 60_000, rel=1e-9)
    assert found.inputs["static"] == recorded.STATIC and found.sources["static"] == "E-100.result"
    states = {name: opened.view.verdicts[name].state for name in ("R-020", "R-021", "R-022")}
    assert states == {"R-020": "met", "R-021": "met", "R-022": "met"}
    assert "ratio 0.9" in evidence_sentence(opened.view, opened.project.get("E-101"))


def test_a_ratio_to_a_static_item_out_of_calibration_is_undecided(opened, monkeypatch):
    static = opened.project.get("E-100")
    late = static.model_copy(update={"unit": "N", "started_on": "2028-01-03", "done_on": "2028-01-03"})
    item, requirements = opened.project.get("E-101"), [opened.project.get(name) for name in ("R-020", "R-021")]
    monkeypatch.setitem(opened.project.records, "E-100", late)
    ratio, angle = (
        support_of_evidence(opened.project, requirement, item, value, Freshness("current"))
        for requirement, value in zip(requirements, ("to_static_variant", "loss_angle_variant"), strict=True)
    )
    assert (ratio.state, angle.state) == ("undecided", "met")
    assert ratio.reason == "E-100: calibration of Q-001 (force) holds 2026-01-31 to 2027-01-31, measured 2028-01-03"


def test_durability_item_has_a_failed_and_a_stopped_part(opened):
    found = result(opened, "durability")
    assert found.value("censored:P-1").value == 1 and found.value("specimen:P-1").value == 36_000
    life = Endurance(60_000.0, 1.9e-6).life(0.2, 1000)
    assert found.value("censored:P-2").value == 0 and found.value("specimen:P-2").value == pytest.approx(life, rel=0.04)
    assert found.value("survived_variant").value == 1
    assert {name: opened.view.verdicts[name].state for name in ("R-023", "R-026")} == {"R-023": "met", "R-026": "met"}
    assert opened.view.verdicts["R-024"].state == "met"


def test_a_part_that_failed_too_early_is_not_met(opened):
    """60,000 cycles: the part that failed at 48,000 decides; 37,000 lies behind the part that was stopped only."""
    item, requirement = opened.project.get("E-102"), opened.project.get("R-026")
    fresh = opened.view.evidence_freshness["E-102"]
    for least, state in ((60_000.0, "not met"), (37_000.0, "undecided")):
        asked = requirement.model_copy(update={"limit": requirement.limit.model_copy(update={"min": least})})
        assert support_of_evidence(opened.project, asked, item, "variant", fresh).state == state, least


def test_history_is_a_share_of_the_programme(opened):
    found = result(opened, "load_history")
    assert found.inputs["programme"][0] == {"range": 18_000.0, "cycles": 40_000.0}
    assert found.sources["programme"] == "L-003.blocks"
    damage, design = (found.value(f"damage of {name} at k = 5").value for name in ("variant", "programme"))
    assert found.value("variant").value == pytest.approx(damage / design)


def test_stored_results_come_back_and_settings_make_them_outdated(opened):
    for item in recorded.IDS.values():
        again = recompute_item(opened.project.get(item), raw_files_of(opened.folder.root))
        assert (again.state, again.differences) == ("reproduced", [])
        assert opened.view.evaluations[item].state == "current"
    opened.record(set_field(opened.project, "RS-12", "durability.loss", "25 %", recorded.LAB))
    try:
        assert opened.view.evaluations["E-102"].state == "outdated"
        assert opened.view.evaluations["E-101"].state == "current"
    finally:
        opened.record(set_field(opened.project, "RS-12", "durability.loss", "20 %", recorded.LAB))


def test_plots_hold_what_was_measured(opened):
    files = raw_files_of(opened.folder.root)
    stiffness, angle = recorded_plots(opened.project.get("E-101"), files)
    assert (stiffness.x_unit, stiffness.y_unit, angle.y_unit) == ("Hz", "kN/mm", "°")
    assert {line.label for line in stiffness.lines} >= {"variant ±0.1 mm", "variant ±0.2 mm", "reference ±0.2 mm"}
    course, warm = recorded_plots(opened.project.get("E-102"), files, part=1)
    limit = next(line for line in course.lines if line.form == "limit")
    assert limit.y[0] == limit.y[1] == pytest.approx(0.8 * Endurance(60, 1.9e-6).cold(limit.x[:1])[0], rel=0.01)
    assert "P-2 end at" in course.told and warm.lines[0].y.max() > 45
    (reached,) = recorded_plots(opened.project.get("E-103"), files)
    assert {line.label for line in reached.lines} == {"measured P-3", "programme"}
    assert all((line.y[1:] <= line.y[:-1] + 1e-9).all() for line in reached.lines)


def test_a_static_item_needs_the_ends_of_its_range(opened):
    raw = {"id": "E-110", "title": "x", "way": "test", "quantity": "radial", "variant": "V1", "scheme": "RS-11"}
    from dossier.methods.evidence_links import resolve_item

    found = resolve_item(opened.project, EvidenceItem.model_validate(raw))
    assert "RS-11.low and RS-11.high are empty; a static evaluation needs both ends of its range" in found.problems
    item = EvidenceItem.model_validate({**raw, "quantity": "durability"})
    assert any(p.startswith("RS-11.durability is empty") for p in resolve_item(opened.project, item).problems)


@pytest.mark.parametrize(
    ("kind", "settings", "words"),
    [
        ("dynamic", ("frequency=10 Hz",), "amplitude"),
        ("dynamic", ("frequency=10 mm", "amplitude=0.2 mm"), "frequency = 10 mm"),
        ("durability", ("loss=120 %",), "loss = 1.2 must be below 1"),
        ("durability", ("speed=3",), '"speed=3" must be FIELD=VALUE'),
        ("load_history", ("sn_range=40 kN", "sn_cycles=1e5", "exponents=five"), "exponents = five"),
        ("static", (), "settings of static"),
        ("press", ("window=10 .. 20 mm",), "must be travels: forces"),
        ("press", ("window=10 .. 20 mm: 5 .. 20",), 'needs its unit'),
        ("press", ("window=10 .. 20: 5 .. 20 kN",), 'needs its unit'),
        ("press", ("window=10 .. 20 mm: ..",), "must be low .. high"),
        ("press", ("window=20 .. 10 mm: 5 .. 20 kN",), "travel_high = 10"),
        ("press", ("window=10 .. 20 mm: 5 .. 20 mm",), "window = "),
    ],
)
def test_settings_that_cannot_be_taken_say_why(opened, tmp_path, kind, settings, words):
    from tests.evidence.recorded import write_history

    path = write_history(tmp_path / "h.csv", seed=1, minutes=1)
    with pytest.raises(Refusal, match=words):
        new_scheme(opened.project, "RS-99", path, "x", "", "", recorded.LAB, kind=kind, settings=settings)


def test_windows_of_a_press_scheme_are_set_when_it_is_made_and_told():
    assert parsed_settings("press", ("window=85 .. 89 mm: 20 .. 31 kN", "window=-2 .. 3 cm: .. 900 N"))["windows"] == [
        {"travel_low": 85.0, "travel_high": 89.0, "force_low": 20_000.0, "force_high": 31_000.0},
        {"travel_low": -20.0, "travel_high": 30.0, "force_high": 900.0},
    ]
    (least,) = parsed_settings("press", ("window=10 .. 20 mm: 5 kN ..",))["windows"]
    assert (least["force_low"], "force_high" in least) == (5000.0, False)
    scheme = SchemeRecord(id="RS-9", title="Press", reading={}, press={"press_length": 38.0, "windows": [least]})
    assert reading_words(scheme) == "seated 38 mm from first contact; window 1: 10 .. 20 mm, at least 5 kN"


def test_a_life_before_the_target_is_no_success_run(opened):
    from dossier.checks.told_evidence import Decided, _ended_words, fatigue_sentences

    item, requirement = opened.project.get("E-102"), opened.project.get("R-026")
    told = dict((each.id, words) for each, words in fatigue_sentences(opened.view))
    assert told["E-102"].startswith("2 parts reached the target without failure")
    assert "A reliability of 90 % would need 22 parts" in told["E-102"]  # ln 0.1 / ln 0.9 = 21.85, by hand
    for least, words in ((37_000.0, "1 of 2 parts were stopped before"), (60_000.0, "1 of 2 parts failed before")):
        asked = requirement.model_copy(update={"limit": requirement.limit.model_copy(update={"min": least})})
        from dossier.checks.evidence_support import lives_of

        assert words in _ended_words(item, Decided(asked, "variant", None), lives_of(item, "variant"))


def test_an_item_that_serves_one_family_tells_that_one(opened):
    """The same records, serving with the loss angle only: its sentence, its plot; with several families the stiffness leads."""
    item = opened.project.get("E-101")
    assert evidence_sentence(opened.view, item).startswith("8") and "kN/mm" in evidence_sentence(opened.view, item)
    angle = item.model_copy(update={"serves": [link for link in item.serves if link.value == "loss_angle_variant"]})
    value = item.result.value("loss_angle_variant").value
    assert evidence_sentence(opened.view, angle).startswith(f"{value:.3f}"[:4])
    assert "ratio" not in evidence_sentence(opened.view, angle)
    assert [plot.y_unit for plot in recorded_plots(angle, raw_files_of(opened.folder.root))] == ["°"]
    assert "1 of 2 stopped before the end criterion" in evidence_sentence(opened.view, opened.project.get("E-102"))


def test_a_loss_angle_that_gives_energy_is_found(opened):
    from dossier.checks.evidence_results import _gives_energy

    item = opened.project.get("E-101")
    assert list(_gives_energy(item, item.result)) == []
    values = [v.model_copy(update={"value": -1.5}) if v.name == "loss_angle:P-2" else v for v in item.result.values]
    (found,) = _gives_energy(item, item.result.model_copy(update={"values": values}))
    assert found.field == "result.loss_angle:P-2" and "delay of the load channel" in found.remedy


def test_items_without_static_curves_need_no_search_for_signs(opened):
    from dossier.checks.evidence_results import plausible

    found = plausible(opened.view)
    assert [each.found for each in found.findings if each.record in recorded.IDS.values()] == []
    assert any(fact.startswith("E-102: ") for fact in found.facts)


def test_a_scheme_for_other_records_from_the_command_line(opened, tmp_path, monkeypatch):
    from dossier.actions.opened import Opened as Fresh
    from dossier.cli import main

    path = recorded.write_history(tmp_path / "h.csv", seed=1, minutes=1)
    given = ["scheme", str(opened.folder.root), "RS-20", str(path), "--title", "Recorder", "--kind", "load_history",
             "--settings", "sn_range=40 kN", "sn_cycles=1e5", "exponents=5", "--person", recorded.LAB]  # fmt: skip
    assert main(given) == 0
    found = Fresh(opened.folder.root).project.get("RS-20")
    assert found.load_history.sn_range == 40_000.0 and found.low is None
