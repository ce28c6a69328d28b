"""Sign a step: the exact statement, what it covers, and the signature over its canonical bytes."""

from __future__ import annotations

from datetime import UTC, datetime

from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.checks.policy import authored_places, covered_records, may_sign_own, step_policy
from dossier.checks.standing import standing
from dossier.records.signoff import Before, SignOff
from dossier.records.step import STEPS
from dossier.store import keys
from dossier.store.authors import authors_of
from dossier.store.change import UNDOABLE, Change
from dossier.store.rawfiles import raw_digests
from dossier.store.signed import paths_of, signed_bytes

STATEMENT = "I have read the records of step {step} {name} and release it."


def sign_step(
    opened: Opened,
    step: str,
    person: str,
    role: str,
    passphrase: str,
    *,
    decision: str = "released",
    statement: str = "",
    withdraws: str = "",
    now: datetime | None = None,
) -> Change:
    """The change that adds a sign-off. Raises Refusal when the policy forbids it, KeyProblem for the key.

    Releasing needs a step that is ready, current records without foreign edits, and a person of that role who
    wrote none of the covered records, unless the policy lets the role sign own work.
    """
    signoff = prepare_signoff(opened, step, person, role, decision, statement, withdraws, now)
    data = signed_bytes(signoff)
    signature, key = keys.sign(person, passphrase, data)
    if key.fingerprint != signoff.key_fingerprint:
        raise Refusal(f"the key in {keys.key_path(person)} is not the one registered in project.toml for {person}")
    json_path, sig_path = paths_of(signoff.id)
    message = f"step {step} {decision} by {person}, {role}"
    return Change(message, person, {json_path: data, sig_path: signature}, {UNDOABLE: "no"}, now)


def prepare_signoff(
    opened: Opened,
    step: str,
    person: str,
    role: str,
    decision: str = "released",
    statement: str = "",
    withdraws: str = "",
    now: datetime | None = None,
) -> SignOff:
    """What would be signed, after every rule of the policy was asked. Raises Refusal."""
    project = opened.project
    if step not in STEPS:
        raise Refusal(f"step = {step} must be one of {', '.join(STEPS)}")
    if role not in step_policy(step).signs:
        raise Refusal(f"{role} does not sign step {step}; {', '.join(step_policy(step).signs)} do")
    known = project.header.person(person)
    if known is None or role not in known.roles:
        raise Refusal(f"{person} has not the role {role} in project.toml; sign with a role of yours or add it there")
    if not known.public_key:
        raise Refusal(f"{person} has no public key in project.toml; `dossier key register` adds it")
    if opened.snapshot.foreign:
        paths = ", ".join(edit.path for edit in opened.snapshot.foreign)
        raise Refusal(f"{paths} changed outside the tool; record or restore it before signing")
    records = covered_records(project, step)
    own = _own_records(opened, records, person)
    if decision == "released":
        _refuse_unready(opened, step)
        if own and not may_sign_own(role):
            raise Refusal(f"{person} wrote {_some(own)}; {role} must not be an author of what is signed (four eyes)")
    elif not statement.strip():
        raise Refusal(f"{decision} needs a statement that says why; add it")
    before = project.signoffs[-1] if project.signoffs else None
    return SignOff(
        id=f"S-{len(project.signoffs) + 1:03d}",
        step=step,
        decision=decision,
        statement=statement.strip() or STATEMENT.format(step=step, name=STEPS[step]),
        person=person,
        role=role,
        key_fingerprint=keys.public_key_of(known.public_key).fingerprint,
        signed_at=(now or datetime.now(UTC)).astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
        history_head=opened.snapshot.head or "",
        before=Before(id=before.signoff.id, sha256=before.sha256) if before else None,
        withdraws=withdraws,
        own_records=own,
        records=records,
        files=raw_digests(opened.folder.root) if step in ("4", "6") else {},
    )


def _refuse_unready(opened: Opened, step: str) -> None:
    found = next(entry for entry in standing(opened.view).steps if entry.number == step)
    open_checks = [check.check.id for check in found.checks if check.state not in ("met", "conceded")]
    if open_checks or not found.checks:
        named = _some(open_checks) or "no check of it exists"
        raise Refusal(f"step {step} cannot be released, not met: {named}; `dossier status` says why")
    earlier = [e.number for e in standing(opened.view).steps if e.number < step and e.state != "closed"]
    if step == "6" and earlier:
        raise Refusal(f"step 6 is released last; steps {', '.join(earlier)} are not closed")


def _own_records(opened: Opened, records: dict[str, str], person: str) -> list[str]:
    authors = authors_of(opened.folder.history(), authored_places(opened.project, records))
    return sorted(record_id for record_id, names in authors.items() if person in names)


def _some(names: list[str]) -> str:
    return ", ".join(names[:8]) + (f" and {len(names) - 8} more" if len(names) > 8 else "")
