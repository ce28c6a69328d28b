"""Random inputs and the demo's records for the tests of this folder."""

import importlib.util
import tomllib
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any

import pytest

from dossier.methods.base import Outcome
from dossier.methods.links import input_from_values
from dossier.methods.registry import method_of

_spec = importlib.util.spec_from_file_location("random_inputs", Path(__file__).with_name("random_inputs.py"))
_random_inputs = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(_random_inputs)

RECORDS = Path(__file__).parents[1] / "demo" / "records" / "axle-link"


@pytest.fixture
def values_of() -> Callable[..., dict[str, Any]]:
    """Plain input values of a method, `values_of("fit.ring", seed)`."""
    return lambda method_id, seed=1: _random_inputs.GENERATORS[method_id](Random(seed))


@pytest.fixture
def run() -> Callable[[str, dict[str, Any]], Outcome]:
    """Run a method on plain values."""

    def run_method(method_id: str, values: dict[str, Any]) -> Outcome:
        method = method_of(method_id)
        resolved = input_from_values(method, values)
        assert resolved.problems == []
        return method.run(resolved.given)

    return run_method


@pytest.fixture
def documents() -> dict[str, dict[str, Any]]:
    """The demo's record files, relative path → stored fields, to edit."""
    return {
        path.relative_to(RECORDS).as_posix(): tomllib.loads(path.read_text("utf-8"))
        for path in sorted(RECORDS.rglob("*.toml"))
    }
