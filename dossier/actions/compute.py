"""Run one method without a project."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from dossier import units
from dossier.actions.refusal import Refusal
from dossier.actions.run import compute, stored_values
from dossier.methods.base import Method, Outcome
from dossier.methods.links import input_from_values
from dossier.methods.registry import method_of


@dataclass(frozen=True)
class Answer:
    """What a method gave for plain values."""

    method: Method
    inputs: dict[str, Any]
    outcome: Outcome

    @property
    def notes(self) -> list[str]:
        """Warnings and limits of validity that are passed."""
        return [*(f"outside validity: {note}" for note in self.outcome.outside), *self.outcome.warnings]

    def as_plain(self) -> dict[str, Any]:
        """Plain data in stored units."""
        return {
            "method": self.method.id,
            "method_version": self.method.version,
            "inputs": self.inputs,
            "values": stored_values(self.method, self.outcome),
            "validity": "outside" if self.outcome.outside else "inside",
            "notes": self.notes,
        }

    def rows(self) -> list[list[str]]:
        """Name, shown value, unit, band and meaning of each result."""
        rows = []
        for entry in stored_values(self.method, self.outcome):
            field = self.method.result_field(entry["name"])
            shown = field.shown or field.unit
            number = units.show(units.convert(entry["value"], field.unit, shown), 5)
            band = ""
            if "low" in entry:
                ends = [units.show(units.convert(entry[end], field.unit, shown), 4) for end in ("low", "high")]
                band = f"{ends[0]} .. {ends[1]}"
            rows.append([field.name, number, shown, band, field.meaning])
        return rows


def compute_values(method_id: str, assignments: Sequence[str]) -> Answer:
    """Run a method on assignments such as "force=118 kN" (nested inputs as JSON). Raises Refusal."""
    method = method_of(method_id)
    values: dict[str, Any] = {}
    for assignment in assignments:
        name, sign, text = assignment.partition("=")
        if not sign:
            raise Refusal(f'"{assignment}" is no assignment; write name=value, such as force="118 kN"')
        values[name.strip()] = _typed(text)
    resolved = input_from_values(method, values)
    return Answer(method, resolved.plain, compute(method, resolved))


def _typed(text: str) -> Any:
    if text.lstrip()[:1] in ("{", "["):
        try:
            return json.loads(text)
        except json.JSONDecodeError as error:
            raise Refusal(f"{text[:60]} is not readable as JSON: {error}") from error
    return text
