"""Checks that a person confirms after they were computed: the confirmation holds for what was computed then."""

from __future__ import annotations

import pytest
from check_case import NOW, Case, nothing_to_do
from rows_cost import costed
from rows_design import measured_against_corrosion
from rows_release import sampled

from dossier.actions.answer import answer_check
from dossier.actions.run import with_changes
from dossier.checks.base import CheckState, check_states, check_texts

CONFIRMED = [text.id for text in check_texts().values() if text.kind == "confirmed"]


def state_of(case: Case, check: str) -> CheckState:
    return check_states(case.view)[check]


def asked(case: Case, check: str) -> str:
    role = check_texts()[check].role
    return next(person.name for person in case.project.header.people if role in person.roles)


def confirm(case: Case, check: str, answer: str = "met") -> None:
    change = answer_check(case.view, check, answer, asked(case, check), "read", NOW)
    case.documents = with_changes(case.project, change).documents


READY = {"3.9": measured_against_corrosion, "5.7": costed, "6.13": sampled}
CHANGES = {
    "1.8": lambda case: case["project"].update(annual_volume=9000),
    "2.13": lambda case: case["R-021"]["agreed"].update(document="minutes AX-76/04"),
    "3.9": lambda case: case["A-900"].update(statement="Rings in the eye of M-05 are anodised only."),
    "3.16": lambda case: case["C-008"]["result"].update(method_version=2),
    "5.7": lambda case: case["cost"]["footprint"]["line"][0].update(source="another data set"),
    "6.13": lambda case: case["B-921"].update(file="e" * 64),
}


@pytest.mark.parametrize("check", CONFIRMED)
def test_open_until_confirmed_then_met(case: Case, check: str) -> None:
    READY.get(check, nothing_to_do)(case)
    assert case.check(check).state == "met"
    assert state_of(case, check).state == "open"
    confirm(case, check)
    assert state_of(case, check).state == "met"


@pytest.mark.parametrize("check", CONFIRMED)
def test_nothing_to_confirm_stays_open(nothing: Case, check: str) -> None:
    nothing["project"]["people"] = [{"name": "J. Adeyemi", "roles": ["RV", "PE", "PU", "PR"]}]
    confirm(nothing, check)
    assert state_of(nothing, check).state == "open"


def test_an_answer_of_not_met_stands_against_the_computation(case: Case) -> None:
    confirm(case, "1.8", "not met")
    assert state_of(case, "1.8").state == "not met"


@pytest.mark.parametrize("check", CONFIRMED)
def test_a_change_of_what_was_confirmed_outdates_the_answer(case: Case, check: str) -> None:
    READY.get(check, nothing_to_do)(case)
    confirm(case, check)
    CHANGES[check](case)
    found = state_of(case, check)
    assert found.state == "outdated"
    assert found.findings[-1].field == f"answer {check}"
    assert f"met by {asked(case, check)}, 2026-11-20; was given to other facts than today's; read them" in str(found.findings[-1])
    confirm(case, check)
    assert state_of(case, check).state == "met"


def test_a_change_of_other_records_leaves_the_answer(case: Case) -> None:
    confirm(case, "3.16")
    case["M-01"]["remark"] = "another remark"
    case["C-008"]["title"] = "Pin of V2"
    assert state_of(case, "3.16").state == "met"


def test_methods_from_memory_are_named_with_their_calculations(case: Case) -> None:
    facts = case.check("3.16").facts
    assert any(fact.startswith("pin.bending in C-007, C-008: beam theory") for fact in facts)
    assert not any("mass.joint" in fact for fact in facts)
