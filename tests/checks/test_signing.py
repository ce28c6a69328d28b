"""States of sign-offs and the policy, on projects in memory signed with real keys."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from check_case import Case
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from dossier.checks.policy import authored_places, covered_records, may_sign_own, step_policy
from dossier.checks.signing import missing_roles, names_revision, signoff_states
from dossier.records.collections import COLLECTIONS
from dossier.records.header import ROLE_NAMES
from dossier.records.signoff import SignOff
from dossier.records.step import STEPS
from dossier.store.signed import read_signoffs, signed_bytes

PE, RV = "M. Olsen", "J. Adeyemi"


@pytest.fixture
def signed(case: Case) -> Case:
    """Step 2 of the demonstration project, released by both of its roles."""
    case.signoffs.clear()
    case.sign("2", "PE", PE)
    case.sign("2", "RV", RV)
    return case


def faults(case: Case) -> list[list[str]]:
    return [state.faults for state in signoff_states(case.project)]


def test_every_kind_of_record_is_covered_by_exactly_one_step() -> None:
    covered = [kind for step in STEPS for kind in step_policy(step).covers]
    assert sorted(covered) == sorted({c.kind for c in COLLECTIONS} - {"step"}), "steps cover their own answers"


def test_every_step_is_signed_by_known_roles_and_by_a_second_person() -> None:
    for step in STEPS:
        signs = step_policy(step).signs
        assert set(signs) <= set(ROLE_NAMES) - {"AU"} and len(set(signs)) == len(signs)
        assert any(not may_sign_own(role) for role in signs), "somebody who wrote none of it"
    assert "RL" in step_policy("6").signs and not may_sign_own("RL")
    assert not may_sign_own("AU") and not may_sign_own("no such role")


def test_each_record_is_signed_in_one_step_only(case: Case) -> None:
    project = case.project
    seen: list[str] = [name for step in STEPS for name in covered_records(project, step)]
    assert sorted(seen) == sorted(project.records), "none left out, none twice"


def test_a_calculation_belongs_to_the_step_of_its_method(case: Case) -> None:
    case.documents["calculations/C-990.toml"] = {"id": "C-990", "title": "x", "method": "no.such"}
    assert "C-990" in covered_records(case.project, "3")
    costs = [c.id for c in case.project.calculations if c.method.startswith("cost.")]
    assert all(name in covered_records(case.project, "5") for name in costs)


def test_answers_have_no_author_that_four_eyes_would_count(case: Case) -> None:
    case.documents["steps/2-requirements.toml"] = {"id": "step-2", "step": "2"}
    places = authored_places(case.project, ["R-001", "step-2", "R-999"])
    assert set(places) == {"R-001"}


def test_two_good_sign_offs(signed: Case) -> None:
    states = signoff_states(signed.project)
    assert [(state.state, state.faults, state.counts) for state in states] == [("valid", [], True)] * 2
    assert missing_roles(states, "2") == []
    assert missing_roles(states, "1") == ["PE", "RV"]


def test_a_person_who_is_gone_or_lost_the_role_or_the_key(signed: Case) -> None:
    people = signed["project"]["people"]
    entry = next(person for person in people if person["name"] == RV)
    entry["roles"] = ["TL"]
    assert faults(signed) == [[], ["J. Adeyemi has not the role RV"]]
    entry["roles"], key = ["RV"], entry.pop("public_key")
    assert faults(signed) == [[], ["J. Adeyemi has no public key in project.toml"]]
    entry["public_key"] = key[::-1] if key != key[::-1] else "0" * 64
    assert faults(signed)[1][0].startswith("was signed with key ")
    people.remove(entry)
    assert faults(signed) == [[], ["J. Adeyemi is not among the project's people"]]
    assert missing_roles(signoff_states(signed.project), "2") == ["RV"]


def test_own_work_counts_against_a_reviewer_and_not_against_an_engineer(case: Case) -> None:
    case.signoffs.clear()
    case.sign("2", "PE", PE, own=["R-001"])
    case.sign("2", "RV", RV, own=["R-001"])
    assert faults(case) == [[], ["J. Adeyemi wrote R-001; RV may not sign own work"]]


def test_another_key_under_the_same_statement(signed: Case) -> None:
    stored = signed.signoffs[1]
    signed.signoffs[1] = replace(stored, signature=Ed25519PrivateKey.generate().sign(stored.data))
    assert faults(signed) == [[], ["its signature does not match its bytes: one of the two was altered"]]


def test_the_order_is_of_numbers_not_of_clocks_or_names(signed: Case) -> None:
    files = {}
    for number, stored in zip((9, 10), signed.signoffs, strict=True):
        raw = json.loads(stored.data) | {"id": f"S-{number}", "signed_at": f"2026-01-{20 - number:02d}T00:00:00Z"}
        files[f"signoffs/S-{number}.json"] = signed_bytes(SignOff.model_validate(raw))
        files[f"signoffs/S-{number}.sig"] = stored.signature
    found, problems = read_signoffs(files)
    assert ([stored.signoff.id for stored in found], problems) == (["S-9", "S-10"], [])


def test_files_that_are_no_sign_off(signed: Case) -> None:
    stored = signed.signoffs[0]
    bad = {
        "a": (b"", "is not readable as JSON"), "b": (b"\xff", "is not readable as JSON"), "c": (b"[]", "must be a table"),
        "d": (b"{}", "is missing"), "e": (b'{"a": NaN}', "holds|not a finite number|is not a field"),
        "f": (stored.data.replace(b'"step":"2"', b'"step":"9"'), "step = "), "g": (b"[" * 99999, "is not readable as JSON"),
    }  # fmt: skip
    found, problems = read_signoffs({f"signoffs/{name}.json": data for name, (data, _) in bad.items()})
    assert found == []
    for name, (_, words) in bad.items():
        told = [text for path, text in problems if path == f"signoffs/{name}.json"]
        assert told and any(word in text for word in words.split("|") for text in told), (name, told)


@pytest.mark.parametrize(("named", "is_revision"), [("A", True), ("AB", True), ("S-001", False), ("", False), ("a", False)])
def test_what_a_withdrawal_names(named: str, is_revision: bool) -> None:
    assert names_revision(named) == is_revision
