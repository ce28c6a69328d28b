"""From a new project to a signed release, all by commands; the project that comes out is that of the keys."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest
import tomli_w

from dossier.cli import main
from tests.whole_path.files import DOCUMENTS, write_files
from tests.whole_path.outcome import assert_released
from tests.whole_path.records import CONCESSIONS, CURVES, ENGINEER, PASSPHRASE, ROLES, VALUES, WORKS, records

ALL_ROLES = {ENGINEER: "PE", **ROLES}


class Commands:
    """Commands on one project; each must do what it says."""

    def __init__(self, root: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
        self.root, self.capsys, self.monkeypatch, self.given = str(root), capsys, monkeypatch, 0

    def run(self, verb: str, *words: str, person: str = "") -> str:
        """Run one; what it printed."""
        self.given += 1
        code = main([verb, self.root, *words, *(["--person", person] if person else [])])
        told = self.capsys.readouterr()
        assert code == 0, f"{verb} {' '.join(words)}: {told.err}{told.out}"
        return told.out

    def add(self, kind: str, raw: dict[str, Any]) -> None:
        """Add a record read from standard input, as a person types or pipes it."""
        self.monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(tomli_w.dumps(raw).encode())))
        self.run("add", kind, "-", person=ENGINEER)

    def status(self) -> dict[str, Any]:
        """Where the project stands."""
        return json.loads(self.run("status", "--json"))


def _enter(commands: Commands, files: Path) -> None:
    for kind, raw in records():
        commands.add(kind, raw)
    for name in DOCUMENTS:
        commands.run("attach", name, str(files / f"{name}.txt"), person=ENGINEER)
    commands.run("set", "project", "annual_volume", "12000", person=ENGINEER)


def _test(commands: Commands, files: Path) -> None:
    curve = str(files / "E-002-P-001.csv")
    ends = ("--title", "machine M-3, radial", "--low=-11 kN", "--high", "11 kN", "--cycle", "4")
    commands.run("scheme", "RS-001", curve, *ends, person=ENGINEER)
    for item in (*VALUES, "E-002"):
        commands.run("test-state", item, "running", person=ENGINEER)
    for item, values in VALUES.items():
        for specimen, text in values.items():
            value, _, seen = text.partition("; ")
            commands.run("value", item, specimen, value, *(["--observation", seen] if seen else []), person=ENGINEER)
    curves = [str(files / f"E-002-{name}.csv") for name in CURVES]
    commands.run("import-curves", "E-002", *curves, "--scheme", "RS-001", person=ENGINEER)
    for item in (*VALUES, "E-002"):
        commands.run("test-state", item, "finished", person=ENGINEER)


def _concede(commands: Commands) -> None:
    for check, reason in CONCESSIONS.items():
        words = ("--kind", "before", "--reason", reason, "--limit", "prototypes of 2026", "--until", "2027-12-31")
        commands.run("concede", check, *words, person=ENGINEER)


def _answer(commands: Commands, person: str) -> None:
    """Whatever the status says this person is asked."""
    roles = ALL_ROLES[person].split("; ")
    for step in commands.status()["steps"]:
        for cause in step["causes"]:
            if cause["to_answer"] and cause["whose"] in roles:
                commands.run("answer", cause["where"], "met", "--remark", "looked at", person=person)


def _sign(commands: Commands, number: int) -> None:
    """A step in every role that it still asks for."""
    for role in commands.status()["steps"][number]["missing_roles"]:
        person = next(name for name, roles in ALL_ROLES.items() if role in roles.split("; "))
        commands.run("sign", str(number + 1), "--role", role, person=person)


def test_a_project_goes_from_nothing_to_a_signed_release_by_commands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for name, value in {"STATE": tmp_path / "state", "KEYS": tmp_path / "keys", "PASSPHRASE": PASSPHRASE}.items():
        monkeypatch.setenv(f"DOSSIER_{name}", str(value))
    root, files = tmp_path / "cart-link", tmp_path / "files"
    write_files(files)
    commands = Commands(root, capsys, monkeypatch)
    commands.run("new", "--title", "Cart link", person=ENGINEER)
    for person, roles in ROLES.items():
        commands.run("person", person, *roles.split("; "), person=ENGINEER)
    for person in ALL_ROLES:
        assert main(["key", "new", person]) == 0
        assert main(["key", "register", person, str(root)]) == 0
    capsys.readouterr()
    _enter(commands, files)
    _test(commands, files)
    commands.run("calculate", person=ENGINEER)
    _concede(commands)
    for person in ALL_ROLES:
        _answer(commands, person)
    for number in range(6):
        _sign(commands, number)
    left = [cause for step in commands.status()["steps"] for cause in step["causes"]]
    assert not left, left
    commands.run("freeze", person=WORKS)
    assert_released(root, commands.run("verify", "--revision", "A"))
