"""6.1: steps 1 to 5 closed, signed by every role, unchanged since. Sign-offs are real, with real keys.

What the checks of the steps say is set here, so that the rule about signatures and changes is looked at alone.
"""

from __future__ import annotations

import pytest
from check_case import Case

from dossier.checks import release
from dossier.checks.base import CheckState, check_texts
from dossier.checks.policy import step_policy

SIGNERS = {"PE": "M. Olsen", "RV": "J. Adeyemi", "SF": "S. Brandt", "TL": "T. Lindqvist", "PU": "P. Novak"}


@pytest.fixture
def signed(case: Case, monkeypatch: pytest.MonkeyPatch) -> Case:
    """All checks of steps 1 to 5 met, and each step signed by the roles of the policy."""

    def all_met(view: object, steps: tuple[str, ...]) -> dict[str, CheckState]:
        return {text.id: CheckState(text, "met") for text in check_texts().values() if text.step in steps}

    monkeypatch.setattr(release, "check_states", all_met)
    for step in release.BEFORE:
        for role in step_policy(step).signs:
            case.sign(step, role, SIGNERS[role])
    return case


def test_met_when_all_steps_are_closed(signed: Case) -> None:
    found = signed.check("6.1")
    assert (found.state, found.findings) == ("met", [])
    assert found.facts[2] == "step 3 Design: closed"


def test_a_change_after_the_signature_reopens_and_signing_again_closes(signed: Case) -> None:
    signed["A-001"]["reason"] = "changed after the signature"
    found = signed.check("6.1")
    assert found.state == "not met"
    assert [(f.record, f.field, f.value) for f in found.findings] == [("step 3 Design", "state", "reopened")]
    assert "superseded by a change of A-001; sign again" in found.findings[0].remedy
    for role in step_policy("3").signs:
        signed.sign("3", role, SIGNERS[role])
    assert signed.check("6.1").state == "met"


def test_a_missing_role_is_named(signed: Case) -> None:
    signed.signoffs = [s for s in signed.signoffs if (s.signoff.step, s.signoff.role) != ("5", "PU")]
    finding = next(f for f in signed.check("6.1").findings if f.record == "step 5 Cost")
    assert "PU" in finding.remedy or "sign" in finding.remedy


def test_a_check_that_is_not_met_is_told(case: Case) -> None:
    case.sign("2", "PE", "M. Olsen")
    case["R-001"]["owner"] = ""
    told = {finding.record: str(finding) for finding in case.check("6.1").findings}
    assert "R-001.owner; is empty; fill it in" in told["step 2 Requirements"]
