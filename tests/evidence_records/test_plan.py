"""A test is planned by command before it is done, and its order printed."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from dossier.actions.edit import add_record
from dossier.actions.opened import Opened
from dossier.actions.test_order import drawn_order
from dossier.checks.told_power import power_of, powers
from dossier.cli import main
from dossier.evidence.power import tost_power
from tests import small_project as small

RADIAL = (
    "--title", "Radial [/b] & stiffness", "--quantity", "radial", "--variant", "V1", "--reference", "REF", "--count", "3",
    "--reference-count", "2", "--serves", "R-012=ratio",
)  # fmt: skip


@pytest.fixture
def opened(tmp_path: Path) -> Opened:
    return small.begin(tmp_path / "project")


def plan(opened: Opened, *options: str) -> int:
    return main(["plan-test", str(opened.folder.root), *options, "--person", small.LABORATORY])


def again(opened: Opened) -> Opened:
    return small.reopen(opened.folder.root)


def test_a_planned_test_is_open_for_its_requirement(opened, capsys):
    agreed = ("--margin", "0.9", "1.1", "--agreed-by", "customer", "--agreed-on", "2026-02-20")
    assert plan(opened, *RADIAL, *agreed) == 0
    assert capsys.readouterr().out.splitlines()[0] == "E-001 planned: Radial [/b] & stiffness"
    found = again(opened)
    item = found.project.get("E-001")
    assert (item.state, item.planned_variant, item.planned_reference) == ("planned", 3, 2)
    assert (item.margin.low, item.margin.high, item.margin.agreed.by) == (0.9, 1.1, "customer")
    assert [(s.requirement, s.value) for s in item.serves] == [("R-012", "ratio")]
    support = found.view.verdicts["R-012"].supports[0]
    assert (support.record, support.state, support.reason) == ("E-001", "open", "its test is planned")


def test_ids_go_on(opened):
    assert plan(opened, *RADIAL) == 0 and plan(opened, *RADIAL) == 0
    assert {"E-001", "E-002"} <= set(again(opened).project.records)


@pytest.mark.parametrize(
    ("options", "named"),
    [
        (("--title", "x", "--serves", "R-999"), "serves = R-999 is no requirement"),
        (("--title", "x", "--serves", "L-001"), "serves = L-001 is no requirement"),
        (("--title", "x", "--variant", "V9"), "variant = V9 is not among the records of the project (REF, V1)"),
        (("--title", "x", "--equipment", "Q-001"), "equipment = Q-001 is not among the records of the project (none yet)"),
        (("--title", "x", "--scheme", "RS-01"), "scheme = RS-01"),
        (("--title", "x", "--reference-count", "3"), "planned_reference = 3 needs the design"),
        (("--title", "x", "--quantity", "axial"), "name its design as variant"),
        (("--title", "x", "--margin", "0.9", "1.1"), "agreed before the test; say by whom"),
        ((*RADIAL, "--margin", "1.01", "1.1", "--agreed-by", "c", "--agreed-on", "2026-02-20"), "both sides of 1"),
        (("--title", "x", "--unit", "furlong"), "furlong"),
        (("--title", "x", "--count", "-1", "--variant", "V1"), "planned_variant = -1 must be at least 0"),
        (("--title", "x", "--id", "R-001"), "R-001 is used already"),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_refused_and_nothing_recorded(opened, capsys, options, named):
    before = small.bytes_of(opened.folder.root)
    assert plan(opened, *options) == 1
    assert named in capsys.readouterr().err
    assert small.bytes_of(opened.folder.root) == before


def test_the_order_of_parts_as_text(opened, tmp_path, capsys):
    assert plan(opened, *RADIAL) == 0
    for name, design in (("P-1", "V1"), ("P-2", "V1"), ("P-3", "V1"), ("P-4", "V1"), ("P-5", "REF"), ("P-6", "REF")):
        opened = again(opened)
        opened.record(add_record(opened.project, "specimen", {"id": name, "design": design}, small.LABORATORY))
    target = tmp_path / "order.txt"
    arguments = ["test-order", str(opened.folder.root), "--out", str(target), "--seed"]
    assert main([*arguments, "5"]) == 0
    text = target.read_text("utf-8")
    assert "E-001 Radial [/b] & stiffness" in text and "WARNING: pinch points" in text and "seed 5" in text
    parts = [line.split()[1] for line in text.splitlines() if "____" in line]
    assert sorted(parts) == ["P-1", "P-2", "P-3", "P-5", "P-6"], "as many as planned of each design"
    orders = set()
    for seed in range(1, 12):
        assert main([*arguments, str(seed)]) == 0
        orders.add(tuple(line.split()[1] for line in target.read_text("utf-8").splitlines() if "____" in line))
    assert len(orders) > 5, "the seed decides the order"


def test_without_a_plan_no_order_is_printed(opened, tmp_path, capsys):
    target = tmp_path / "order.txt"
    assert main(["test-order", str(opened.folder.root), "--out", str(target)]) == 1
    assert "no test is planned" in capsys.readouterr().err and not target.exists()


LEAST = ("--title", "Push-out", "--quantity", "single", "--unit", "kN", "--variant", "V1", "--reference", "REF", "--count", "5",
         "--reference-count", "5", "--serves", "R-012=ratio", "--least-ratio", "0.9",
         "--agreed-by", "customer", "--agreed-on", "2026-02-20")  # fmt: skip


def test_a_least_ratio_is_planned_with_its_power(opened, capsys):
    """Power for a scatter of 4 % and five parts each: above the one of the margin with an upper end."""
    assert plan(opened, *LEAST, "--scatter", "0.04") == 0
    told = capsys.readouterr().out
    assert "Power as planned, the one comparison, by true ratio:" in told
    item = again(opened).project.get("E-001")
    assert (item.margin.low, item.margin.high, item.margin.words) == (0.9, None, "at least 0.9")
    found = power_of(item)
    assert found.values == pytest.approx([tost_power(ratio, 0.04, 5, 5, 0.9, math.inf) for ratio in (1.0, 0.95)])
    assert "scatter 4.00 %)" in found.words


def test_the_power_of_the_set_is_the_product_before_anything_is_tested(opened, capsys):
    agreed = ("--margin", "0.9", "1.1", "--agreed-by", "customer", "--agreed-on", "2026-02-20", "--scatter", "0.03")
    for quantity in ("radial", "axial"):
        assert plan(opened, "--title", "x", "--quantity", quantity, "--variant", "V1", "--reference", "REF", "--count", "5",
                    "--reference-count", "5", *agreed) == 0  # fmt: skip
    single = [power.values for power in powers(again(opened).view)]
    sentence = capsys.readouterr().out.splitlines()[-1]
    assert f"all 2 comparisons together, by true ratio: {single[0][0] * single[1][0]:.2f} at 1.00" in sentence


def test_the_drawn_order_is_recorded_with_its_seed(opened, tmp_path, capsys):
    assert plan(opened, *RADIAL) == 0
    for name, design in (("P-1", "V1"), ("P-2", "V1"), ("P-3", "V1"), ("P-5", "REF"), ("P-6", "REF")):
        opened = again(opened)
        opened.record(add_record(opened.project, "specimen", {"id": name, "design": design}, small.LABORATORY))
    target = tmp_path / "order.txt"
    line = ("test-order", str(opened.folder.root), "--out", str(target), "--seed", "7", "--record", "--person", small.LABORATORY)
    assert main(list(line)) == 0
    order = again(opened).project.get("E-001").order
    drawn = drawn_order(again(opened), again(opened).project.get("E-001"), 7)
    assert order == f"drawn with seed 7: {', '.join(drawn)}"
    assert sorted(drawn) == ["P-1", "P-2", "P-3", "P-5", "P-6"]
    assert "23 ± 2 °C" in target.read_text("utf-8")
