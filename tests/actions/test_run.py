"""Running calculations: what is stored, failed runs, order of dependency, circles, nothing lost."""

from __future__ import annotations

import copy
import json
import math
from pathlib import Path
from typing import Any

import pytest
import small_project as small

from dossier.actions.compute import compute_values
from dossier.actions.edit import set_field
from dossier.actions.opened import Opened
from dossier.actions.recompute import recompute
from dossier.actions.refusal import Refusal
from dossier.actions.run import outdated_calculations, run_calculations, with_changes
from dossier.methods.base import Outcome, Value
from dossier.methods.freshness import freshness
from dossier.methods.registry import method_of
from dossier.records.calculation import Calculation, Result
from dossier.store.change import Change
from dossier.store.digest import sha256_of_document
from dossier.store.tomlfile import dump_document

ME = small.ENGINEER
AFTER = {"record": "C-002", "field": "load_at_yield"}


def bending(record_id: str, force: Any) -> dict[str, Any]:
    return {
        "id": record_id, "title": f"Bending {record_id}", "method": "pin.bending", "design": "V1",
        "inputs": {"force": force, "support": "held_at_bolt_axis"},
    }  # fmt: skip


def chained(tmp_path: Path, **calculations: Any) -> Opened:
    """The small project with more calculations, each file under the id."""
    files = small.documents()
    for name, force in calculations.items():
        record_id = name.replace("_", "-")
        files[f"calculations/{record_id}.toml"] = bending(record_id, force)
    return small.begin(tmp_path / "chained", files)


def run(opened: Opened, *ids: str) -> Change:
    change = run_calculations(opened.project, ids, ME, small.NOW)
    opened.record(change)
    return change


def result(opened: Opened, record_id: str) -> Result:
    record = opened.project.get(record_id)
    assert isinstance(record, Calculation) and record.result is not None
    return record.result


def states(opened: Opened) -> dict[str, str]:
    return {c.id: freshness(opened.project, c).state for c in opened.project.calculations}


def ids(opened: Opened) -> list[str]:
    return [calculation.id for calculation in outdated_calculations(opened.project)]


def test_a_run_keeps_the_exact_input_with_its_digest(opened: Opened) -> None:
    change = run(opened, "C-002")
    stored = result(opened, "C-002")
    assert change.message.startswith("C-002 calculated: static safety against yield ")
    assert (stored.computed_at, stored.computed_by, stored.validity) == ("2026-03-02T09:30:00Z", ME, "inside")
    assert stored.inputs["force"] == 100000.0 and stored.inputs["yield_strength"]["low"] == 780.0
    assert stored.inputs_sha256 == sha256_of_document(stored.inputs)
    assert stored.sources["force"] == "L-001.radial"
    assert stored.sources["yield_strength"] == "M-001.yield_strength"
    assert stored.sources["support"] == "A-001"
    assert states(opened) == {"C-001": "open", "C-002": "current"}
    assert opened.project.raw["C-002"]["inputs"] == small.documents()["calculations/C-002.toml"]["inputs"]


def test_several_runs_are_one_entry_with_a_line_each(opened: Opened) -> None:
    seen: list[tuple[str, int, int]] = []
    change = run_calculations(opened.project, ["C-001", "C-002", "C-001"], ME, small.NOW, lambda *at: seen.append(at))
    assert seen == [("C-001", 1, 2), ("C-002", 2, 2)]
    first, blank, *told = change.message.splitlines()
    assert (first, blank, [line.split()[0] for line in told]) == ("2 calculations run", "", ["C-001", "C-002"])
    before = len(list(opened.folder.history().log()))
    opened.record(change)
    assert len(list(opened.folder.history().log())) == before + 1


def written_by_hand(opened: Opened, bore: float) -> None:
    """A bore as wide as the neck, which no command takes."""
    raw = copy.deepcopy(opened.project.raw["V1"])
    raw["pin"]["bores"][0]["diameter"] = bore
    opened.record(Change("by hand", ME, {opened.project.places["V1"].path: dump_document(raw)}))


def test_a_failing_run_is_recorded_with_its_reason_and_closes_nothing(opened: Opened) -> None:
    run(opened, "C-001", "C-002")
    written_by_hand(opened, bore=36.0)
    change = run(opened, "C-002")
    stored = result(opened, "C-002")
    assert stored.validity == "failed" and stored.values == [] and len(stored.validity_notes) == 1
    assert change.message == f"C-002 calculated: failed, {stored.validity_notes[0]}"
    assert states(opened) == {"C-001": "outdated", "C-002": "failed"}
    verdict = opened.view.verdicts["R-002"]
    assert verdict.state == "not met" and verdict.supports[0].reason == f"failed: {stored.validity_notes[0]}"
    assert recompute(opened.project.get("C-002")).state == "not recomputable"
    before = opened.folder.history().read_at(opened.folder.history().log(limit=2).__next__().parent, "calculations/C-002.toml")
    assert b"load_at_yield" in before, "the result before is kept in the history"


def test_a_number_that_is_none_is_a_failure_with_reason(opened: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    """An infinite value would make the record unreadable at the next opening."""
    method = method_of("mass.joint")
    good = method.run

    def infinite(given: Any) -> Outcome:
        outcome = good(given)
        outcome.values["total"] = Value(math.inf)
        return outcome

    monkeypatch.setattr(type(method), "run", lambda self, given: infinite(given))
    run(opened, "C-001")
    assert opened.project.problems == []
    assert result(opened, "C-001").validity_notes == [
        "mass.joint: gave no finite number for total; the input is beyond its numbers"
    ]


@pytest.mark.parametrize("error", [ZeroDivisionError("float division by zero"), ValueError("bad"), OverflowError("big")])
def test_an_error_of_the_numbers_is_a_failure_with_reason(
    opened: Opened, monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    def broken(self: Any, given: Any) -> Outcome:
        raise error

    monkeypatch.setattr(type(method_of("mass.joint")), "run", broken)
    run(opened, "C-002", "C-001")
    assert result(opened, "C-001").validity_notes == [f"mass.joint: {error}"]
    assert states(opened) == {"C-001": "failed", "C-002": "current"}


REFUSED = [
    ((), "nothing to calculate: every result is current, or inputs are missing"),
    (("R-001",), "R-001 is no calculation; name one of C-001, C-002"),
    (("C-001", "C-099"), "C-099 names no record of this project"),
]


@pytest.mark.parametrize(("wanted", "words"), REFUSED)
def test_what_is_not_run(opened: Opened, wanted: tuple[str, ...], words: str) -> None:
    with pytest.raises((Refusal, KeyError)) as caught:
        run_calculations(opened.project, wanted, ME)
    assert words in str(caught.value)


def test_a_missing_input_is_told_before_anything_is_computed(opened: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    opened.record(set_field(opened.project, "C-002", "inputs.force.record", "L-009", ME))

    def never(self: Any, given: Any) -> Outcome:
        raise AssertionError("computed although a later input is missing")

    monkeypatch.setattr(type(method_of("mass.joint")), "run", never)
    with pytest.raises(Refusal, match="C-002: force: L-009 names no record; correct inputs.force.record"):
        run_calculations(opened.project, ["C-001", "C-002"], ME)
    assert ids(opened) == ["C-001"]


def test_an_unknown_method_is_told(opened: Opened) -> None:
    opened.record(set_field(opened.project, "C-001", "method", "mass.total", ME))
    with pytest.raises(Refusal, match='C-001: no method "mass.total"; known: bond.area'):
        run_calculations(opened.project, ["C-001"], ME)
    assert freshness(opened.project, opened.project.get("C-001")).state == "failed"


def test_a_result_is_the_input_of_another_and_runs_before_it(tmp_path: Path) -> None:
    opened = chained(tmp_path, C_000={"record": "C-003", "field": "load_at_yield"}, C_003=AFTER)
    assert ids(opened) == ["C-002", "C-003", "C-000", "C-001"]
    run(opened, *ids(opened))
    assert set(states(opened).values()) == {"current"}
    for reader, read in (("C-003", "C-002"), ("C-000", "C-003")):
        assert result(opened, reader).inputs["force"] == result(opened, read).value("load_at_yield").value
        assert result(opened, reader).sources["force"] == f"{read}.load_at_yield"
        assert [edge.lower for edge in opened.project.edges if edge.upper == reader and edge.label == "force"] == [read]
    assert result(opened, "C-003").value("safety").value == pytest.approx(1.0, rel=1e-12), "the yield load of the same pin"


def test_what_reads_a_result_is_outdated_with_it(tmp_path: Path) -> None:
    opened = chained(tmp_path, C_000={"record": "C-003", "field": "load_at_yield"}, C_003=AFTER)
    run(opened, *ids(opened))
    opened.record(set_field(opened.project, "L-001", "radial", "110 kN", ME))
    assert states(opened) == {"C-000": "outdated", "C-001": "current", "C-002": "outdated", "C-003": "outdated"}
    assert freshness(opened.project, opened.project.get("C-000")).problems == [
        "reads C-003, which is outdated; calculate C-003 first"
    ]
    assert ids(opened) == ["C-002", "C-003", "C-000"]
    with pytest.raises(Refusal, match="C-003 reads C-002, which is outdated; calculate C-002 too"):
        run_calculations(opened.project, ["C-003", "C-000"], ME)
    run(opened, "C-002")
    assert states(opened) == {"C-000": "current", "C-001": "current", "C-002": "current", "C-003": "current"}, (
        "the yield load does not depend on the force, so the readers follow from it as before"
    )
    opened.record(set_field(opened.project, "M-001", "yield_strength.value", "790", ME))
    run(opened, "C-002")
    assert states(opened)["C-003"] == "outdated"
    differing = [d.field for d in freshness(opened.project, opened.project.get("C-003")).differences]
    assert differing == ["force", "yield_strength.value"]


def test_a_link_to_a_result_that_is_not_there(tmp_path: Path) -> None:
    opened = chained(tmp_path, C_003={"record": "C-002", "field": "load"}, C_004={"record": "C-002"}, C_005=AFTER)
    problems = {c.id: freshness(opened.project, c).problems for c in opened.project.calculations}
    assert problems["C-005"] == ["force: C-002 has no result yet; calculate it first"]
    run(opened, "C-002")
    problems = {c.id: freshness(opened.project, c).problems for c in opened.project.calculations}
    assert problems["C-003"][0].startswith('force: C-002 gives no value "load"; correct inputs.force.field, it gives safety')
    assert problems["C-004"][0].startswith('force: C-002 gives no value ""')
    assert problems["C-005"] == []
    opened.record(set_field(opened.project, "C-003", "inputs.force.field", "moment", ME))
    assert freshness(opened.project, opened.project.get("C-003")).problems == [
        'inputs.force: C-002.moment: "N·mm" is moment or energy, but "N" is force; give a value in N'
    ]


def test_a_failed_run_leaves_its_readers_alone_and_loses_no_other(tmp_path: Path) -> None:
    opened = chained(tmp_path, C_003=AFTER)
    opened.record(set_field(opened.project, "C-001", "design", "REF", ME))
    run(opened, *ids(opened))
    before = result(opened, "C-003")
    written_by_hand(opened, bore=36.0)
    change = run(opened, "C-003", "C-002", "C-001")
    told = change.message.splitlines()[2:]
    assert told[0].startswith("C-002 calculated: failed, ")
    assert told[1] == "C-003 not calculated: it reads C-002, which failed"
    assert told[2].startswith("C-001 calculated: mass of the joint ")
    assert states(opened) == {"C-001": "current", "C-002": "failed", "C-003": "outdated"}
    assert result(opened, "C-003") == before
    opened.record(set_field(opened.project, "V1", "pin.bores.0.diameter", "17", ME))
    assert ids(opened) == ["C-002", "C-003"]
    run(opened, *ids(opened))
    assert set(states(opened).values()) == {"current"}


def test_a_circle_is_refused_and_told(tmp_path: Path) -> None:
    opened = chained(
        tmp_path,
        C_003={"record": "C-004", "field": "load_at_yield"},
        C_004={"record": "C-005", "field": "load_at_yield"},
        C_005={"record": "C-003", "field": "load_at_yield"},
        C_006={"record": "C-006", "field": "load_at_yield"},
        C_007={"record": "C-003", "field": "load_at_yield"},
    )
    words = "C-003 reads C-004 reads C-005 reads C-003"
    for named in (["C-003"], ["C-001", "C-004", "C-003"]):
        with pytest.raises(Refusal, match="reads .*: give one of these inputs as a value"):
            run_calculations(opened.project, named, ME)
    with pytest.raises(Refusal) as caught:
        run_calculations(opened.project, ["C-003"], ME)
    assert str(caught.value) == f"{words}: give one of these inputs as a value"
    with pytest.raises(Refusal, match="C-006 reads C-006: give"):
        run_calculations(opened.project, ["C-006"], ME)
    assert freshness(opened.project, opened.project.get("C-003")).problems == [
        f"force: {words}; give one of these inputs as a value"
    ]
    assert freshness(opened.project, opened.project.get("C-007")).state == "open"
    assert ids(opened) == ["C-001", "C-002"]


def test_a_long_chain_runs_in_order(tmp_path: Path) -> None:
    links = {f"C_1{n:02d}": {"record": f"C-1{n + 1:02d}", "field": "load_at_yield"} for n in range(30)}
    opened = chained(tmp_path, **links, C_130="100 kN")
    assert ids(opened)[-31:] == [f"C-1{n:02d}" for n in range(30, -1, -1)]


def test_a_trial_shows_a_change_before_it_is_recorded(opened: Opened) -> None:
    change = set_field(opened.project, "R-012", "limit.max", "50", ME)
    trial = with_changes(opened.project, change)
    assert (trial.get("R-012").limit.max, opened.project.get("R-012").limit.max) == (50.0, 45.0)
    gone = with_changes(opened.project, Change("x", ME, {"loads.toml": None}))
    assert gone.loads == []


def test_results_reproduce_and_an_altered_one_differs(opened: Opened) -> None:
    run(opened, "C-001", "C-002")
    assert [recompute(c).state for c in opened.project.calculations] == ["reproduced", "reproduced"]
    raw = json.loads(json.dumps(opened.project.raw["C-002"]))
    raw["result"]["values"][0]["value"] += 0.01
    altered = recompute(Calculation.model_validate(raw))
    assert altered.state == "differs" and altered.differences[0].startswith("safety.value: stored 3.57")
    raw = json.loads(json.dumps(opened.project.raw["C-002"]))
    raw["result"]["inputs"]["force"] += 1.0
    altered = recompute(Calculation.model_validate(raw))
    assert altered.state == "differs"
    assert altered.differences[0].startswith("the stored input does not match its digest ")
    raw["result"]["inputs_sha256"] = sha256_of_document(raw["result"]["inputs"])
    assert recompute(Calculation.model_validate(raw)).state == "differs"


def test_a_method_without_a_project() -> None:
    pin = '{"length": 150, "ball_radius": 29, "neck_radius": 18, "neck_fillet": 2.5, "ends": {"flat_thickness": 26, ' \
          '"flat_start": 43, "hole_diameter": 17.5, "hole_distance": 112, "clamp_edge": 42}}'
    given = ["force=100 kN", "support=held_at_bolt_axis", "yield_strength=800", "youngs_modulus=210 GPa",
             "poisson_ratio=0.3", f"pin={pin}"]  # fmt: skip
    answer = compute_values("pin.bending", given)
    assert answer.inputs["force"] == 100000.0 and answer.inputs["youngs_modulus"]["value"] == 210000.0
    assert answer.as_plain()["values"][0]["name"] == "safety"
    assert len(answer.rows()) == len(answer.method.results)
    for wrong, words in (
        ([*given, "colour=red"], "colour is not an input of pin.bending; its inputs are pin, core, force"),
        (given[1:], "force is missing (radial force at the ball centre); add it"),
        (["force", *given], '"force" is no assignment; write name=value, such as force="118 kN"'),
        ([*given[:-1], "pin={"], "{ is not readable as JSON"),
        (["force=-1", *given[1:]], "force = -1.0 N must exceed 0.0 N"),
        (["force=1 mm", *given[1:]], 'force: "mm" is length, but "N" is force'),
        (["support=glued", *given[:1], *given[2:]], 'support = "glued" is none of'),
    ):
        with pytest.raises(Refusal) as caught:
            compute_values("pin.bending", wrong)
        assert words in str(caught.value), wrong
