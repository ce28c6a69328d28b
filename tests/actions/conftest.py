"""The small project in three conditions: begun, with everything signed, with a frozen revision."""

import shutil
import sys
from pathlib import Path

import pytest

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

import small_project as small  # noqa: E402

from dossier.actions.freeze import freeze_revision  # noqa: E402
from dossier.actions.opened import Opened  # noqa: E402
from dossier.actions.run import run_calculations  # noqa: E402
from dossier.checks import standing as standing_module  # noqa: E402


@pytest.fixture
def opened(tmp_path: Path) -> Opened:
    """The small project, begun and open."""
    return small.begin(tmp_path / "project")


@pytest.fixture(scope="session")
def key_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a key of every person."""
    folder = tmp_path_factory.mktemp("keys")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DOSSIER_KEYS", str(folder))
        small.make_keys()
    return folder


@pytest.fixture
def with_keys(key_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Everybody can sign, and all checks are met."""
    monkeypatch.setenv("DOSSIER_KEYS", str(key_folder))
    monkeypatch.setattr(standing_module, "check_states", small.all_met)


@pytest.fixture(scope="session")
def signed_template(key_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small project with current results, a raw file, and every step signed by every role."""
    root = tmp_path_factory.mktemp("signed") / "project"
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DOSSIER_KEYS", str(key_folder))
        patch.setattr(standing_module, "check_states", small.all_met)
        begun = small.begin(root)
        begun.record(run_calculations(begun.project, ["C-001", "C-002"], small.ENGINEER, small.NOW))
        small.with_raw_file(root)
        small.sign_all(small.reopen(root))
    return root


@pytest.fixture
def signed(signed_template: Path, with_keys: None, tmp_path: Path) -> Opened:
    """A copy of the signed project, open."""
    shutil.copytree(signed_template, tmp_path / "project")
    return small.reopen(tmp_path / "project")


@pytest.fixture(scope="session")
def released_template(signed_template: Path, key_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The signed project with revision A frozen."""
    root = tmp_path_factory.mktemp("released") / "project"
    shutil.copytree(signed_template, root)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DOSSIER_KEYS", str(key_folder))
        patch.setattr(standing_module, "check_states", small.all_met)
        freeze_revision(small.reopen(root), small.RELEASER, small.PASSPHRASE)
    return root


@pytest.fixture
def released(released_template: Path, with_keys: None, tmp_path: Path) -> Opened:
    """A copy of the project with a frozen revision, open."""
    shutil.copytree(released_template, tmp_path / "project")
    return small.reopen(tmp_path / "project")
