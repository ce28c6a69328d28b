"""Each demo tells one story: nothing happens before what it rests on, and no part is tested after it was used up."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from dossier.store.history import open_history
from dossier.store.tomlfile import parse_document
from tests.demo.contradictions import Files, contradictions, dates_of, records
from tests.demo.documents_axle_link import PAPERS
from tests.demo.documents_four_point_link import PAPERS as EARLY_PAPERS
from tests.demo.papers import Paper

PROJECTS = Path(__file__).parents[2] / "projects"
DEMO, EARLY = PROJECTS / "axle-link", PROJECTS / "four-point-link"
RELEASED = DEMO / "revisions" / "A"


def _files(root: Path) -> Files:
    paths = (path for path in root.rglob("*.toml") if root == RELEASED or "revisions" not in path.parts)
    return {path.relative_to(root).as_posix(): parse_document(path.read_bytes(), str(path)) for path in paths}


@pytest.fixture(scope="module")
def files() -> Files:
    return _files(DEMO)


History = list[tuple[str, str, dict[str, Any]]]


def _history(root: Path) -> History:
    """Every file as each change left it: (day, path, document), from the first change on."""
    kept, state = open_history(root / "history.git")
    assert state.status == "ok", state.reason
    found = []
    for entry in reversed(list(kept.log())):
        for path in (path for path in entry.paths if path.endswith(".toml")):
            content = kept.read_at(entry.id, path)
            if content is not None:
                found.append((entry.time[:10], path, parse_document(content, path)))
    assert found
    return found


@pytest.fixture(scope="module", params=[DEMO, EARLY], ids=["axle link", "four-point link"])
def history(request: pytest.FixtureRequest) -> History:
    return _history(request.param)


# Work on B went on with a machine past its calibration, which check 4.4 catches.
PAST = {"E-062 from 2026-11-20: Q-009 was calibrated on 2025-10-31"}


@pytest.mark.parametrize(
    ("root", "papers", "meant"), [(DEMO, PAPERS, PAST), (RELEASED, PAPERS, set()), (EARLY, EARLY_PAPERS, set())],
    ids=["work", "revision A", "just begun"],
)  # fmt: skip
def test_the_demo_contradicts_itself_only_where_it_is_meant_to(root: Path, papers: tuple[Paper, ...], meant: set[str]) -> None:
    assert set(contradictions(_files(root), papers)) == meant


def test_nothing_was_recorded_before_it_happened(history: History) -> None:
    late = [(day, path, stated) for day, path, document in history for stated in dates_of(document) if stated > day]
    assert late == []


def test_a_caution_was_entered_before_it_was_reviewed() -> None:
    entered: dict[str, str] = {}
    for day, path, document in _history(DEMO):
        for caution in document.get("caution", []) if path == "cautions.toml" else []:
            first = entered.setdefault(caution["id"], day)
            assert first <= caution.get("reviewed_on", day), caution["id"]
            assert first < day or "reviewed_on" not in caution, caution["id"]
    assert entered


def test_no_change_was_recorded_at_a_weekend(history: History) -> None:
    assert [day for day, _, _ in history if date.fromisoformat(day).weekday() > 4] == []


def test_signatures_come_after_what_they_sign() -> None:
    """Each signature of revision A is later than every answer, concession and result among its records."""
    found = _files(RELEASED)
    known = records(found)
    last = {}
    for path in (RELEASED / "signoffs").glob("*.json"):
        signed = json.loads(path.read_text("utf-8"))
        last[signed["step"], signed["person"]] = max(signed["signed_at"], last.get((signed["step"], signed["person"]), ""))
    assert len(last) >= 14
    for (step, person), moment in last.items():
        answered = [entry["on"] for name in (f"step-{step}",) for key in ("answer", "concession")
                    for entry in known.get(name, {}).get(key, [])]  # fmt: skip
        results = [record["result"]["computed_at"] for record in known.values() if "result" in record]
        wanted = answered + (results if step == "6" else [])
        assert all(stated <= moment for stated in wanted), (step, person)


def _set(path: str, *steps: str | int, to: object) -> Callable[[Files], None]:
    def change(files: Files) -> None:
        place = files[path]
        for step in steps[:-1]:
            place = place[step]
        place[steps[-1]] = to

    return change


def _specimen(name: str, field: str, to: object) -> Callable[[Files], None]:
    return lambda files: records(files)[name].update({field: to})


def _answer(check: str, remark: str) -> Callable[[Files], None]:
    def change(files: Files) -> None:
        steps = (document for path, document in files.items() if path.startswith("steps/"))
        next(a for step in steps for a in step["answer"] if a["check"] == check)["remark"] = remark

    return change


def _swap_part(item: str, part: str) -> Callable[[Files], None]:
    return _set(f"evidence/{item}.toml", "samples", 0, "specimen", to=part)


WRONG = [
    ("cured after the test", _specimen("P-211", "cured_on", "2026-10-20"), "P-211 was cured on 2026-10-20"),
    ("calibrated after the test", _set("equipment.toml", "equipment", 0, "channel", 0, "calibrated_on", to="2026-10-02"),
     "Q-001 was calibrated on 2026-10-02"),
    ("torn, then tested", _swap_part("E-016", "P-221"), "P-221 is used up in E-013 and tested again in E-016"),
    ("in two tests at once", _swap_part("E-041", "P-231"), "P-231 is in E-040 until 2026-10-01 and in E-041"),
    ("aged for a day", _set("evidence/E-014.toml", "started_on", to="2026-10-05"), "E-014 took 1 days, its procedure names 7"),
    ("one part too few", lambda files: files["evidence/E-014.toml"]["samples"].pop(), "E-014: (2, 0) parts tested"),
    ("evaluated before", _set("evidence/E-022.toml", "result", "computed_at", to="2026-10-01T08:00:00Z"), "E-022 was evaluated"),
    ("computed before accepted", _set("calculations/C-008.toml", "result", "computed_at", to="2026-06-30T08:00:00Z"),
     "A-003 accepted on 2026-07-08"),
    ("computed before the price", _set("calculations/C-011.toml", "result", "computed_at", to="2026-08-28T08:00:00Z"),
     "with prices of 2026-10-01"),
    ("agreed on another day", _set("requirements/3-strength.toml", "requirement", 0, "agreed", "on", to="2026-05-04"),
     "agreed on 2026-05-04 in B-006"),
    ("approved before the letter", _answer("6.14", "approved, letter B-099"), "6.14 names B-099, which is no record"),
    ("tells of tomorrow", _answer("6.14", "approved on 2026-11-19"), "tells of 2026-11-19"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "told"), [row[1:] for row in WRONG], ids=[row[0] for row in WRONG])
def test_a_contradiction_is_found(files: Files, change: Callable[[Files], None], told: str) -> None:
    wrong = copy.deepcopy(files)
    change(wrong)
    found: Iterator[str] = iter(contradictions(wrong, PAPERS))
    assert any(told in line for line in found)
