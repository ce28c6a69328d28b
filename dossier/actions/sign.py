"""Sign a step: the exact statement, what it covers, and the signature over its canonical bytes."""

from __future__ import annotations

from datetime import datetime
from typing import cast

from dossier.actions.edit import validated
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.checks.policy import authored_places, covered_records, may_sign_own, releasing_role, step_policy
from dossier.checks.signing import WITHDRAWN, names_revision, takes_back
from dossier.checks.standing import DONE, standing, step_of_path
from dossier.records.header import Person
from dossier.records.signoff import SignOff
from dossier.records.step import STEPS
from dossier.store import keys
from dossier.store.authors import authors_of
from dossier.store.change import UNDOABLE, Change
from dossier.store.clock import utc_stamp
from dossier.store.project import Project
from dossier.store.rawfiles import raw_digests
from dossier.store.revisions import letters
from dossier.store.signed import FOLDER, number_of, paths_of, signed_bytes

RAW_STEPS = ("4", "6")  # steps whose sign-off covers the raw evidence files
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
    known = _signer(project, step, person, role)
    _refuse_altered(opened)
    records = covered_records(project, step)
    own = _own_records(opened, records, person)
    if decision == "released":
        _refuse_unready(opened, step)
        if own and not may_sign_own(role):
            raise Refusal(f"{person} wrote {_some(own)}; {role} must not be an author of what is signed (four eyes)")
    elif not statement.strip():
        raise Refusal(f"{decision} needs a statement that says why; add it")
    before = project.signoffs[-1] if project.signoffs else None
    fields = {
        "id": _next_signoff(opened),
        "step": step,
        "decision": decision,
        "statement": statement.strip() or STATEMENT.format(step=step, name=STEPS[step]),
        "person": person,
        "role": role,
        "key_fingerprint": keys.public_key_of(known.public_key).fingerprint,
        "signed_at": utc_stamp(now),
        "history_head": opened.snapshot.head or "",
        "before": {"id": before.signoff.id, "sha256": before.sha256} if before else None,
        "withdraws": withdraws,
        "own_records": own,
        "records": records,
        "files": raw_digests(opened.folder.root) if step in RAW_STEPS else {},
    }
    signoff = cast(SignOff, validated(SignOff, fields))
    _refuse_idle_withdrawal(opened, signoff)
    return signoff


def refuse_repeated(opened: Opened, step: str, person: str, role: str) -> None:
    """Refuse a second sign-off over what the first one of the same person and role still holds for."""
    for state in opened.view.signoffs:
        same = (state.signoff.step, state.signoff.person, state.signoff.role) == (step, person, role)
        if same and state.counts:
            raise Refusal(f"{state.signoff.id} of {person} as {role} holds for step {step}; there is nothing new to sign")


def _signer(project: Project, step: str, person: str, role: str) -> Person:
    if step not in STEPS:
        raise Refusal(f"step = {step} must be one of {', '.join(STEPS)}")
    if role not in step_policy(step).signs:
        raise Refusal(f"{role} does not sign step {step}; {', '.join(step_policy(step).signs)} do")
    known = project.header.person(person)
    if known is None:
        named = ", ".join(other.name for other in project.header.people) or "nobody yet"
        raise Refusal(f"{person} is not among the project's people ({named}); `dossier person` adds somebody")
    if role not in known.roles:
        raise Refusal(f"{person} has not the role {role} in project.toml; sign with a role of yours or add it there")
    if not known.public_key:
        raise Refusal(f"{person} has no public key in project.toml; `dossier key register` adds it")
    return known


def _refuse_altered(opened: Opened) -> None:
    """Refuse to sign what the history does not hold, or a chain of sign-offs with a fault in it."""
    if opened.snapshot.head is None:
        reason = opened.snapshot.history.reason
        raise Refusal(f"{reason}: who wrote what cannot be told; begin a history with `dossier changes` first")
    if opened.snapshot.foreign:
        paths = ", ".join(edit.path for edit in opened.snapshot.foreign)
        raise Refusal(f"{paths} changed outside the tool; record or restore it before signing")
    broken = [problem for problem in opened.project.problems if problem.path.startswith(f"{FOLDER}/")]
    if broken:
        raise Refusal(f"{broken[0]}; a sign-off names the one before it, so restore that first")


def _refuse_idle_withdrawal(opened: Opened, signoff: SignOff) -> None:
    """Refuse a withdrawal that would withdraw nothing."""
    if signoff.decision != "withdrawn":
        if signoff.withdraws:
            raise Refusal(f'withdraws = "{signoff.withdraws}" goes with the decision withdrawn; leave it out')
        return
    if names_revision(signoff.withdraws):
        frozen = letters(opened.folder.root)
        if signoff.withdraws not in frozen:
            raise Refusal(f"there is no revision {signoff.withdraws} to withdraw; frozen are: {_some(frozen) or 'none'}")
        if signoff.role != releasing_role():
            raise Refusal(f"revision {signoff.withdraws} is withdrawn by the releaser (RL), not by {signoff.role}")
        return
    standing_now = [state.signoff for state in opened.view.signoffs if state.state != WITHDRAWN]
    own = [earlier.id for earlier in standing_now if takes_back(_naming(signoff, earlier.id), earlier)]
    if signoff.withdraws not in own:
        raise Refusal(
            f'withdraws = "{signoff.withdraws}" must be a release of step {signoff.step} by {signoff.person} or in the '
            f"role {signoff.role}: {_some(own) or 'there is none'}"
        )


def _naming(signoff: SignOff, withdraws: str) -> SignOff:
    return signoff.model_copy(update={"withdraws": withdraws})


def _next_signoff(opened: Opened) -> str:
    """The next number, over all that lie in the folder, readable or not: no file is written over."""
    stems = [path.removeprefix(f"{FOLDER}/").rpartition(".")[0] for path in opened.snapshot.files if FOLDER in path]
    return f"S-{max((number_of(stem)[0] for stem in stems), default=0) + 1:03d}"


def _refuse_unready(opened: Opened, step: str) -> None:
    steps = standing(opened.view).steps
    found = next(entry for entry in steps if entry.number == step)
    unread = [problem for problem in opened.project.problems if step_of_path(problem.path) == step]
    if unread:
        raise Refusal(f"step {step} cannot be released, unreadable: {unread[0]}")
    open_checks = [check.check.id for check in found.checks if check.state not in DONE]
    if open_checks or not found.checks:
        named = _some(open_checks) or "no check of it exists"
        raise Refusal(f"step {step} cannot be released, not met: {named}; `dossier status` says why")
    earlier = [entry.number for entry in steps if entry.number < step and entry.state != "closed"]
    if step == "6" and earlier:
        raise Refusal(f"step 6 is released last; steps {', '.join(earlier)} are not closed")


def _own_records(opened: Opened, records: dict[str, str], person: str) -> list[str]:
    authors = authors_of(opened.folder.history(), authored_places(opened.project, records))
    return sorted(record_id for record_id, names in authors.items() if person in names)


def _some(names: list[str]) -> str:
    return ", ".join(names[:8]) + (f" and {len(names) - 8} more" if len(names) > 8 else "")
