"""Every command once: what it prints, what it leaves in the folder, and how it ends (0 done, 1 refused, 2 wrong use)."""

from __future__ import annotations

import argparse
import io
import json
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import small_project as small

from dossier import cli
from dossier.actions.calculate import NOTHING
from dossier.actions.opened import Opened
from dossier.checks import standing as standing_module

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "projects" / "axle-link"
pytestmark = pytest.mark.usefixtures("remembered_runs")
READING = ("status", "verify", "changes", "methods", "compute", "look")


@pytest.fixture(autouse=True)
def surroundings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DOSSIER_PERSON", small.ENGINEER)
    monkeypatch.setenv("DOSSIER_PASSPHRASE", small.PASSPHRASE)
    monkeypatch.setenv("DOSSIER_KEYS", str(tmp_path / "keys"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


class Shell:
    """Runs commands in this process and keeps what they printed."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self.capsys = capsys
        self.out = self.err = ""

    def __call__(self, *arguments: object, ends: int = 0) -> str:
        self.capsys.readouterr()
        found = cli.main([str(argument) for argument in arguments])
        self.out, self.err = self.capsys.readouterr()
        assert found == ends, (arguments, self.out, self.err)
        return self.out

    def refuses(self, *arguments: object) -> str:
        """The command ends with 1, prints nothing to stdout, and says why."""
        assert self(*arguments, ends=1) == ""
        assert self.err.splitlines()[-1].startswith(f"dossier {arguments[0]}: ")
        return self.err

    def json(self, *arguments: object, ends: int = 0) -> Any:
        return json.loads(self(*arguments, "--json", ends=ends))


@pytest.fixture
def shell(capsys: pytest.CaptureFixture[str]) -> Shell:
    return Shell(capsys)


def verbs() -> dict[str, argparse.ArgumentParser]:
    actions = [a for a in cli.parser()._actions if isinstance(a, argparse._SubParsersAction)]
    return dict(actions[0].choices)


def test_a_project_from_beginning_to_signature(shell: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """new, add, set, clear, withdraw, calculate, undo, redo, person, key, answer, remark, concede, sign, changes."""
    root = tmp_path / "joint"
    assert shell("new", root, "--title", "Joint 7", "--person", small.ENGINEER) == f'project "Joint 7" begun in {root}\n'
    for kind, record_id in (("material", "M-001"), ("material", "M-002"), ("design", "V1"), ("requirement", "R-001"),
                            ("calculation", "C-001"), ("load case", "L-001")):  # fmt: skip
        file = tmp_path / "record.toml"
        file.write_bytes(small.dump_document(small.entry_of(small.documents(), record_id)))
        assert shell("add", root, kind, file).startswith(f"{record_id} added: ")
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b'id = "L-002"\ntitle = "Service"\n')))
    assert shell("add", root, "load case", "-") == 'L-002 added: "Service"\n'
    assert shell("set", root, "R-001", "limit.max", "1800 g") == "R-001 limit.max 1.9 → 1.8 kg\n"
    assert shell("set", root, "L-001", "remark", "see clause 4") == 'L-001 remark empty → "see clause 4"\n'
    assert shell("clear", root, "L-001", "remark") == 'L-001 remark "see clause 4" → empty\n'
    assert shell("withdraw", root, "L-002") == "L-002 withdrawn\n"
    assert shell("calculate", root) == "C-001 calculated: mass of the joint 1700 g\n"
    assert shell.err == "1 of 1: C-001\n"
    assert shell("calculate", root) == NOTHING + "\n"
    assert shell("undo", root) == "Taken back: C-001 calculated: mass of the joint 1700 g\n"
    assert shell("redo", root) == "Brought back: C-001 calculated: mass of the joint 1700 g\n"
    assert shell("person", root, small.REVIEWER, "RV") == "B. Lind added as RV\n"
    assert "fingerprint  " in shell("key", "new", small.REVIEWER)
    registered = shell("key", "register", small.REVIEWER, root)
    assert registered.startswith("public key of B. Lind registered\nfingerprint  ")
    assert shell("answer", root, "1.5", "met") == "check 1.5 answered: met\n"
    assert shell("answer", root, "1.6", "not-met", "--remark", "ask") == "check 1.6 answered: not met\n"
    assert shell("remark", root, "R-001", "see clause 4", "--step", "2") == 'R-001 remark "see clause 4"\n'
    assert shell("concede", root, "R-001", "--kind", "before", "--reason", "late", "--limit", "50 parts", "--until",
                 "2099-12-31") == 'R-001 conceded until 2099-12-31: "late"\n'  # fmt: skip
    refused = shell.refuses("sign", root, "1", "--role", "RV", "--person", small.REVIEWER)
    assert "step 1 cannot be released, not met: " in refused
    assert shell("sign", root, "1", "--role", "RV", "--person", small.REVIEWER, "--decision", "sent back", "--statement",
                 "no baseline") == "step 1 sent back by B. Lind, RV\n"  # fmt: skip
    monkeypatch.setattr(standing_module, "check_states", small.all_met)
    assert shell("sign", root, "1", "--role", "RV", "--person", small.REVIEWER) == "step 1 released by B. Lind, RV\n"
    assert shell("verify", root).startswith("Joint 7, work in progress. Nothing was altered.")
    told = shell("changes", root, "--limit", "3").splitlines()
    assert [line.split("  ")[-1] for line in told] == [
        "step 1 released by B. Lind, RV", "step 1 sent back by B. Lind, RV", 'R-001 conceded until 2099-12-31: "late"',
    ]  # fmt: skip


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """The folder of the small project."""
    return small.begin(tmp_path / "project").folder.root


def test_how_many_specimens_a_statement_needs(shell: Shell) -> None:
    assert shell.json("how-many", "success-run") == {"specimens": 22}
    assert "slope" in shell.refuses("how-many", "success-run", "--length", "2")


def test_status(shell: Shell, root: Path) -> None:
    title, answer, head, *rest = shell("status", root).splitlines()
    assert title == "Small joint" and answer.startswith("Step 1 Idea is in work: ")
    assert head.split() == ["step", "state", "met", "not", "met", "open", "outdated", "conceded"]
    assert rest[6].startswith("3 requirements: ")
    plain = shell.json("status", root)
    assert [step["step"] for step in plain["steps"]] == list("123456") and plain["answer"] == answer


def test_methods_and_compute(shell: Shell) -> None:
    assert "pin.bending" in shell("methods")
    assert "static safety against yield" in shell("methods", "pin.bending")
    listed = shell.json("methods")
    assert len({fact["id"] for fact in listed}) == len(listed) >= 4
    assert shell.json("methods", "mass.joint")["id"] == "mass.joint"
    assert "no method \"pin.magic\"; known: " in shell.refuses("methods", "pin.magic")
    pin = '{"length": 150, "ball_radius": 29, "neck_radius": 18, "neck_fillet": 2.5, "ends": {"flat_thickness": 26, ' \
          '"flat_start": 43, "hole_diameter": 17.5, "hole_distance": 112, "clamp_edge": 42}}'
    given = ("compute", "pin.bending", "force=100 kN", "support=held_at_bolt_axis", "yield_strength=800 MPa",
             "youngs_modulus=210 GPa", "poisson_ratio=0.3", f"pin={pin}")  # fmt: skip
    assert "safety" in shell(*given)
    assert shell.json(*given)["inputs"]["force"] == 100000.0
    assert "force = -1.0 N must exceed 0.0 N" in shell.refuses(*given, "force=-1 N")
    told = shell("compute", "rubber.moduli", "hardness=60", "relation=lindley", "tolerance=5")
    assert "0.8100 .. 1.370" in told and "by Lindley's table; at the same number Gent's relation of 1958 3.61 MPa (−19 %)" in told


def test_foreign_edits_by_command(shell: Shell, root: Path) -> None:
    file = root / "requirements/main.toml"
    good = file.read_text("utf-8")
    file.write_text(good.replace("max = 45.0", "max = 50.0"), "utf-8")
    assert "not taken in: requirements/main.toml: R-012 limit.max 45 → 50 kN" in shell("changes", root)
    assert shell.err == "requirements/main.toml was changed outside the tool; `dossier changes` shows it\n"
    assert "1 thing differs" in shell("verify", root, ends=1)
    assert shell("changes", root, "--restore-foreign").startswith("requirements/main.toml restored; the edited file is kept")
    assert file.read_text("utf-8") == good
    assert shell("changes", root, "--restore-foreign") == "nothing was changed outside the tool\n"
    file.write_text(good.replace("max = 45.0", "max = 50.0"), "utf-8")
    assert shell("changes", root, "--record-foreign") == "Edited outside the tool: requirements/main.toml\n"
    assert small.reopen(root).project.get("R-012").limit.max == 50
    shutil.rmtree(root / "history.git")
    assert shell("changes", root, "--begin-history").startswith("new history begun at ")
    assert shell("verify", root).startswith("Small joint")


def test_verify_ends_with_1_and_says_it_in_json_too(shell: Shell, root: Path, tmp_path: Path) -> None:
    assert shell.json("verify", root)["unaltered"] is True
    (root / "loads.toml").write_bytes(b"# \n" + (root / "loads.toml").read_bytes())
    found = shell.json("verify", root, ends=1)
    assert found["unaltered"] is False and found["lines"][1]["state"] == "differs"
    trusted = tmp_path / "trusted"
    trusted.write_text("zz A. Berg\n")
    assert "trusted line 1: zz is no fingerprint" in shell.refuses("verify", root, "--trusted", trusted)
    assert "there is no revision A; frozen are: none" in shell.refuses("verify", root, "--revision", "A")


def test_draft_and_freeze(shell: Shell, root: Path, tmp_path: Path) -> None:
    out = tmp_path / "draft.pdf"
    told = shell("draft", root, "--out", out, "--page", "letter")
    assert told.startswith(f"{out}: ") and told.endswith(" pages, marked as draft\n")
    assert out.read_bytes().startswith(b"%PDF-")
    assert "revision A cannot be frozen: step 1 " in shell.refuses("freeze", root)


def test_evidence_by_command(shell: Shell, root: Path, tmp_path: Path) -> None:
    curve = tmp_path / "P-001.csv"
    curve.write_text("force/kN;travel/mm\n" + "".join(f"{n / 10};{n / 100}\n" for n in range(50)))
    assert shell("look", curve)
    assert shell.json("look", curve)
    assert "stiffness part" in shell("evaluate", curve, "--kind", "static", "--cycle", "1")
    assert shell.json("evaluate", curve, "--kind", "static", "--cycle", "1")["stiffness"] > 0
    opened = small.reopen(root)
    raw = {"id": "P-001", "design": "V1"}
    opened.record(small.add_record(opened.project, "specimen", raw, small.ENGINEER))
    planned = shell("plan-test", root, "--title", "Pull", "--unit", "kN", "--variant", "V1", "--count", "1")
    assert planned.startswith("E-001 ")
    assert shell("test-order", root, "--out", tmp_path / "order.txt").startswith(f"{tmp_path / 'order.txt'}: 1 planned")
    assert shell("prediction-error", root).startswith("no prediction has been tested yet in ")
    assert shell("test-state", root, "E-001", "running", "--on", "2026-03-02")
    assert shell("value", root, "E-001", "P-001", "41 kN")
    assert "P-001.shape_sha256 is recorded already" in shell.refuses("as-made", root, "P-001")
    assert "E-001: its parts have today's shape" in shell.refuses("carry-over", root, "E-001", "--reason", "untouched")
    assert shell("set", root, "V1", "pin.bores.0.diameter", "19 mm")
    assert "E-001 carried over" in shell("carry-over", root, "E-001", "--reason", "the bore is not loaded")
    assert "no evidence of a stiffness curve" in shell.refuses("sign-rates", root, "E-001")
    assert "its signs: none" in shell.refuses("answer-sign", root, "E-001", "P-001", "slip", "--reason", "looked")
    assert shell.refuses("scheme", root, "RS-01", tmp_path / "none.csv", "--title", "x", "--low", "-1 kN", "--high", "1 kN")
    assert shell.refuses("import-curves", root, "E-099", curve)
    assert "E-001 is no document" in shell.refuses("attach", root, "E-001", curve)
    table = tmp_path / "demands.csv"
    table.write_text("id;title;statement;quantity;unit;max\n")
    assert "demands.csv" in shell.refuses("import-requirements", root, table)


REFUSED: list[tuple[tuple[str, ...], str]] = [
    (("set", "{root}", "R-099", "title", "x"), "R-099 names no record of this project; check its spelling"),
    (("set", "{root}", "R-012", "limit.max", "50 mm"), 'limit.max: "mm" is length, but "kN" is force; give a value in kN'),
    (("set", "{root}", "R-012", "title", "x", "--person", "A <b>"), 'person = "A <b>" is not among the people of the project'),
    (("set", "{root}", "R-012", "title", "\udc80"), "title holds the lone surrogate U+DC80; remove it"),
    (("clear", "{root}", "R-012", "title"), "R-012.title is required and cannot be emptied (title is missing; add it)"),
    (("add", "{root}", "spring", "{root}/loads.toml"), 'no kind of record "spring"; known: project, idea'),
    (("add", "{root}", "load case", "{root}/none.toml"), "none.toml is not there; check the path"),
    (("add", "{root}", "load case", "{root}"), "{root}: Is a directory"),
    (("withdraw", "{root}", "L-001"), "L-001 is used by C-002; withdraw or re-link these first"),
    (("calculate", "{root}", "R-001"), "R-001 is no calculation; name one of C-001, C-002"),
    (("undo", "{root}"), "“Begun” began this history and cannot be taken back"),
    (("redo", "{root}"), "A. Berg has no change to bring back"),
    (("new", "{root}", "--title", "x", "--person", "A. Berg"), "is not empty; choose another folder"),
    (("status", "{root}/nowhere"), "holds no project (no project.toml); name the project's folder"),
    (("status", "{root}/loads.toml"), "holds no project (no project.toml); name the project's folder"),
    (("key", "register", "A. Berg", "{root}"), "A. Berg has no key in "),
    (("key", "register", "A. Berg"), "name the project to register the key in: dossier key register PERSON PROJECT"),
    (("person", "{root}", "A. Berg", "PE"), "A. Berg is PE already; nothing to change"),
    (("answer", "{root}", "1.1", "met"), "check 1.1 is computed from the records; it cannot be answered, only conceded"),
    (("remark", "{root}", "R-099", "x", "--step", "1"), "R-099 names no record"),
    (("sign", "{root}", "1", "--role", "PE"), "A. Berg has no public key in project.toml; `dossier key register` adds it"),
    (("look", "{root}/none.csv"), "{root}/none.csv is not there; check the path of the measured file"),
    (("look", "{root}"), "{root} is a folder; name one measured file in it"),
    (("concede", "{root}", "R-012", "--kind", "after", "--reason", "x", "--limit", "5 parts", "--until", "2099-01-31",
      "--document", "B-9"), "document = B-9 is not in documents.toml (none yet); register it first"),
    (("verify", "{root}", "--trusted", "{root}/none"), "none is not there; check the path"),
]


@pytest.mark.parametrize(("arguments", "words"), REFUSED, ids=[" ".join(row[0][:1] + row[0][2:4]) for row in REFUSED])
def test_refusals_end_with_1_and_change_nothing(
    shell: Shell, root: Path, arguments: tuple[str, ...], words: str
) -> None:
    before = small.bytes_of(root)
    told = shell.refuses(*(argument.replace("{root}", str(root)) for argument in arguments))
    assert words.replace("{root}", str(root)) in told
    left = {path: data for path, data in small.bytes_of(root).items() if not path.startswith(".locks/")}
    assert left == {path: data for path, data in before.items() if not path.startswith(".locks/")}


@pytest.mark.parametrize("arguments", [
    (), ("fly",), ("set",), ("set", "x"), ("sign", "x", "7", "--role", "PE"), ("answer", "x", "1.5", "maybe"),
    ("concede", "x", "R-1"), ("changes", "x", "--limit", "ten"), ("changes", "x", "--limit", "-3"),
    ("draft", "x", "--page", "a5"), ("status", "x", "--colour"),
])  # fmt: skip
def test_wrong_use_ends_with_2(capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...]) -> None:
    with pytest.raises(SystemExit) as caught:
        cli.main(list(arguments))
    assert caught.value.code == 2
    assert "usage: dossier" in capsys.readouterr().err


@pytest.mark.parametrize(("typed", "words"), [
    ("chanegs", "no command chanegs; did you mean changes? `dossier --help` lists them"),
    ("xyzzy", "no command xyzzy; `dossier --help` lists them"),
])  # fmt: skip
def test_an_unknown_command_names_the_nearest(capsys: pytest.CaptureFixture[str], typed: str, words: str) -> None:
    with pytest.raises(SystemExit):
        cli.main([typed])
    assert words in capsys.readouterr().err


@pytest.mark.parametrize("verb", sorted(verbs()))
def test_every_verb_has_a_help_and_is_run_in_these_tests(capsys: pytest.CaptureFixture[str], verb: str) -> None:
    with pytest.raises(SystemExit) as caught:
        cli.main([verb, "--help"])
    assert caught.value.code == 0 and f"dossier {verb}" in capsys.readouterr().out
    assert f'"{verb}"' in Path(__file__).read_text("utf-8") or verb in ("undo", "redo")


@pytest.mark.parametrize("project", ["small", "demo", "without history"])
def test_reading_commands_write_nothing_into_the_project(shell: Shell, root: Path, tmp_path: Path, project: str) -> None:
    if project == "demo":
        root = tmp_path / "demo"
        shutil.copytree(DEMO, root)
    if project == "without history":
        shutil.rmtree(root / "history.git")
    before = {path: path.stat().st_mtime_ns for path in root.rglob("*")}
    held = small.bytes_of(root)
    shell("status", root)
    shell("status", root, "--json")
    cli.main(["verify", str(root)])
    cli.main(["changes", str(root)])
    assert small.bytes_of(root) == held
    assert {path: path.stat().st_mtime_ns for path in root.rglob("*")} == before, "not even touched"


def test_a_reading_command_works_where_nothing_can_be_written(shell: Shell, root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As on a read-only disk: every way of opening a file for writing below the project fails."""
    import os

    original = os.open

    def refuse(path: Any, flags: int, *rest: Any, **more: Any) -> int:
        if flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT) and str(path).startswith(str(root)):
            raise PermissionError(13, "Permission denied", str(path))
        return original(path, flags, *rest, **more)

    monkeypatch.setattr(os, "open", refuse)
    assert "Small joint" in shell("status", root)
    assert "Small joint" in shell("verify", root)
    assert "Permission denied" in shell.refuses("set", root, "R-012", "limit.max", "50")


def test_unreadable_records_are_told_on_stderr_and_the_answer_still_comes(shell: Shell, root: Path) -> None:
    (root / "designs/V1.toml").write_text("x = [\n")
    assert "Small joint" in shell("status", root)
    assert shell.err.startswith("unreadable: designs/V1.toml line 1: not readable as TOML: ")
    assert shell.json("status", root)["steps"][2]["state"] == "in work"
    (root / "project.toml").write_text("x = [\n")
    assert "project without a readable project.toml" in shell("status", root)


def test_a_project_of_a_newer_form_is_only_looked_at(shell: Shell, root: Path) -> None:
    file = root / "project.toml"
    file.write_text(file.read_text("utf-8").replace("format = 1", "format = 2"), "utf-8")
    assert "Small joint" in shell("status", root)
    before = small.bytes_of(root)
    for arguments in (("set", root, "R-012", "limit.max", "50"), ("undo", root), ("changes", root, "--record-foreign"),
                      ("changes", root, "--restore-foreign"), ("changes", root, "--begin-history"),
                      ("calculate", root)):  # fmt: skip
        assert "project.format = 2 is newer than 1, the form this version writes" in shell.refuses(*arguments)
    assert small.bytes_of(root) == before


def test_a_hand_written_comment_is_warned_of_before_it_goes(shell: Shell, root: Path) -> None:
    file = root / "loads.toml"
    file.write_text("# by hand\n" + file.read_text("utf-8"))
    shell("changes", root, "--record-foreign")
    shell("set", root, "L-001", "torsion", "6")
    assert shell.err == "loads.toml: its hand-written comments are not kept (use the field remark)\n"


def test_text_of_a_project_cannot_steer_the_terminal(shell: Shell, root: Path) -> None:
    """Turning marks are stored as they are and shown by their code; control characters never get in by command."""
    shell("set", root, "project", "title", "Joint \u202egnp.exe\u202c")
    assert shell.out == 'project title "Small joint" → "Joint \\u202egnp.exe\\u202c"\n'
    assert "\u202e" not in shell("status", root) + shell("changes", root) + shell("verify", root)
    plain = shell("status", root, "--json")
    assert "\u202e" not in plain and json.loads(plain)["title"] == "Joint \u202egnp.exe\u202c"
    (root / "requirements/a\x1b[2J.toml").write_text("")
    shell("status", root)
    assert "\x1b" not in shell.err and "\\u001b" in shell.err


def test_a_passphrase_that_nobody_types(shell: Shell, root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shell("key", "new", small.ENGINEER)
    shell("key", "register", small.ENGINEER, root)
    monkeypatch.delenv("DOSSIER_PASSPHRASE")

    def nobody(prompt: str) -> str:
        raise EOFError

    monkeypatch.setattr("getpass.getpass", nobody)
    words = "no passphrase was given; type it, or set DOSSIER_PASSPHRASE"
    sent_back = ("--decision", "sent back", "--statement", "x")
    assert words in shell.refuses("sign", root, "1", "--role", "PE", *sent_back)
    monkeypatch.setattr("getpass.getpass", lambda prompt: small.PASSPHRASE)
    assert shell("sign", root, "1", "--role", "PE", *sent_back)


def test_stopping_a_command(shell: Shell, root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(self: Opened, *_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Opened, "reload", stop)
    assert shell.refuses("status", root) == "dossier status: stopped\n"


def test_as_a_process_on_the_demonstration_project(tmp_path: Path) -> None:
    shutil.copytree(DEMO, tmp_path / "demo")
    command = [sys.executable, "-m", "dossier", "status", str(tmp_path / "demo")]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, encoding="utf-8")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines()[0] == "AX-76 axle link of a tandem trailer, 18 t class"
    narrow = subprocess.run(
        command, cwd=ROOT, capture_output=True, text=True, env={"PYTHONIOENCODING": "ascii", "PATH": "/usr/bin"}
    )
    assert narrow.returncode == 0, narrow.stderr
    head = subprocess.run(
        f"{' '.join(command)} | head -1", shell=True, cwd=ROOT, capture_output=True, text=True, encoding="utf-8"
    )
    assert head.stderr == "", "a reader that goes away is no error"
