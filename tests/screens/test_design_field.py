"""The utilisation field on sheet 3, and stiffness and utilisation of a value while it is tried."""

from __future__ import annotations

import asyncio
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from textual.pilot import Pilot

from dossier.actions.edit import clear_field, set_field
from dossier.actions.opened import Opened
from dossier.methods.section_field import COMPONENTS, field_of_design, field_of_plain, plain_field
from dossier.methods.section_strength import SectionStrengthInput
from dossier.units import show
from screens.app import DossierApp
from screens.field_process import FieldProcess
from screens.sheets.trial import draft_of
from tests.screens.look import settled, text_of
from tests.screens.sheet_case import copied, driven, press, retype, shown, until

TRIED = "radial "


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))
    return copied(tmp_path)


def value_at(part, z: float, r: float) -> float:
    """Solve for the shares of the corners, triangle by triangle."""
    for corners in part.triangles:
        matrix = np.vstack([part.points[corners].T, np.ones(3)])
        if abs(np.linalg.det(matrix)) > 1e-12:
            shares = np.linalg.solve(matrix, [r, z, 1.0])
            if shares.min() >= -1e-9:
                return float(shares @ part.utilisation[corners])
    return float("nan")


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_l_shows_digits_of_the_field_and_l_again_the_regions(root: Path, size: tuple[int, int]) -> None:
    project = Opened(root).project
    fields = [field_of_design(project, name).parts["pin"] for name in ("REF", "V2")]

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3")
        assert "l utilisation" in text_of(app)[-1]
        await press(pilot, "l")
        await until(pilot, lambda: "REF: pin " in shown(app) and "V2: " in text_of(app)[1])
        assert "3: 0.3, #: > 1, 1 column" in shown(app)
        assert "l load case" in text_of(app)[-1] and "Linear" in " ".join(text_of(app)[1:3])
        section = app.here.section
        place, text = section.drawn.place, ["".join(map(chr, row)) for row in section.picture().codes]
        for part, sign in zip(fields, (1, -1), strict=True):
            for z, r in ((-30.0, 12.0), (-15.0, 14.0), (0.0, 20.0), (12.0, 17.0), (25.0, 13.0)):
                column, row = place.cell(z, sign * r)
                middle_z, middle_r = place.middle(column, row)
                steps = [(i - 1.5) / 4 for i in range(4)]
                dots = [value_at(part, middle_z + dz * place.mm, abs(middle_r) + dr * 2 * place.mm)
                        for dz in (-0.25, 0.25) for dr in steps]  # fmt: skip
                in_cell = (abs(part.points[:, 1] - middle_z) <= place.mm / 2) & (
                    abs(part.points[:, 0] - abs(middle_r)) <= place.mm)
                greatest = max(np.nanmax(dots), *part.utilisation[in_cell], 0.0)
                if abs(10 * greatest - round(10 * greatest)) > 0.05 and not 0x2800 < ord(text[row][column]) < 0x2900:
                    assert text[row][column] == str(int(10 * greatest)), (sign, z, r)
        app.set_plain_glyphs(True)
        await settled(pilot)
        assert not re.search(r"\b(ref|reference|V2)[0-9]{4}", shown(app)), "the name runs into the digits of the field"
        await press(pilot, "L")
        assert "l utilisation" in text_of(app)[-1] and "Linear" not in shown(app) and section.look.fields == (None, None)

    driven(root, size, script)


def test_what_is_missing_is_told_with_its_remedy(root: Path) -> None:
    opened = Opened(root)
    opened.record(clear_field(opened.project, "M-03", "youngs_modulus", "M. Olsen"))

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3", "l")
        assert "No utilisation of V2: carrier_modulus: M-03.youngs_modulus has no value; fill it in" in " ".join(
            text.strip() for text in text_of(app)[1:3])
        await until(pilot, lambda: "REF: pin " in shown(app))

    driven(root, (80, 24), script)


def test_a_tried_value_shows_its_numbers_and_an_outdated_one_never(root: Path) -> None:
    opened = Opened(root)
    draft = draft_of(opened.project, set_field(opened.project, "V2", "pin.bores.0.diameter", "16", "M. Olsen"))
    field, reference = field_of_design(draft, "V2"), field_of_design(opened.project, "REF")
    change = 100 * (field.stiffness.radial / reference.stiffness.radial - 1)
    told = (f"radial {field.stiffness.radial / 1000:.1f} kN/mm, {change:.1f} % to REF; "
            f"pin utilisation {field.pin.share:.2f}, REF {reference.pin.share:.2f}")  # fmt: skip
    lines: list[str] = []

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3", "home", "e")
        fields = app.here.fields
        await until(pilot, lambda: len(fields._known) == 2)
        await retype(app, pilot, "10")
        assert "being computed" in shown(app) or TRIED in shown(app)
        outdated = fields._known.copy()
        await retype(app, pilot, "16")

        def seen() -> bool:
            lines.extend(text for text in text_of(app) if text.strip().startswith(TRIED))
            return told in shown(app)

        await until(pilot, seen)
        lines.clear()
        await pilot.pause(0.5)
        assert seen() and all(told in text for text in lines) and len(fields._known) > len(outdated)
        await press(pilot, "escape")
        assert TRIED not in shown(app) and not fields._wanted

    driven(root, (80, 24), script)


def test_the_process_ends_with_the_app(root: Path) -> None:
    pids: list[int] = []

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3", "l")
        await until(pilot, lambda: "REF: pin " in shown(app))
        pids.append(app.here.fields.process.pid)
        os.kill(pids[0], 0)
        await press(pilot, "2")
        assert not app._sheets["3"].fields._wanted

    driven(root, (80, 24), script)
    with pytest.raises(ProcessLookupError):
        os.kill(pids[0], 0)


def test_an_answer_that_comes_after_leaving_is_not_told() -> None:
    told: list[int] = []

    async def leave_at_once() -> None:
        tasks: list[asyncio.Task] = []
        fields = FieldProcess(lambda work: tasks.append(asyncio.create_task(work)), lambda: told.append(1))
        fields.want(SectionStrengthInput.model_construct())
        while fields.process is None:
            await asyncio.sleep(0.01)
        await fields.close()
        await tasks[0]
        assert not fields._known

    asyncio.run(leave_at_once())
    assert told == []


def test_the_process_ends_when_nobody_asks_any_more() -> None:
    done = subprocess.run([sys.executable, "-m", "dossier.field_worker"], input=b"", timeout=30)
    assert done.returncode == 0


def test_l_steps_through_each_load_case_and_back_to_the_regions(root: Path) -> None:
    project = Opened(root).project
    field = field_of_design(project, "V2")

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3", "l")
        await until(pilot, lambda: "REF: pin " in shown(app))
        section, pin = app.here.section, field.parts["pin"]
        for number, load in enumerate(field.loads, 1):
            await press(pilot, "l")
            peak = pin.peaks[number - 1]
            head = " ".join(text.strip() for text in text_of(app)[1:4])
            assert f"{load} {project.get(load.split()[0]).title}, load case" in head
            assert f"V2 under {load}: pin {show(peak.share, 2)}, z {peak.place[1]:.1f}" in head
            assert f"load case {number} of {len(field.loads)} alone" in head
            node = int(np.argmax(np.where(pin.points[:, 0] < 17, pin.by_load[number - 1], 0)))
            r, z = pin.points[node]
            assert section.look.fields[1].values.max() == pytest.approx(
                max(pin.by_load[number - 1].max(), field.parts["ring"].by_load[number - 1].max()), rel=1e-5), (r, z)
        assert "l regions" in text_of(app)[-1]
        await press(pilot, "l")
        assert "l utilisation" in text_of(app)[-1] and section.look.fields == (None, None)
        await press(pilot, "l", "l", "L", "L")
        assert section.look.fields == (None, None)

    driven(root, (80, 24), script)


@pytest.mark.parametrize("plain", [False, True])
def test_the_free_contour_is_a_line_in_the_field(root: Path, plain: bool) -> None:
    field = field_of_design(Opened(root).project, "V2")
    across, along = field.idle["contour_diameter"], field.idle["contour_length"]

    async def script(app: DossierApp, pilot: Pilot) -> None:
        app.set_plain_glyphs(plain)
        await press(pilot, "3", "l")
        await until(pilot, lambda: "REF: pin " in shown(app))
        assert f"contour ⌀ {across:.1f} x {along:.1f} mm" in " ".join(text_of(app)[1:3]) or plain
        section = app.here.section
        place, text = section.drawn.place, ["".join(map(chr, row)) for row in section.picture().codes]
        r, z = max(field.contour.tolist())
        column, row = place.cell(z, -r)
        assert text[row][column] == "*" if plain else 0x2800 < ord(text[row][column]) < 0x2900

    driven(root, (80, 24), script)


def test_i_tells_what_the_field_knows_of_a_cell(root: Path) -> None:
    field = field_of_design(Opened(root).project, "V2")
    pin = field.parts["pin"]
    node = int(pin.utilisation.argmax())
    load = int(pin.by_load[:, node].argmax())

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3", "l", "tab")
        await until(pilot, lambda: "REF: pin " in shown(app))
        section = app.here.section
        r, z = pin.points[node]
        section._cursor = (float(z), -float(r))
        await press(pilot, "i")
        told = " ".join(text.strip() for text in text_of(app)[1:3])
        share = pin.by_load[load, node]
        assert f"V2, A pin, z {z:.1f}, r {r:.1f} mm: {share:.2f}" in told
        assert f"{show(share * pin.strength, 3)} of {show(pin.strength, 3)} MPa, {field.loads[load]} decides" in told
        for symbol, value in zip(COMPONENTS, pin.components[load, node], strict=True):
            assert f"{symbol} {show(round(float(value), 1), 3)}".replace("−", "-") in told
        assert "i this cell" in text_of(app)[-1] and "arrows" not in text_of(app)[3]
        section._cursor = (0.0, -31.5)
        await press(pilot, "i")
        assert "V2, rubber, see layer.limits" in shown(app)
        section._cursor = (0.0, -20.0)
        await press(pilot, "i")
        assert "A pin, idle" in shown(app)
        await press(pilot, "l", "i")
        assert f"{field.loads[0]} alone" in shown(app)
        await press(pilot, "tab")
        assert "load case 1 of" in shown(app) or f"{field.loads[0]} alone" in shown(app)

    driven(root, (80, 24), script)


def test_a_field_that_crosses_to_the_screen_is_the_one_that_was_computed(root: Path) -> None:
    field = field_of_design(Opened(root).project, "V2")
    again = field_of_plain(json.loads(json.dumps(plain_field(field))))
    for name, part in field.parts.items():
        other = again.parts[name]
        assert other.by_load == pytest.approx(part.by_load, rel=1e-6) and other.peaks == part.peaks
        assert other.components == pytest.approx(part.components, rel=1e-5, abs=1e-4)
    assert again.loads == field.loads and np.array_equal(again.contour, field.contour)
