"""Signs of trouble on sheet 4: told where they are, a reason beside what they keep undecided, and answered by keys."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier import units
from dossier.actions.opened import Opened
from dossier.checks.evidence_equipment import calibration_words
from dossier.checks.told_evidence import undecided_words
from dossier.methods.evidence_signs import kept_signs
from screens.overlays import commands_of
from screens.session import Session
from screens.sheets.measured_working import measured_lines
from screens.widgets.curve_view import CurveView
from tests.screens.look import settled
from tests.screens.project import Desk, at_desk, copied

LABORATORY = "T. Lindqvist"


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return copied(tmp_path, monkeypatch)


async def curve_of(desk: Desk, item: str) -> CurveView:
    await desk.press("4")
    desk.app.here.go_to(item)
    await desk.press("enter")
    await desk.work_done()
    return desk.app.screen.query_one(CurveView)


def test_the_item_says_why_it_is_undecided_although_its_value_lies_inside(root: Path) -> None:
    item = Opened(root).project.get("E-061")
    assert undecided_words(Opened(root).view, item) == ["R-008 is undecided: sign of trouble not answered: slip in P-285."]

    async def script(desk: Desk) -> None:
        await desk.press("4")
        desk.app.here.go_to("E-061")
        await settled(desk.pilot)
        assert "sign of trouble not answered: slip in P-285" in desk.text

    at_desk(root, LABORATORY, script)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_the_curve_opens_at_the_part_with_the_sign_and_tells_it_in_full(root: Path, size: tuple[int, int]) -> None:
    async def script(desk: Desk) -> None:
        for item, part in (("E-061", "P-285"), ("E-062", "P-287")):
            view = await curve_of(desk, item)
            assert view.chart.lead.short == part
            text = " ".join(" ".join(desk.rows).split())
            assert "Not answered." in text and "to confirm:" in text and "a answer sign" in text
            await desk.press("escape")

    at_desk(root, LABORATORY, script, size)


def test_a_sign_is_answered_by_keys_and_the_answer_stands_under_the_curve(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await curve_of(desk, "E-062")
        await desk.press("a", "enter")
        assert kept_signs(desk.app.session.opened.project.get("E-062"))[0].answer is None
        assert "reason is empty" in desk.text
        await desk.type("Strip test shows no crack")
        await desk.press("enter")
        await desk.work_done()
        assert "Answered: Strip test shows no crack (T. Lindqvist" in " ".join(" ".join(desk.rows).split())

    at_desk(root, LABORATORY, script)
    (sign,) = kept_signs(Opened(root).project.get("E-062"))
    assert sign.answer.reason == "Strip test shows no crack" and sign.answer.by == LABORATORY


def test_a_curve_without_a_sign_has_nothing_to_answer(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await curve_of(desk, "E-009")
        assert "answer sign" not in desk.text
        await desk.press("a")
        assert desk.said == "E-009 shows no sign of trouble; there is nothing to answer."

    at_desk(root, LABORATORY, script)


@pytest.mark.parametrize("steps", [(), ("right", "enter", "right", "right")])
def test_values_and_read_out_beside_the_curve_never_stand_on_one_another(root: Path, steps: tuple[str, ...]) -> None:
    async def script(desk: Desk) -> None:
        view = await curve_of(desk, "E-009")
        await desk.press(*steps)
        panel = [row[view.size.width - view.side + 1 :].strip() for row in desk.rows]
        assert "cursor" in panel and "56.65 ± 0.69 kN/mm" in panel
        assert all(text in panel for text in ("means differ most",)) or steps
        assert not steps or any(text.startswith("secant") for text in panel)

    at_desk(root, LABORATORY, script)


def test_the_read_out_of_a_recorded_item_keeps_its_numbers_whole(root: Path) -> None:
    async def script(desk: Desk) -> None:
        for item, number in (("E-020", "83.14 kN/mm"), ("E-023", "174100")):
            await curve_of(desk, item)
            assert number in desk.text
            await desk.press("escape")

    at_desk(root, LABORATORY, script, (120, 40))


def test_limit_margin_and_ends_of_the_scale_are_told_at_eighty_columns(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("4")
        for item, told in (("E-061", "margin +0.45"), ("E-002", "limit 76.16 .. 76.2 mm   margin"), ("E-002", "76.15")):
            desk.app.here.go_to(item)
            await settled(desk.pilot)
            assert told in desk.text

    at_desk(root, LABORATORY, script)


def test_a_calibration_that_did_not_hold_is_told_beside_the_value(root: Path) -> None:
    view = Opened(root).view
    (told,) = calibration_words(view, view.project.get("E-062"))
    assert told.startswith("Q-009.channel.force.valid_until") and "does not hold on 2026-11-20, when E-062 was done" in told
    assert calibration_words(view, view.project.get("E-061")) == []

    async def script(desk: Desk) -> None:
        await desk.press("4")
        desk.app.here.go_to("E-062")
        await settled(desk.pilot)
        told = "calibration of Q-009 (force and displacement) holds 2025-10-31 to 2026-10-31, measured 2026-11-20"
        assert told in " ".join(desk.text.split())
        assert " > E-062" in desk.text
        await desk.press("i")
        assert "enter the calibration" in desk.text

    at_desk(root, LABORATORY, script)


def test_a_refused_file_says_the_remedy_whole_and_keeps_the_path(root: Path, tmp_path: Path) -> None:
    file = tmp_path / "new.csv"
    file.write_text("a;b\n1;2\n", "utf-8")

    async def script(desk: Desk) -> None:
        await desk.press("4")
        desk.app.here.go_to("E-061")
        await desk.press("n", "enter")
        for character in str(file):
            await desk.pilot.press({"/": "slash", "-": "minus", ".": "full_stop", "_": "underscore"}.get(character, character))
        await desk.press("enter")
        await desk.work_done()
        told = " ".join(desk.text.split())
        assert "Nothing was imported" in told and "write SPECIMEN=FILE, such as P-" in told and "new.csv" in told

    at_desk(root, LABORATORY, script)


def test_i_shows_how_a_measured_value_comes_from_its_parts_and_the_signs_in_full(root: Path) -> None:
    project = Opened(root).project
    item = project.get("E-061")
    lines = "\n".join("".join(piece.text for piece in one) if isinstance(one, list) else str(one)
                      for one in measured_lines(Session(root, LABORATORY, read_only=True), item, 100))  # fmt: skip
    for number in (v.value / 1000 for v in item.result.values if v.name.startswith("specimen:")):
        assert units.show(number, 4) in lines
    assert "U_v = √(" in lines and "fixture compliance ±" in lines
    assert "p slip in P-285, row 647" in lines and "not answered" in lines and "evidence.static version" in lines
    assert item.result.inputs_sha256[:4] in lines

    async def script(desk: Desk) -> None:
        await curve_of(desk, "E-061")
        await desk.press("i")
        assert "working of E-061" in desk.rows[0] and "Can I follow this number by hand?" in desk.rows[0]
        await desk.press("escape", "escape")
        desk.app.here.go_to("E-001")
        await desk.press("i")
        assert "working of E-001" in desk.rows[0] and "v_1" in desk.text
        await desk.press("i")
        desk.app.here.go_to("E-056")
        await desk.press("i")
        assert desk.said == "E-056 was aborted and has no result."
        desk.app.here.go_to("E-060")
        await desk.press("i")
        assert desk.said.startswith("E-060 has no result yet; n brings in")

    at_desk(root, LABORATORY, script)


def test_help_and_actions_tell_the_keys_of_the_curve_that_has_them(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await curve_of(desk, "E-061")
        view = desk.app.screen.query_one(CurveView)
        for key, part in (("l", "P-286"), ("L", "P-285"), ("L", "P-284"), ("L", "P-286"), ("l", "P-284"), ("l", "P-285")):
            await desk.press(key)
            await desk.work_done()
            assert view.chart.lead.short == part
        greyed = {command.key for command in commands_of(desk.app.screen) if command.reason}
        assert not greyed & set("zZalbi")
        await desk.press("f1")
        text = " ".join(desk.text.split())
        assert "z zoom closer: drawing, curve" in text and "a sign on a curve in" in text
        assert "on a curve: pin the place" in text
        await desk.press("escape", "escape")
        await desk.press("f1")
        assert "z zoom" not in " ".join(desk.text.split())

    at_desk(root, LABORATORY, script, (120, 40))
