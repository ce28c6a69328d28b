"""The small project with items of single values: lives of both parts, an S–N line, a staircase, a series, plain values."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

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
    files = small.documents()
    life = small.requirement("R-050", "life", "cycles", {"kind": "min", "min": 5e5})
    files["requirements/main.toml"]["requirement"].append({**life, "verification": ["test"]})
    named = [("V1", number) for number in range(1, 31)] + [("REF", number) for number in range(1, 5)]
    files["specimens.toml"] = {
        "specimen": [{"id": f"{design}-{number:02d}", "design": design, "batch": "7"} for design, number in named]
    }
    served = {"serves": [{"requirement": "R-050", "value": "variant"}]}
    lives = [*_samples(LIVES, [False] * 5 + [True]), *_samples(OTHER_LIVES, [False] * 4, "REF")]
    lines = [{**sample, "load": load} for sample, load in zip(_samples(CYCLES, [False] * 7 + [True] * 2), LEVELS, strict=True)]
    values = _samples((24.1, 25.3, 24.8, 19.0), [None] * 4)
    values[-1]["left_out"] = "gauge slipped"
    items = [
        _item("life", "cycles", lives, reference="REF", **served),
        _item("sn_line", "cycles", lines, statistics={"load": 24.0}, **served),
        _item("staircase", "kN", _samples(STEPS, [bool(bore) for bore in BORE])),
        _item("capability", "mm", _samples(SERIES, [None] * 30), statistics={"lower": 59.9, "upper": 60.1}),
        _item("single", "kN", values),
    ]
    opened = small.begin(folder, {**files, **{f"evidence/{item['id']}.toml": item for item in items}})
    opened.record(evaluate_items(opened.project, list(IDS.values()), LAB))
    return opened


def _samples(values: Any, survived: Any, design: str = "V1") -> list[dict[str, Any]]:
    return [
        {"specimen": f"{design}-{n:02d}", "value": float(value), **({} if stop is None else {"survived": stop})}
        for n, (value, stop) in enumerate(zip(values, survived, strict=True), 1)
    ]


def _item(kind: str, unit: str, samples: list[dict[str, Any]], **fields: Any) -> dict[str, Any]:
    return {"id": IDS[kind], "title": f"Values of {kind}", "way": "test", "quantity": kind, "unit": unit, "variant": "V1",
            "state": "finished", "started_on": "2026-03-01", "done_on": "2026-03-09", "samples": samples, **fields}  # fmt: skip
