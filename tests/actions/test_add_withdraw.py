"""Adding and withdrawing records, people and projects."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import small_project as small

from dossier.actions.create import new_project
from dossier.actions.edit import add_record, next_id, withdraw_record
from dossier.actions.opened import Opened, acting_person
from dossier.actions.people import add_person, register_key
from dossier.actions.refusal import Refusal
from dossier.records.collections import COLLECTIONS
from dossier.store.errors import StoreError
from dossier.store.folder import ProjectFolder
from dossier.store.project import NoRecord
from dossier.store.tomlfile import parse_document

ME = small.ENGINEER
NEW: list[tuple[str, dict[str, Any], str]] = [
    ("requirement", small.requirement("R-013", "mass", "kg", {"kind": "max", "max": 1.0}), "requirements/requirements.toml"),
    ("load case", {"id": "L-003", "title": "Kerb", "radial": 5.0}, "loads.toml"),
    ("material", {"id": "M-003", "title": "Alloy", "kind": "aluminium"}, "materials.toml"),
    ("assumption", {"id": "A-003", "title": "T", "statement": "S", "choice": "c"}, "assumptions.toml"),
    ("standard", {"id": "N-001", "number": "ISO 1"}, "standards.toml"),
    ("design", small.design("V2", "variant", 20.0), "designs/V2.toml"),
    ("calculation", {"id": "C-003", "title": "Mass", "method": "mass.joint", "design": "REF"}, "calculations/C-003.toml"),
    ("specimen", {"id": "P-001", "design": "V1"}, "specimens.toml"),
    ("equipment", {"id": "Q-001", "title": "Scale"}, "equipment.toml"),
    ("document", {"id": "B-001", "title": "Photo", "kind": "photo"}, "documents.toml"),
    ("evidence", {"id": "E-001", "title": "Test", "way": "test"}, "evidence/E-001.toml"),
]


@pytest.mark.parametrize(("kind", "raw", "path"), NEW, ids=[row[0] for row in NEW])
def test_a_record_is_added_and_withdrawn_again(opened: Opened, kind: str, raw: dict[str, Any], path: str) -> None:
    before = set(opened.project.records)
    change = add_record(opened.project, kind, raw, ME)
    title = f': "{raw["title"]}"' if "title" in raw else ""
    assert (change.message, change.paths) == (f"{raw['id']} added{title}", [path])
    opened.record(change)
    assert set(opened.project.records) == before | {raw["id"]}
    stored = opened.project.raw[raw["id"]]
    assert {name: stored[name] for name in raw} == raw and opened.project.problems == []
    gone = withdraw_record(opened.project, raw["id"], ME)
    assert gone.message == f"{raw['id']} withdrawn"
    opened.record(gone)
    assert set(opened.project.records) == before and opened.project.problems == []


def test_an_added_record_is_named_whatever_its_title(opened: Opened) -> None:
    raw = {"id": "L-003", "title": "word " * 6000, "radial": 1.0}
    assert len(add_record(opened.project, "load case", raw, ME).message) < 90


REFUSED: list[tuple[str, dict[str, Any], str, str]] = [
    ("load case", {"id": "L-001", "title": "x"}, "", "id L-001 is used already; the next free one is L-003"),
    ("load case", {"id": "R-001", "title": "x"}, "", "id R-001 is used already; the next free one is L-003"),
    ("load case", {"id": "../../x", "title": "x"}, "", 'id = "../../x" must begin with a letter'),
    ("design", {**small.design("V2", "variant", None), "id": "a/b"}, "", 'id = "a/b" must begin with a letter'),
    ("load case", {"title": "x"}, "", "id is missing; add it"),
    ("load case", {"id": "L-003", "title": "x", "colour": 1}, "", "colour is not a field of LoadCase"),
    ("load case", {"id": "L-003", "title": "x"}, "requirements/x.toml", "requirements/x.toml cannot hold a load case"),
    ("requirement", small.requirement("R-9", "mass", "kg", {"kind": "max", "max": 1.0}), "requirements/../x.toml",
     "cannot hold a requirement; its files are requirements/*.toml"),
    ("project", {"id": "project", "project_id": "0" * 32, "title": "x"}, "", "id project is used already"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "raw", "path", "words"), REFUSED, ids=[row[3][:30] for row in REFUSED])
def test_what_is_not_added(opened: Opened, kind: str, raw: dict[str, Any], path: str, words: str) -> None:
    before = small.bytes_of(opened.folder.root)
    with pytest.raises(Refusal) as caught:
        add_record(opened.project, kind, raw, ME, path=path)
    assert words in str(caught.value)
    assert small.bytes_of(opened.folder.root) == before


def test_a_path_out_of_the_folder_is_refused_by_the_store_too(opened: Opened) -> None:
    raw = small.requirement("R-9", "mass", "kg", {"kind": "max", "max": 1.0})
    with pytest.raises(StoreError, match="is refused"):
        add_record(opened.project, "requirement", raw, ME, path="requirements/.hidden.toml")


def test_an_unknown_kind_names_the_known_ones(opened: Opened) -> None:
    with pytest.raises(KeyError, match='no kind of record "spring"; known: project, idea, requirement'):
        add_record(opened.project, "spring", {}, ME)


def test_the_next_number_of_each_kind(opened: Opened) -> None:
    kinds = [collection.kind for collection in COLLECTIONS if collection.prefix]
    assert {kind: next_id(opened.project, kind) for kind in kinds} == {
        "requirement": "R-013", "load case": "L-003", "material": "M-003", "assumption": "A-003", "standard": "N-001",
        "design": "V2", "calculation": "C-003", "specimen": "P-001", "equipment": "Q-001", "reading scheme": "RS-001",
        "evidence": "E-001", "document": "B-001", "caution": "K-001",
    }  # fmt: skip


USED = [
    ("L-001", "C-002"), ("A-001", "C-002"), ("V1", "project, idea, C-001, C-002"), ("REF", "project"),
    ("M-002", "REF, V1"), ("R-001", "C-001"),
]  # fmt: skip


@pytest.mark.parametrize(("record", "users"), USED)
def test_what_others_name_is_not_withdrawn(opened: Opened, record: str, users: str) -> None:
    with pytest.raises(Refusal) as caught:
        withdraw_record(opened.project, record, ME)
    told = str(caught.value)
    assert told.startswith(f"{record} is used by ") and told.endswith("; withdraw or re-link these first")
    named = told.removeprefix(f"{record} is used by ").partition(";")[0].split(", ")
    assert sorted(named) == sorted(users.split(", "))


def test_a_field_of_a_record_named_in_a_text_holds_it(opened: Opened) -> None:
    raw = {"id": "K-009", "signal": "NOTICE", "title": "x", "text": "{a}", "numbers": {"a": "L-002.radial"}}
    opened.record(add_record(opened.project, "caution", raw, ME))
    with pytest.raises(Refusal, match="L-002 is used by K-009"):
        withdraw_record(opened.project, "L-002", ME)
    raw = {"id": "K-010", "signal": "NOTICE", "title": "L-002. See", "text": "About L-002"}
    opened.record(add_record(opened.project, "caution", raw, ME))
    with pytest.raises(Refusal, match="L-002 is used by K-009;"):
        withdraw_record(opened.project, "L-002", ME)


def test_the_project_itself_is_not_withdrawn(opened: Opened) -> None:
    with pytest.raises(Refusal, match="project.toml is the project itself; it cannot be withdrawn"):
        withdraw_record(opened.project, "project", ME)
    with pytest.raises(NoRecord, match="R-099 names no record"):
        withdraw_record(opened.project, "R-099", ME)


def test_withdrawing_keeps_the_neighbours(opened: Opened) -> None:
    opened.record(withdraw_record(opened.project, "L-002", ME))
    assert [load.id for load in opened.project.loads] == ["L-001"]
    assert opened.folder.history().read_at(opened.snapshot.head or "", "loads.toml") is not None


def test_a_person_is_added_once_with_all_roles(opened: Opened) -> None:
    change = add_person(opened.project, "G. Moe", ["PR", "PR"], ME)
    assert change.message == "G. Moe added as PR"
    opened.record(change)
    opened.record(add_person(opened.project, "G. Moe", ["AU"], ME))
    assert opened.project.header.person("G. Moe").roles == ["PR", "AU"]
    with pytest.raises(Refusal, match="G. Moe is PR, AU already; nothing to change"):
        add_person(opened.project, "G. Moe", ["AU"], ME)
    with pytest.raises(Refusal, match='roles.0 = "XX" is none of'):
        add_person(opened.project, "H. Ek", ["XX"], ME)
    with pytest.raises(Refusal, match="without < and >"):
        add_person(opened.project, "H <b>", ["PE"], ME)


def test_a_key_is_registered_once(opened: Opened) -> None:
    opened.record(register_key(opened.project, ME, "ab" * 32))
    assert opened.project.header.person(ME).public_key == "ab" * 32
    with pytest.raises(Refusal, match="has another key already"):
        register_key(opened.project, ME, "cd" * 32)
    with pytest.raises(Refusal, match="Z. Nobody is not among the project's people; `dossier person` adds somebody"):
        register_key(opened.project, "Z. Nobody", "ab" * 32)
    for bad, words in (("zz", "is not hexadecimal"), ("ab", "has 1 byte; an Ed25519 key has 32")):
        with pytest.raises(StoreError, match=words):
            register_key(opened.project, ME, bad)


@pytest.mark.parametrize("name", ["A <b>", "a\nb", "a\x1b[2J", "\udc80", " x", "x" * 81])
def test_who_acts_is_a_name_that_can_stand_in_the_history(opened: Opened, name: str) -> None:
    with pytest.raises(Refusal, match="name|person"):
        acting_person(opened.project.header, name)


def test_who_acts_unless_named(opened: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DOSSIER_PERSON", raising=False)
    monkeypatch.setenv("USER", "anna")
    assert acting_person(None) == "anna"
    with pytest.raises(Refusal, match="person is not given; give --person or DOSSIER_PERSON, one of A. Berg"):
        acting_person(opened.project.header)
    with pytest.raises(Refusal, match='person = "anna" is not among the people of the project'):
        acting_person(opened.project.header, "anna")
    monkeypatch.setenv("DOSSIER_PERSON", "B. Lind")
    assert acting_person(opened.project.header) == "B. Lind"
    assert acting_person(opened.project.header, "C. Roth") == "C. Roth"


def test_a_project_is_begun_in_an_empty_folder_only(tmp_path: Path) -> None:
    root = tmp_path / "new"
    change = new_project(root, "Joint 7", "A. Berg", ["PE"])
    root.mkdir()
    ProjectFolder(root, use_cache=False).commit(change, None)
    begun = small.reopen(root)
    assert (begun.project.header.title, begun.project.problems) == ("Joint 7", [])
    assert [entry.message for entry in begun.folder.history().log()] == ['project "Joint 7" begun']
    other = parse_document(new_project(tmp_path / "b", "b", "A. Berg", ["PE"]).files["project.toml"] or b"", "b")
    assert begun.project.header.project_id != other["project_id"]
    with pytest.raises(Refusal, match="is not empty; choose another folder"):
        new_project(root, "Joint 8", "A. Berg", ["PE"])
    with pytest.raises(Refusal, match="title is empty"):
        new_project(tmp_path / "c", "", "A. Berg", ["PE"])
    with pytest.raises(Refusal, match='people.0.roles.0 = "XX" is none of'):
        new_project(tmp_path / "c", "x", "A. Berg", ["XX"])
    (tmp_path / "file").write_text("x")
    with pytest.raises(Refusal, match="is not a folder"):
        new_project(tmp_path / "file", "x", "A. Berg", ["PE"])
