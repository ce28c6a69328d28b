"""Settings of a reading scheme for dynamic, durability and load-history records, from typed FIELD=VALUE entries."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pydantic import BaseModel, ValidationError

from dossier import units
from dossier.actions.refusal import Refusal
from dossier.records.base import field_facts
from dossier.records.evidence import DurabilityReading, DynamicReading, LoadHistoryReading, PressReading
from dossier.records.problems import problems_in_words

MODELS: dict[str, type[BaseModel]] = {
    "dynamic": DynamicReading, "durability": DurabilityReading, "load_history": LoadHistoryReading, "press": PressReading,
}  # fmt: skip
RANGES = {"force": "N", "torque": "N·mm", "displacement": "mm", "angle": "°"}
EXAMPLES = {
    "dynamic": "frequency=10 Hz; amplitude=0.2 mm; moving_mass=5 kg",
    "durability": "loss=20 %; reference_cycles=1000; temperature_factor=-0.004",
    "load_history": "sn_range=40 kN; sn_cycles=1e5; exponents=5, 3; programme=L-07",
    "press": "press_length=38 mm",
}


def parsed_settings(kind: str, entries: Sequence[str]) -> dict[str, Any]:
    """The settings as a record keeps them. Raises Refusal naming field, value and what is expected."""
    if kind not in MODELS:
        raise Refusal(f"settings of {kind} are not known; choose one of {', '.join(MODELS)}")
    model, texts = MODELS[kind], dict(_split(kind, entry) for entry in entries if entry.strip())
    channel = texts.get("channel", "force")
    found = {name: _value(model, name, text, RANGES.get(channel, "N")) for name, text in texts.items()}
    try:
        return model.model_validate(found).model_dump(exclude_defaults=True)
    except ValidationError as error:
        raise Refusal(f"{kind}: {'; '.join(problems_in_words(error, model))}") from error


def _split(kind: str, entry: str) -> tuple[str, str]:
    name, sign, text = (part.strip() for part in entry.partition("="))
    known = MODELS[kind].model_fields
    if not sign or name not in known:
        raise Refusal(f'"{entry.strip()}" must be FIELD=VALUE with one of {", ".join(known)}; such as {EXAMPLES[kind]}')
    return name, text


def _value(model: type[BaseModel], name: str, text: str, range_unit: str) -> Any:
    unit = field_facts(model.model_fields[name]).get("unit") or (range_unit if name in ("sn_range", "hysteresis") else "")
    if name in ("source", "programme", "channel"):
        return text
    try:
        if name == "exponents":
            return [units.parse(part.strip(), "-") for part in text.split(",")]
        return units.parse(text, unit or "-")
    except units.UnitError as error:
        raise Refusal(f"{name} = {text}: {error}") from error
