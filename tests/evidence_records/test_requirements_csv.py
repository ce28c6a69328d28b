"""Requirements from a table: rows are taken or held back with a reason, and nothing that is there is lost."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.actions.requirements_csv import TARGET, preview_requirements, take_requirements
from tests import small_project as small

HEAD = "id;title;statement;quantity;unit;min;max;criterion;verification\n"
GOOD = "R-301;Mass;The joint shall be light.;mass;kg;;1,5;;test\n"


@pytest.fixture
def opened(tmp_path: Path) -> Opened:
    return small.begin(tmp_path / "project")


def preview(opened: Opened, tmp_path: Path, text: str, *columns: str, encoding: str = "utf-8"):
    path = tmp_path / "list.csv"
    path.write_bytes(text.encode(encoding))
    return preview_requirements(opened.project, path, columns)


@pytest.mark.parametrize("row", ["R-302\n", "R-302;x\n", ";;;;;;;;x\n", "R-302;;;mass;kg;;1;;test\n"])
def test_a_short_or_empty_row_is_held_back_by_its_line(opened, tmp_path, row):
    found = preview(opened, tmp_path, HEAD + GOOD + row)
    assert [raw["id"] for raw in found.taken] == ["R-301"]
    assert len(found.held_back) == 1
    assert found.held_back[0].startswith("line 3: ") and "is empty; fill it" in found.held_back[0]


def test_a_table_whose_first_column_is_not_the_id_may_be_short_too(opened, tmp_path):
    found = preview(opened, tmp_path, "quantity;statement;unit;Number\nmass\n", "id=Number")
    assert found.taken == [] and "id (Number)" in found.held_back[0]


def test_an_empty_unit_is_that_of_a_bare_number(opened, tmp_path):
    row = "R-303;Marking;The marking shall be legible.;marking;;;;legible;inspection\n"
    found = preview(opened, tmp_path, HEAD + row)
    assert found.held_back == []
    assert (found.taken[0]["unit"], found.taken[0]["limit"]["kind"]) == ("-", "pass_fail")


def test_a_second_import_keeps_the_first(opened, tmp_path):
    opened.record(take_requirements(opened.project, preview(opened, tmp_path, HEAD + GOOD), small.ENGINEER))
    second = preview(opened, tmp_path, HEAD + GOOD + GOOD.replace("R-301", "R-304"))
    assert [raw["id"] for raw in second.taken] == ["R-304"]
    assert second.held_back == ["line 2: id R-301 is used already; renumber it"]
    opened.record(take_requirements(opened.project, second, small.ENGINEER))
    assert {"R-301", "R-304", "R-001"} <= set(opened.project.records)


def test_an_unreadable_file_of_requirements_is_not_written_over(opened, tmp_path):
    broken = opened.folder.root / TARGET
    broken.write_text('[[requirement]]\nid = "R-301"\nstatement = "by hand', "utf-8")
    again = small.reopen(opened.folder.root)
    found = preview(again, tmp_path, HEAD + GOOD)
    with pytest.raises(Refusal, match="nothing is written over a file that cannot be read"):
        take_requirements(again.project, found, small.ENGINEER)
    assert broken.read_text("utf-8").endswith("by hand")


def test_the_id_of_a_requirement_that_could_not_be_taken_is_used_too(opened, tmp_path):
    file = opened.folder.root / "requirements" / "main.toml"
    file.write_text(file.read_text("utf-8") + '\n[[requirement]]\nid = "R-301"\nstatement = ""\n', "utf-8")
    again = small.reopen(opened.folder.root)
    assert "R-301" not in again.project.records
    assert preview(again, tmp_path, HEAD + GOOD).held_back == ["line 2: id R-301 is used already; renumber it"]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "latin-1"])
@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_dialects_give_the_same_requirement(opened, tmp_path, encoding, delimiter):
    text = (HEAD + GOOD.replace("light", "leicht für Anhänger")).replace(";", delimiter)
    found = preview(opened, tmp_path, text, encoding=encoding)
    assert found.held_back == []
    assert found.taken[0]["statement"] == "The joint shall be leicht für Anhänger."
    assert found.taken[0]["limit"] == {"max": 1.5, "kind": "max"}


@pytest.mark.parametrize(
    ("text", "named"),
    [("", "0 bytes"), ("id;statement\n", "holds a header and no row"), ("a;b\n1;2\n", "no column for id"),
     (HEAD + '"R-301;open\n', "list.csv")],
)  # fmt: skip
def test_a_file_that_is_no_such_table_is_refused(opened, tmp_path, text, named):
    with pytest.raises(Refusal, match=named):
        preview(opened, tmp_path, text)


def test_text_that_looks_like_a_formula_is_text(opened, tmp_path):
    found = preview(opened, tmp_path, HEAD + GOOD.replace("Mass", "=cmd()"))
    opened.record(take_requirements(opened.project, found, small.ENGINEER))
    assert opened.project.get("R-301").title == "=cmd()"


def test_characters_that_steer_a_terminal_are_refused_by_their_line(opened, tmp_path):
    with pytest.raises(Refusal, match="^list.csv line 2: byte 0x1b is no text"):
        preview(opened, tmp_path, HEAD + GOOD.replace("light", "\x1b[2Jlight"))
