"""The app by its keys: where one lands, the list of projects, sheets and path, F1 to F4, leaving, long work."""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from dossier.actions.edit import set_field
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.actions.run import outdated_calculations
from screens import keys
from screens.hints import next_key
from screens.long_work import outrun
from screens.session import Session
from screens.sheets.refusals import NO_USE, no_use
from screens.widgets.modal import Question
from screens.widgets.sheet_list import SheetList
from tests.screens.project import Desk, at_desk, copied

ENGINEER = "M. Olsen"
pytestmark = pytest.mark.usefixtures("remembered_runs")


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return copied(tmp_path, monkeypatch)


# Landing and the list of projects -------------------------------------------------------------------------------


def test_the_auditor_lands_on_the_verification_and_the_engineer_on_standing(root: Path) -> None:
    async def auditor(desk: Desk) -> None:
        assert "verification of A" in desk.rows[0]

    async def engineer(desk: Desk) -> None:
        assert desk.app.here.NUMBER == "0"

    at_desk(root, "L. Moreau", auditor, land=True)
    at_desk(root, ENGINEER, engineer, land=True)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_projects_are_listed_with_the_unreadable_one_and_opened_and_left(root: Path, size: tuple[int, int]) -> None:
    folder = root.parent / "many"
    folder.mkdir()
    shutil.copytree(root, folder / "axle")
    broken = folder / "broken"
    shutil.copytree(root, broken)
    (broken / "designs" / "V2.toml").write_text('id = "V2"\nkind = \n')

    async def script(desk: Desk) -> None:
        assert "2 projects here" in desk.rows[1]
        await desk.press("down")
        assert "designs/V2.toml" in desk.text and "2" in desk.text
        await desk.press("up", "enter")
        assert desk.app.here.NUMBER == "0" and desk.app.session is not None
        await desk.press("4", "escape", "escape")
        assert isinstance(desk.app.screen, Question) and "Leave the project?" in desk.text
        await desk.press("enter")
        assert desk.app.session is None and "Which project" in desk.rows[0]
        await desk.press("enter")
        assert desk.app.here.NUMBER == "0"

    at_desk(folder, ENGINEER, script, size)


def test_a_new_project_is_begun_from_its_title(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))
    folder = tmp_path / "projects"
    folder.mkdir()

    async def script(desk: Desk) -> None:
        assert "n begins one" in desk.text
        await desk.press("n", "enter")
        assert "title is needed" in desk.text
        await desk.type("AX-80 [mm] link")
        await desk.press("enter")
        assert "AX-80 [mm] link" in desk.text
        await desk.press("enter")
        assert desk.app.here.NUMBER == "0" and desk.app.session.role == "PE"
        for digit in "123456789":
            await desk.press(digit)
            assert digit == desk.app.here.NUMBER

    at_desk(folder, ENGINEER, script)
    assert Opened(folder / "ax-80-mm-link").project.header.title == "AX-80 [mm] link"


def test_a_project_that_cannot_be_begun_keeps_its_typed_title(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))

    def refuse(*given) -> None:
        raise Refusal("the disk is full; free some space")

    monkeypatch.setattr("dossier.actions.create.new_project", refuse)

    async def script(desk: Desk) -> None:
        await desk.press("n")
        await desk.type("AX-80 link")
        await desk.press("enter")
        strip = desk.app.screen.frame.strip
        assert strip.is_open and strip.entry.buffer.text == "AX-80 link" and "the disk is full" in desk.text
        await desk.press("escape", "n")
        assert strip.entry.buffer.text == "AX-80 link"

    at_desk(tmp_path, ENGINEER, script)


def test_a_second_opening_is_read_only_and_says_who_works(root: Path) -> None:
    first = Session(root, "R. Iyer")

    async def script(desk: Desk) -> None:
        assert "R. Iyer" in desk.said and "read-only" in desk.rows[22]
        assert desk.said.lower().count("read-only") == 1
        await desk.press("u")
        assert desk.said.startswith("Read-only")
        await desk.press("C")
        assert "Nothing is calculated" in desk.said

    try:
        at_desk(root, ENGINEER, script)
    finally:
        first.close()


# Sheets and keys ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (60, 16)])
@pytest.mark.parametrize("appearance", ["slate", "paper", "ink"])
def test_every_digit_shows_its_sheet(root: Path, size: tuple[int, int], appearance: str) -> None:
    async def script(desk: Desk) -> None:
        for digit in "1234567890":
            await desk.press(digit)
            assert digit == desk.app.here.NUMBER
            assert desk.rows[0].startswith(f" {digit} ")
            assert all(len(row) for row in desk.rows)

    if size == (80, 24) or appearance == "slate":
        at_desk(root, ENGINEER, script, size, appearance=appearance)


def test_every_verb_does_something_or_says_why_not_on_every_sheet(root: Path) -> None:
    async def script(desk: Desk) -> None:
        for digit in "0123456789":
            await desk.press(digit)
            sheet = desk.app.here
            bound = {item.id for item in keys.live(sheet)}
            missing = [row.id for row in keys.KEYS if len(row.key) == 1 and row.key.isalpha() and row.id not in bound]
            assert missing == [], f"sheet {digit}: {missing}"
            for key_id in NO_USE:
                method = getattr(sheet, f"action_{key_id.replace('-', '_')}")
                if getattr(method, "no_use", ""):
                    method()
                    assert desk.said == NO_USE[key_id]

    at_desk(root, ENGINEER, script)


def test_escape_walks_back_the_path_and_twenty_places_are_kept(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("4", "5", "6", "8")
        for number in ("6", "5", "4", "0"):
            await desk.press("escape")
            assert number == desk.app.here.NUMBER
        await desk.press("escape")
        assert isinstance(desk.app.screen, Question)
        await desk.press("escape")
        for _ in range(15):
            await desk.press("4", "5")
        assert len(desk.app.session.path) == 20

    at_desk(root, ENGINEER, script)


def test_leaving_asks_on_control_c_too(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("ctrl+c")
        assert "Leave the program?" in desk.text
        await desk.press("down", "enter")
        assert desk.app.is_running and not isinstance(desk.app.screen, Question)
        await desk.press("ctrl+q", "enter")
        assert not desk.app.is_running or desk.app._exit

    at_desk(root, ENGINEER, script)


# F1 to F4 -------------------------------------------------------------------------------------------------------


def test_a_begun_project_names_the_next_key_step_by_step(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))

    async def script(desk: Desk) -> None:
        assert "n   asks for its title" in desk.text
        await desk.press("n")
        await desk.type("AX-80")
        await desk.press("enter", "enter")
        assert "Begin on 1 Idea: n adds a concept" in desk.rows[-3]
        await desk.press("1", "n")
        await desk.type("Bored pin")
        await desk.press("enter")
        await desk.type("1400")
        await desk.press("enter")
        assert next_key(desk.app.session).startswith("Next: 2 Requirements, n begins one")

    at_desk(tmp_path, ENGINEER, script)


def test_the_title_block_names_variant_and_part_numbers(root: Path) -> None:
    async def script(desk: Desk) -> None:
        assert "J-7610 V2 : reference J-7600" in desk.rows[-2]

    at_desk(root, ENGINEER, script, (120, 40))


def test_in_a_low_terminal_the_list_keeps_its_rows(root: Path) -> None:
    async def script(desk: Desk) -> None:
        for digit in "01245678":
            await desk.press(digit)
            assert desk.app.here.query_one(SheetList).page_rows >= 5, digit
            assert any(row.startswith(" >") for row in desk.rows), digit

    at_desk(root, ENGINEER, script, (60, 15))


def test_no_key_is_shown_that_only_says_why_not(root: Path) -> None:
    """Whatever the key row offers does its deed on that row of that sheet."""

    async def script(desk: Desk) -> None:
        for digit in "0123456789":
            await desk.press(digit)
            for _ in range(6):
                here = desk.app.here
                shown = [key_id for key_id, _ in here.frame._keys]
                assert shown and not [key_id for key_id in shown if here.why_not(key_id) or no_use(here, key_id)], digit
                await desk.press("down")

    at_desk(root, ENGINEER, script)


def test_calculating_runs_beside_the_sheets_and_records(root: Path) -> None:
    wanted = {calculation.id for calculation in outdated_calculations(Opened(root).project)}
    assert wanted

    async def script(desk: Desk) -> None:
        await desk.press("C")
        assert "Esc stops" in desk.rows[1] and desk.app.running is not None
        await desk.press("8")
        assert desk.app.here.NUMBER == "8", "the sheets stay usable"
        await desk.work_done()
        assert desk.app.running is None and "calculations run" in desk.said
        assert "Esc stops" not in desk.rows[1]

    at_desk(root, ENGINEER, script)
    assert outdated_calculations(Opened(root).project) == []


def test_escape_stops_the_work_and_nothing_is_recorded(root: Path) -> None:
    head = Opened(root).snapshot.head

    async def script(desk: Desk) -> None:
        await desk.press("C", "escape")
        await desk.work_done()
        assert desk.said.startswith("Stopped: ")
        assert desk.app.here.NUMBER == "0"

    at_desk(root, ENGINEER, script)
    assert Opened(root).snapshot.head == head


def test_a_refused_calculation_says_why(root: Path) -> None:
    async def script(desk: Desk) -> None:
        desk.app.calculate(["R-001"])
        await desk.work_done()
        assert "R-001 is no calculation" in desk.said

    at_desk(root, ENGINEER, script)


def test_a_result_whose_input_changed_meanwhile_is_dropped(root: Path) -> None:
    from dossier.actions.run import run_calculations

    session = Session(root, ENGINEER)
    try:
        read = {path: fact.sha256 for path, fact in session.opened.snapshot.files.items()}
        ids = [calculation.id for calculation in outdated_calculations(session.opened.project)]
        change = run_calculations(session.opened.project, ids, ENGINEER)
        assert outrun(session, change, read) == ""
        session.record(set_field(session.opened.project, "V2", "carrier.outer_radius", "38.20 mm", ENGINEER))
        assert "changed while it was calculated" in outrun(session, change, read)
        session.record(set_field(session.opened.project, ids[0], "title", "another title", ENGINEER))
        assert f"calculations/{ids[0]}.toml was changed" in outrun(session, change, read)
    finally:
        session.close()


def test_leaving_asks_while_something_runs_and_drops_it(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("C", "ctrl+c")
        assert "being calculated" in desk.text and "drops it. Everything recorded is kept" in desk.text
        await desk.press("escape")
        await desk.press("escape")
        await desk.work_done()
        assert desk.app.running is None

    at_desk(root, ENGINEER, script)


# Starting -------------------------------------------------------------------------------------------------------


def test_starting_imports_nothing_heavy(root: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from screens.app import DossierApp; import screens.sheets.standing\n"
        f"app = DossierApp(Path({str(root)!r}), 'M. Olsen', land=True); app.session.standing\n"
        "print([name for name in ('scipy', 'reportlab', 'dulwich', 'pypdf') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_folder_that_is_none_is_refused_in_words(tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    from screens.__main__ import main

    assert main([str(tmp_path / "nowhere")]) == 1
    assert "is no folder" in capsys.readouterr().err


def test_who_is_not_among_the_people_can_only_look(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = copied(tmp_path, monkeypatch)
    monkeypatch.delenv("DOSSIER_PERSON", raising=False)
    for person in ("", "A. Stranger"):
        session = Session(root, person)
        assert (session.person, session.read_only) == ("reader", True)
        assert "one of M. Olsen" in session.lock.reason
        session.close()
