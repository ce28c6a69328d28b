"""Press curves as evidence: from files to peak, end force, scoring and windows, with the working."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from dossier.methods.evidence_links import evidence_methods
from tests.evidence.dialects import ENGLISH, write
from tests.evidence.test_press import FORCE, pressed_in, pushed_out
from tests.evidence_records.test_evaluations import check_lines
from tests.evidence_records.test_recorded_methods import Files, run

PRESS = evidence_methods()["evidence.press"]


def group(folder: Path, files: Files, name: str, curves: list) -> list[dict]:
    """Files of a group of parts."""
    found = []
    for number, (travel, load) in enumerate(curves):
        path = write(folder / f"{name}{number}.csv", ENGLISH, np.arange(len(travel)) / 50, travel, load)
        found.append({"specimen": f"{name}-{number}", "batch": "7", "file": files.add(path)})
    return found


def test_press_in_of_both_groups_with_scoring_and_a_window(tmp_path):
    files = Files()
    variant = [pressed_in(seed=1), pressed_in(seed=2), pressed_in(seed=3, teeth=20)]
    given = {
        "variant": group(tmp_path, files, "V", variant),
        "reference": group(tmp_path, files, "R", [(x, 1.1 * f) for x, f in (pressed_in(seed=4), pressed_in(seed=5))]),
        "operation": "press_in", "reading": files.reading, "budget": [{"cause": "force", "relative": 0.005}],
        "windows": [{"travel_low": 85.0, "travel_high": 89.0, "force_high": 31_000.0}],
    }  # fmt: skip
    typed, found = run(PRESS, given, files)
    assert found.value("end_variant").value == pytest.approx(FORCE, rel=0.01)
    assert found.value("reference").value / found.value("variant").value == pytest.approx(1.1, rel=0.02)
    assert found.value("scored_variant").value == 1 and found.value("scored_reference").value == 0
    assert found.value("outside_windows_variant").value == 0 and found.value("outside_windows_reference").value == 2
    assert found.value("seated_variant").value == 3
    assert any("V-2" in told and "scored" in told for told in found.warnings)
    assert any("R-0: leaves window 1 (85 .. 89 mm)" in told for told in found.warnings)
    working = PRESS.working(typed, found)
    check_lines(working)
    assert ("window 1", "85 .. 89 mm, at most 31 kN") in working.facts
    assert ("curves of the variant", "1 scored, 0 outside a window, 3 seated") in working.facts


def test_push_out_of_one_group(tmp_path):
    files = Files()
    given = {"variant": group(tmp_path, files, "V", [pushed_out(seed=n) for n in range(3)]), "operation": "push_out"}
    _, found = run(PRESS, {**given, "reading": files.reading}, files)
    assert found.value("variant").value == pytest.approx(36_000, rel=0.02)
    assert found.value("end_variant").value == pytest.approx(21_600, rel=0.01)
    assert found.value("seated_variant") is None
