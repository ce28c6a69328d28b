"""Answers, concessions and remarks: what is kept, by whom, and what is refused."""

from __future__ import annotations

from datetime import date

import pytest
import small_project as small

from dossier.actions.answer import add_remark, answer_check, concede
from dossier.actions.edit import add_record, set_field
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.checks.base import check_states, check_texts
from dossier.checks.view import View
from dossier.store.change import Change
from dossier.store.project import NoRecord

ME, OTHER = small.ENGINEER, small.REVIEWER
BEFORE = "deviation before manufacture"


def state(opened: Opened, check: str) -> str:
    return check_states(opened.view)[check].state


def conceded(opened: Opened, target: str, until: str = "2026-12-31", **more: str) -> Change:
    return concede(opened.view, target, BEFORE, "parts are made", "50 pieces", until, OTHER, now=small.NOW, **more)


def test_an_answer_is_kept_in_the_file_of_its_step_and_the_last_one_counts(opened: Opened) -> None:
    assert state(opened, "1.5") == "open"
    change = answer_check(opened.view, "1.5", "met", ME, now=small.NOW)
    assert (change.message, change.paths) == ("check 1.5 answered: met", ["steps/1-idea.toml"])
    opened.record(change)
    assert state(opened, "1.5") == "met"
    opened.record(answer_check(opened.view, "1.5", "not met", ME, "bolts changed", now=small.NOW))
    assert state(opened, "1.5") == "not met"
    answers = opened.project.step("1").answer
    assert [(a.answer, a.by, a.on, a.remark) for a in answers] == [
        ("met", ME, "2026-03-02T09:30:00Z", ""), ("not met", ME, "2026-03-02T09:30:00Z", "bolts changed"),
    ]  # fmt: skip
    assert not hasattr(opened.project.step("1"), "state"), "states are computed, never stored"


def test_answers_that_are_refused(opened: Opened) -> None:
    for check, answer, person, remark, words in (
        ("9.9", "met", ME, "", "no check 9.9; `dossier status` lists them by step"),
        ("1.1", "met", ME, "", "check 1.1 is computed from the records; it cannot be answered, only conceded"),
        ("1.5", "yes", ME, "", 'answer = "yes" must be met or not met'),
        ("1.5", "not met", ME, "  ", "a check answered with not met needs a remark that says why; add it"),
        ("1.5", "met", "Z. Nobody", "", "Z. Nobody is not among the project's people (A. Berg, B. Lind"),
        ("1.5", "met", OTHER, "", "check 1.5 asks PE (A. Berg); B. Lind is RV"),
        ("1.5", "met", ME, "a\x00b", "answer.0.remark holds the control character U+0000; remove it"),
    ):
        with pytest.raises(Refusal) as caught:
            answer_check(opened.view, check, answer, person, remark)
        assert words in str(caught.value)


def test_a_confirmation_is_of_what_was_computed_then(opened: Opened) -> None:
    confirmed = next(text.id for text in check_texts().values() if text.kind == "confirmed" and text.step == "1")
    opened.record(answer_check(opened.view, confirmed, "met", ME, now=small.NOW))
    answer = opened.project.step("1").answer[-1]
    assert answer.basis_sha256 == check_states(opened.view)[confirmed].computed.basis_sha256


def test_a_concession_counts_until_its_day_and_no_longer(opened: Opened) -> None:
    opened.record(set_field(opened.project, "R-001", "limit.max", "1 kg", ME))
    from dossier.actions.run import run_calculations

    opened.record(run_calculations(opened.project, ["C-001"], ME, small.NOW))
    assert opened.view.verdicts["R-001"].state == "not met"
    change = conceded(opened, "R-001")
    assert change.message == 'R-001 conceded until 2026-12-31: "parts are made"'
    assert change.paths == ["steps/6-release.toml"]
    opened.record(change)
    for today, expected in ((date(2026, 12, 31), "conceded"), (date(2027, 1, 1), "not met")):
        found = View(opened.project, today).verdicts["R-001"]
        assert (found.state, found.before_concession) == (expected, "not met" if expected == "conceded" else "")
    (entry,) = opened.project.step("6").concession
    assert (entry.id, entry.limit, entry.by, entry.kind) == ("D-001", "50 pieces", OTHER, BEFORE)


def test_a_check_is_conceded_in_its_own_step(opened: Opened) -> None:
    opened.record(conceded(opened, "1.1"))
    assert opened.project.places["step-1"].path == "steps/1-idea.toml"
    assert check_states(opened.view)["1.1"].state in ("conceded", "open")
    opened.record(conceded(opened, "R-012", step="4"))
    assert [c.id for step in ("1", "4") for c in opened.project.step(step).concession] == ["D-001", "D-002"]


def test_concessions_that_are_refused(opened: Opened) -> None:
    for target, until, words in (
        ("R-001", "2026-03-01", "until = 2026-03-01 lies in the past; give a later date"),
        ("R-001", "31.12.2026", 'until = "31.12.2026" is no date; write it as 2027-03-31'),
        ("R-001", "20261231", 'concession.0.until = "20261231" is no date; write it as 2027-03-31'),
        ("V1", "2026-12-31", "V1 is neither a requirement nor a check; concede the requirement it serves"),
    ):
        with pytest.raises(Refusal) as caught:
            conceded(opened, target, until)
        assert words in str(caught.value)
    with pytest.raises(NoRecord, match="R-099 names no record"):
        conceded(opened, "R-099")
    with pytest.raises(Refusal, match=r"step = 7 must be one of 1, 2, 3, 4, 5, 6"):
        conceded(opened, "R-001", step="7")
    with pytest.raises(Refusal, match="is not among the project's people"):
        concede(opened.view, "R-001", BEFORE, "r", "l", "2026-12-31", "Z. Nobody", now=small.NOW)
    for field, arguments in (("reason", ("", "all 5 parts")), ("limit", ("late", ""))):
        with pytest.raises(Refusal, match=f"concession.0.{field} is empty; fill it in"):
            concede(opened.view, "R-001", BEFORE, *arguments, "2026-12-31", OTHER, now=small.NOW)
    with pytest.raises(Refusal, match='concession.0.kind = "any" is none of'):
        concede(opened.view, "R-001", "any", "r", "5 parts", "2026-12-31", OTHER, now=small.NOW)


def test_a_limit_on_a_requirement_holds_a_number_and_its_document_is_registered(opened: Opened) -> None:
    with pytest.raises(Refusal, match='limit = "y" holds no number; say up to which value or how many parts'):
        concede(opened.view, "R-001", BEFORE, "late", "y", "2026-12-31", OTHER, now=small.NOW)
    with pytest.raises(Refusal, match=r"document = B-099 is not in documents.toml \(.*\); register it first"):
        conceded(opened, "R-001", document="B-099")
    opened.record(add_record(opened.project, "document", {"id": "B-099", "title": "Letter", "kind": "minutes"}, ME))
    opened.record(conceded(opened, "R-001", document="B-099"))
    assert opened.project.step("6").concession[0].document == "B-099"


def test_a_concession_on_a_check_covers_the_findings_it_was_given_for(opened: Opened) -> None:
    """What is found later is not conceded, and is told as later."""
    opened.record(set_field(opened.project, "R-012", "conditions.text", "", ME))
    before = [finding.found for finding in check_states(opened.view)["2.1"].findings]
    assert before and state(opened, "2.1") == "not met"
    opened.record(conceded(opened, "2.1"))
    assert opened.project.step("2").concession[0].findings == before
    assert state(opened, "2.1") == "conceded"
    opened.record(set_field(opened.project, "R-001", "statement", "The joint is light.", ME))
    found = check_states(opened.view)["2.1"]
    assert found.state == "not met"
    assert {finding.record for finding in found.findings} == {"R-001"}
    assert all("(D-001 was given before this was found)" in finding.remedy for finding in found.findings)


def test_the_number_of_a_concession_is_never_given_twice(opened: Opened) -> None:
    opened.record(conceded(opened, "R-001"))
    path = opened.folder.root / "steps/6-release.toml"
    path.write_text(path.read_text("utf-8").replace("D-001", "D-007"), "utf-8")
    again = small.reopen(opened.folder.root)
    again.folder.record_foreign(["steps/6-release.toml"], ME)
    again.reload()
    again.record(conceded(again, "1.1"))
    assert again.project.step("1").concession[0].id == "D-008"


def test_a_remark_stands_on_a_record_or_a_check(opened: Opened) -> None:
    change = add_remark(opened.project, "R-001", "See clause 4.", OTHER, "2", small.NOW)
    assert change.message == 'R-001 remark "See clause 4."'
    opened.record(change)
    opened.record(add_remark(opened.project, "1.5", "Ask.", OTHER, "2", small.NOW))
    assert [(note.on_record, note.by) for note in opened.project.step("2").note] == [("R-001", OTHER), ("1.5", OTHER)]
    with pytest.raises(NoRecord):
        add_remark(opened.project, "R-099", "x", OTHER, "2")
    with pytest.raises(Refusal, match="note.2.text is empty; fill it in"):
        add_remark(opened.project, "R-001", "", OTHER, "2")
    with pytest.raises(Refusal, match="is not among the project's people"):
        add_remark(opened.project, "R-001", "x", "Z. Nobody", "2")
