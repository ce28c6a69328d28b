"""What cannot be read is shown with file, line and reason; the rest works, nothing is written over, no step closes."""

from __future__ import annotations

from pathlib import Path

import pytest
import small_project as small

from dossier.actions.answer import add_remark, answer_check, concede
from dossier.actions.edit import add_record, next_id, set_field, withdraw_record
from dossier.actions.opened import Opened, acting_person
from dossier.actions.people import add_person, register_key
from dossier.actions.refusal import Refusal
from dossier.actions.run import run_calculations
from dossier.checks import standing as standing_module
from dossier.checks.base import CheckState, check_texts
from dossier.checks.standing import standing
from dossier.store.project import NoRecord, project_from_documents

BROKEN = b'id = "C-001"\ntitle = "Mass\nmethod = "mass.joint"\n'


def write_foreign(opened: Opened, path: str, data: bytes) -> Opened:
    file = opened.folder.root / path
    file.parent.mkdir(exist_ok=True)
    file.write_bytes(data)
    return small.reopen(opened.folder.root)


def edited(opened: Opened, path: str, old: str, new: str) -> Opened:
    text = (opened.folder.root / path).read_text("utf-8")
    assert old in text
    return write_foreign(opened, path, text.replace(old, new, 1).encode())


def test_a_broken_file_is_told_with_line_and_reason_and_the_rest_is_there(opened: Opened) -> None:
    now = write_foreign(opened, "calculations/C-001.toml", BROKEN)
    assert [str(problem) for problem in now.project.problems] == [
        "calculations/C-001.toml line 2: not readable as TOML: Illegal character '\\n' at column 14"
    ]
    assert "C-001" not in now.project.records
    assert set(now.project.records) == set(opened.project.records) - {"C-001"}


def test_an_unknown_field_makes_its_record_unreadable_and_no_other(opened: Opened) -> None:
    now = edited(opened, "requirements/main.toml", 'title = "Demand R-002"', 'title = "Demand R-002"\ncolour = "red"')
    (problem,) = now.project.problems
    assert (problem.path, problem.record) == ("requirements/main.toml", "R-002")
    assert problem.text.startswith("colour is not a field of Requirement")
    assert [requirement.id for requirement in now.project.requirements] == ["R-001", "R-012"]


def test_an_id_used_twice_keeps_the_first_and_tells_the_second(opened: Opened) -> None:
    now = edited(opened, "loads.toml", 'id = "L-002"', 'id = "L-001"')
    (problem,) = now.project.problems
    assert str(problem) == "loads.toml: id L-001 is used in loads.toml too; renumber one of the two"
    assert now.project.get("L-001").title == "Overload"


@pytest.mark.parametrize(("taken", "kind"), [("project", "project"), ("idea", "idea"), ("step-3", "step"), ("cost", "cost")])
def test_an_id_that_is_kept_for_another_kind(taken: str, kind: str, opened: Opened) -> None:
    """Files are read in order of their names: without this rule assumptions.toml could take project.toml's place."""
    now = edited(opened, "assumptions.toml", 'id = "A-001"', f'id = "{taken}"')
    expected = f"id {taken} is kept for the {kind} record; give this assumption another id"
    assert [problem.text for problem in now.project.problems] == [expected]
    assert now.project.header.title == "Small joint"
    with pytest.raises(Refusal, match=f"{taken} is (kept for|used already)"):
        add_record(opened.project, "assumption", {"id": taken, "title": "x", "statement": "y", "choice": "z"}, "A. Berg")


def test_a_step_kept_in_two_files_is_told(opened: Opened) -> None:
    first = write_foreign(opened, "steps/1-idea.toml", b'id = "step-1"\nstep = "1"\n')
    now = write_foreign(first, "steps/one.toml", b'id = "one"\nstep = "1"\n')
    assert [str(problem) for problem in now.project.problems] == [
        "steps/one.toml: one: step 1 is kept in steps/1-idea.toml too; put both into one file"
    ]


def test_a_date_without_quotes_in_a_free_field_stops_nothing(opened: Opened) -> None:
    """Canonical JSON holds no date objects; a sign-off's list of records must not break on one."""
    now = edited(opened, "calculations/C-002.toml", "[inputs.force]", "[inputs.force]\non = 2026-01-31")
    assert [problem.text for problem in now.project.problems] == [
        'inputs.force.on = 2026-01-31 is a date without quotes; write it as "2026-01-31"'
    ]
    assert standing(now.view).answer


def test_nothing_is_written_over_a_file_that_cannot_be_read(opened: Opened) -> None:
    now = write_foreign(opened, "calculations/C-001.toml", BROKEN)
    now = write_foreign(now, "steps/1-idea.toml", b'id = "step-1"\nstep = "1"\nmood = "good"\n')
    now.folder.record_foreign([edit.path for edit in now.snapshot.foreign], small.ENGINEER)
    now = small.reopen(now.folder.root)
    assert now.snapshot.foreign == ()
    raw = {"id": "C-001", "title": "Mass", "method": "mass.joint", "design": "V1"}
    with pytest.raises(Refusal, match="cannot be read: calculations/C-001.toml line 2.*; mend it first"):
        add_record(now.project, "calculation", raw, small.ENGINEER)
    for change in (
        lambda: answer_check(now.view, "1.5", "met", small.ENGINEER),
        lambda: add_remark(now.project, "R-001", "See.", small.ENGINEER, "1"),
        lambda: concede(now.view, "1.1", "deviation before manufacture", "late", "all", "2027-01-31",
                        small.ENGINEER, now=small.NOW),
    ):  # fmt: skip
        with pytest.raises(Refusal, match="cannot be read: steps/1-idea.toml: step-1: mood is not a field"):
            change()
    with pytest.raises(NoRecord):
        set_field(now.project, "C-001", "title", "Mass", small.ENGINEER)
    with pytest.raises(NoRecord):
        withdraw_record(now.project, "C-001", small.ENGINEER)


def test_an_unreadable_neighbour_in_the_same_file_is_kept_as_it_is(opened: Opened) -> None:
    now = edited(opened, "requirements/main.toml", 'title = "Demand R-002"', 'title = "Demand R-002"\ncolour = "red"')
    now.folder.record_foreign(["requirements/main.toml"], small.ENGINEER)
    now = small.reopen(now.folder.root)
    now.record(set_field(now.project, "R-012", "limit.max", "50", small.ENGINEER))
    assert 'colour = "red"' in (now.folder.root / "requirements/main.toml").read_text("utf-8")
    assert now.project.get("R-012").limit.max == 50.0


def test_the_number_of_an_unreadable_record_is_not_given_again(opened: Opened) -> None:
    now = edited(opened, "requirements/main.toml", 'id = "R-012"', 'id = "R-050"\ncolour = "red"')
    assert next_id(now.project, "requirement") == "R-051"
    with pytest.raises(Refusal, match="id R-050 is used already; the next free one is R-051"):
        raw = small.requirement("R-050", "mass", "kg", {"kind": "max", "max": 1.0})
        add_record(now.project, "requirement", raw, small.ENGINEER, path="requirements/more.toml")


def test_calculations_run_beside_an_unreadable_file_and_leave_it_alone(opened: Opened) -> None:
    now = write_foreign(opened, "materials.toml", (opened.folder.root / "materials.toml").read_bytes() + b"x = [\n")
    before = small.bytes_of(now.folder.root)["materials.toml"]
    with pytest.raises(Refusal, match='pin.material = "M-001" names no record'):
        run_calculations(now.project, ["C-001"], small.ENGINEER)
    assert (now.folder.root / "materials.toml").read_bytes() == before


@pytest.mark.parametrize("data", [b"", b"title = 3\n", b"x = [", b'id = "project"\nformat = "one"\n', b"\xff\xfe"])
def test_a_project_without_readable_project_toml_still_opens(opened: Opened, data: bytes) -> None:
    now = write_foreign(opened, "project.toml", data)
    assert any(problem.path == "project.toml" for problem in now.project.problems)
    found = standing(now.view)
    assert found.title == "project without a readable project.toml"
    assert now.project.header.people == []
    assert acting_person(now.project.header, "A. Berg") == "A. Berg"
    for change in (
        lambda: register_key(now.project, small.ENGINEER, "ab" * 32),
        lambda: add_person(now.project, "G. Moe", ["AU"], small.ENGINEER),
        lambda: answer_check(now.view, "1.5", "met", small.ENGINEER),
    ):
        with pytest.raises((Refusal, NoRecord)):
            change()


PLACES = [
    ("concepts.toml", "1"), ("requirements/main.toml", "2"), ("loads.toml", "2"), ("designs/V1.toml", "3"),
    ("materials.toml", "3"), ("calculations/C-002.toml", "3"), ("specimens.toml", "4"), ("evidence/E-001.toml", "4"),
    ("cost.toml", "5"), ("steps/5-cost.toml", "5"), ("project.toml", "6"), ("cautions.toml", "6"),
    ("signoffs/S-001.json", "6"), ("requirements/main (1).toml", "2"),
]  # fmt: skip


@pytest.mark.parametrize(("path", "step"), PLACES)
def test_the_step_of_an_unreadable_file_cannot_close(
    opened: Opened, monkeypatch: pytest.MonkeyPatch, path: str, step: str
) -> None:
    def all_met(view: object, steps: tuple[str, ...] = ()) -> dict[str, CheckState]:
        return {text.id: CheckState(text, "met") for text in check_texts().values()}

    monkeypatch.setattr(standing_module, "check_states", all_met)
    monkeypatch.setattr(standing_module, "missing_roles", lambda signoffs, number: [])
    assert {found.state for found in standing(opened.view).steps} == {"closed"}
    found = {entry.number: entry for entry in standing(write_foreign(opened, path, b"colour = [").view).steps}
    assert {number for number, entry in found.items() if entry.state != "closed"} == {step}
    assert found[step].state == "in work"
    assert path in found[step].causes[0].text and found[step].causes[0].where == path


def test_documents_of_another_form_are_problems_not_errors() -> None:
    odd: list = [
        ("requirements/a.toml", {"requirement": "R-001"}, "requirement must be a list; write [[requirement]]"),
        ("requirements/a.toml", {"requirement": ["R-001"]}, "entry 1 must be a table of fields"),
        ("requirements/a.toml", {"demand": []}, "[demand] is unknown here; expected [[requirement]]"),
        ("requirements/a.toml", {"requirement": [{"id": 7}]}, "id = 7 must be text; put it in quotes"),
        ("notes.toml", {}, "is not a file of a project; remove it or correct its name"),
    ]
    for path, document, words in odd:
        project = project_from_documents(Path("none"), {path: document})
        assert any(words in str(problem) for problem in project.problems), (path, project.problems)
        assert project.records == {}


def test_a_newer_form_of_the_folder_opens_read_only(opened: Opened) -> None:
    now = edited(opened, "project.toml", "format = 1", "format = 2")
    words = "project.format = 2 is newer than 1, the form this version writes; update the tool, then change it"
    assert now.read_only == words
    assert words in [problem.text for problem in now.project.problems]
    change = set_field(now.project, "R-012", "limit.max", "50", small.ENGINEER)
    before = small.bytes_of(now.folder.root)
    for write in (lambda: now.record(change), lambda: now.undo(small.ENGINEER), lambda: now.redo(small.ENGINEER)):
        with pytest.raises(Refusal, match="newer than 1"):
            write()
    assert small.bytes_of(now.folder.root) == before
