"""A frozen revision: every file of it, its manifest, its document, its signature, its key."""

from __future__ import annotations

import random

import pytest
import small_project as small
from tamper import altered, faults, places

from dossier.actions.edit import set_field
from dossier.actions.opened import Opened
from dossier.actions.run import run_calculations
from dossier.actions.verify import verify_revision, verify_work
from dossier.store.digest import sha256_of_bytes
from dossier.store.errors import StoreError

ME = small.ENGINEER


def test_it_is_unaltered_and_says_what_it_looked_at(released: Opened) -> None:
    found = verify_revision(released.folder.root, "A")
    assert (found.unaltered, faults(found)) == (True, [])
    counts = {line.what: line.count for line in found.lines}
    assert counts["state of the revision"] == "frozen"
    assert counts["every step signed by its roles"] == "17 of 17"
    assert counts["files of the manifest"].endswith(" records, 1 raw files")


def test_a_flipped_byte_in_any_frozen_file_is_noticed(released: Opened) -> None:
    folder = released.folder.root / "revisions/A"
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    names = {path.name for path in files}
    assert len(files) > 40 and {"SHA256SUMS", "dossier.pdf", "dossier.pdf.sig", "releaser.pem"} <= names
    for file in files:
        path = file.relative_to(folder).as_posix()
        at, bit = places(path, file.stat().st_size)[len(path) % 3]
        frozen = sha256_of_bytes(file.read_bytes())[:16]
        good = altered(file, at, bit)
        now = sha256_of_bytes(file.read_bytes())[:16]
        told = faults(verify_revision(released.folder.root, "A"))
        if path.endswith((".toml", ".json", ".sig")) and path != "dossier.pdf.sig":
            assert f"{path} differs: frozen {frozen}, found {now}" in told, (path, at, bit)
        else:
            assert any(file.name in fault or "dossier.pdf" in fault for fault in told), (path, at, bit, told)
        file.write_bytes(good)
    assert verify_revision(released.folder.root, "A").unaltered


@pytest.mark.parametrize("name", ["SHA256SUMS", "releaser.pem"])
def test_any_bit_of_manifest_and_key_counts(released: Opened, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Line ends too: a line feed that becomes a vertical tab reads as the same lines but is another file."""
    from dossier.actions import verify as module

    cheap = {"history_line", "authors_line", "recomputed_line", "entries_line", "readable_line"}
    for line in cheap:
        monkeypatch.setattr(module.look, line, lambda *_: module.Line("left out here", ""))
    file = released.folder.root / "revisions/A" / name
    good = file.read_bytes()
    ends = [at for at, byte in enumerate(good) if byte == 10][:3]
    chance = random.Random(name)
    tried = [(at, bit) for at in ends for bit in range(8)] + [(chance.randrange(len(good)), bit) for bit in range(8)]
    for at, bit in tried:
        altered(file, at, bit)
        assert not verify_revision(released.folder.root, "A").unaltered, (at, bit)
        file.write_bytes(good)


def test_a_record_changed_together_with_its_manifest_is_noticed(released: Opened) -> None:
    """The signed document carries the manifest; a record no sign-off covers would pass without it."""
    folder = released.folder.root / "revisions/A"
    file = folder / "loads.toml"
    before = file.read_bytes()
    after = before + b"# innocent\n"
    file.chmod(0o644)
    file.write_bytes(after)
    sums = folder / "SHA256SUMS"
    sums.chmod(0o644)
    text = sums.read_text()
    sums.write_text(text.replace(sha256_of_bytes(before), sha256_of_bytes(after)))
    assert faults(verify_revision(released.folder.root, "A")) == [
        "SHA256SUMS is not the one that the signed document carries"
    ]


def test_files_that_came_or_went(released: Opened) -> None:
    folder = released.folder.root / "revisions/A"
    (folder / "extra.toml").write_text("")
    assert "revisions/A/extra.toml is not in the manifest; it was added" in faults(verify_revision(released.folder.root, "A"))
    (folder / "extra.toml").unlink()
    for name in ("loads.toml", "dossier.pdf", "dossier.pdf.sig", "releaser.pem", "SHA256SUMS", "project.toml"):
        (folder / name).rename(released.folder.root / "aside")
        told = faults(verify_revision(released.folder.root, "A"))
        assert any(name in fault and "missing" in fault for fault in told), (name, told)
        (released.folder.root / "aside").rename(folder / name)
    (folder / "loads.toml").rename(released.folder.root / "aside")
    (folder / "loads.toml").symlink_to(released.folder.root / "aside")
    assert any("loads.toml is a symbolic link" in fault for fault in faults(verify_revision(released.folder.root, "A")))


def test_a_raw_file_altered_after_the_freeze(released: Opened) -> None:
    (file,) = (released.folder.root / "evidence/files").iterdir()
    altered(file, 0, 0)
    told = faults(verify_revision(released.folder.root, "A"))
    assert any(f"{file.name} differs: frozen {file.name[:16]}" in fault for fault in told)


def test_work_goes_on_and_the_revision_stays(released: Opened) -> None:
    frozen = small.bytes_of(released.folder.root / "revisions")
    released.record(set_field(released.project, "L-001", "radial", "110 kN", ME))
    released.record(run_calculations(released.project, ["C-002"], ME, small.NOW))
    assert small.bytes_of(released.folder.root / "revisions") == frozen
    assert verify_revision(released.folder.root, "A").unaltered
    assert verify_work(released.folder.root).unaltered


def test_a_withdrawn_revision_says_so(released: Opened) -> None:
    small.sign(released, "6", "RL", 90, decision="withdrawn", statement="cracks in the field", withdraws="A")
    found = verify_revision(released.folder.root, "A")
    line = next(line for line in found.lines if line.what == "state of the revision")
    assert (line.count, line.note) == ("withdrawn", "S-018 of F. Holm: cracks in the field")
    assert found.unaltered
    with pytest.raises(small.Refusal, match="revision A is withdrawn by the releaser .RL., not by PE"):
        small.sign(released, "6", "PE", 91, decision="withdrawn", statement="x", withdraws="A")


@pytest.mark.parametrize("letter", ["B", "", "I", "a", "../x", "/", "A/", ".", "..", "A\x00"])
def test_a_revision_that_is_not_there(released: Opened, letter: str) -> None:
    (released.folder.root / "x").mkdir()
    with pytest.raises(StoreError, match="there is no revision .*; frozen are: A"):
        verify_revision(released.folder.root, letter)


def test_verifying_the_work_looks_at_frozen_revisions_too(released: Opened) -> None:
    root = released.folder.root
    assert {line.what: (line.count, line.state) for line in verify_work(root).lines}["frozen revisions"] == ("A", "unaltered")
    document = root / "revisions" / "A" / "dossier.pdf"
    document.write_bytes(document.read_bytes() + b" ")
    (fault,) = next(line for line in verify_work(root).lines if line.what == "frozen revisions").faults
    assert fault.startswith("revision A: dossier.pdf (found ")
