"""What happened in the first demo, the axle link: two rings, axial pre-stress, revision A released, work on B begun."""

from __future__ import annotations

import copy
import tempfile
from pathlib import Path
from typing import Any

from dossier.actions import measured
from dossier.actions.answer import add_remark
from dossier.actions.edit import add_record, replace_record
from dossier.actions.evaluate import evaluate_items
from dossier.actions.shape import carry_over
from dossier.actions.sign_rates import keep_rates, rates_of_item
from dossier.checks.standing import standing
from dossier.store.change import Change
from dossier.store.tomlfile import dump_document
from tests.demo import curves, trouble
from tests.demo import evidence_plan as plan
from tests.demo import records_of_evidence as of_evidence
from tests.demo.answers_axle_link import ANSWERS
from tests.demo.builder import Builder, Scene, without
from tests.demo.documents_axle_link import PAPERS
from tests.demo.evidence_kinds import Curves, Item, Recorded
from tests.demo.people import AXLE_LINK

PROJECT_ENGINEER, LABORATORY = "M. Olsen", "T. Lindqvist"
COST_RUNS = ("C-011", "C-012")
SIMULATED = 20  # curves of each sign, each 20 take half a minute
BLANK_TEST = "blank test with a steel dummy, 2026-09-21"


def tell(story: Builder) -> None:
    """What happened, in order."""
    tell_idea(story)
    tell_requirements(story)
    tell_design(story)
    tell_tests(story)
    tell_cost(story)
    tell_release(story)
    tell_next(story)


def tell_idea(story: Builder) -> None:
    story.register_documents("2026-03-27")
    story.take("R. Iyer", "materials with bands and sources", ["materials.toml"])
    story.take(PROJECT_ENGINEER, "design of the reference part", ["designs/REF.toml"])
    layout = story.source("designs/V2.toml") | {"drawing_index": "A"}
    story.put(PROJECT_ENGINEER, "design of V2, layout", "designs/V2.toml", layout)
    story.on("2026-03-30")
    story.take(PROJECT_ENGINEER, "idea: problem, weighed baseline and four concepts", ["concepts.toml"])
    story.register_documents("2026-04-01")
    story.on("2026-04-02")
    story.answer("1")
    story.sign_if_ready("1", PROJECT_ENGINEER, "J. Adeyemi")


def tell_requirements(story: Builder) -> None:
    story.on("2026-04-22")
    story.take(PROJECT_ENGINEER, "standards of the project with their editions", ["standards.toml"])
    for path in story.sources("requirements/*.toml"):
        chapter = Path(path).stem[2:].replace("-", " ")
        story.put(PROJECT_ENGINEER, f"requirements: {chapter}", path, without(story.source(path), "requirement", "agreed"))
    story.take(PROJECT_ENGINEER, "load cases L-01 to L-07", ["loads.toml"])
    story.register_documents("2026-05-07")
    story.take(PROJECT_ENGINEER, "agreed with the customer, minutes B-006", story.sources("requirements/*.toml"))
    story.on("2026-05-08")
    files = {f"evidence/{item['id']}.toml": dump_document(_planned(item)) for item in _items() if item["state"] == "finished"}
    story.record(Change(f"{len(files)} tests, inspections and outside analyses planned", LABORATORY, files))
    story.take_assumptions("2026-05-08", "assumptions A-001 to A-013, to be accepted")
    story.take(PROJECT_ENGINEER, "calculations planned", story.sources("calculations/*.toml"))
    story.register_documents("2026-05-12")
    story.answer("2")
    story.concede(
        "2.12", "editions of N-009, N-016, N-042, N-049 and N-053 not confirmed; of N-016, ISO 2230, the publisher has a new "
        "edition in proof", "wording of methods, storage and marking; no limit rests on these editions", "2027-03-31", "B-007",
    )  # fmt: skip
    story.sign_if_ready("2", PROJECT_ENGINEER, "J. Adeyemi")


def tell_design(story: Builder) -> None:
    for day in _acceptance_days(story, until="2026-08-05"):
        story.take_assumptions(day, f"assumptions accepted on {day}")
    story.register_documents("2026-08-05")
    story.set("V2", "drawing_index", "B", PROJECT_ENGINEER)
    story.on("2026-08-12")
    story.put(LABORATORY, "prototype part P-200", "specimens.toml", {"specimen": of_evidence.prototype()})
    story.as_made(entry["id"] for entry in of_evidence.prototype())
    story.on("2026-08-14")
    story.calculate(PROJECT_ENGINEER, *COST_RUNS)
    story.register_documents("2026-08-31")
    _finish(story, [item for item in plan.RELEASED if item.way == "analysis"])


def tell_tests(story: Builder) -> None:
    story.on("2026-09-09")
    story.put(LABORATORY, "parts and test pieces with batch and heat", "specimens.toml", {"specimen": of_evidence.specimens()})
    story.as_made(entry["id"] for entry in of_evidence.specimens())
    story.put(LABORATORY, "machines and gauges", "equipment.toml", {"equipment": of_evidence.equipment()})
    tested = [item for item in plan.RELEASED if item.way != "analysis"]
    days = {item.done: "values" for item in tested} | {item.day: "curves" for item in plan.CURVES}
    with tempfile.TemporaryDirectory() as folder:
        for day in sorted(days):
            _tell_between(story, day)
            story.on(day, 16)
            for item in (item for item in plan.CURVES if item.day == day):
                _measure(story, item, Path(folder))
            if finished := [item for item in tested if item.done == day and not isinstance(item, Recorded)]:
                _finish(story, finished)
            for item in (item for item in tested if item.done == day and isinstance(item, Recorded)):
                _record(story, item, Path(folder))


def _tell_between(story: Builder, day: str) -> None:
    """What others recorded before this day of the tests."""
    if day >= "2026-10-02" and story.opened.project.find("cost") is None:
        story.register_documents("2026-10-01")
        story.on("2026-10-02", 9)
        story.take("P. Novak", "cost of reference part and V2", ["cost.toml"])
        story.calculate("P. Novak")
    if day >= "2026-10-20" and not story.opened.project.get("A-012").accepted_by:
        story.take_assumptions("2026-10-19", "A-012 accepted on the test of the bare pin, E-055")


def _measure(story: Builder, item: Curves, folder: Path) -> None:
    found = curves.write_curves(item, folder)
    title, low, high, compliance, _ = of_evidence.WINDOWS[item.scheme]
    unit = "N" if item.quantity in ("radial", "axial") else "N·mm"
    change = measured.new_scheme(
        story.opened.project, item.scheme, found[0][1], title, f"{low} {unit}", f"{high} {unit}", LABORATORY,
        fixture_compliance=compliance, fixture_source=BLANK_TEST,
    )  # fmt: skip
    story.record(change)
    story.put(LABORATORY, f"{item.id} {item.title}: tested", f"evidence/{item.id}.toml", of_evidence.curves_item(item))
    first = {item.loose: curves.loose_file(item, folder)} if item.loose else {}
    pairs = [f"{specimen}={first.get(specimen, path)}" for specimen, path in found]
    story.record(measured.import_curves(story.opened.project, item.id, pairs, LABORATORY))
    if item.loose:
        _repeat(story, item, dict(found)[item.loose])
    story.record(evaluate_items(story.opened.project, [item.id], LABORATORY, story.time))
    if item.scheme == "RS-01":
        rates = rates_of_item(story.opened.project, item.id, SIMULATED, seed=1)
        story.record(keep_rates(story.opened.project, item.id, rates, LABORATORY, story.time.date().isoformat()))


def _repeat(story: Builder, item: Curves, file: Path) -> None:
    """The run in the loose fixture is left out with its reason and stays; its repetition counts."""
    place = next(at for at, s in enumerate(story.opened.project.raw[item.id]["samples"]) if s["specimen"] == item.loose)
    story.set(item.id, f"samples.{place}.left_out", item.left_out, LABORATORY)
    story.record(measured.import_curves(story.opened.project, item.id, [f"{item.loose}={file}"], LABORATORY))


def _record(story: Builder, item: Recorded, folder: Path) -> None:
    """Harmonic, endurance or press records with their scheme, and what was seen."""
    found = curves.write_recorded(item, folder)
    if story.opened.project.find(item.scheme) is None:
        change = measured.new_scheme(
            story.opened.project, item.scheme, found[0][1], item.scheme_title, "", "", LABORATORY,
            kind="press" if item.forces else item.quantity, settings=item.settings,
        )  # fmt: skip
        story.record(change)
    story.put(LABORATORY, f"{item.id} {item.title}: tested", f"evidence/{item.id}.toml", of_evidence.item(item))
    pairs = [f"{specimen}={path}" for specimen, path in found]
    story.record(measured.import_curves(story.opened.project, item.id, pairs, LABORATORY))
    if any((seen := of_evidence.seen_of(item)).values()):
        raw = copy.deepcopy(story.opened.project.raw[item.id])
        for sample in raw["samples"]:
            sample |= seen[sample["specimen"]]
        story.record(replace_record(story.opened.project, item.id, raw, f"{item.id} what was seen", LABORATORY))
    story.record(evaluate_items(story.opened.project, [item.id], LABORATORY, story.time))


def _finish(story: Builder, items: list[Item]) -> None:
    """Record what items found and evaluate them."""
    files = {f"evidence/{item.id}.toml": dump_document(of_evidence.item(item)) for item in items}
    told = "; ".join(f"{item.id} {item.title}: {item.state}" for item in items)
    story.record(Change(told, LABORATORY, files))
    if ids := [item.id for item in items if item.state == "finished"]:
        story.record(evaluate_items(story.opened.project, ids, LABORATORY, story.time))


def tell_cost(story: Builder) -> None:
    story.register_documents("2026-10-30")
    words = "earned back within the 96 000 planned pieces at the middle and the high worth of a kilogram, not at the low one"
    story.record(add_remark(story.opened.project, "C-011", words, "P. Novak", "5", story.time))
    answered = "accepted: the customer's platform decides, and the piece costs no more than before; R. Hale, 2026-10-30"
    story.set("step-5", "note.0.answered", answered, "R. Hale")
    story.answer("5")
    story.sign_if_ready("5", PROJECT_ENGINEER, "P. Novak", "J. Adeyemi")


def tell_release(story: Builder) -> None:
    entered = without(story.source("cautions.toml"), "caution", "reviewed_by", "reviewed_on")
    story.put(PROJECT_ENGINEER, "cautions K-01 to K-10", "cautions.toml", entered)
    story.register_documents("2026-11-03")
    story.concede(
        "3.5", "with all causes unfavourable the push-out of C-009 falls below R-021 and R-023; all parts measured new hold "
        "R-021 (E-013), and the retaining ring alone holds R-048 (E-054)", "first 5 000 joints", "2027-06-30", "B-013",
    )  # fmt: skip
    story.concede(
        "3.17", "C-015 finds L-03 and blocks 3 to 5 of L-07 beyond what a linear layer can tell; parts bore both in test, "
        "E-019 the overload and E-022 the programme", "the load cases L-03 and L-07 as they are", "2027-06-30", "B-013",
    )  # fmt: skip
    story.answer("3")
    story.sign_if_ready("3", PROJECT_ENGINEER, "J. Adeyemi", "S. Brandt")
    story.answer("4")
    story.sign_if_ready("4", LABORATORY, PROJECT_ENGINEER, "J. Adeyemi")
    story.take(PROJECT_ENGINEER, "cautions as S. Brandt reviewed them", ["cautions.toml"])
    story.concede(
        "R-023", "push-out at −35 °C stays below its limit (E-015); the retaining ring alone holds R-048 in the cold (E-054), "
        "and caution K-09 keeps the joint from vehicles in winter service",
        "at least 16 kN, first 5 000 joints, vehicles without winter service", "2027-06-30", "B-013",
    )  # fmt: skip
    story.answer("2", only="2.13")
    story.sign_if_ready("2", PROJECT_ENGINEER, "J. Adeyemi")
    story.register_documents("2026-11-05")
    story.concede(
        "6.5", "as D-001: editions of N-009, N-016, N-042, N-049 and N-053 not confirmed",
        "wording of methods, storage and marking; no limit rests on these editions", "2027-03-31", "B-014",
    )  # fmt: skip
    story.answer("6")
    story.on("2026-11-06")
    story.sign_if_ready("6", PROJECT_ENGINEER, "J. Adeyemi", "S. Brandt", "R. Hale")
    if standing(story.opened.view).steps[5].state == "closed":
        story.freeze("R. Hale")


def tell_next(story: Builder) -> None:
    """Work on B: rings in the upper half of their tolerance. Three parts decide neither cold nor slip, hot is to be tested."""
    story.register_documents("2026-11-09")
    design = story.source("designs/V2.toml") | {"drawing_index": "C"}
    design["carrier"]["outer_radius"] = 38.09
    design["tolerances"]["carrier.outer_radius"] = {"lower": 0.0, "upper": 0.01}
    told = "V2 index C: rings in the upper half of the tolerance of R-003"
    story.put(PROJECT_ENGINEER, told, "designs/V2.toml", design)
    records = {item.id: of_evidence.item(item) for item in plan.NEXT} | {one.id: trouble.item(one) for one in trouble.TROUBLES}
    files = {f"evidence/{name}.toml": dump_document(_planned(record)) for name, record in records.items()}
    story.record(Change("five tests planned, rings in the upper half of the tolerance", LABORATORY, files))
    story.on("2026-11-11")
    for entry in of_evidence.next_specimens():
        story.record(add_record(story.opened.project, "specimen", entry, LABORATORY))
    done = [item for item in plan.NEXT if item.state == "finished"]
    for day in sorted({item.done for item in done} | {one.day for one in trouble.TROUBLES}):
        story.on(day, 16)
        if items := [item for item in done if item.done == day]:
            _finish(story, items)
        for one in (one for one in trouble.TROUBLES if one.day == day):
            _trouble(story, one)
    older = [name for name, fresh in story.opened.view.evidence_freshness.items() if fresh.older]
    words = "rings of index C lie within the tolerance of index B; pin, rubber, bolts and bond are as they were"
    story.on("2026-11-24")
    story.record(carry_over(story.opened.project, older, words, LABORATORY, "2026-11-24"))


def _trouble(story: Builder, one: trouble.Trouble) -> None:
    story.put(LABORATORY, f"{one.id} {one.title}: tested", f"evidence/{one.id}.toml", trouble.item(one))
    with tempfile.TemporaryDirectory() as folder:
        pairs = [f"{part}={path}" for part, path in trouble.write(one, Path(folder))]
        story.record(measured.import_curves(story.opened.project, one.id, pairs, LABORATORY))
    story.record(evaluate_items(story.opened.project, [one.id], LABORATORY, story.time))


def _acceptance_days(story: Builder, until: str) -> list[str]:
    found = {entry.get("accepted_on", "") for entry in story.source("assumptions.toml")["assumption"]}
    return sorted(day for day in found if "" < day <= until)


def _items() -> list[dict[str, Any]]:
    return [*(of_evidence.curves_item(item) for item in plan.CURVES), *(of_evidence.item(item) for item in plan.RELEASED)]


def _planned(item: dict[str, Any]) -> dict[str, Any]:
    """The item as it was before anything was tested."""
    later = ("samples", "started_on", "done_on", "operator", "reason", "order", "temperature", "conditioning", "rest", "scheme",
             "equipment", "documents", "statement", "budget", "repeats", "related_to")  # fmt: skip
    return {name: value for name, value in item.items() if name not in later} | {"state": "planned"}


SCENE = Scene("axle-link", "2026-03-18", AXLE_LINK, ANSWERS, PAPERS, tell)
