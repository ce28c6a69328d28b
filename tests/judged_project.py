"""The small project with items of single values: lives of both parts, an S–N line, a staircase, a series, plain values."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from dossier.actions.edit import add_record
from dossier.actions.evaluate import evaluate_items
from dossier.actions.opened import Opened
from tests import small_project as small

LAB = small.LABORATORY
LIVES = (1.2e6, 1.9e6, 2.6e6, 3.1e6, 3.3e6, 4.0e6)
OTHER_LIVES = (0.8e6, 1.3e6, 1.6e6, 2.4e6)
LEVELS = (30.0, 30.0, 30.0, 25.0, 25.0, 25.0, 21.0, 21.0, 21.0)
CYCLES = (1.1e5, 1.5e5, 1.9e5, 3.6e5, 4.9e5, 5.2e5, 1.4e6, 2.0e6, 2.0e6)
STEPS = (380, 360, 340, 360, 380, 400, 380, 360, 380, 360, 380, 360, 340, 360, 380)
BORE = (0, 0, 1, 1, 1, 0, 0, 1, 0, 1, 0, 0, 1, 1, 1)
SERIES = tuple(float(value) for value in np.round(np.random.default_rng(1).normal(60.0, 0.02, 30), 4))
IDS = {"life": "E-050", "sn_line": "E-051", "staircase": "E-052", "capability": "E-053", "single": "E-054"}


def begin(folder: Path) -> Opened:
    """All items, evaluated; requirement R-050 asks for 0.5 million cycles of nine parts in ten."""
    opened = small.begin(folder)
    raw = {"id": "R-050", "title": "Life", "statement": "The joint shall bear 5e5 cycles.", "quantity": "life", "unit": "cycles",
           "limit": {"kind": "min", "min": 5e5}, "verification": ["test"]}  # fmt: skip
    opened.record(add_record(opened.project, "requirement", raw, small.ENGINEER))
    for number in range(30):
        for design in ("V1", "REF"):
            raw = {"id": f"{design}-{number + 1:02d}", "design": design, "batch": "7"}
            opened.record(add_record(opened.project, "specimen", raw, LAB))
    _add(opened, "life", "cycles", [
        *_samples(LIVES, [False] * 5 + [True]), *_samples(OTHER_LIVES, [False] * 4, "REF"),
    ], serves=[{"requirement": "R-050", "value": "variant"}], reference="REF")  # fmt: skip
    lines = [{**sample, "load": load} for sample, load in zip(_samples(CYCLES, [False] * 7 + [True] * 2), LEVELS, strict=True)]
    _add(opened, "sn_line", "cycles", lines, statistics={"load": 24.0}, serves=[{"requirement": "R-050", "value": "variant"}])
    _add(opened, "staircase", "kN", _samples(STEPS, [bool(bore) for bore in BORE]))
    _add(opened, "capability", "mm", _samples(SERIES, [None] * 30), statistics={"lower": 59.9, "upper": 60.1})
    values = _samples((24.1, 25.3, 24.8, 19.0), [None] * 4)
    values[-1]["left_out"] = "gauge slipped"
    _add(opened, "single", "kN", values)
    return opened


def _samples(values: Any, survived: Any, design: str = "V1") -> list[dict[str, Any]]:
    return [
        {"specimen": f"{design}-{n:02d}", "value": float(value), **({} if stop is None else {"survived": stop})}
        for n, (value, stop) in enumerate(zip(values, survived, strict=True), 1)
    ]


def _add(opened: Opened, kind: str, unit: str, samples: list[dict[str, Any]], **fields: Any) -> None:
    raw = {"id": IDS[kind], "title": f"Values of {kind}", "way": "test", "quantity": kind, "unit": unit, "variant": "V1",
           "state": "finished", "started_on": "2026-03-01", "done_on": "2026-03-09", "samples": samples, **fields}  # fmt: skip
    opened.record(add_record(opened.project, "evidence", raw, LAB))
    opened.record(evaluate_items(opened.project, [IDS[kind]], LAB))
