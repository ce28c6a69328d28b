"""Rows of the results of step 4 and of the files and numbers of step 6, on small series that the rows bring along."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from check_case import Case, Edit, Row, both, evaluating, setting, without
from rows_evidence import tested

from dossier.evidence.form import ReadingScheme
from dossier.evidence.sniff import sniff
from dossier.store.rawfiles import find_raw
from tests.evidence.dialects import ENGLISH, write
from tests.evidence.generator import Programme, Rig, measured, with_stiffness

BUDGET = [{"cause": "calibration of force", "relative": 0.003}, {"cause": "fixture", "relative": 0.005}]
MARGIN = {"low": 0.9, "high": 1.1, "agreed": {"by": "customer", "on": "2026-05-06", "document": "minutes"}}
VALUES = {"V-1": 55.8, "V-2": 56.3, "R-1": 57.0, "R-2": 56.6}


def valued(case: Case) -> None:
    """Stiffness entered as values of two variants and two reference parts; dynamic ratio of one part."""
    tested(case)
    case.keep_requirements(["R-002", "R-007", "R-011a", "R-012"])
    case["R-007"]["sample_size"] = case["R-011a"]["sample_size"] = 2
    case["R-012"]["sample_size"] = 1
    case["E-001"].update(quantity="single", unit="kN/mm", budget=BUDGET, margin=MARGIN)
    case["E-001"]["samples"] = [{"specimen": name, "value": value} for name, value in VALUES.items()]
    case.documents["evidence/E-002.toml"] = {
        "id": "E-002", "title": "dynamic ratio", "way": "test", "state": "finished", "variant": "V2", "budget": BUDGET,
        "serves": [{"requirement": "R-012", "value": "variant"}], "samples": [{"specimen": "V-1", "value": 1.48}],
    }  # fmt: skip
    case.evaluate("E-001", "E-002")


def with_values(**values: float) -> Edit:
    """An edit that enters values of specimens of E-001, "V_1" for V-1, and evaluates."""

    def edit(case: Case) -> None:
        for sample in case["E-001"]["samples"]:
            sample["value"] = values.get(sample["specimen"].replace("-", "_"), sample["value"])
        case.evaluate("E-001")

    return edit


def then_evaluated(edit: Edit, *ids: str) -> Edit:
    return both(edit, evaluating(*ids))


def accepted_scatter(case: Case) -> None:
    """The scatter between compound batches, accepted as an assumption, for E-001."""
    case.add("assumptions.toml", "assumption", {
        "id": "A-090", "title": "scatter", "statement": "Batches scatter so.", "value": 1.5, "unit": "%",
        "accepted_by": "M. Olsen", "accepted_on": "2026-05-06",
    })  # fmt: skip
    case["E-001"]["batch_scatter"] = "A-090"


def least_ratio(case: Case) -> None:
    """A margin without an upper end, for the requirement too."""
    del case["E-001"]["margin"]["high"]
    case["R-011a"]["limit"] = {"kind": "min", "min": 0.9}


def failed_by(variant: str, reference: str) -> Edit:
    """An edit that says what failed at all parts of both groups."""

    def edit(case: Case) -> None:
        for sample in case["E-001"]["samples"]:
            sample["mode"] = variant if sample["specimen"].startswith("V") else reference

    return edit


@cache
def curve(stiffness: float, drift: float = 0.0) -> bytes:
    """A file of a radial test to ±11 kN as a machine writes it."""
    record = with_stiffness(stiffness, Programme(load=12100.0, frequency=20.0))
    with TemporaryDirectory() as folder:
        shown = measured(record, Rig(travel_drift=drift), seed=3)
        path = write(Path(folder) / "curve.csv", ENGLISH, shown.time, shown.travel, shown.load)
        return path.read_bytes()


@cache
def reading() -> dict[str, Any]:
    """How these files are read."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "curve.csv"
        path.write_bytes(curve(56000.0))
        return ReadingScheme.from_form(sniff(path)).to_dict()


def measured_series(case: Case) -> None:
    """The radial series with a measured file for each part."""
    tested(case)
    case["RS-01"]["reading"] = reading()
    case["E-001"]["budget"] = BUDGET
    for sample, stiffness in zip(case["E-001"]["samples"], (55800.0, 56600.0, 57000.0, 56300.0), strict=True):
        sample["file"] = case.keep(f"{sample['specimen']}.csv", curve(stiffness))
    case.evaluate("E-001")


def measured_again(place: int, stiffness: float, drift: float = 0.0) -> Edit:
    """An edit that gives a sample another file, and evaluates."""

    def edit(case: Case) -> None:
        case["E-001"]["samples"][place]["file"] = case.keep("again.csv", curve(stiffness, drift))
        case.evaluate("E-001")

    return edit


def file_lost(case: Case) -> None:
    raw_file(case).unlink()


def file_altered(case: Case) -> None:
    path = raw_file(case)
    data = path.read_bytes()
    path.chmod(0o644)
    path.write_bytes(data.replace(b"1", b"2", 1))


def file_restored(case: Case) -> None:
    path = find_raw(case.folder, SHA)
    if path:
        path.unlink()
    case.keep("V-1.csv", curve(55800.0))


def raw_file(case: Case) -> Path:
    found = find_raw(case.folder, SHA)
    assert found is not None
    return found


@cache
def sha_of_first() -> str:
    import hashlib

    return hashlib.sha256(curve(55800.0)).hexdigest()


SHA = sha_of_first()


def run_to_life(case: Case) -> None:
    """Two parts run to their target, with log and stiffness before and after."""
    tested(case)
    case.keep_requirements(["R-026", "R-027"])
    case.documents["documents.toml"] = {"document": [
        {"id": "B-930", "title": "log of blocks and temperature", "kind": "report", "file": "a" * 64},
    ]}  # fmt: skip
    ended = {"value": 1.2, "observation": "target reached, cracks of 1 mm in the rubber"}
    common = {"way": "test", "state": "finished", "variant": "V2", "started_on": "2026-09-20"}
    case.documents["evidence/E-001.toml"] = common | {
        "id": "E-001", "title": "programme P1", "unit": "-", "serves": [{"requirement": "R-026", "value": "variant"}],
        "temperature": 41.0, "documents": ["B-930"], "samples": [{"specimen": name} | ended for name in ("V-1", "V-2")],
    }  # fmt: skip
    case.documents["evidence/E-002.toml"] = common | {
        "id": "E-002", "title": "loss of stiffness", "unit": "%", "serves": [{"requirement": "R-027", "value": "variant"}],
        "samples": [{"specimen": "V-1", "value": 11.0}, {"specimen": "V-2", "value": 12.0}],
    }  # fmt: skip


def warned(case: Case) -> None:
    """One caution with the greatest press-in force, from a press fit that is current."""
    case.drop_method("fit.ring")
    case.documents["cautions.toml"] = {"caution": [{
        "id": "K-900", "signal": "WARNING", "title": "Presses", "text": "Needs up to {force}; keep 1 m away from {travel}.",
        "numbers": {"force": "C-008.load_at_yield", "travel": "V2.carrier.travel"},
    }]}  # fmt: skip


def filed(case: Case) -> None:
    """One registered document and one raw file, both there."""
    measured_series(case)
    case.documents["documents.toml"] = {"document": [
        {"id": "B-930", "title": "drawing", "kind": "drawing", "file": case.keep("drawing.txt", b"invented")},
    ]}  # fmt: skip


ROWS = [
    Row("4.1", setting("R-007", "sample_size", 3), setting("R-007", "sample_size", 2),
        "E-001", "result.n_variant", "2 specimens", "are fewer than R-007.sample_size = 3; test more", valued),
    Row("4.1", setting("R-011a", "sample_size", 3), setting("R-011a", "sample_size", 2),
        "E-001", "result.n_reference", "2 specimens", "are fewer than R-011a.sample_size = 3", valued),
    Row("4.1", setting("R-002", "verification", ["test"]), setting("R-002", "verification", ["analysis"]),
        "R-002", "verification", "test", "rests on no test; plan and do it", valued),
    Row("4.1", then_evaluated(setting("E-002", "budget", []), "E-002"),
        then_evaluated(setting("E-002", "budget", BUDGET), "E-002"),
        "E-002", "result.variant", "1.480", "has no uncertainty; fill the item's budget", valued),
    Row("4.1", setting("E-002", "samples.0.value", 1.52), evaluating("E-002"),
        "E-002", "result", "outdated", "R-012: its evaluation is outdated; evaluate it again", valued, "outdated"),
    Row("4.1", setting("E-002", "state", "running"), setting("E-002", "state", "finished"),
        "E-002", "result", "open", "R-012: its test is running", valued),
    Row("4.5", file_lost, file_restored,
        "E-001", "samples.file", f"{SHA[:16]}…", "is missing in evidence/files; restore it", measured_series),
    Row("4.5", file_altered, file_restored,
        "E-001", "samples.file", f"{SHA[:16]}…", "has other bytes than it was imported with", measured_series),
    Row("4.5", without("E-001", "samples.0.file"), setting("E-001", "samples.0.file", SHA),
        "E-001", "samples.file", "", "of V-1 is empty; import its measured file", measured_series),
    Row("4.5", setting("RS-01", "cycle", 3), evaluating("E-001"),
        "E-001", "result", "outdated", "evaluate it again", measured_series, "outdated"),
    Row("4.6", measured_again(0, 180000.0), measured_again(0, 55800.0),
        "E-001", "result.specimen:V-1", "17*", "times the middle of all; check unit and channel", measured_series),
    Row("4.6", measured_again(0, 56000.0, 0.01), measured_again(0, 55800.0),
        "E-001", "result.residual_variant", "0.1*", "look for drift or slip", measured_series),
    Row("4.6", setting("RS-01", "cycle", 3), evaluating("E-001"),
        "E-001", "result", "outdated", "evaluate it", measured_series, "outdated"),
    Row("4.7", then_evaluated(both(setting("V-1", "batch", "K-18"), setting("V-2", "batch", "K-18")), "E-001"),
        then_evaluated(accepted_scatter, "E-001"),
        "E-001", "samples", "K-18 against K-17", "accept a scatter between batches as an assumption", valued),
    Row("4.4", setting("Q-01", "channel.0.high", 12.0), setting("Q-01", "channel.0.high", 13.0),
        "Q-01", "channel.force.high", "-50 .. 12 kN", "does not cover 12.59 kN of E-001", measured_series),
    Row("4.8", without("E-001", "margin"), setting("E-001", "margin", MARGIN),
        "E-001", "margin", "", "enter the margin of the ratio agreed before the test", valued),
    # The series began on 2026-09-07: a margin of that day is not older than the first measurement.
    Row("4.8", setting("E-001", "margin.agreed.on", "2026-09-07"), setting("E-001", "margin.agreed.on", "2026-09-06"),
        "E-001", "margin.agreed.on", "2026-09-07", "is not before the first measurement, E-001 on 2026-09-07", valued),
    Row("4.8", both(setting("E-002", "started_on", "2026-03-01"), setting("E-001", "repeats", "E-002")),
        setting("E-002", "started_on", "2026-06-01"),
        "E-001", "margin.agreed.on", "2026-05-06", "is not before the first measurement, E-002 on 2026-03-01", valued),
    Row("4.8", without("E-001", "started_on"), setting("E-001", "started_on", "2026-09-07"),
        "E-001", "started_on", "", "the margin must be older", valued),
    Row("4.8", then_evaluated(both(without("E-001", "margin.high"), failed_by("rubber", "rubber")), "E-001"),
        then_evaluated(setting("E-001", "margin.high", 1.1), "E-001"),
        "E-001", "margin", "at least 0.9", "differs from R-011a, 0.9 .. 1.1; keep the agreed one", valued),
    Row("4.8", then_evaluated(least_ratio, "E-001"), failed_by("rubber", "rubber"),
        "E-001", "samples.mode", "", "of V-1 is empty; say what failed (none, rubber, slip", valued),
    Row("4.8", failed_by("metal crack", "rubber"), failed_by("rubber", "rubber"),
        "E-001", "samples.mode", "metal crack", "of V-1 is worse than what the reference part showed (rubber)", valued),
    Row("4.8", failed_by("rubber", ""), failed_by("rubber", "slip"),
        "E-001", "samples.mode", "", "of R-1 is empty", valued),
    Row("4.8", then_evaluated(setting("E-001", "margin.low", 0.8), "E-001"),
        both(setting("R-011a", "limit.min", 0.8)),
        "E-001", "margin", "0.8 .. 1.1", "differs from R-011a, 0.9 .. 1.1; keep the agreed one", valued),
    Row("4.8", with_values(V_1=50.0, V_2=51.0), with_values(V_1=56.0, V_2=56.5),
        "E-001", "result.ratio", "0.889 (0.848 .. 0.933)", "leaves the margin 0.9 .. 1.1 with its 90 % interval", valued),
    Row("4.8", then_evaluated(setting("E-001", "samples.3.left_out", "burnt"), "E-001"),
        then_evaluated(setting("E-001", "samples.3.left_out", ""), "E-001"),
        "E-001", "result.ratio", "", "test at least two specimens of each part", valued),
    Row("4.9", setting("E-001", "state", "running"), setting("E-001", "state", "finished"),
        "E-001", "state", "running", "run it to its target or its failure criterion", run_to_life),
    Row("4.9", without("E-001", "samples.0.value"), setting("E-001", "samples.0.value", 1.1),
        "E-001", "samples.value", "", "of V-1 is empty; enter the life it reached", run_to_life),
    Row("4.9", without("E-001", "samples.1.observation"), setting("E-001", "samples.1.observation", "20 % softer"),
        "E-001", "samples.observation", "", "of V-2 is empty; say whether target or failure criterion", run_to_life),
    Row("4.9", without("E-001", "temperature"), setting("E-001", "temperature", 55.0),
        "E-001", "temperature", "", "give the specimens' temperature under load", run_to_life),
    Row("4.9", setting("E-001", "documents", []), setting("E-001", "documents", ["B-930"]),
        "E-001", "documents", "", "add the log of blocks and temperature", run_to_life),
    Row("4.9", without("E-002", "samples.1"),
        lambda case: case["E-002"]["samples"].append({"specimen": "V-2", "value": 12.0}),
        "E-001", "samples.specimen", "V-2", "has no stiffness before and after the run", run_to_life),
    Row("4.12", then_evaluated(setting("E-002", "budget", []), "E-002"),
        then_evaluated(setting("E-002", "budget", BUDGET), "E-002"),
        "E-002", "budget", "", "enter calibration, fixture and resolution", valued),
    # 1.48 with 1.96·√(0.3² + 0.5²) % = 1.1 % of expanded uncertainty reaches from 1.463 to 1.497.
    Row("4.12", setting("R-012", "limit.max", 1.49), setting("R-012", "limit.max", 1.5),
        "E-002", "result", "1.463 to 1.497", "reaches across the limit of R-012, ≤ 1.49: undecided; measure better", valued),
    Row("6.3", setting("K-900", "text", "Needs up to {force} or {speed}; {travel}."),
        setting("K-900", "text", "Needs up to {force}; {travel}."),
        "K-900", "text", "{speed}", "has no number; name record and value in numbers", warned),
    Row("6.3", setting("K-900", "text", "Needs up to {force}."), without("K-900", "numbers.travel"),
        "K-900", "numbers.travel", "V2.carrier.travel", "is printed nowhere; put {travel} in the text", warned),
    Row("6.3", setting("K-900", "numbers.force", "C-099.load_at_yield"), setting("K-900", "numbers.force", "L-03.radial"),
        "K-900", "numbers.force", "C-099.load_at_yield", "names no record; correct the id", warned),
    Row("6.3", setting("K-900", "numbers.force", "C-008.force"), setting("K-900", "numbers.force", "C-008.load_at_yield"),
        "K-900", "numbers.force", "C-008.force", "is no value of C-008's result", warned),
    Row("6.3", setting("K-900", "numbers.travel", "V2.carrier.kind"), setting("K-900", "numbers.travel", "V2.carrier.gap"),
        "K-900", "numbers.travel", "V2.carrier.kind", "leads to no number", warned),
    Row("6.3", setting("M-01", "yield_strength.value", 740.0), lambda case: case.calculate("C-008"),
        "C-008", "result", "outdated", "K-900 prints it; calculate it again", warned, "outdated"),
    Row("6.6", file_altered, file_restored,
        "E-001", "file", f"{SHA[:16]}…", "has other bytes than it was imported with", filed),
    Row("6.6", without("B-930", "file"), lambda case: case["B-930"].update(file=case.keep("again.txt", b"found again")),
        "B-930", "file", "", "import the file, or take the entry out", filed),
]  # fmt: skip
