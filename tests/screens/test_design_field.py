"""The utilisation field on sheet 3, and stiffness and utilisation of a value while it is tried."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from textual.pilot import Pilot

from dossier.actions.edit import clear_field, set_field
from dossier.actions.opened import Opened
from dossier.methods.section_field import field_of_design
from screens.app import DossierApp
from screens.sheets.trial import draft_of
from tests.screens.look import text_of
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
        assert "l regions" in text_of(app)[-1] and "Linear" in " ".join(text_of(app)[1:3])
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
                if abs(10 * greatest - round(10 * greatest)) > 0.05:
                    assert text[row][column] == str(int(10 * greatest)), (sign, z, r)
        await press(pilot, "l")
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


def test_the_process_ends_when_nobody_asks_any_more() -> None:
    done = subprocess.run([sys.executable, "-m", "dossier.field_worker"], input=b"", timeout=30)
    assert done.returncode == 0
