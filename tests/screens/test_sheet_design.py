"""Sheet 3 and the working of a number, driven by keys on a copy of the demonstration project."""

from __future__ import annotations

import copy
from pathlib import Path

import numpy as np
import pytest
from textual.pilot import Pilot

from dossier.actions.edit import set_field
from dossier.actions.opened import Opened
from dossier.actions.run import run_calculations
from dossier.checks.margin import Margin
from dossier.checks.told import calculation_sentence, sheet_answer
from dossier.mechanics.section import regions
from dossier.mechanics.shapes import GeometryError
from dossier.methods.geometry import shape_of_design
from dossier.records.design import Design
from screens.app import DossierApp
from screens.cells import cell_len
from screens.paint import Piece, line
from screens.paint import text_of as line_text
from screens.section_of import regions_of
from screens.session import Session
from screens.sheets.buildable import buildable, buildable_words
from screens.sheets.design_rows import dimensions, name_of
from screens.sheets.trial import Consequences, MarginMove, consequence_lines, consequences, draft_of, masses_of
from screens.sheets.working_lines import working_lines
from tests.screens.look import settled, text_of
from tests.screens.sheet_case import HOSTILE, copied, driven, entries, press, records_bytes, retype, shown, until


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))
    return copied(tmp_path)


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (60, 15)])
def test_answer_masses_and_rows(root: Path, size: tuple[int, int]) -> None:
    opened = Opened(root)
    told, total = sheet_answer(opened.view, "3"), masses_of(opened.project, opened.project.variant)["total"]

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3")
        lines = text_of(app)
        assert all(cell_len(text) == size[0] for text in lines) and len(lines) == size[1]
        if size[0] >= 80:
            assert lines[1].strip() == told
            assert f"{1000 * total:.0f}" in next(text for text in lines if "joint" in text and "1948" in text)
            assert lines[-2].rstrip().endswith("saved")

    driven(root, size, script)


@pytest.mark.parametrize(("size", "rest"), [((80, 24), False), ((120, 40), True)])
def test_the_head_of_the_calculations_is_never_cut(root: Path, size: tuple[int, int], rest: bool) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3")
        head = app.screen.runs_title
        told = line_text(head.lines_at(head.size.width)[0])
        assert cell_len(told) <= head.size.width and told.endswith("what they rest on" if rest else "calculations of V2")

    driven(root, size, script)


def test_drawn_area_is_that_of_mechanics(root: Path) -> None:
    """The polygons drawn have the areas of the outlines they come from, within the flatness of the arcs."""
    design = Opened(root).project.variant
    outlines = regions(shape_of_design(design), "bolts")
    drawn = {region.key: region for region in regions_of(design)}
    for name, letter in (("pin", "A"), ("layer", "C"), ("ring", "D")):
        exact = sum(_area(np.array([(z, r) for r, z in loop])) for loop in outlines[name].polyline(1e-4))
        ours = sum(_area(loop) for loop in drawn[letter].loops)
        assert ours == pytest.approx(exact, rel=5e-3)  # flatness 0.05 mm against layers of 5 mm and more
    assert "E" in drawn


def _area(loop: np.ndarray) -> float:
    x, y = loop[:, 0], loop[:, 1]
    return 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


def test_a_typed_bore_is_weighed_at_once_and_nothing_is_written(root: Path) -> None:
    before, history = records_bytes(root), entries(root)

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3", "home", "e")
        assert app.here.frame.strip.entry.label == "V2 pin.bores.0.diameter"
        whole = app.here.section.section.variant
        await retype(app, pilot, "16")
        assert "1395 > 1448 g" in shown(app)
        assert app.here.section.section.variant is not whole
        await until(pilot, lambda: "would be superseded: none" in shown(app))
        assert "R-001 -0.02 ✗ was +0.02" in shown(app) and "R-002 +0.03 ✓ was +0.14" in shown(app)
        assert "outdated by it: C-008 C-010" in shown(app)
        await press(pilot, "escape")
        assert "1395 > 1448 g" not in shown(app) and "1395" in shown(app)

    driven(root, (80, 24), script)
    assert records_bytes(root) == before and entries(root) == history


def test_enter_records_one_change(root: Path) -> None:
    before = entries(root)

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3", "home", "e")
        await retype(app, pilot, "17")
        await press(pilot, "enter")
        assert "Recorded: V2 pin.bores.0.diameter 18 → 17 mm" in shown(app)
        await press(pilot, "u")
        assert "y brings it back" in shown(app)

    driven(root, (80, 24), script)
    assert entries(root)[1:][: len(before) + 1] == ["V2 pin.bores.0.diameter 18 → 17 mm", *before]


def test_dimensions_in_conflict_stand_under_the_field_and_are_not_recorded(root: Path) -> None:
    before = records_bytes(root)

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3", "home", "e")
        await retype(app, pilot, "48")
        lines = text_of(app)
        field = next(number for number, text in enumerate(lines) if "V2 pin.bores.0.diameter [" in text)
        told = " ".join(lines[field + 1 : field + 3])
        assert "pin.bores[0].diameter = 48.0 mm must be below 36.0 mm" in told and "pin.neck_radius" in told
        await press(pilot, "enter")
        assert app.here.frame.strip.is_open

    driven(root, (80, 24), script)
    assert records_bytes(root) == before


def test_a_draft_is_marked_and_what_cannot_be_built_shows_what_is_recorded(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3", "home", "e")
        await retype(app, pilot, "16")
        await until(pilot, lambda: any(">*A bore 1 diameter" in text and " 16 " in text for text in text_of(app)))
        await retype(app, pilot, "48")
        await until(pilot, lambda: "Not possible as typed" in shown(app))
        row = next(text for text in text_of(app) if "> A bore 1 diameter" in text)
        assert " 18 " in row and "Not possible as typed" in shown(app)
        await press(pilot, "escape")
        assert "*A bore" not in shown(app)

    driven(root, (80, 24), script)


def test_the_hint_says_between_which_values_the_part_can_be_built(root: Path) -> None:
    raw = Opened(root).project.raw["V2"]
    low, high = buildable(raw, "pin.bores.0.diameter")
    for value, fits in ((low + 0.01, True), (high - 0.01, True), (high + 0.01, False)):
        changed = copy.deepcopy(raw)
        changed["pin"]["bores"][0]["diameter"] = value
        try:
            shape_of_design(Design.model_validate(changed))
            assert fits
        except GeometryError:
            assert not fits
    assert buildable_words(raw, "pin.ball_radius") == "tied to other dimensions: change those first"
    assert buildable_words(raw, "pin.material") == "" == buildable_words(raw, "nothing.there")

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3", "home", "e")
        assert f"can be built from 0 to {high:.4g}" in shown(app)

    driven(root, (80, 24), script)


def test_tab_goes_from_the_dimensions_to_the_calculations_and_the_drawing_and_marks_where_the_keys_are(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3")
        marks = ("> A bore 1 diameter", ">calculations of V2", "z zoom")
        words = ("Tab calculations", "Tab drawing", "Tab dimensions")
        for place in (0, 1, 2, 0):
            assert [mark in shown(app) for mark in marks] == [number == place for number in range(3)]
            assert words[place] in text_of(app)[-1]
            await press(pilot, "tab")

    driven(root, (80, 24), script)


def test_units_and_full_names_stand_at_eighty_columns_too(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3", "home")
        assert "bore 1 diameter, mm" in shown(app) and "V2 18 mm, reference -" in shown(app)

    driven(root, (80, 24), script)


def test_consequences_agree_with_recording_and_calculating(root: Path) -> None:
    """The margin shown for a draft is the one found after recording the change and running the calculation."""
    opened = Opened(root)
    change = set_field(opened.project, "V2", "pin.bores.0.diameter", "16", "M. Olsen")
    found = consequences(opened.view, draft_of(opened.project, change), opened.today, "M. Olsen")
    opened.record(change)
    opened.record(run_calculations(opened.project, ["C-002", "C-008"], "M. Olsen"))
    for requirement in ("R-001", "R-017", "R-018"):
        move = next(move for move in found.moves if move.requirement == requirement)
        runs = [s for s in opened.view.supports(opened.project.get(requirement)) if s.record in ("C-002", "C-008")]
        assert move.after.value == pytest.approx(runs[0].margin.value, rel=1e-9)
        assert move.state == runs[0].state


def test_a_signature_that_covers_the_design_would_be_superseded(root: Path) -> None:
    opened = Opened(root)
    draft = draft_of(opened.project, set_field(opened.project, "R-007", "title", "Another title", "M. Olsen"))
    counting = {state.signoff.id for state in opened.view.signoffs if state.counts and state.signoff.step == "2"}
    assert counting
    found = consequences(opened.view, draft, opened.today, "M. Olsen")
    assert counting <= set(found.superseded)


def test_consequences_are_never_broken_off_but_counted() -> None:
    moves = [MarginMove(f"R-{number:03d}", Margin(0.1), Margin(-0.1), "not met") for number in range(12)]
    for columns in (38, 58, 78, 118):
        lines = [line_text(content) for content in consequence_lines([1.4, 1.5], Consequences(moves=moves), columns)]
        told = [text for text in lines if "R-" in text]
        assert all(cell_len(text.rstrip()) <= columns for text in lines)
        shown_moves = sum(text.count("R-") for text in told)
        left = int(told[-1].rstrip().split()[-2]) if told[-1].rstrip().endswith("more") else 0
        assert shown_moves >= 1 and shown_moves + left == len(moves)


def test_differences_come_first_and_d_shows_only_them(root: Path) -> None:
    project = Opened(root).project
    found = dimensions(project, project.reference, project.variant)
    flags = [dimension.differs for dimension in found]
    assert flags == sorted(flags, reverse=True) and 0 < sum(flags) < len(flags)
    bore = next(dimension for dimension in found if dimension.path == "pin.bores.0.diameter")
    assert (bore.reference, bore.variant, bore.unit, bore.letter) == ("-", "18", "mm", "A")

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3", "d")
        assert app.here.rows.row_count() == sum(flags) and app.here.section.look.mode == "difference"
        await press(pilot, "d", "b")
        assert app.here.rows.row_count() == len(flags) and app.here.section.look.mode == "variant"
        await press(pilot, "z", "z")
        assert app.here.section.view.zoom == 4
        await press(pilot, "Z")
        assert app.here.section.view.zoom == 2
        await press(pilot, "v")
        assert "V2 is the only variant" in shown(app)

    driven(root, (80, 24), script)


def test_names_of_dimensions() -> None:
    assert name_of("pin.bores.0.diameter") == "bore 1 diameter"
    assert name_of("pin.ends.hole_distance") == "hole distance"
    assert name_of("tolerances.pin.bores[0].diameter.upper") == "tol. bore 1 diameter upper"


def test_a_new_variant_is_a_copy_without_drawing_numbers(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3", "n", "enter")
        await retype(app, pilot, "Slim")
        await press(pilot, "enter")
        assert app.here.variant.id == "V3" and "V3" in shown(app)
        await press(pilot, "v")
        assert app.here.variant.id == "V2"

    driven(root, (80, 24), script)
    made = Opened(root).project.get("V3")
    assert (made.kind, made.title, made.part_number, made.drawing) == ("variant", "Slim", "", "")
    assert entries(root)[0] == 'V3 added: "Slim"'


def test_outdated_calculations_of_the_variant_are_run_by_one_key(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3", "c")
        await until(pilot, lambda: app.running is None and "Recorded" in app.session.messages.newest, 60)
        view = app.session.opened.view
        assert all(view.freshness[run.id].state == "current" for run in view.project.calculations if run.design == "V2")
        await press(pilot, "c")
        assert "nothing to calculate" in shown(app)

    driven(root, (80, 24), script)


def test_working_shows_every_line_with_its_printed_value(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    opened = Opened(root)
    record = opened.project.get("C-008")

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3", "tab")
        app.here.go_to("C-008")
        await press(pilot, "i")
        lines = text_of(app)
        assert "working of C-008" in lines[0] and lines[1].strip() == calculation_sentence(opened.view, record)
        await press(pilot, "end")
        assert "digest" in shown(app) and "computed" in shown(app)
        await press(pilot, "enter")
        assert app.here.NUMBER == "3" and app.here.record_at_cursor() == "C-008"

    driven(root, (80, 24), script)
    session = Session(root, "M. Olsen", read_only=True)
    from dossier.methods.registry import method_of

    method = method_of(record.method)
    given = method.input_model.model_validate(record.result.inputs)
    working = method.working(given, method.run(given))
    page = [line_text([content] if isinstance(content, Piece) else line(*content)) if not isinstance(content, str) else content
            for content in working_lines(session, record, 80)]  # fmt: skip
    for number, step in enumerate(working.lines, 1):
        row = next(text for text in page if text.strip().startswith(f"{number} ") and step.symbol in text)
        assert step.printed in row
        assert any(step.formula[:20] in text for text in page)
    assert len(working.lines) >= 5


def test_a_working_cuts_no_meaning_and_no_source_and_names_where_inputs_come_from(root: Path) -> None:
    session = Session(root, "M. Olsen", read_only=True)
    for name in ("C-002", "C-008", "C-009", "C-010"):
        record = session.opened.project.get(name)
        lines = working_lines(session, record, 79)
        page = [line_text(line(told) if isinstance(told, str | Piece) else line(*told)) for told in lines]
        assert all(cell_len(text) <= 79 and "..." not in text for text in page), name
        whole = " ".join(" ".join(page).split())
        linked = {source for source in record.result.sources.values() if source != "given here"}
        assert linked and all(source in whole for source in linked), name
    mass = session.opened.project.get("C-002").result.value("total").value
    assert f"{mass:.3f} " in " ".join(line_text(line(told) if isinstance(told, str | Piece) else line(*told))
                                for told in working_lines(session, session.opened.project.get("C-002"), 79))  # fmt: skip


def test_hostile_text_of_records_stands_literally(root: Path) -> None:
    opened = Opened(root)
    opened.record(set_field(opened.project, "C-002", "title", HOSTILE, "M. Olsen"))

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3")
        assert HOSTILE in shown(app)
        app.show_working("C-002")
        await settled(pilot)
        assert HOSTILE in shown(app)

    driven(root, (120, 40), script)
