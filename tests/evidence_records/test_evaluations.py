"""Evaluations of evidence: workings that can be followed by hand, ratio against its textbook form, yes or no."""

from __future__ import annotations

import math
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import pytest
from scipy import stats

from dossier.evidence.form import ReadingScheme
from dossier.evidence.sniff import sniff
from dossier.methods.evidence_links import evidence_methods
from tests.evidence.dialects import ENGLISH, write
from tests.evidence.generator import Programme, with_stiffness
from tests.methods.test_workings import as_number, by_hand

METHODS = evidence_methods()
SINGLE, YES_NO, STATIC = (METHODS[f"evidence.{name}"] for name in ("single", "yes_no", "static"))


def no_files(digest: str) -> Path:
    raise AssertionError(f"no raw file is read here, asked for {digest}")


def group(prefix: str, values: list[float], batches: list[str] | None = None) -> list[dict[str, Any]]:
    batches = batches or ["7"] * len(values)
    return [{"specimen": f"{prefix}-{n}", "batch": b, "value": v} for n, (v, b) in enumerate(zip(values, batches, strict=True))]


def single(**fields: Any) -> Any:
    return SINGLE.run(SINGLE.input_model.model_validate({"unit": "kN", **fields}), no_files)


def random_single(seed: int, way: str = "one batch") -> Any:
    """Random groups of 1 to 6 parts with a random budget; `way`: how the batches of both groups are compared."""
    random = Random(seed)
    level, scatter = 10 ** random.uniform(-2, 6), random.uniform(0.002, 0.15)
    several = way in ("pairs", "measured")
    sizes = [random.randint(4, 6), random.randint(4, 6)] if several else [random.randint(1, 6), random.randint(0, 6)]
    names = ["A", "B", "C"][: random.randint(2, 3)]
    groups = {}
    for name, size in zip(("variant", "reference"), sizes, strict=True):
        batches = [names[n % len(names)] + name * (way == "measured") for n in range(size)] if several else None
        batches = [name] * size if way == "assumed" else batches
        groups[name] = group(name[0], [level * random.gauss(1, scatter) for _ in range(size)], batches)
    scatter_of_batches = {"batch_scatter": random.uniform(0.01, 0.06)} if way == "assumed" else {}
    budget = [{"cause": f"cause {n}", "relative": random.uniform(0, 0.02)} for n in range(random.randint(0, 3))]
    return SINGLE.input_model.model_validate({**groups, "budget": budget, "unit": "kN", **scatter_of_batches})


def check_lines(working: Any) -> None:
    """Each printed formula with its printed numbers gives the printed value, by Python's own evaluation."""
    assert working.lines
    for line in working.lines:
        value = by_hand(line.formula, {symbol: as_number(text) for symbol, text in line.printed_numbers.items()})
        half_digit = 0.5 * 10 ** (math.floor(math.log10(abs(value))) - line.digits + 1) if value else 0.0
        assert abs(as_number(line.printed) - value) <= half_digit * (1 + 1e-6), (line.formula, value, line.printed)


@pytest.mark.parametrize("way", ["one batch", "pairs", "measured", "assumed"])
@pytest.mark.parametrize("seed", range(20))
def test_workings_of_values_follow_from_printed_numbers_and_arrive(seed, way):
    given = random_single(seed, way)
    found = SINGLE.run(given, no_files)
    working = SINGLE.working(given, found)
    check_lines(working)
    # three printed digits of the result; on the way five digits of values whose logarithms scatter by 0.2 % and more
    for symbol, name, end in (("m_v", "variant", "value"), ("m_r", "reference", "value"), ("q", "ratio", "value"),
                              ("q_low", "ratio", "low"), ("q_high", "ratio", "high")):  # fmt: skip
        value = found.value(name)
        assert (symbol in working.values) == (value is not None), symbol
        if value is not None:
            assert working.values[symbol] == pytest.approx(getattr(value, end), rel=6e-3), symbol
    variant = found.value("variant")
    if variant.high > variant.value:
        assert working.values["U_v"] == pytest.approx(variant.high - variant.value, rel=1e-3)


@pytest.mark.parametrize("seed", range(20))
def test_workings_of_yes_and_no(seed):
    random = Random(seed)
    samples = [{"specimen": f"P-{n}", "passed": random.random() < 0.7} for n in range(random.randint(1, 9))]
    given = YES_NO.input_model.model_validate({"variant": samples})
    working = YES_NO.working(given, YES_NO.run(given, no_files))
    check_lines(working)
    assert working.values["q"] == pytest.approx(sum(s["passed"] for s in samples) / len(samples), rel=5.5e-3)


def test_static_stiffness_from_files_of_known_stiffness_with_its_working(tmp_path):
    """The generator's own truth: 55 and 56 kN/mm against 57 and 54.5; 0.4 % is left by 25 rows a second."""
    true, paths = (55.0, 56.0, 57.0, 54.5), {}
    for number, stiffness in enumerate(true):
        record = with_stiffness(1000 * stiffness, Programme(load=12100.0, frequency=25.0), low=-11000.0, high=11000.0)
        path = write(tmp_path / f"{number}.csv", ENGLISH, record.time, record.travel, record.load)
        paths[f"{number}" * 64] = path
    samples = [{"specimen": f"P-{n}", "batch": "7", "file": digest} for n, digest in enumerate(paths)]
    given = STATIC.input_model.model_validate(
        {"variant": samples[:2], "reference": samples[2:], "budget": [{"cause": "force", "relative": 0.003}],
         "quantity": "radial", "reading": ReadingScheme.from_form(sniff(tmp_path / "0.csv")).to_dict(), "between": "load",
         "low": -11000.0, "high": 11000.0, "cycle": 4, "stiffness": "secant"}
    )  # fmt: skip
    found = STATIC.run(given, paths.__getitem__)
    for number, stiffness in enumerate(true):
        assert found.value(f"specimen:P-{number}").value == pytest.approx(1000 * stiffness, rel=4e-3)
    assert found.value("ratio").value == pytest.approx(math.sqrt(55 * 56 / (57 * 54.5)), rel=4e-3)
    names = {value.name for value in found.values}
    assert {"energy_variant", "energy_reference", "residual_variant", "n_variant", "spread_reference"} <= names
    working = STATIC.working(given, found)
    check_lines(working)
    assert "loading branch of cycle 4" in working.facts[0][1]
    assert working.values["q"] == pytest.approx(found.value("ratio").value, rel=6e-3)


def test_ratio_is_welch_on_logarithms():
    """Against scipy's own Welch test (library), on the logarithms."""
    ours, theirs = [54.1, 55.0, 56.2, 55.4, 54.8], [57.0, 56.1, 58.3, 57.2]
    ratio = single(variant=group("v", ours), reference=group("r", theirs)).value("ratio")
    interval = stats.ttest_ind(np.log(ours), np.log(theirs), equal_var=False).confidence_interval(0.90)
    assert (ratio.low, ratio.high) == pytest.approx((math.exp(interval.low), math.exp(interval.high)), rel=1e-9)
    assert ratio.value == pytest.approx(stats.gmean(ours) / stats.gmean(theirs), rel=1e-12)


def test_pairs_of_batches_are_compared_within_each_batch():
    """Two batches that differ by 30 % while the variant is 2 % below in each: the interval of pairs knows it (analytic)."""
    ours, theirs = [98.0, 98.0, 127.4, 127.4], [100.0, 100.0, 130.0, 130.0]
    batches = ["A", "A", "B", "B"]
    ratio = single(variant=group("v", ours, batches), reference=group("r", theirs, batches)).value("ratio")
    assert (ratio.low, ratio.value, ratio.high) == pytest.approx((0.98, 0.98, 0.98), rel=1e-9)


def test_uncertainty_against_a_limit_counts_systematic_lines_and_the_ratio_does_not():
    groups = {"variant": group("v", [10.0, 10.2, 9.9]), "reference": group("r", [10.1, 10.0, 10.3])}
    bare = single(**groups)
    full = single(**groups, budget=[{"cause": "force calibration", "relative": 0.02, "systematic": True}])
    assert full.value("ratio").low == bare.value("ratio").low
    value = full.value("variant")
    scatter, calibration = value.lines
    assert (scatter.cause, calibration.cause) == ("scatter", "force calibration")
    assert calibration.plus / scatter.plus == pytest.approx(0.02 * value.value / (np.std([10, 10.2, 9.9], ddof=1) / 3**0.5))
    assert value.high - value.value == pytest.approx(math.hypot(scatter.plus, calibration.plus))
    assert value.high > bare.value("variant").high


def test_without_an_agreed_margin_no_p_is_told():
    groups = {"variant": group("v", [10.0, 10.2]), "reference": group("r", [10.1, 10.0])}
    bare, agreed = single(**groups), single(**groups, margin={"low": 0.8, "high": 1.25})
    assert bare.value("ratio_p") is None and 0 < agreed.value("ratio_p").value < 0.5
    assert bare.value("ratio") == agreed.value("ratio")


def test_groups_of_other_batches_limit_the_verdict_in_words():
    ours = group("v", [10.0, 10.2], ["7", "7"])
    told = single(variant=ours, reference=group("r", [10.1, 10.0], ["8", "8"])).warnings
    assert any("for the tested batches only" in note and "batch 7, reference of batch 8" in note for note in told)
    assert not any("batches only" in note for note in single(variant=ours, reference=group("r", [10.1, 10.0])).warnings)


def test_one_part_in_a_group_gives_no_ratio_and_says_so():
    found = single(variant=group("v", [10.0]), reference=group("r", [10.1, 10.0]))
    assert found.value("ratio") is None
    assert found.warnings == ["no ratio: 1 of the variant and 2 of the reference part; 2 of each are needed"]


def test_a_reference_part_that_fails_does_not_fail_the_variant():
    samples = {"variant": [{"specimen": "V", "passed": True}], "reference": [{"specimen": "R", "passed": False}]}
    found = YES_NO.run(YES_NO.input_model.model_validate(samples), no_files)
    assert {v.name: v.value for v in found.values} == {
        "variant": 1.0, "passed": 1.0, "n_variant": 1.0, "reference": 0.0, "passed_reference": 0.0, "n_reference": 1.0,
    }  # fmt: skip
    with pytest.raises(ValueError, match="only reference parts have a result"):
        YES_NO.run(YES_NO.input_model.model_validate({"reference": samples["reference"]}), no_files)
