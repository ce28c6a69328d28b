"""A stored result derived again from its stored input: the working and what is drawn belong to that, not to today's records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from pydantic import ValidationError

from dossier.methods.base import Method, Outcome
from dossier.methods.working import Working
from dossier.records.calculation import Calculation
from dossier.records.problems import problems_in_words
from dossier.release.facts import Facts
from dossier.store.digest import sha256_of_document


@dataclass(frozen=True)
class Rebuilt:
    """Typed input, outcome and working of a stored result."""

    given: Any
    outcome: Outcome
    working: Working


@dataclass(frozen=True)
class _Stored:
    """The input of a stored result, known by its digest."""

    method: Method
    digest: str
    inputs: Mapping[str, Any] = field(compare=False)


def rebuilt(facts: Facts, record: Calculation, method: Method) -> Rebuilt | str:
    """The result computed again, or the reason why it cannot be; once for the same input in a process."""
    assert record.result is not None
    inputs = record.result.inputs
    return facts.once(("rebuilt", record.id), lambda: _rebuilt(_Stored(method, sha256_of_document(inputs), inputs)))


@lru_cache(maxsize=64)
def _rebuilt(stored: _Stored) -> Rebuilt | str:
    method = stored.method
    try:
        given = method.input_model.model_validate(stored.inputs)
    except ValidationError as error:
        problems = "; ".join(problems_in_words(error, method.input_model))
        return f"its stored input does not fit {method.id} as it is now ({problems})"
    try:
        outcome = method.run(given)
        return Rebuilt(given, outcome, method.working(given, outcome))
    except (ValueError, ArithmeticError) as error:
        return f"computing it again from its stored input gives no result ({str(error).splitlines()[0]})"
