"""Measured files to decisions, on a copy of the demo: import of all or none, evaluation, freshness, verification."""

from __future__ import annotations

import shutil
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from dossier.actions import measured
from dossier.actions.evaluate import evaluate_items, outdated_items
from dossier.actions.opened import Opened
from dossier.actions.recompute import recompute_item
from dossier.actions.refusal import Refusal
from dossier.actions.verify import verify_work
from dossier.cli import main
from tests.demo import curves
from tests.demo import evidence_plan as plan

DEMO = Path(__file__).parents[2] / "projects" / "axle-link"
TODAY = date(2026, 11, 25)
pytestmark = pytest.mark.usefixtures("remembered_runs")


@pytest.fixture
def opened(tmp_path) -> Opened:
    shutil.copytree(DEMO, tmp_path / "p", ignore=shutil.ignore_patterns("revisions"))
    return Opened(tmp_path / "p", today=TODAY)


def _set(opened: Opened, record: str, field: str, value: str) -> None:
    from dossier.actions.edit import set_field

    opened.record(set_field(opened.project, record, field, value, "T. Lindqvist"))


@pytest.mark.parametrize("item", plan.CURVES, ids=lambda item: item.id)
def test_stiffness_comes_back_from_curves_of_other_laws(opened, item):
    """The generator aims each part at its target with a known scatter: the mean of five must lie within four standard
    errors and 0.6 % for what drift, noise and converter steps of the rig leave."""
    result = opened.project.get(item.id).result
    unit = {"radial": 1e3, "axial": 1e3, "torsional": 1e3 * 57.29577951308232, "conical": 1e3 * 57.29577951308232}
    for name, target in (("variant", item.variant), ("reference", item.reference)):
        found = result.value(name).value / unit[item.quantity]
        assert found == pytest.approx(target, rel=4 * item.scatter / 5**0.5 + 0.006), name
    ratio = result.value("ratio")
    assert ratio.low < ratio.value < ratio.high
    assert ratio.value == pytest.approx(result.value("variant").value / result.value("reference").value, rel=2e-3)


def test_prediction_and_measurement_differ_as_real_ones_do(opened):
    """The demo's measured stiffness is some 4 to 8 % off the prediction, differently per direction."""
    predicted = opened.project.get("C-006").result
    names = {"radial": "radial", "axial": "axial", "torsional": "torsional", "conical": "conical"}
    off = {}
    for item in plan.CURVES:
        measured_value = opened.project.get(item.id).result.value("variant").value
        off[item.quantity] = measured_value / predicted.value(names[item.quantity]).value - 1
    assert all(0.03 < abs(value) < 0.09 for value in off.values()), off
    assert len({round(value, 2) for value in off.values()}) >= 3


def test_undecided_when_the_limit_lies_inside(opened):
    verdict = opened.view.verdicts["R-016"]
    assert verdict.state == "undecided"
    support = next(s for s in verdict.supports if s.record == "E-059")
    assert support.low < 14 < support.high


def test_a_conceded_requirement_keeps_its_state_by_the_numbers(opened):
    verdict = opened.view.verdicts["R-023"]
    assert (verdict.state, verdict.before_concession) == ("conceded", "not met")


def test_aborted_items_are_listed_and_decide_nothing(opened):
    item = opened.project.get("E-056")
    assert item.state == "aborted" and item.reason
    assert all(support.record != "E-056" for support in opened.view.verdicts["R-026"].supports)


def test_another_cycle_makes_it_outdated_and_only_it(opened):
    before = {name: fresh.state for name, fresh in opened.view.evidence_freshness.items()}
    _set(opened, "RS-01", "cycle", "3")
    after = {name: fresh.state for name, fresh in opened.view.evidence_freshness.items()}
    changed = {name for name in after if after[name] != before[name]}
    assert changed == {item.id for item in opened.project.evidence if item.scheme == "RS-01"} and after["E-009"] == "outdated"
    assert [d.field for d in opened.view.evidence_freshness["E-009"].differences] == ["cycle"]
    assert opened.view.verdicts["R-007"].state == "outdated"
    opened.record(evaluate_items(opened.project, ["E-009"], "T. Lindqvist"))
    assert opened.view.evidence_freshness["E-009"].state == "current"


def test_title_and_remark_make_nothing_outdated(opened):
    _set(opened, "RS-01", "title", "another title")
    _set(opened, "E-009", "procedure", "told in other words")
    assert opened.view.evidence_freshness["E-009"].state == "current"


def test_a_changed_raw_file_is_noticed_and_named(opened):
    item = opened.project.get("E-009")
    path = next((opened.folder.root / "evidence" / "files").glob(f"{item.samples[0].file}*"))
    data = path.read_bytes()
    path.chmod(0o644)
    path.write_bytes(data.replace(b"0", b"1", 1))
    found = verify_work(opened.folder.root)
    assert not found.unaltered
    assert any(item.samples[0].file[:16] in fault for line in found.lines for fault in line.faults)


def test_recomputation_reproduces_every_item(opened):
    from dossier.actions.evaluate import raw_files_of

    files = raw_files_of(opened.folder.root)
    states = {item.id: recompute_item(item, files) for item in opened.project.evidence}
    assert {r.state for r in states.values() if r} == {"reproduced"}


def _new_files(tmp_path: Path) -> list[tuple[str, Path]]:
    folder = tmp_path / "new"
    folder.mkdir()
    item = plan.Curves("E-099", "again", "radial", "R-007", "R-011a", 55.0, 56.0, 0.01, "RS-01", "2026-11-24")
    return curves.write_curves(item, folder)


def test_a_repeated_test_keeps_its_first_run(opened, tmp_path):
    specimen, path = _new_files(tmp_path)[5]
    first = next(s for s in opened.project.get("E-009").samples if s.specimen == specimen)
    opened.record(measured.import_curves(opened.project, "E-009", [f"{specimen}={path}"], "T. Lindqvist"))
    samples = [s for s in opened.project.get("E-009").samples if s.specimen == specimen]
    assert [s.run for s in samples] == [1, 2]
    assert samples[0].file == first.file
    from dossier.methods.evidence_links import counted

    assert [s.run for s in counted(opened.project.get("E-009")) if s.specimen == specimen] == [1]


def test_nothing_is_imported_when_one_file_is_broken(opened, tmp_path):
    found = _new_files(tmp_path)
    broken = found[6][1]
    lines = broken.read_text("latin-1").splitlines()
    lines[400] = lines[400].replace(",", ",4,", 1)
    broken.write_text("\n".join(lines), "latin-1")
    stored = {p.name for p in (opened.folder.root / "evidence" / "files").iterdir()}
    with pytest.raises(Refusal, match="line 401.*Nothing was imported"):
        measured.import_curves(opened.project, "E-009", [f"{s}={p}" for s, p in found[5:8]], "T. Lindqvist")
    assert {p.name for p in (opened.folder.root / "evidence" / "files").iterdir()} == stored


def test_one_file_cannot_belong_to_two_samples(opened):
    item = opened.project.get("E-009")
    sample = item.samples[0]
    path = next((opened.folder.root / "evidence" / "files").glob(f"{sample.file}*"))
    other = next(s.specimen for s in item.samples if s.specimen != sample.specimen)
    with pytest.raises(Refusal, match=f"imported already for {sample.specimen}"):
        measured.import_curves(opened.project, "E-009", [f"{other}={path}"], "T. Lindqvist")


@pytest.mark.parametrize(
    ("specimen", "value", "named"),
    [
        ("P-999", "12 kN", "no specimen"),
        ("P-241", "12 mm", "force"),
        ("P-101", "12 kN", "is a part of REF"),
        ("P-241", "abc", "number"),
    ],
)
def test_a_value_that_does_not_fit_is_refused(opened, specimen, value, named):
    with pytest.raises(Refusal, match=named):
        measured.record_value(opened.project, "E-014", specimen, value, "T. Lindqvist")


def test_a_started_test_cannot_become_planned_and_an_abort_needs_a_reason(opened):
    with pytest.raises(Refusal, match="cannot become planned again"):
        measured.set_state(opened.project, "E-009", "planned", "T. Lindqvist", "2026-11-25")
    with pytest.raises(Refusal, match="needs a reason"):
        measured.set_state(opened.project, "E-009", "aborted", "T. Lindqvist", "2026-11-25")


def test_margins_agreed_after_the_first_test_are_told(opened):
    _set(opened, "E-009", "margin.agreed.on", "2026-10-20")
    line = next(line for line in verify_work(opened.folder.root).lines if "margins" in line.what)
    assert line.faults == ["E-009: margin agreed on 2026-10-20, first measured on 2026-09-21"]


CSV = (
    "Number;Statement;Quantity;Unit;min;max;Verification;Source\n"
    "R-101;The joint shall keep 5,5 kN.;force;kN;5,5;;test;clause 9\n"
    "R-102;The joint shall be =1+1 [/b] R&D.;length;mm;;84;inspection+analysis;clause 10\n"
    "R-101;twice;force;kN;1;;test;clause 11\n"
    "R-103;no unit like this;force;kNmm;1;;test;clause 12\n"
    "R-104;wrong order;force;kN;9;3;test;clause 13\n"
)


def test_requirements_from_csv_are_previewed_and_taken_together(opened, tmp_path, capsys):
    file = tmp_path / "list.csv"
    file.write_bytes(CSV.encode("utf-16"))
    root = str(opened.folder.root)
    arguments = ["import-requirements", root, str(file), "--column", "id=Number", "--person", "M. Olsen"]
    before = opened.snapshot.head
    assert main(arguments) == 0
    out = capsys.readouterr().out
    assert "2 would be taken, 3 held back" in out
    assert "line 4: id R-101 is used already" in out and "kNmm" in out and "line 6" in out
    assert Opened(opened.folder.root).snapshot.head == before, "a preview records nothing"
    assert main([*arguments, "--take"]) == 0
    project = Opened(opened.folder.root).project
    assert project.get("R-101").limit.min == 5.5
    assert project.get("R-102").statement == "The joint shall be =1+1 [/b] R&D."
    assert "R-103" not in project.records


def test_the_test_order_is_drawn_the_same_for_the_same_seed(opened, tmp_path):
    from dossier.actions.test_order import drawn_order, print_test_order

    opened.record(measured.set_state(opened.project, "E-060", "aborted", "T. Lindqvist", "2026-11-25", "not needed"))
    with pytest.raises(Refusal, match="no test is planned"):
        print_test_order(opened, tmp_path / "order.pdf")
    raw = {
        "id": "E-070", "title": "Radial stiffness again", "way": "test", "quantity": "radial", "variant": "V2",
        "reference": "REF", "planned_variant": 5, "planned_reference": 5, "procedure": "as E-009",
        "serves": [{"requirement": "R-007", "value": "variant"}],
    }  # fmt: skip
    from dossier.actions.edit import add_record

    opened.record(add_record(opened.project, "evidence", raw, "T. Lindqvist"))
    item = opened.project.get("E-070")
    assert drawn_order(opened, item, 1) == drawn_order(opened, item, 1) != drawn_order(opened, item, 2)
    pages, count = print_test_order(opened, tmp_path / "order.pdf", 1)
    assert (pages >= 1, count) == (True, 1)
    from pypdf import PdfReader

    text = "".join(page.extract_text() for page in PdfReader(tmp_path / "order.pdf").pages)
    assert "E-070" in text and "WARNING" in text and all(part in text for part in drawn_order(opened, item, 1))


def test_looking_at_a_file_records_nothing(tmp_path, capsys):
    path = _new_files(tmp_path)[0][1]
    assert main(["look", str(path)]) == 0
    out = capsys.readouterr().out
    assert "force" in out and "displacement" in out and "latin-1" in out
    (tmp_path / "empty.csv").write_bytes(b"")
    assert main(["look", str(tmp_path / "empty.csv")]) == 1
    assert "0 bytes" in capsys.readouterr().err


def test_calculate_brings_evaluations_up_to_date_too(opened, capsys):
    _set(opened, "RS-02", "cycle", "3")
    read_by_it = [item.id for item in opened.project.evidence if item.scheme == "RS-02"]
    assert [item.id for item in outdated_items(opened.project)] == read_by_it
    assert main(["calculate", str(opened.folder.root), *read_by_it, "--person", "T. Lindqvist"]) == 0
    assert "E-010 evaluated" in capsys.readouterr().out
    assert outdated_items(Opened(opened.folder.root).project) == []


def test_evaluation_records_the_moment_and_person(opened):
    now = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
    opened.record(evaluate_items(opened.project, ["E-014"], "T. Lindqvist", now))
    result = opened.project.get("E-014").result
    assert (result.computed_at, result.computed_by) == ("2026-11-25T09:00:00Z", "T. Lindqvist")
