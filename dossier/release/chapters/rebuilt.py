"""A stored result derived again from its stored input: the working and what is drawn belong to that, not to today's records."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from dossier.methods.base import Method, Outcome
from dossier.methods.working import Working
from dossier.records.calculation import Calculation, Result
from dossier.records.problems import problems_in_words
from dossier.release.facts import Facts


@dataclass(frozen=True)
class Rebuilt:
    """Typed input, outcome and working of a stored result."""

    given: Any
    outcome: Outcome
    working: Working


def rebuilt(facts: Facts, record: Calculation, method: Method) -> Rebuilt | str:
    """The result computed again, or the reason why it cannot be; once per issue."""
    assert record.result is not None
    result = record.result
    return facts.once(("rebuilt", record.id), lambda: _rebuilt(method, result))


def _rebuilt(method: Method, result: Result) -> Rebuilt | str:
    try:
        given = method.input_model.model_validate(result.inputs)
    except ValidationError as error:
        problems = "; ".join(problems_in_words(error, method.input_model))
        return f"its stored input does not fit {method.id} as it is now ({problems})"
    try:
        outcome = method.run(given)
        return Rebuilt(given, outcome, method.working(given, outcome))
    except (ValueError, ArithmeticError) as error:
        return f"computing it again from its stored input gives no result ({str(error).splitlines()[0]})"
