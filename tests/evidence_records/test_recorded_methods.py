"""Evaluations of harmonic, endurance and history records from files of other laws, with their workings."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from dossier.evidence.form import ReadingScheme
from dossier.evidence.load_history import evaluate_load_history
from dossier.evidence.sniff import sniff
from dossier.methods.evidence_links import evidence_methods
from tests.evidence.recorded import (
    Endurance,
    Rubber,
    history,
    true_response,
    write_endurance,
    write_harmonic,
    write_history,
)
from tests.evidence_records.test_evaluations import check_lines

DYNAMIC, DURABILITY, HISTORY = (evidence_methods()[f"evidence.{name}"] for name in ("dynamic", "durability", "load_history"))
LEVELS = (0.05, 0.1, 0.2)
FREQUENCIES = (1.0, 5.0, 10.0)


class Files:
    """Written files by invented digests."""

    def __init__(self) -> None:
        self.paths: dict[str, Path] = {}

    def add(self, path: Path) -> str:
        digest = f"{len(self.paths):x}" * 64
        self.paths[digest] = path
        return digest

    def __call__(self, digest: str) -> Path:
        return self.paths[digest]

    @property
    def reading(self) -> dict[str, Any]:
        return ReadingScheme.from_form(sniff(next(iter(self.paths.values())))).to_dict()


@pytest.fixture(scope="module")
def harmonic(tmp_path_factory) -> tuple[Files, dict[str, Any]]:
    folder, files = tmp_path_factory.mktemp("harmonic"), Files()
    groups: dict[str, list[dict[str, Any]]] = {"variant": [], "reference": []}
    for name, stiffness in (("variant", 50_000.0), ("reference", 53_000.0)):
        for number, factor in enumerate((0.99, 1.0, 1.02)):
            rubber = Rubber(factor * stiffness)
            path = write_harmonic(folder / f"{name}{number}.csv", rubber, LEVELS, FREQUENCIES, seed=len(files.paths), mass=5.0)
            groups[name].append({"specimen": f"{name[0].upper()}-{number}", "batch": "7", "file": files.add(path)})
    given = {**groups, "reading": files.reading, "frequency": 10.0, "amplitude": 0.2, "moving_mass": 5.0,
             "budget": [{"cause": "force", "relative": 0.003}],
             "static": {f"V-{number}": 40_000.0 for number in range(3)}}  # fmt: skip
    return files, given


def run(method: Any, given: dict[str, Any], files: Files) -> tuple[Any, Any]:
    typed = method.input_model.model_validate(given)
    return typed, method.run(typed, files)


def test_dynamic_stiffness_of_both_groups(harmonic):
    files, given = harmonic
    typed, found = run(DYNAMIC, given, files)
    true = true_response(Rubber(50_000.0), 0.2, 10.0)
    for number, factor in enumerate((0.99, 1.0, 1.02)):
        single = true_response(Rubber(factor * 50_000), 0.2, 10.0)
        assert found.value(f"specimen:V-{number}").value == pytest.approx(abs(single), rel=3e-3)
    angle = found.value("loss_angle_variant")
    assert angle.unit == "°" and angle.value == pytest.approx(math.degrees(np.angle(true)), abs=0.1)
    assert found.value("ratio").value == pytest.approx(50 / 53, rel=0.02)
    assert found.value("to_static_variant").value == pytest.approx(abs(true) * 1.0033 / 40_000, rel=0.01)
    assert found.value("to_static_reference") is None and any("no static stiffness" in w for w in found.warnings)
    working = DYNAMIC.working(typed, found)
    check_lines(working)
    assert ("step that decides", "10 Hz ±0.2 mm") in working.facts
    assert working.values["q"] == pytest.approx(found.value("ratio").value, rel=6e-3)
    ratio = found.value("to_static_variant")
    assert working.values["y_v"] == pytest.approx(ratio.value, rel=6e-3) and "y_r" not in working.values
    assert working.values["Y_v"] == pytest.approx(ratio.high - ratio.value, rel=6e-3)
    assert (working.values["y_v1"], working.values["c_v1"]) == pytest.approx((found.value("to_static:V-0").value, 40), rel=6e-3)


def test_every_step_is_told_for_both_groups(harmonic):
    files, given = harmonic
    _, found = run(DYNAMIC, given, files)
    for frequency in FREQUENCIES:
        for amplitude in LEVELS:
            label = f"{frequency:g} Hz ±{amplitude:g} mm"
            at = next(v for v in found.values if v.name.startswith("variant at") and _same(v.name, frequency, amplitude))
            true = true_response(Rubber(50_000.0), amplitude, frequency)
            assert at.value == pytest.approx(abs(true) * 1.0033, rel=0.01), label
            assert any(v.name.startswith("ratio at") and _same(v.name, frequency, amplitude) for v in found.values), label


def _same(name: str, frequency: float, amplitude: float) -> bool:
    told = name.rpartition(" at ")[2]
    f, a = told.split(" Hz ±")
    return abs(float(f) / frequency - 1) < 0.05 and abs(float(a.removesuffix(" mm")) / amplitude - 1) < 0.1


def test_a_step_that_was_not_driven_is_named(harmonic):
    files, given = harmonic
    with pytest.raises(ValueError, match=r"V-0 has no step at 30 Hz ±0\.2 mm; found are 1 Hz"):
        run(DYNAMIC, {**given, "frequency": 30.0}, files)


def test_part_without_a_file():
    with pytest.raises(ValueError, match="V-1 has no measured file"):
        run(DYNAMIC, {"variant": [{"specimen": "V-1"}], "reading": {}, "frequency": 1.0, "amplitude": 1.0}, Files())


@pytest.fixture(scope="module")
def endurance(tmp_path_factory) -> tuple[Files, dict[str, Any], list[float]]:
    folder, files, lives = tmp_path_factory.mktemp("endurance"), Files(), []
    samples = []
    for number, rate in enumerate((1.6e-6, 1.9e-6, 2.2e-6)):
        part = Endurance(52_000.0, rate)
        lives.append(part.life(0.2, 1000))
        last = 1.1 * lives[-1]
        path = write_endurance(folder / f"{number}.csv", part, last, seed=number, pauses=(20_000, 30_000), reset_at=(30_000,))
        samples.append({"specimen": f"V-{number}", "batch": "7", "file": files.add(path)})
    given = {"variant": samples, "reading": files.reading, "loss": 0.2, "reference_cycles": 1000.0,
             "planned_cycles": 30_000.0, "temperature_factor": -0.004}  # fmt: skip
    return files, given, lives


def test_lives_of_parts_that_reached_the_criterion(endurance):
    files, given, lives = endurance
    typed, found = run(DURABILITY, given, files)
    for number, life in enumerate(lives):
        assert found.value(f"specimen:V-{number}").value == pytest.approx(life, rel=0.04)
        assert found.value(f"censored:V-{number}").value == 0
    assert found.value("variant").value == pytest.approx(np.mean(lives), rel=0.03) and found.value("survived_variant") is None
    assert [line.cause for line in found.value("variant").lines] == ["scatter", "life read from the course"]
    assert found.value("share_variant").value == pytest.approx(min(lives) / 30_000, rel=0.04)
    assert 0.05 < found.value("stiffness_loss_variant").value < 0.2
    assert 46 < found.value("temperature_max_variant").value < 49
    assert any("taken as begun anew" in warning for warning in found.warnings)
    assert any("pause of 12 h" in warning for warning in found.warnings)
    check_lines(DURABILITY.working(typed, found))


def test_a_part_that_was_stopped_makes_a_least_value(endurance, tmp_path):
    files, given, lives = endurance
    files = Files()
    files.paths = dict(endurance[0].paths)
    stopped = write_endurance(tmp_path / "stopped.csv", Endurance(52_000.0, 1e-7), 35_000, seed=9)
    samples = [*given["variant"][:1], {"specimen": "V-9", "file": files.add(stopped)}]
    typed, found = run(DURABILITY, {**given, "variant": samples}, files)
    assert found.value("survived_variant").value == 1 and found.value("n_variant").value == 2
    assert found.value("censored:V-9").value == 1 and found.value("specimen:V-9").value == 35_000
    assert found.value("variant").value == pytest.approx(min(lives[0], 35_000), rel=0.04)
    working = DURABILITY.working(typed, found)
    check_lines(working)
    assert working.values["h_v"] == pytest.approx(min(lives[0], 35_000) / 30_000, rel=0.04)


def test_uncorrected_heat_ends_earlier(endurance):
    files, given, lives = endurance
    _, found = run(DURABILITY, {key: value for key, value in given.items() if key != "temperature_factor"}, files)
    assert all(found.value(f"specimen:V-{n}").value < 0.95 * life for n, life in enumerate(lives))


def test_history_against_the_programme(tmp_path):
    files, signals = Files(), []
    samples = []
    for number in range(2):
        path = write_history(tmp_path / f"{number}.csv", seed=number)
        signals.append(history(number)[1])
        samples.append({"specimen": f"V-{number}", "file": files.add(path)})
    levels = [{"range": 18_000.0, "cycles": 40_000}, {"range": 36_000.0, "cycles": 8_000}, {"range": 62_000.0, "cycles": 1_200}]
    given = {"variant": samples, "reading": files.reading, "sn_range": 40_000.0, "sn_cycles": 1e5, "exponents": [5.0, 3.0],
             "repeats": 400.0, "programme": levels, "budget": [{"cause": "force", "relative": 0.01}]}  # fmt: skip
    typed, found = run(HISTORY, given, files)
    design = sum(level["cycles"] * (level["range"] / 40_000) ** 5 for level in levels) / 1e5
    assert found.value("damage of programme at k = 5").value == pytest.approx(design)
    for number, signal in enumerate(signals):
        damage = evaluate_load_history(signal, sn_range=40_000, sn_cycles=1e5, exponents=[5]).damage[5.0]
        assert found.value(f"specimen:V-{number}").value == pytest.approx(400 * damage / design, rel=1e-3)
    assert found.value("share of variant at k = 3") is not None
    working = HISTORY.working(typed, found)
    check_lines(working)
    assert working.values["D"] == pytest.approx(design, rel=1e-4)


def test_history_without_a_programme_gives_its_damage(tmp_path):
    files = Files()
    samples = [{"specimen": "V-1", "file": files.add(write_history(tmp_path / "h.csv", seed=3, minutes=2))}]
    _, found = run(HISTORY, {"variant": samples, "reading": files.reading, "sn_range": 4e4, "sn_cycles": 1e5,
                             "exponents": [5.0]}, files)  # fmt: skip
    assert found.value("variant").value == pytest.approx(found.value("damage of variant at k = 5").value)
