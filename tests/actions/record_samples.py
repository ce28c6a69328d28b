"""The records of tests/records/samples.py, found from here."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Any

_SPEC = importlib.util.spec_from_file_location("records_samples", Path(__file__).parents[1] / "records" / "samples.py")
assert _SPEC is not None and _SPEC.loader is not None
_MODULE = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(_MODULE)


def samples() -> dict[str, dict[str, Any]]:
    """Kind of record → stored fields of a full one."""
    return _MODULE.samples()
