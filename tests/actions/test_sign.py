"""Signing: what a sign-off holds, who may, what supersedes it, and what cannot be taken out of the chain."""

from __future__ import annotations

import json
from datetime import timedelta

import pytest
import small_project as small
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from dossier.actions.answer import add_remark, answer_check
from dossier.actions.edit import add_record, set_field, withdraw_record
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.actions.sign import prepare_signoff, sign_step
from dossier.checks import standing as standing_module
from dossier.checks.base import CheckState, check_texts
from dossier.checks.policy import covered_records, step_policy
from dossier.checks.signing import signoff_states
from dossier.checks.standing import standing
from dossier.records.step import STEPS
from dossier.store.digest import canonical_json, sha256_of_bytes, sha256_of_document
from dossier.store.errors import StaleHead
from dossier.store.keys import KeyProblem

ME = small.ENGINEER


def states(opened: Opened) -> dict[str, str]:
    return {step.number: step.state for step in standing(opened.view).steps}


def test_everything_signed_closes_everything(signed: Opened) -> None:
    assert states(signed) == dict.fromkeys(STEPS, "closed")
    assert standing(signed.view).answer == "All six steps are closed."
    assert len(signed.project.signoffs) == sum(len(step_policy(step).signs) for step in STEPS)
    assert all(state.counts for state in signoff_states(signed.project))


def test_what_lies_in_the_folder_is_what_was_signed(signed: Opened) -> None:
    root = signed.folder.root
    before = None
    for stored in signed.project.signoffs:
        data = (root / f"signoffs/{stored.signoff.id}.json").read_bytes()
        signature = (root / f"signoffs/{stored.signoff.id}.sig").read_bytes()
        raw = json.loads(data)
        assert data == canonical_json(raw), "canonical JSON (RFC 8785)"
        key = bytes.fromhex(signed.project.header.person(raw["person"]).public_key)
        Ed25519PublicKey.from_public_bytes(key).verify(signature, data)
        assert raw["key_fingerprint"] == sha256_of_bytes(key)
        assert raw.get("before") == before
        before = {"id": raw["id"], "sha256": sha256_of_bytes(data)}
        assert raw["records"] == {
            name: sha256_of_document(signed.project.raw[name]) for name in covered_records(signed.project, raw["step"])
        }
        assert signed.folder.history().contains(raw["history_head"])
        files = {path: sha256_of_bytes((root / path).read_bytes()) for path in raw["files"]}
        assert raw["files"] == files and bool(files) == (raw["step"] in ("4", "6"))


def test_own_work_is_told_where_the_policy_allows_it(signed: Opened) -> None:
    for stored in signed.project.signoffs:
        signoff = stored.signoff
        wrote = signoff.person == ME and any(name in signed.project.raw for name in signoff.records)
        assert bool(signoff.own_records) == wrote, signoff.id


REFUSED = [
    ("7", ME, "PE", {}, "step = 7 must be one of 1, 2, 3, 4, 5, 6"),
    ("1", ME, "AU", {}, "AU does not sign step 1; PE, RV do"),
    ("1", small.SAFETY, "SF", {}, "SF does not sign step 1; PE, RV do"),
    ("1", ME, "RV", {}, "A. Berg has not the role RV in project.toml; sign with a role of yours or add it there"),
    ("1", "Z. Nobody", "PE", {}, "Z. Nobody is not among the project's people (A. Berg, B. Lind"),
    ("1", ME, "PE", {"decision": "sent back"}, "sent back needs a statement that says why; add it"),
    ("1", ME, "PE", {"decision": "maybe", "statement": "x"}, 'decision = "maybe" is none of'),
    ("1", ME, "PE", {"statement": "a\x00b"}, "statement holds the control character U+0000; remove it"),
    ("1", ME, "PE", {"withdraws": "S-001"}, 'withdraws = "S-001" goes with the decision withdrawn; leave it out'),
    ("1", ME, "PE", {"decision": "withdrawn", "statement": "x"},
     'withdraws = "" must be a release of step 1 by A. Berg or in the role PE: S-001'),
    ("1", ME, "PE", {"decision": "withdrawn", "statement": "x", "withdraws": "S-002"},
     'withdraws = "S-002" must be a release of step 1 by A. Berg or in the role PE: S-001'),
    ("2", ME, "PE", {"decision": "withdrawn", "statement": "x", "withdraws": "S-001"},
     'withdraws = "S-001" must be a release of step 2 by A. Berg or in the role PE: S-003'),
    ("6", small.RELEASER, "RL", {"decision": "withdrawn", "statement": "x", "withdraws": "B"},
     "there is no revision B to withdraw; frozen are: none"),
]  # fmt: skip


@pytest.mark.parametrize(("step", "person", "role", "more", "words"), REFUSED, ids=[row[4][:40] for row in REFUSED])
def test_what_is_not_signed(signed: Opened, step: str, person: str, role: str, more: dict, words: str) -> None:
    before = small.bytes_of(signed.folder.root)
    with pytest.raises(Refusal) as caught:
        sign_step(signed, step, person, role, small.PASSPHRASE, **more)
    assert words in str(caught.value)
    assert small.bytes_of(signed.folder.root) == before


def test_a_wrong_passphrase_or_another_key_signs_nothing(
    signed: Opened, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(KeyProblem, match="the passphrase does not open a-berg.pem"):
        sign_step(signed, "1", ME, "PE", "wrong passphrase")
    monkeypatch.setenv("DOSSIER_KEYS", str(tmp_path_factory.mktemp("other")))
    with pytest.raises(KeyProblem, match="A. Berg has no key in"):
        sign_step(signed, "1", ME, "PE", small.PASSPHRASE)
    small.keys.new_key(ME, small.PASSPHRASE)
    with pytest.raises(Refusal, match="a-berg.pem is not the one registered in project.toml for A. Berg"):
        sign_step(signed, "1", ME, "PE", small.PASSPHRASE)


def test_without_a_registered_key(opened: Opened, with_keys: None) -> None:
    with pytest.raises(Refusal, match="B. Lind has no public key in project.toml; `dossier key register` adds it"):
        sign_step(opened, "1", small.REVIEWER, "RV", small.PASSPHRASE)


@pytest.mark.parametrize("state", ["not met", "open", "outdated"])
def test_a_step_that_is_not_ready_is_not_released(signed: Opened, monkeypatch: pytest.MonkeyPatch, state: str) -> None:
    def one_open(view: object, steps: tuple[str, ...] = ()) -> dict[str, CheckState]:
        found = small.all_met(view)
        return {**found, "2.8": CheckState(check_texts()["2.8"], state)}  # type: ignore[arg-type]

    monkeypatch.setattr(standing_module, "check_states", one_open)
    with pytest.raises(Refusal, match="step 2 cannot be released, not met: 2.8; `dossier status` says why"):
        sign_step(signed, "2", small.REVIEWER, "RV", small.PASSPHRASE)
    assert prepare_signoff(signed, "1", small.REVIEWER, "RV").decision == "released"
    assert prepare_signoff(signed, "2", small.REVIEWER, "RV", "sent back", "2.8 is missing").decision == "sent back"
    with pytest.raises(Refusal, match="step 6 is released last; steps 2 are not closed"):
        sign_step(signed, "6", small.REVIEWER, "RV", small.PASSPHRASE)


def test_conceded_checks_let_a_step_be_released(signed: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        standing_module,
        "check_states",
        lambda view, steps=(): {t.id: CheckState(t, "conceded") for t in check_texts().values()},
    )
    assert states(signed) == dict.fromkeys(STEPS, "closed")
    assert prepare_signoff(signed, "2", small.REVIEWER, "RV").decision == "released"


@pytest.mark.parametrize(("step", "role", "record", "field", "value"), [
    ("2", "RV", "R-012", "limit.max", "50"), ("3", "SF", "V1", "pin.neck_radius", "17.5"),
    ("6", "RL", "project", "title", "Joint"),
])  # fmt: skip
def test_nobody_reviews_what_they_wrote(signed: Opened, step: str, role: str, record: str, field: str, value: str) -> None:
    person = small.SIGNER[role]
    signed.record(set_field(signed.project, record, field, value, person))
    with pytest.raises(Refusal) as caught:
        sign_step(signed, step, person, role, small.PASSPHRASE)
    words = f"{person} wrote {record}; {role} must not be an author of what is signed (four eyes)"
    assert str(caught.value) == words
    back = prepare_signoff(signed, step, person, role, "sent back", "see remarks")
    assert back.own_records == [record]
    signed.undo(person)
    with pytest.raises(Refusal, match="four eyes"):
        sign_step(signed, step, person, role, small.PASSPHRASE)


def test_answering_makes_nobody_an_author(signed: Opened) -> None:
    signed.record(answer_check(signed.view, "2.8", "met", small.REVIEWER, now=small.NOW))
    small.sign(signed, "2", "RV", 60)
    assert signed.project.signoffs[-1].signoff.own_records == []


def test_a_record_that_moved_keeps_its_author(signed: Opened) -> None:
    """Moving a record to another file by another hand must not hide who wrote it."""
    root = signed.folder.root
    signed.record(set_field(signed.project, "R-001", "limit.max", "2 kg", small.REVIEWER))
    (root / "requirements/other.toml").write_text((root / "requirements/main.toml").read_text("utf-8"), "utf-8")
    (root / "requirements/main.toml").unlink()
    signed.folder.record_foreign(["requirements/main.toml", "requirements/other.toml"], ME)
    now = small.reopen(root)
    assert now.project.places["R-001"].path == "requirements/other.toml"
    assert prepare_signoff(now, "2", small.REVIEWER, "RV", "sent back", "x").own_records == ["R-001"]


def test_foreign_edits_and_a_missing_history_stop_signing(signed: Opened) -> None:
    file = signed.folder.root / "loads.toml"
    file.write_text(file.read_text("utf-8") + "# by hand\n")
    now = small.reopen(signed.folder.root)
    with pytest.raises(Refusal, match="loads.toml changed outside the tool; record or restore it before signing"):
        sign_step(now, "1", small.REVIEWER, "RV", small.PASSPHRASE)
    now.folder.restore(["loads.toml"])
    (signed.folder.history_dir / "refs/heads/main").unlink()
    with pytest.raises(Refusal, match="who wrote what cannot be told; begin a history with `dossier changes` first"):
        sign_step(small.reopen(signed.folder.root), "1", small.REVIEWER, "RV", small.PASSPHRASE)


def test_a_change_between_looking_and_signing_is_noticed(signed: Opened) -> None:
    change = sign_step(signed, "2", small.REVIEWER, "RV", small.PASSPHRASE)
    other = small.reopen(signed.folder.root)
    other.record(set_field(other.project, "R-012", "limit.max", "50", ME))
    with pytest.raises(StaleHead):
        signed.record(change)


CHANGES = [
    ("2", lambda o: set_field(o.project, "R-012", "limit.max", "50", ME), ["R-012"]),
    ("2", lambda o: set_field(o.project, "L-002", "axial", "5 kN", ME), ["L-002"]),
    ("2", lambda o: add_record(o.project, "load case", {"id": "L-009", "title": "New"}, ME), ["L-009"]),
    ("2", lambda o: withdraw_record(o.project, "L-002", ME), ["L-002"]),
    ("1", lambda o: set_field(o.project, "idea", "problem", "Costly.", ME), ["idea"]),
    ("3", lambda o: set_field(o.project, "M-001", "remark", "measured", ME), ["M-001"]),
    ("3", lambda o: set_field(o.project, "C-001", "title", "Mass", ME), ["C-001"]),
    ("4", lambda o: add_record(o.project, "specimen", {"id": "P-001", "design": "V1"}, ME), ["P-001"]),
    ("5", lambda o: answer_check(o.view, "5.8", "met", small.PURCHASE, now=small.NOW), ["step-5"]),
    ("6", lambda o: set_field(o.project, "B-001", "title", "Curve 1", ME), ["B-001"]),
    ("3", lambda o: add_remark(o.project, "R-012", "See.", ME, "3", small.NOW), ["step-3"]),
]


@pytest.mark.parametrize(("step", "change", "changed"), CHANGES, ids=[f"{row[0]}-{row[2][0]}" for row in CHANGES])
def test_a_change_supersedes_the_sign_offs_of_its_step_and_no_other(
    signed: Opened, step: str, change, changed: list[str]
) -> None:
    signed.record(change(signed))
    for state in signed.view.signoffs:
        expected = ("superseded by a change", changed) if state.signoff.step == step else ("valid", [])
        assert (state.state, state.changed) == expected, state.signoff.id
    assert states(signed) == {**dict.fromkeys(STEPS, "closed"), step: "reopened"}
    causes = next(entry for entry in standing(signed.view).steps if entry.number == step).causes
    assert len(causes) == len(step_policy(step).signs)
    assert all(f"is superseded by a change of {changed[0]}; sign again" in cause.text for cause in causes)
    for role in step_policy(step).signs:
        small.sign(signed, step, role, 60)
    assert states(signed)[step] == "closed"


def test_taking_the_change_back_makes_the_sign_offs_valid_again(signed: Opened) -> None:
    signed.record(set_field(signed.project, "R-012", "limit.max", "50", ME))
    assert states(signed)["2"] == "reopened"
    signed.undo(ME)
    assert states(signed) == dict.fromkeys(STEPS, "closed")


def test_order_and_comments_of_a_file_supersede_nothing(signed: Opened) -> None:
    file = signed.folder.root / "loads.toml"
    file.write_text("# by hand\n" + file.read_text("utf-8").replace("radial = 100000.0", "radial = 1e5 # overload"))
    assert all(state.counts for state in small.reopen(signed.folder.root).view.signoffs)


def test_a_field_that_an_update_adds_supersedes_nothing(signed: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    """Only stored fields are signed: a model with one more default, records and sign-offs alike, changes no digest."""
    import dossier.records.collections as collections
    from dossier.records.collections import Collection
    from dossier.records.load import LoadCase
    from dossier.records.signoff import SignOff

    class NewerLoad(LoadCase):
        damping: float = 0.1

    class NewerSignOff(SignOff):
        place: str = "unknown"

    newer = tuple(
        Collection(c.kind, NewerLoad, c.pattern, c.key, c.prefix) if c.kind == "load case" else c
        for c in collections.COLLECTIONS
    )
    monkeypatch.setattr(collections, "COLLECTIONS", newer)
    monkeypatch.setattr("dossier.store.signed.SignOff", NewerSignOff)
    now = small.reopen(signed.folder.root)
    assert type(now.project.get("L-001")) is NewerLoad
    assert type(now.project.signoffs[0].signoff) is NewerSignOff
    assert [state.faults for state in now.view.signoffs if not state.counts] == []


def test_withdrawing_ones_release_opens_the_step(signed: Opened) -> None:
    rv = next(s.signoff.id for s in signed.project.signoffs if (s.signoff.step, s.signoff.role) == ("2", "RV"))
    small.sign(signed, "2", "RV", 60, decision="withdrawn", statement="wrong issue", withdraws=rv)
    found = {state.signoff.id: state for state in signed.view.signoffs}
    assert (found[rv].state, found[rv].counts) == ("withdrawn", False)
    step = standing(signed.view).steps[1]
    assert (step.state, step.missing_roles) == ("ready", ["RV"])
    with pytest.raises(Refusal, match="there is none"):
        small.sign(signed, "2", "RV", 61, decision="withdrawn", statement="again", withdraws=rv)
    small.sign(signed, "2", "RV", 62)
    assert states(signed)["2"] == "closed"


def test_sending_back_takes_the_roles_own_release_back(signed: Opened) -> None:
    small.sign(signed, "2", "RV", 60, decision="sent back", statement="R-012 is unclear")
    step = standing(signed.view).steps[1]
    assert (step.state, step.missing_roles) == ("ready", ["RV"])
    assert states(signed) == {**dict.fromkeys(STEPS, "closed"), "2": "ready"}
    small.sign(signed, "2", "RV", 61)
    assert states(signed)["2"] == "closed"


def test_a_withdrawal_that_is_not_good_withdraws_nothing(signed: Opened) -> None:
    """A file dropped into signoffs/ without a signature must not open a step unnoticed as withdrawn."""
    last = signed.project.signoffs[-1]
    forged = json.loads(last.data) | {
        "id": "S-900", "decision": "withdrawn", "withdraws": "S-003", "step": "2",
        "before": {"id": last.signoff.id, "sha256": last.sha256},
    }  # fmt: skip
    folder = signed.folder.root / "signoffs"
    (folder / "S-900.json").write_bytes(canonical_json(forged))
    (folder / "S-900.sig").write_bytes(last.signature)
    now = small.reopen(signed.folder.root)
    found = {state.signoff.id: state for state in now.view.signoffs}
    assert found["S-003"].counts
    assert "its signature does not match its bytes: one of the two was altered" in found["S-900"].faults


def test_clocks_that_differ_do_not_break_the_chain(signed: Opened) -> None:
    signed.record(set_field(signed.project, "R-012", "limit.max", "50", ME))
    small.sign(signed, "2", "RV", -600)
    small.sign(signed, "2", "PE", -1200)
    assert [state.faults for state in signed.view.signoffs if state.faults] == []
    assert states(signed)["2"] == "closed"


def test_a_sign_off_never_takes_the_name_of_another(signed: Opened) -> None:
    folder = signed.folder.root / "signoffs"
    (folder / "S-041.sig").write_bytes(b"x" * 64)
    signed.folder.record_foreign(["signoffs/S-041.sig"], ME)
    now = small.reopen(signed.folder.root)
    assert small.sign(now, "1", "PE", 60) == "S-042"


def test_the_states_of_a_step_in_its_life(
    opened: Opened, with_keys: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The whole life of a step: waiting, in work, ready, closed, reopened, closed."""
    answers: dict[str, str] = {}

    def as_answered(view: object, steps: tuple[str, ...] = ()) -> dict[str, CheckState]:
        return {t.id: CheckState(t, answers.get(t.id, "open")) for t in check_texts().values()}  # type: ignore[arg-type]

    monkeypatch.setattr(standing_module, "check_states", as_answered)
    for person in (ME, small.REVIEWER):
        key = small.keys.sign(person, small.PASSPHRASE, b"")[1]
        opened.record(small.register_key(opened.project, person, key.hexadecimal))
    seen = [states(opened)["1"]]
    ids = [text.id for text in check_texts().values() if text.step == "1"]
    answers[ids[0]] = "met"
    seen.append(states(opened)["1"])
    answers |= dict.fromkeys(ids, "met")
    seen.append(states(opened)["1"])
    small.sign(opened, "1", "PE")
    seen.append(states(opened)["1"])
    small.sign(opened, "1", "RV", 1)
    seen.append(states(opened)["1"])
    answers[ids[3]] = "not met"
    seen.append(states(opened)["1"])
    answers[ids[3]] = "conceded"
    seen.append(states(opened)["1"])
    opened.record(set_field(opened.project, "idea", "problem", "Costly.", ME))
    seen.append(states(opened)["1"])
    assert seen == ["waiting", "in work", "ready", "ready", "closed", "reopened", "closed", "reopened"]
    assert standing(opened.view).answer.startswith("Step 1 Idea is reopened")


def test_a_step_sent_back_before_any_release_is_in_work(opened: Opened, with_keys: None, monkeypatch: pytest.MonkeyPatch) -> None:
    key = small.keys.sign(small.REVIEWER, small.PASSPHRASE, b"")[1]
    opened.record(small.register_key(opened.project, small.REVIEWER, key.hexadecimal))
    small.sign(opened, "1", "RV", decision="sent back", statement="no baseline")
    assert states(opened)["1"] == "ready"
    one_open = {**small.all_met(None), "1.5": CheckState(check_texts()["1.5"], "open")}
    monkeypatch.setattr(standing_module, "check_states", lambda view, steps=(): one_open)
    assert states(opened)["1"] == "in work"


def test_times_are_kept_in_utc_seconds(signed: Opened) -> None:
    signoff = prepare_signoff(signed, "1", ME, "PE", now=small.NOW + timedelta(hours=1, microseconds=7))
    assert signoff.signed_at == "2026-03-02T10:30:00Z"
