"""Sheet 2 driven by keys on a copy of the demonstration project."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from dossier.actions.edit import set_field
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.checks.told import sheet_answer
from screens.app import DossierApp
from screens.cells import cell_len
from screens.sheets.requirement_new import limit_of
from screens.sheets.requirement_rows import arranged
from screens.widgets.modal import Question
from tests.screens.look import settled, text_of
from tests.screens.sheet_case import HOSTILE, copied, driven, entries, press, project_bytes, records_bytes, retype, shown, until


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))
    return copied(tmp_path)


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (60, 15)])
def test_answer_and_rows_are_those_that_are_told_elsewhere_and_every_row_fits(root: Path, size: tuple[int, int]) -> None:
    told = sheet_answer(Opened(root).view, "2")

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "2")
        lines = text_of(app)
        assert all(cell_len(text) == size[0] for text in lines) and len(lines) == size[1]
        if size[0] >= 80:
            assert lines[1].strip() == told
            assert "AX-76 axle link" in lines[-2] and lines[-2].rstrip().endswith("saved")
            row = next(text for text in lines if "R-007" in text and "kN/mm" in text)
            assert "47.6 .. 64.4" in row and "59.96" in row and "undecided" in row, "the worst of its verifications, E-062"

    driven(root, size, script)


def test_a_field_is_changed_by_keys_as_one_entry_of_the_history(root: Path) -> None:
    before = entries(root)

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "2")
        app.here.go_to("R-012")
        await press(pilot, "e", "enter")
        assert app.here.frame.strip.entry.label == "R-012 limit.max"
        await retype(app, pilot, "1.8")
        await press(pilot, "enter")
        assert "Recorded: R-012 limit.max 1.7 → 1.8" in shown(app)

    driven(root, (80, 24), script)
    after = entries(root)
    assert after[1:] == before and after[0] == "R-012 limit.max 1.7 → 1.8"
    assert Opened(root).project.get("R-012").limit.max == 1.8


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_a_typed_limit_shows_the_verdict_and_the_signatures_it_would_change_before_it_is_recorded(
    root: Path, size: tuple[int, int]
) -> None:
    before = records_bytes(root)
    opened = Opened(root)
    signed = [s.signoff.id for s in opened.view.signoffs if s.counts and s.signoff.step == "2"]

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "2")
        app.here.edit_field("R-016", "limit.min")
        await settled(pilot)
        await retype(app, pilot, "26")
        await until(pilot, lambda: "would be superseded" in shown(app))
        assert "R-016 -0.53 ✗ not met was -0.13 ?" in shown(app) and " ".join(signed) in " ".join(shown(app).split())
        await retype(app, pilot, "10")
        await until(pilot, lambda: "R-016 +0.22 ✓ met was -0.13 ?" in shown(app))
        await retype(app, pilot, "1x")
        assert "Not possible as typed" in shown(app) and "✓ met was" not in shown(app)

    driven(root, size, script)
    assert signed and records_bytes(root) == before


def test_a_unit_may_be_typed_and_is_told(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "2")
        app.here.go_to("R-016")
        app.here.edit_field("R-016", "limit.min")
        await settled(pilot)
        await retype(app, pilot, "15")
        await press(pilot, "enter")

    driven(root, (80, 24), script)
    assert entries(root)[0] == "R-016 limit.min 14 → 15 °"


def test_an_error_stands_under_the_field_and_nothing_is_written(root: Path) -> None:
    before = records_bytes(root)

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "2")
        app.here.edit_field("R-007", "limit.max")
        await settled(pilot)
        await retype(app, pilot, "40")
        await press(pilot, "enter")
        lines = text_of(app)
        field = next(number for number, text in enumerate(lines) if "R-007 limit.max [" in text)
        assert "limit.max = 40.0 must exceed limit.min = 47.6" in lines[field + 1] + lines[field + 2]
        await press(pilot, "escape")
        assert "Draft kept" in shown(app)
        app.here.edit_field("R-007", "limit.max")
        await settled(pilot)
        assert app.here.frame.strip.entry.buffer.text == "40"

    driven(root, (80, 24), script)
    assert records_bytes(root) == before


def test_hostile_text_of_a_record_stands_literally(root: Path) -> None:
    opened = Opened(root)
    opened.record(set_field(opened.project, "R-001", "title", HOSTILE, "M. Olsen"))
    opened.record(set_field(opened.project, "R-001", "statement", f"It shall {HOSTILE}", "M. Olsen"))

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "2")
        assert f"It shall {HOSTILE}" in shown(app)
        assert "> R-001  x [/b] 5 [mm..., g" in text_of(app)[5]
        await press(pilot, "e")
        assert app.is_running and "which field of R-001" in shown(app)

    driven(root, (80, 24), script)


def test_walk_down_the_trace_and_back(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "2")
        app.here.go_to("R-002")
        await press(pilot, "r")
        assert app.here.NUMBER == "3" and app.here.record_at_cursor() == "C-003"
        await press(pilot, "s")
        assert app.here.NUMBER == "2" and app.here.record_at_cursor() == "R-002"
        await press(pilot, "escape")
        assert app.here.NUMBER == "3"
        await press(pilot, "escape")
        assert app.here.NUMBER == "2"
        await press(pilot, "s")
        assert "R-002 serves customer specification AX-76, clause 4.1.2." in shown(app)
        await press(pilot, "i")
        assert "working of C-003" in text_of(app)[0]
        await press(pilot, "escape")
        assert app.here.NUMBER == "2" and app.here.record_at_cursor() == "R-002"

    driven(root, (80, 24), script)


def test_next_open_goes_round_what_is_not_met_undecided_outdated_or_open(root: Path) -> None:
    view = Opened(root).view
    states = ("not met", "undecided", "outdated", "open")
    wanted = [name for name, found in sorted(view.verdicts.items()) if found.state in states]
    seen = []

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "2", "home")
        for _ in wanted:
            await press(pilot, "o")
            seen.append(app.here.record_at_cursor())

    driven(root, (80, 24), script)
    assert seen and sorted(seen) == wanted


def test_orders_keep_every_requirement_and_the_margin_rises(root: Path) -> None:
    verdicts = list(Opened(root).view.verdicts.values())
    for order in ("id", "margin", "state", "chapter"):
        ids = [row.id for row in arranged(verdicts, order) if row.verdict is not None]
        assert sorted(ids) == sorted(verdict.requirement.id for verdict in verdicts)
    margins = [row.verdict.margin.value for row in arranged(verdicts, "margin")]
    numbers = [value for value in margins if value is not None]
    assert numbers == sorted(numbers) and margins[: len(numbers)] == numbers
    assert arranged(verdicts, "state")[0].heading.startswith("undecided")


def test_grouped_list_is_found_in_with_its_headings(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "2", "g", "down", "down", "enter")
        assert "── undecided, 3" in shown(app)
        await press(pilot, "f", *"R-016")
        assert "1 of 58" in shown(app)
        await press(pilot, "enter")
        assert "── undecided, 3" in shown(app) and app.here.record_at_cursor() == "R-016"

    driven(root, (80, 24), script)


def test_conceding_needs_a_reason_and_records_it(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "2")
        app.here.go_to("R-016")
        await press(pilot, "k")
        assert isinstance(app.screen, Question)
        await press(pilot, "enter")
        assert isinstance(app.screen, Question) and "reason is needed" in shown(app)
        await press(pilot, *"one", "down", *"5lots")
        await press(pilot, "down", *"2027", "minus", *"03", "minus", *"31", "enter")
        assert not isinstance(app.screen, Question)
        assert "~ conceded" in shown(app)

    driven(root, (80, 24), script)
    found = Opened(root).view.concessions["R-016"]
    assert (found.reason, found.limit, found.until, found.by) == ("one", "5lots", "2027-03-31", "M. Olsen")


def test_a_refused_concession_keeps_every_text_in_the_question_and_for_the_next_time(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "2")
        app.here.go_to("R-016")
        app.session.read_only, app.session.lock.reason = True, "S. Brandt is at work"
        await press(pilot, "k", *"one", "down", *"5lots", "down", *"2027", "minus", *"03", "minus", *"31", "enter")
        assert isinstance(app.screen, Question) and "S. Brandt is at work" in shown(app) and "one" in shown(app)
        await press(pilot, "escape", "k")
        assert [entry.buffer.text for entry in app.screen.panel.asked.fields][:3] == ["one", "5lots", "2027-03-31"]
        app.session.read_only = False
        await press(pilot, "enter")
        assert not isinstance(app.screen, Question) and "~ conceded" in shown(app)
        assert app.session.drafts == {}

    driven(root, (80, 24), script)


def test_a_new_requirement_refused_at_its_end_keeps_what_was_typed_at_every_question(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "2")
        app.session.read_only, app.session.lock.reason = True, "S. Brandt is at work"
        await press(pilot, "n", "enter", *"play", "enter", *"shall", "enter", "enter", *"kg", "enter", *"max3", "enter")
        strip = app.here.frame.strip
        assert strip.is_open and strip.entry.buffer.text == "max3" and "S. Brandt is at work" in shown(app)
        await press(pilot, "escape")
        assert sorted(strip.drafts.values()) == ["kg", "max3", "play", "shall"]
        await press(pilot, "n", "enter")
        assert strip.entry.buffer.text == "play"
        app.session.read_only = False
        await press(pilot, "enter", "enter", "enter", "enter", "enter")
        assert "Recorded: R-" in shown(app) and strip.drafts == {} and not strip.is_open

    driven(root, (80, 24), script)


def test_a_unit_that_does_not_fit_the_quantity_is_refused_where_it_is_typed(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "2", "n", "enter", *"play", "enter", *"shall", "enter", "enter")
        assert "of the limit: kg, g" in shown(app)
        await press(pilot, *"kN", "enter")
        assert 'unit = "kN" does not fit mass; accepted are kg, g' in shown(app)
        assert app.here.frame.strip.entry.label.endswith("unit")

    driven(root, (80, 24), script)


@pytest.mark.parametrize("typed", ["1500", "1500 g", "1,5 kg"])
def test_a_limit_without_a_side_is_refused_instead_of_taken_as_a_criterion(typed: str) -> None:
    with pytest.raises(Refusal, match=f'limit = "{typed}" does not say on which side'):
        limit_of(typed, "g")


def test_a_criterion_in_words_may_begin_with_a_number() -> None:
    assert limit_of("3 of 3 parts without a crack", "-")["kind"] == "pass_fail"


def test_what_is_met_is_not_conceded(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "2", "home", "k")
        assert "only what is not met or undecided is conceded" in shown(app)

    driven(root, (80, 24), script)


def test_a_requirement_is_begun_line_by_line_and_withdrawn_after_a_question(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "2", "home", "n", "enter")
        await retype(app, pilot, "Colour")
        await press(pilot, "enter")
        await retype(app, pilot, "The ring shall be grey.")
        await press(pilot, "enter", "enter")
        await retype(app, pilot, "g")
        await press(pilot, "enter")
        await retype(app, pilot, "3 .. 2")
        await press(pilot, "enter")
        assert "must exceed" in shown(app)
        await retype(app, pilot, "2 .. 3")
        await press(pilot, "enter")
        assert app.here.record_at_cursor() == "R-050"
        await press(pilot, "x")
        assert "Withdraw R-050?" in shown(app)
        await press(pilot, "enter")
        assert app.session.opened.project.find("R-050") is not None
        await press(pilot, "x", "up", "enter")
        assert app.session.opened.project.find("R-050") is None

    driven(root, (80, 24), script)
    assert entries(root)[:2] == ["R-050 withdrawn", 'R-050 added: "Colour"']


def test_a_requirement_in_use_is_not_withdrawn(root: Path) -> None:
    before = project_bytes(root)

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "2", "home", "x")
        assert "R-001 is used by" in shown(app) and not isinstance(app.screen, Question)

    driven(root, (80, 24), script)
    assert {name: data for name, data in project_bytes(root).items() if name in before} == before


@pytest.mark.parametrize(
    ("typed", "unit", "limit"),
    [
        ("≤ 17 kN", "kN", {"kind": "max", "max": 17.0}),
        (">= 0.5 kg", "g", {"kind": "min", "min": 500.0}),
        ("3 .. 5", "mm", {"kind": "range", "min": 3.0, "max": 5.0}),
        ("no crack is seen", "-", {"kind": "pass_fail", "criterion": "no crack is seen"}),
    ],
)
def test_limits_as_they_are_typed(typed: str, unit: str, limit: dict) -> None:
    assert limit_of(typed, unit) == limit
