"""Measured files taken in by keys: the scheme that fits first, a doubtful unit confirmed, a stopped reading without trace."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest
from textual.pilot import Pilot

from dossier.actions import measured
from dossier.actions.edit import add_record
from dossier.actions.opened import Opened
from dossier.store.rawfiles import raw_names
from screens.app import DossierApp
from tests.evidence.dialects import ENGLISH, GERMAN, write
from tests.evidence.samples import radial
from tests.screens.look import drive
from tests.small_project import ENGINEER, LABORATORY, begin
from tests.whole_path.hands import Hands
from tests.whole_path.pilot_hands import PilotHands


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A running item without a scheme, one that does not fit its files and one that does."""
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))
    monkeypatch.setenv("DOSSIER_KEYS", str(tmp_path / "keys"))
    opened, record = begin(tmp_path / "small"), radial()
    other = write(tmp_path / "other.txt", GERMAN, record.time, record.travel, record.load)
    named = write(tmp_path / "P-1.csv", ENGLISH, record.time, record.travel, record.load)
    named.write_bytes(named.read_bytes().replace(b"[kN]", b"[N]"))
    opened.record(add_record(opened.project, "specimen", {"id": "P-1", "design": "V1", "batch": "7"}, LABORATORY))
    for name, file in (("RS-01", other), ("RS-02", named)):
        opened.record(measured.new_scheme(opened.project, name, file, "Machine", "-11 kN", "11 kN", LABORATORY))
    opened.record(add_record(opened.project, "evidence", {
        "id": "E-001", "title": "Radial", "way": "test", "quantity": "radial", "variant": "V1", "reference": "REF",
        "state": "running", "started_on": "2026-03-01",
    }, LABORATORY))  # fmt: skip
    return tmp_path / "small"


def driven(root: Path, script) -> None:
    """Let `script` work on the project as its engineer."""
    app = DossierApp(root, ENGINEER)

    async def run(pilot: Pilot) -> None:
        await script(PilotHands(app, pilot, root.parent))

    drive(app, (80, 24), run)


async def name_files(hands: Hands, path: Path) -> None:
    """From the sheet's first row to the choice of the reading scheme."""
    await hands.press("4", "home")
    for _ in range(10):
        if any(row.startswith(" > E-001") for row in await hands.rows()):
            break
        await hands.press("down")
    await hands.press("n")
    await hands.choose("measured files into E-001")
    await hands.type(str(path))
    await hands.expect("fits the file")


def test_the_scheme_that_fits_stands_first_and_a_doubtful_unit_is_confirmed(root: Path) -> None:
    async def script(hands: Hands) -> None:
        await name_files(hands, hands.files / "P-1.csv")
        offered = [row for row in await hands.rows() if "RS-0" in row and "Machine" in row]
        assert ["RS-02" in row and "fits the file" in row for row in offered] == [True, False]
        await hands.press("enter")
        await hands.wait("the sizes are right, take 1 file in")
        assert "is the column in the larger unit (kN for N, m for mm)?" in " ".join(" ".join(await hands.rows()).split())
        assert not Opened(root).project.get("E-001").samples
        await hands.choose("the sizes are right, take 1 file in")
        await hands.wait("1 curve imported")

    driven(root, script)
    opened = Opened(root)
    item = opened.project.get("E-001")
    assert ([sample.specimen for sample in item.samples], item.scheme, len(raw_names(root))) == (["P-1"], "RS-02", 1)
    newest = next(iter(opened.folder.history().log()))
    assert "confirmed: P-1.csv (P-1): load is about" in newest.message


def test_escape_stops_reading_leaves_nothing_and_keeps_the_typed_path(root: Path) -> None:
    path = root.parent / "P-1.csv"
    lines = path.read_bytes().splitlines(keepends=True)
    rows = b"".join(row if number % 20 else b"# block\n" + row for number, row in enumerate(lines[-400:]))
    path.write_bytes(b"".join(lines) + rows * 1500)
    before = records(root)

    async def script(hands: PilotHands) -> None:
        await name_files(hands, path)
        await hands.press("enter")
        await hands.wait("rows read")
        await hands.press("escape")
        await hands.wait("Stopped: the files of E-001 are not read")
        while hands.app.running is not None:
            await asyncio.sleep(0.05)
        await hands.press("n")
        await hands.choose("measured files into E-001")
        await hands.expect("P-1.csv")

    driven(root, script)
    assert records(root) == before and raw_names(root) == set()


def test_files_that_cannot_all_be_stored_leave_none(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    opened, stored = Opened(root), []
    opened.record(add_record(opened.project, "specimen", {"id": "P-2", "design": "V1", "batch": "7"}, LABORATORY))
    store = measured.store_raw

    def ended(folder: Path, source: Path):
        if stored:
            raise SystemExit(143)
        stored.append(store(folder, source))
        return stored[0]

    monkeypatch.setattr(measured, "store_raw", ended)
    first, second = root.parent / "P-1.csv", root.parent / "P-2.csv"
    second.write_bytes(first.read_bytes() + b"\n")
    with pytest.raises(SystemExit):
        measured.import_curves(opened.project, "E-001", [str(first), str(second)], LABORATORY, "RS-02", confirmed=True)
    assert stored and raw_names(root) == set()


def records(root: Path) -> dict[str, bytes]:
    """Every record file."""
    return {path.name: path.read_bytes() for path in sorted(root.rglob("*.toml"))}
