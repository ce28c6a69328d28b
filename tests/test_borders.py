"""The borders of the house: who may import whom, and what stays unloaded until it is needed."""

from __future__ import annotations

import ast
import os
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
DEMO = ROOT / "projects" / "axle-link"
HEAVY = {"numpy", "scipy", "reportlab", "dulwich", "textual", "screens", "pypdf", "cryptography", "rfc8785"}
CORE = ["units", "records", "store", "methods", "checks", "release", "actions", "commands", "cli"]
PLAIN = ["mechanics", "evidence", "economics"]


def test_the_contracts_of_imports_are_kept() -> None:
    """Every contract of pyproject.toml, read by the tool that pyproject.toml names."""
    code = "from importlinter.cli import lint_imports; raise SystemExit(lint_imports())"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, encoding="utf-8")
    assert done.returncode == 0, done.stdout + done.stderr
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["importlinter"]["contracts"]
    assert len(contracts) >= 3 and f"Contracts: {len(contracts)} kept, 0 broken." in done.stdout


def test_every_part_of_the_house_is_in_the_contracts() -> None:
    """A new package must take its place; without this it would lie outside every contract."""
    known = {*CORE, *PLAIN, "data"}
    found = {path.name if path.is_dir() else path.stem for path in (ROOT / "dossier").iterdir()}
    found -= {"__pycache__", "__init__", "__main__", "worker", "field_worker"}
    assert found == known
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["importlinter"]["contracts"]
    layers = next(contract["layers"] for contract in contracts if contract["type"] == "layers")
    assert [layer.removeprefix("dossier.") for layer in layers if layer != "screens"] == CORE[::-1]
    forbidden = next(c for c in contracts if c["type"] == "forbidden" and "dossier.mechanics" in c["source_modules"])
    assert {module.removeprefix("dossier.") for module in forbidden["source_modules"]} == set(PLAIN)


def imports_of(path: Path) -> set[str]:
    """First names of everything a file imports, at any depth."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names.add(node.module.partition(".")[0])
    return names


def test_dossier_never_names_the_screens() -> None:
    files = list((ROOT / "dossier").rglob("*.py"))
    assert len(files) > 150
    assert [path for path in files if imports_of(path) & {"screens", "textual"}] == []


USERS_OWN = {"nptdms"}  # used where the user has installed it; its licence (LGPL) keeps it out of the extras


def test_only_libraries_of_the_project_file_are_imported() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    named = {requirement.replace("-", "_").partition(">")[0].partition("<")[0] for requirement in project["dependencies"]}
    named |= {"annotated_types", "rich"}  # belong to pydantic (limits of fields) and textual (styled text)
    for package in ("dossier", "screens"):
        for path in (ROOT / package).rglob("*.py"):
            foreign = imports_of(path) - set(sys.stdlib_module_names) - {"dossier", "screens"} - named
            assert foreign <= _optional(project) | USERS_OWN, (path, foreign)


def test_every_library_of_the_project_file_is_imported() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    named = {requirement.replace("-", "_").partition(">")[0] for requirement in project["dependencies"]}
    used = {name for package in ("dossier", "screens") for path in (ROOT / package).rglob("*.py") for name in imports_of(path)}
    assert named - used == set()


def _optional(project: dict) -> set[str]:
    """Extras other than the tests'."""
    extras = {name: wanted for name, wanted in project.get("optional-dependencies", {}).items() if name != "test"}
    return {requirement.partition(">")[0].replace("-", "_") for wanted in extras.values() for requirement in wanted}


def loaded(code: str, *arguments: str) -> set[str]:
    """Which of the heavy libraries a fresh process has loaded after `code`."""
    body = f"import sys\n{code}\nprint('loaded:', *sorted({HEAVY!r} & {{name.partition('.')[0] for name in sys.modules}}))"
    done = subprocess.run([sys.executable, "-c", body, *arguments], cwd=ROOT, capture_output=True, text=True, encoding="utf-8")
    assert done.returncode == 0, done.stderr
    return set(done.stdout.splitlines()[-1].split()[1:])


LIGHT = [
    ("the checks", "import dossier.checks.standing", set()),
    ("the parser", "from dossier.cli import parser; parser()", set()),
    ("the methods", "from dossier.cli import main; assert main(['methods']) == 0", set()),
    ("one method", "from dossier.cli import main; assert main(['methods', 'layer.stiffness']) == 0", set()),
    ("all actions of editing", "import dossier.actions.edit, dossier.actions.run, dossier.actions.answer", set()),
    ("verification", "import dossier.actions.verify, dossier.actions.sign, dossier.actions.freeze", set()),
    ("mechanics", "import dossier.mechanics", set()),
    ("records", "import dossier.records.collections", set()),
    ("the store", "import dossier.store.folder, dossier.store.project", set()),
]


@pytest.mark.parametrize(("code", "allowed"), [row[1:] for row in LIGHT], ids=[row[0] for row in LIGHT])
def test_what_loads_nothing_heavy(code: str, allowed: set[str]) -> None:
    assert loaded(code) <= allowed


def test_status_loads_only_what_its_checks_need(tmp_path: Path) -> None:
    """numpy for the wall around a bore, the digests and signatures of sign-offs; no solver, no document, no git."""
    shutil.copytree(DEMO, tmp_path / "demo")
    code = "from dossier.cli import main; assert main(['status', sys.argv[1]]) == 0"
    found = loaded(code, str(tmp_path / "demo"))
    assert found <= {"numpy", "cryptography", "rfc8785"}
    assert not found & {"scipy", "reportlab", "dulwich", "textual", "screens", "pypdf"}


def test_the_probe_sees_what_is_loaded() -> None:
    """The tests above could not fail if the probe saw nothing."""
    assert loaded("import numpy, rfc8785") == {"numpy", "rfc8785"}


ENTRIES = ("dossier.cli", "dossier.worker", "dossier.field_worker", "dossier.mechanics", "screens.__main__", "screens.app")
THREADS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")


@pytest.mark.parametrize("entry", ENTRIES)
def test_linear_algebra_has_one_thread_before_numpy_is_loaded(entry: str) -> None:
    """Seen at the moment numpy is first looked for; a number of the user's own stays."""
    code = f"""
import os, sys
class Seen:
    def find_spec(self, name, path=None, target=None):
        if name == "numpy":
            print(*(os.environ.get(one) for one in {THREADS}))
            sys.meta_path.remove(self)
sys.meta_path.insert(0, Seen())
import {entry}, numpy
"""
    clean = {name: value for name, value in os.environ.items() if name not in THREADS}
    for given, seen in (({}, "1 1 1"), ({"OPENBLAS_NUM_THREADS": "2"}, "2 1 1")):
        found = subprocess.check_output([sys.executable, "-c", code], cwd=ROOT, env=clean | given, text=True)
        assert found.split("\n")[0] == seen
