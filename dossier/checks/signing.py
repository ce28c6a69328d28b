"""The state of each sign-off, and which roles have signed a step. Computed, never stored."""

from __future__ import annotations

from dataclasses import dataclass, field

from dossier.checks.policy import covered_records, may_sign_own, step_policy
from dossier.records.signoff import SignOff
from dossier.store.keys import KeyProblem, public_key_of, verifies
from dossier.store.project import Project
from dossier.store.signed import StoredSignOff

VALID, SUPERSEDED, WITHDRAWN = "valid", "superseded by a change", "withdrawn"


@dataclass
class SignOffState:
    """A sign-off as it stands. `changed` lists covered records that differ now, came or went."""

    signoff: SignOff
    state: str
    changed: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)

    @property
    def counts(self) -> bool:
        """Whether it closes its step for its role."""
        return self.state == VALID and not self.faults and self.signoff.decision == "released"


def signoff_states(project: Project) -> list[SignOffState]:
    """The state of every sign-off, in the order of their numbers.

    A release is withdrawn by a later sign-off without fault that names it, or that sends the same step back in the
    same role: the last decision of a role counts.
    """
    now = {step: covered_records(project, step) for step in {s.signoff.step for s in project.signoffs}}
    states: list[SignOffState] = []
    for position, stored in enumerate(project.signoffs):
        signoff = stored.signoff
        state = SignOffState(signoff, VALID, faults=_faults(project, stored, position))
        if signoff.decision == "released":
            state.changed = _changed(signoff.records, now[signoff.step])
            state.state = SUPERSEDED if state.changed else VALID
        elif not state.faults:
            _take_back(states, state)
        states.append(state)
    return states


def _take_back(before: list[SignOffState], state: SignOffState) -> None:
    """Apply a withdrawal, or a step sent back, to the sign-offs before it."""
    signoff = state.signoff
    taken = [earlier for earlier in before if takes_back(signoff, earlier.signoff)]
    for earlier in taken:
        earlier.state, earlier.changed = WITHDRAWN, []
    if signoff.decision == "withdrawn" and not taken and not names_revision(signoff.withdraws):
        state.faults.append(f'withdraws "{signoff.withdraws}", which is no earlier release of step {signoff.step}')


def takes_back(signoff: SignOff, earlier: SignOff) -> bool:
    """Whether `signoff` withdraws the release `earlier`, or sends its step back in the same role.

    A release is withdrawn by its signer or by somebody who signs the step in the same role.
    """
    if earlier.decision != "released" or earlier.step != signoff.step:
        return False
    if signoff.decision == "sent back":
        return earlier.role == signoff.role
    same = signoff.person == earlier.person or signoff.role == earlier.role
    return signoff.decision == "withdrawn" and signoff.withdraws == earlier.id and same


def names_revision(withdraws: str) -> bool:
    """Whether what is withdrawn is a frozen revision (its letter) rather than a sign-off."""
    return withdraws.isalpha() and withdraws.isupper()


def _changed(signed: dict[str, str], now: dict[str, str]) -> list[str]:
    return sorted(name for name in signed.keys() | now.keys() if signed.get(name) != now.get(name))


def _faults(project: Project, stored: StoredSignOff, position: int) -> list[str]:
    signoff = stored.signoff
    faults = [stored.fault] if stored.fault else []
    faults += _key_faults(project, stored)
    person = project.header.person(signoff.person)
    if person is not None and signoff.role not in person.roles:
        faults.append(f"{signoff.person} has not the role {signoff.role}")
    if signoff.decision == "released" and signoff.own_records and not may_sign_own(signoff.role):
        faults.append(f"{signoff.person} wrote {', '.join(signoff.own_records)}; {signoff.role} may not sign own work")
    before = project.signoffs[position - 1] if position else None
    named = signoff.before
    if (named is None) != (before is None) or (
        named and before and (named.id != before.signoff.id or named.sha256 != before.sha256)
    ):
        expected = before.signoff.id if before else "none"
        faults.append(f"names {named.id if named else 'none'} as the sign-off before it, found {expected}")
    return faults


def _key_faults(project: Project, stored: StoredSignOff) -> list[str]:
    signoff = stored.signoff
    person = project.header.person(signoff.person)
    if person is None:
        return [f"{signoff.person} is not among the project's people"]
    if not person.public_key:
        return [f"{signoff.person} has no public key in project.toml"]
    try:
        key = public_key_of(person.public_key)
    except KeyProblem as error:
        return [str(error)]
    if key.fingerprint != signoff.key_fingerprint:
        return [f"was signed with key {signoff.key_fingerprint[:16]}, {signoff.person} has {key.fingerprint[:16]}"]
    if not verifies(key, stored.signature, stored.data):
        return ["its signature does not match its bytes: one of the two was altered"]
    return []


def missing_roles(states: list[SignOffState], step: str) -> list[str]:
    """Roles whose sign-off of the step is missing or does not count."""
    signed = {state.signoff.role for state in states if state.signoff.step == step and state.counts}
    return [role for role in step_policy(step).signs if role not in signed]
