"""Which files are records, what is refused, and safe names."""

from __future__ import annotations

import os

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dossier.store.errors import RefusedPath
from dossier.store.paths import (
    check_record_path,
    file_stem,
    is_record_path,
    locate,
    scan,
    slug,
)


@pytest.mark.parametrize(
    "path",
    [
        "project.toml",
        "cost.toml",
        "requirements/chapter-1.toml",
        "designs/D-001.toml",
        "steps/1-idea.toml",
        "signoffs/S-001.json",
        "signoffs/S-001.sig",
        "evidence/E-001.toml",
    ],
)
def test_records_are_records(path: str) -> None:
    assert check_record_path(path) == path


@pytest.mark.parametrize(
    "path",
    [
        "",
        "/etc/passwd",
        "../project.toml",
        "requirements/../project.toml",
        "requirements/../../x.toml",
        "requirements//x.toml",
        "./project.toml",
        "requirements\\x.toml",
        "C:\\project.toml",
        "C:project.toml",
        "notes.toml",
        "project.toml/x.toml",
        "evidence/files/x.toml",
        "evidence/files",
        "history.git/config",
        "revisions/A/project.toml",
        "requirements/.hidden.toml",
        "requirements/a b.toml",
        "requirements/größe.toml",
        "requirements/con.toml",
        "requirements/NUL.x.toml",
        "requirements/x.json",
        "signoffs/x.toml",
        "requirements/x.toml\n",
        "requirements/" + "x" * 81 + ".toml",
    ],
)
def test_everything_else_is_refused_with_a_reason(path: str) -> None:
    assert not is_record_path(path)
    with pytest.raises(RefusedPath) as caught:
        check_record_path(path)
    assert len(caught.value.reason) > 10


@given(st.text(max_size=100))
def test_an_accepted_path_stays_inside(path: str) -> None:
    for candidate in (path, f"requirements/{path}", f"requirements/{path}.toml"):
        if is_record_path(candidate):
            assert os.path.normpath(candidate) == candidate
            assert candidate.isascii()
            assert candidate.count("/") <= 1


@given(st.text(max_size=100))
def test_any_id_gives_a_usable_file_name(record_id: str) -> None:
    assert is_record_path(f"designs/{file_stem(record_id)}.toml")
    assert is_record_path(f"designs/{slug(record_id)}.toml")


@given(st.text(max_size=8), st.text(max_size=8))
def test_different_ids_never_share_a_file_name(a: str, b: str) -> None:
    assert (file_stem(a) == file_stem(b)) == (a == b)


def test_names_read_well() -> None:
    assert file_stem("R-012") == "R-012"
    assert slug("Lower arm: joint Ø 30") == "lower-arm-joint-30"
    assert slug("Größe") == "groe"
    assert slug("CON").startswith("x-")
    assert file_stem("R 12").startswith("r-12-")
    assert "/" not in file_stem("../../etc")


def test_scan_finds_records_and_tells_what_it_refuses(tmp_path) -> None:
    for name in ("requirements", "evidence/files", "designs", "revisions/A", "elsewhere"):
        (tmp_path / name).mkdir(parents=True)
    good = ["evidence/E-001.toml", "project.toml", "requirements/a.toml", "requirements/bolt-copy.toml"]
    bad = {
        "requirements/a (1).toml": "copy a file synchroniser made of a.toml",
        "requirements/a (conflicted copy 2025-01-31).toml": "copy a file synchroniser made of a.toml",
        "requirements/a.sync-conflict-20250131-101010-AB.toml": "copy a file synchroniser made of a.toml",
        "requirements/a - Copy.toml": "copy a file synchroniser made of a.toml",
        "requirements/a-copy.toml": "copy a file synchroniser made of a.toml",
        "requirements/b ß.toml": "ASCII",
        "requirement.toml": "not one of the record files",
        "project (2).toml": "copy a file synchroniser made of project.toml",
        "designs/aux.toml": "device",
        "designs/X.TOML": "end in .toml",
    }
    ignored = ["README.md", ".project.toml.0123456789abcdef.dossier-tmp", "evidence/files/x.toml", "requirements/n.txt"]
    ignored += ["revisions/A/project.toml", "elsewhere/x.toml"]
    for name in [*good, *bad, *ignored]:
        (tmp_path / name).write_bytes(b"")
    (tmp_path / "cost.toml").mkdir()
    found = scan(tmp_path)
    assert found.paths == good
    reasons = {problem.path: problem.reason for problem in found.problems}
    assert reasons.keys() == {*bad, "cost.toml"}
    for path, words in bad.items():
        assert words in reasons[path]
    assert "not a plain file" in reasons["cost.toml"]


def test_names_that_differ_only_in_case_are_reported(tmp_path) -> None:
    (tmp_path / "designs").mkdir()
    for name in ("d-1.toml", "D-1.toml"):
        (tmp_path / "designs" / name).write_bytes(b"")
    found = scan(tmp_path)
    assert found.paths == ["designs/D-1.toml", "designs/d-1.toml"]
    assert [problem.path for problem in found.problems] == ["designs/d-1.toml"]


def test_symlinks_are_never_followed(tmp_path) -> None:
    outside, root = tmp_path / "outside", tmp_path / "project"
    outside.mkdir()
    root.mkdir()
    (outside / "x.toml").write_bytes(b"secret = 1\n")
    (root / "requirements").symlink_to(outside)
    (root / "project.toml").symlink_to(outside / "x.toml")
    found = scan(root)
    assert found.paths == []
    assert {problem.path for problem in found.problems} == {"requirements", "project.toml"}
    for path in ("requirements/x.toml", "requirements/new.toml", "project.toml"):
        with pytest.raises(RefusedPath, match="symlink"):
            locate(root, path)
    with pytest.raises(RefusedPath, match="'..'"):
        locate(root, "../outside/x.toml")
