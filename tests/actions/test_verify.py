"""Any byte that is altered anywhere is noticed: a table over every file, with file and digests told."""

from __future__ import annotations

import json
import shutil
import zlib
from pathlib import Path

import pytest
import small_project as small
from tamper import FLIPS, altered, fault_lines, faults, places

from dossier.actions.edit import set_field
from dossier.actions.opened import Opened
from dossier.actions.verify import read_trusted, verify_work
from dossier.store import keys
from dossier.store.change import Change
from dossier.store.digest import canonical_json, sha256_of_bytes
from dossier.store.keys import KeyProblem
from dossier.store.tomlfile import dump_document

ME = small.ENGINEER


def test_the_signed_project_is_unaltered(signed: Opened) -> None:
    found = verify_work(signed.folder.root)
    assert (found.unaltered, faults(found)) == (True, [])
    counts = {line.what: line.count for line in found.lines}
    assert counts["signatures"] == "17 valid"
    assert counts["results computed again"] == "2 of 2"
    assert counts["raw evidence files"] == "1 file"
    assert counts["entries that sign-offs name"] == "17 of 17"
    assert int(counts["author is not reviewer"].split()[0]) > 10
    assert found.answer.startswith("Nothing was altered.")
    assert json.loads(json.dumps(found.as_plain()))["unaltered"] is True


def test_a_flipped_byte_in_any_file_of_the_records_is_noticed(signed: Opened) -> None:
    """Records, signed statements and signatures: every file, in turn at its beginning, its end and within."""
    root = signed.folder.root
    paths = sorted(signed.snapshot.files)
    assert len(paths) > 40 and any(p.endswith(".sig") for p in paths) and any(p.endswith(".json") for p in paths)
    for number, path in enumerate(paths):
        file = root / path
        recorded = sha256_of_bytes(file.read_bytes())[:16]
        at, bit = places(path, file.stat().st_size)[number % FLIPS]
        good = altered(file, at, bit)
        found = verify_work(root)
        now = sha256_of_bytes(file.read_bytes())[:16]
        expected = f"{path} was changed outside the tool: recorded {recorded}, found {now}"
        assert expected in fault_lines(found)["records as the history has them"], (path, at, bit)
        file.write_bytes(good)
    assert verify_work(root).unaltered


def test_a_record_altered_and_taken_into_the_history_is_told_with_signed_and_found_digest(signed: Opened) -> None:
    """Whoever records the edit makes the files agree with the history; the signatures still tell."""
    before = small.sha256_of_document(signed.project.raw["R-012"])[:16]
    signed.record(set_field(signed.project, "R-012", "limit.max", "50", ME))
    after = small.sha256_of_document(signed.project.raw["R-012"])[:16]
    found = verify_work(signed.folder.root)
    note = next(line.note for line in found.lines if line.what == "signatures")
    assert note.split("; ") == [
        f"{name} of {person} is superseded by a change of R-012 (signed {before}, found {after})"
        for name, person in (("S-003", ME), ("S-004", small.REVIEWER))
    ]


def test_a_flipped_byte_in_a_raw_file_is_noticed(signed: Opened) -> None:
    root = signed.folder.root
    (file,) = (root / "evidence/files").iterdir()
    recorded = file.name[:16]
    for at, bit in places(file.name, file.stat().st_size, 8):
        good = altered(file, at, bit)
        found = fault_lines(verify_work(root))
        now = sha256_of_bytes(file.read_bytes())[:16]
        path = f"evidence/files/{file.name}"
        assert found["raw evidence files"] == [f"{path} differs: imported {recorded}, found {now}"]
        (signed_fault,) = found["raw files as they were signed"]
        people = signed_fault.partition("signed by ")[2].partition(f" {recorded}")[0].split(", ")
        assert sorted(people) == sorted(small.SIGNER[role] for role in ("TL", "PE", "RV", "SF", "RL"))
        file.write_bytes(good)
    file.unlink()
    found = fault_lines(verify_work(root))
    assert found["raw evidence files"] == [f"evidence/files/{file.name[:64]}: is missing; restore it from a backup"]
    assert all("found nothing" in fault for fault in found["raw files as they were signed"])


def same_content(data: bytes, good: bytes) -> bool:
    """Whether two compressed objects hold the same."""
    try:
        return zlib.decompress(data) == zlib.decompress(good)
    except zlib.error:
        return False


def test_a_flipped_byte_in_any_object_of_the_history_is_noticed(signed: Opened) -> None:
    """One flip in each object, in turn at its beginning, its end and within.

    Up to seven bits behind the end of the compressed data mean nothing (RFC 1951, from memory): what is read is the same.
    """
    from dossier.store.gitcheck import problems_of

    git_dir = signed.folder.history_dir
    objects = sorted(git_dir.glob("objects/??/*"))
    assert len(objects) > 100
    padding = 0
    for number, file in enumerate(objects):
        at, bit = places(str(number), file.stat().st_size)[number % 3]
        good = altered(file, at, bit)
        problems = problems_of(git_dir)
        noticed = any(file.parent.name + file.name in problem for problem in problems)
        assert noticed or same_content(file.read_bytes(), good), (file, at, bit, problems)
        padding += not noticed
        file.write_bytes(good)
    assert padding < len(objects) / 10
    for file in objects[:: len(objects) // 12]:
        good = altered(file, file.stat().st_size // 2, 3)
        found = verify_work(signed.folder.root)
        named = [fault for fault in faults(found) if file.parent.name + file.name in fault]
        assert named, file
        file.write_bytes(good)
    assert verify_work(signed.folder.root).unaltered


@pytest.mark.parametrize("name", ["HEAD", "refs/heads/main"])
def test_a_flipped_byte_in_what_the_history_stands_at_is_noticed(signed: Opened, name: str) -> None:
    file = signed.folder.history_dir / name
    for at, bit in places(name, file.stat().st_size, 6):
        good = altered(file, at, bit)
        found = verify_work(signed.folder.root)
        if file.read_bytes().strip() != good.strip():
            assert not found.unaltered, (at, bit)
        file.write_bytes(good)


def chain_faults(root: Path) -> list[str]:
    return fault_lines(verify_work(root)).get("signatures", [])


@pytest.mark.parametrize("taken", ["S-001", "S-008", "S-016"])
def test_a_sign_off_taken_out_of_the_chain_is_noticed(signed: Opened, taken: str) -> None:
    """Even when the removal is recorded in the history: the next one names it."""
    root = signed.folder.root
    gone: dict[str, bytes | None] = {f"signoffs/{taken}.json": None, f"signoffs/{taken}.sig": None}
    signed.record(Change("tidied", ME, gone))
    after, before = f"S-{int(taken[2:]) + 1:03d}", f"S-{int(taken[2:]) - 1:03d}"
    expected = before if taken != "S-001" else "none"
    person = next(s.signoff.person for s in signed.project.signoffs if s.signoff.id == after)
    assert chain_faults(root) == [f"{after} of {person}: names {taken} as the sign-off before it, found {expected}"]


def test_the_last_sign_off_taken_away_is_missed_by_its_step(signed: Opened) -> None:
    last = signed.project.signoffs[-1].signoff
    signed.record(Change("tidied", ME, {f"signoffs/{last.id}.json": None, f"signoffs/{last.id}.sig": None}))
    assert [entry.message for entry in signed.folder.history().log(limit=1)] == ["tidied"]
    from dossier.checks.signing import missing_roles

    assert missing_roles(signed.view.signoffs, "6") == [last.role]


def test_a_sign_off_replaced_by_another_good_one_is_noticed(signed: Opened) -> None:
    """Signed anew by the same person with the same key, under the same number: only the chain tells."""
    stored = next(s for s in signed.project.signoffs if s.signoff.id == "S-008")
    data = canonical_json(json.loads(stored.data) | {"statement": "I have read nothing."})
    signature, _ = keys.sign(stored.signoff.person, small.PASSPHRASE, data)
    signed.record(Change("mended", ME, {"signoffs/S-008.json": data, "signoffs/S-008.sig": signature}))
    (fault,) = chain_faults(signed.folder.root)
    assert fault.startswith("S-009 of ") and "names S-008 as the sign-off before it, found S-008" in fault


def test_sign_offs_that_were_rewritten_renamed_or_lost_their_signature(signed: Opened) -> None:
    root = signed.folder.root / "signoffs"
    good = (root / "S-004.json").read_bytes()
    (root / "S-004.json").write_bytes(json.dumps(json.loads(good), indent=1).encode())
    assert any("S-004.json is not in canonical form; it was rewritten" in fault for fault in chain_faults(root.parent))
    (root / "S-004.json").write_bytes(b"[" * 100_000)
    unread = fault_lines(verify_work(root.parent))["records readable, links that land"]
    assert any(fault.startswith("signoffs/S-004.json: is not readable as JSON") for fault in unread)
    (root / "S-004.json").write_bytes(good)
    (root / "S-004.sig").rename(root / "S-004.bak")
    assert any("S-004.sig is missing or has not 64 bytes" in fault for fault in chain_faults(root.parent))
    (root / "S-004.bak").rename(root / "S-004.sig")
    (root / "S-004.json").rename(root / "S-104.json")
    assert any("S-104.json holds the sign-off S-004; it was renamed" in fault for fault in chain_faults(root.parent))


def test_a_history_written_anew_is_noticed_by_the_sign_offs(signed: Opened) -> None:
    """A consistent new history with the files as they are, by somebody who never wrote a thing."""
    shutil.rmtree(signed.folder.history_dir)
    signed.folder.restart_history(small.LABORATORY)
    found = fault_lines(verify_work(signed.folder.root))
    assert len(found["entries that sign-offs name"]) == 17
    assert found["entries that sign-offs name"][0].startswith("S-001 of A. Berg was made at ")
    assert found["entries that sign-offs name"][0].endswith("which this history does not hold")


def test_no_history_means_nothing_was_compared(signed: Opened) -> None:
    shutil.rmtree(signed.folder.history_dir)
    found = fault_lines(verify_work(signed.folder.root))
    assert found["history"] == ["there is no history; a new one must be begun and named"]
    assert found["records as the history has them"] == ["nothing to compare with: history.git is missing"]


def test_a_reviewer_who_wrote_is_found_in_the_history_not_in_their_statement(signed: Opened) -> None:
    """A sign-off that claims to be no author is not believed."""
    signed.record(set_field(signed.project, "R-012", "limit.max", "50", small.REVIEWER))
    small.sign(signed, "2", "PE", 60)
    last = signed.project.signoffs[-1]
    from dossier.checks.policy import covered_records

    forged = json.loads(last.data) | {
        "id": "S-019", "role": "RV", "person": small.REVIEWER, "own_records": [],
        "key_fingerprint": keys.public_key_of(signed.project.header.person(small.REVIEWER).public_key).fingerprint,
        "before": {"id": last.signoff.id, "sha256": last.sha256}, "history_head": signed.snapshot.head,
        "records": covered_records(signed.project, "2"),
    }  # fmt: skip
    data = canonical_json(forged)
    signature, _ = keys.sign(small.REVIEWER, small.PASSPHRASE, data)
    signed.record(Change("signed", small.REVIEWER, {"signoffs/S-019.json": data, "signoffs/S-019.sig": signature}))
    found = fault_lines(verify_work(signed.folder.root))
    assert found == {"author is not reviewer": ["B. Lind signed step 2 as RV and wrote R-012"]}


def test_a_result_altered_with_its_history_does_not_reproduce(signed: Opened) -> None:
    raw = json.loads(json.dumps(signed.project.raw["C-001"]))
    raw["result"]["values"][0]["value"] *= 0.9
    signed.record(Change("C-001 calculated", ME, {"calculations/C-001.toml": dump_document(raw)}))
    found = fault_lines(verify_work(signed.folder.root))
    assert list(found) == ["results computed again"]
    assert found["results computed again"][0].startswith("C-001: total.value: stored 1.53")


def test_an_outdated_result_reproduces_from_its_stored_input(signed: Opened) -> None:
    signed.record(set_field(signed.project, "L-001", "radial", "110 kN", ME))
    assert verify_work(signed.folder.root).unaltered


@pytest.mark.parametrize("data", [b"x = [", b"", b'id = "project"\ntitle = 3\n', b"\xff"])
def test_an_unreadable_project_toml_is_told_not_raised(signed: Opened, data: bytes) -> None:
    (signed.folder.root / "project.toml").write_bytes(data)
    found = verify_work(signed.folder.root)
    assert found.subject == "project without a readable project.toml, work in progress"
    assert any(fault.startswith("project.toml was changed outside the tool: recorded ") for fault in faults(found))
    assert len(fault_lines(found)["signatures"]) == 17


def test_odd_things_among_the_raw_files_are_told_not_raised(signed: Opened) -> None:
    folder = signed.folder.root / "evidence/files"
    (folder / "note.txt").write_text("x")
    assert any("note.txt" in fault for fault in faults(verify_work(signed.folder.root)))
    (folder / "sub").mkdir()
    assert any("sub" in fault for fault in faults(verify_work(signed.folder.root)))
    shutil.rmtree(folder)
    folder.symlink_to("/nowhere")
    assert any("symlink" in fault for fault in faults(verify_work(signed.folder.root)))


def test_persons_are_confirmed_from_outside_only(signed: Opened, tmp_path: Path) -> None:
    prints = {person: keys.public_key_of(signed.project.header.person(person).public_key).fingerprint for person in small.ROLES}
    line = next(line for line in verify_work(signed.folder.root).lines if line.what == "persons")
    assert (line.faults, line.count) == ([], "6 signed")
    assert line.note.startswith("signatures consistent, persons not confirmed")
    file = tmp_path / "trusted.txt"
    text = "".join(f"{fingerprint.upper()}  {person}\n" for person, fingerprint in prints.items())
    file.write_text(f"# read out by telephone\n\n{text}")
    assert read_trusted(file) == set(prints.values())
    found = verify_work(signed.folder.root, read_trusted(file))
    assert found.unaltered
    assert next(line.count for line in found.lines if line.what == "persons") == "6 of 6 confirmed"
    strangers = verify_work(signed.folder.root, set(prints.values()) - {prints[small.SAFETY]})
    assert fault_lines(strangers) == {
        "persons": [f"C. Roth: fingerprint {prints[small.SAFETY][:16]} is not in the trusted list"]
    }
    assert len(fault_lines(verify_work(signed.folder.root, set()))["persons"]) == 6


def test_a_trusted_file_that_is_none(tmp_path: Path) -> None:
    file = tmp_path / "trusted.txt"
    file.write_text("# ok\nabcd  A. Berg\n")
    with pytest.raises(KeyProblem, match="trusted.txt line 2: abcd is no fingerprint of 64 hexadecimal digits"):
        read_trusted(file)
    file.write_bytes(b"\xff\xfe")
    with pytest.raises(KeyProblem, match="is not UTF-8 text; write one fingerprint a line"):
        read_trusted(file)


def test_a_key_exchanged_in_project_toml_is_noticed(signed: Opened) -> None:
    """Key and signature of the reviewer replaced by ones of a stranger, all recorded."""
    raw = json.loads(json.dumps(signed.project.raw["project"]))
    raw["people"][1]["public_key"] = signed.project.header.people[2].public_key
    signed.record(Change("key", ME, {"project.toml": dump_document(raw)}))
    faults_now = chain_faults(signed.folder.root)
    assert len(faults_now) == 6 and all("of B. Lind: was signed with key " in fault for fault in faults_now)


def test_verifying_writes_nothing(signed: Opened) -> None:
    before = small.bytes_of(signed.folder.root)
    verify_work(signed.folder.root)
    assert small.bytes_of(signed.folder.root) == before


def test_a_change_of_method_leaves_a_stored_result_verifiable(signed: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    from dossier.methods.registry import all_methods

    without = {name: method for name, method in all_methods().items() if name != "mass.joint"}
    monkeypatch.setattr("dossier.actions.recompute.all_methods", lambda: without)
    line = next(line for line in verify_work(signed.folder.root).lines if line.what == "results computed again")
    assert (line.faults, line.count, line.state) == ([], "1 of 2", "in part")
    assert line.note == "C-001 not recomputable: method mass.joint is unknown to this version"
