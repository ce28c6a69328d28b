"""Settings of a reading scheme from typed texts: of static curves in words, of other records as FIELD=VALUE entries."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from dossier import units
from dossier.actions.refusal import Refusal
from dossier.records.base import field_facts
from dossier.records.problems import problems_in_words
from dossier.records.reading_settings import (
    DurabilityReading,
    DynamicReading,
    LoadHistoryReading,
    PressReading,
    Stiffness,
    Zero,
)

MODELS: dict[str, type[BaseModel]] = {
    "dynamic": DynamicReading, "durability": DurabilityReading, "load_history": LoadHistoryReading, "press": PressReading,
}  # fmt: skip
RANGES = {"force": "N", "torque": "N·mm", "displacement": "mm", "angle": "°"}
EXAMPLES = {
    "dynamic": "frequency=10 Hz; amplitude=0.2 mm; moving_mass=5 kg",
    "durability": "loss=20 %; reference_cycles=1000; temperature_factor=-0.004",
    "load_history": "sn_range=40 kN; sn_cycles=1e5; exponents=5, 3; programme=L-07",
    "press": "press_length=38 mm; window=10 .. 20 mm: 5 .. 20 kN",
}
WINDOW, WINDOW_EXAMPLE = "window", "10 .. 20 mm: 5 .. 20 kN"
WINDOW_WORDS = f"{WINDOW} ({WINDOW_EXAMPLE}, of the forces one may be missing; once for each monitoring window)"

STATIC_EXAMPLE = "2 kN .. 10 kN; 4"
STATIC_MORE = (
    "Behind a semicolon too: 4-6 the mean of cycles 4 to 6; least squares; tangent at 5 kN; zero loop (travel from the middle "
    "of the loop); zero none (as recorded). Else: cycle 4, secant, zero at the first rows."
)


def settings_known(kind: str) -> str:
    """The fields of a kind in one sentence: "Known: press_length; window (10 .. 20 mm: 5 .. 20 kN, once for each window …)"."""
    told = [WINDOW_WORDS if name == "windows" else name for name in MODELS[kind].model_fields]
    return f"Known: {', '.join(told)}."


def parsed_settings(kind: str, entries: Sequence[str]) -> dict[str, Any]:
    """The settings as a record keeps them. Raises Refusal naming field, value and what is expected."""
    if kind not in MODELS:
        raise Refusal(f"settings of {kind} are not known; choose one of {', '.join(MODELS)}")
    pairs = [_split(kind, entry) for entry in entries if entry.strip()]
    model, texts = MODELS[kind], {name: text for name, text in pairs if name != WINDOW}
    channel = texts.get("channel", "force")
    windows = [_window(text) for name, text in pairs if name == WINDOW]
    found: dict[str, Any] = {"windows": windows} if windows else {}
    found |= {name: _value(model, name, text, RANGES.get(channel, "N")) for name, text in texts.items()}
    try:
        return model.model_validate(found).model_dump(exclude_defaults=True)
    except ValidationError as error:
        raise Refusal(f"{kind}: {'; '.join(problems_in_words(error, model))}") from error


def static_fields(rotational: bool, texts: Mapping[str, str]) -> dict[str, Any]:
    """Cycles, kind of stiffness and zero of a static scheme as a record keeps them, from their texts: `cycle` ("4", or "4-6" for
    the mean of cycles), `stiffness`, `tangent_at` (a load with its unit), `zero`. The usual is left out. Raises Refusal.
    """
    first, sign, last = (part.strip() for part in texts.get("cycle", "4").partition("-"))
    if not first.isdigit() or (sign and not last.isdigit()):
        raise Refusal(f'cycle = "{texts["cycle"]}" must be one number or two, such as 4 or 4-6 for the mean of cycles 4 to 6')
    found: dict[str, Any] = {"cycle": int(first)}
    if sign:
        found["last_cycle"] = int(last)
    if texts.get("tangent_at"):
        try:
            found["tangent_at"] = units.parse(texts["tangent_at"], "N·mm" if rotational else "N")
        except units.UnitError as error:
            raise Refusal(f"tangent at: {error}") from error
    stiffness = texts.get("stiffness") or ("tangent" if "tangent_at" in found else "secant")
    zero = texts.get("zero") or "start"
    for name, value, known in (("stiffness", stiffness, get_args(Stiffness)), ("zero", zero, get_args(Zero))):
        if value not in known:
            raise Refusal(f'{name} = "{value}" must be one of {", ".join(known)}')
    return found | {name: value for name, value in (("stiffness", stiffness), ("zero", zero)) if value not in ("secant", "start")}


def typed_static(text: str) -> tuple[str, str, dict[str, str]]:
    """Both ends of the range and the texts `static_fields` takes, from "low .. high; cycle; …" as one types it. Raises Refusal.

    Behind the range in any order: "4" or "4-6", "least squares", "tangent at 5 kN", "zero loop", "zero none".
    """
    ends, *further = (part.strip() for part in text.split(";"))
    low, sign, high = (part.strip() for part in ends.partition(".."))
    if not sign:
        raise Refusal(f'range = "{text}": write low .. high; cycle, for example {STATIC_EXAMPLE}')
    texts: dict[str, str] = {}
    for part in filter(None, further):
        word, _, rest = part.partition(" ")
        if word == "zero":
            texts["zero"] = rest.strip()
        elif word == "tangent":
            texts |= {"stiffness": "tangent", "tangent_at": rest.strip().removeprefix("at").strip()}
        elif part[0].isdigit():
            texts["cycle"] = part
        else:
            texts["stiffness"] = part
    return low, high, texts


def _split(kind: str, entry: str) -> tuple[str, str]:
    name, sign, text = (part.strip() for part in entry.partition("="))
    known = [WINDOW if field == "windows" else field for field in MODELS[kind].model_fields]
    if not sign or name not in known:
        raise Refusal(f'"{entry.strip()}" must be FIELD=VALUE with one of {", ".join(known)}; such as {EXAMPLES[kind]}')
    return name, text


def _window(text: str) -> dict[str, float]:
    """A monitoring window from "85 .. 89 mm: 20 .. 31 kN"; of the forces one end may be missing. Raises Refusal."""
    travels, sign, forces = text.partition(":")
    first, last = _ends(text, travels, "mm")
    if not sign or first is None or last is None:
        raise Refusal(f'window = "{text}" must be travels: forces, such as {WINDOW_EXAMPLE}')
    low, high = _ends(text, forces, "N")
    found = {"travel_low": first, "travel_high": last, "force_low": low, "force_high": high}
    return {name: value for name, value in found.items() if value is not None}


def _ends(window: str, text: str, unit: str) -> tuple[float | None, float | None]:
    """Both ends of "20 .. 31 kN", None for one that is missing; a unit behind the upper end holds for both."""
    low, sign, high = (part.strip() for part in text.partition(".."))
    behind = high.lstrip("+-−.0123456789 ")
    low += f" {behind}" if low and low[-1].isdigit() else ""
    if not sign or not (low or high):
        raise Refusal(f'window = "{window}": "{text.strip()}" must be low .. high, such as {WINDOW_EXAMPLE}')
    if any(end and end[-1].isdigit() for end in (low, high)):
        raise Refusal(f'window = "{window}": "{text.strip()}" needs its unit, such as {WINDOW_EXAMPLE}')
    try:
        return tuple(units.parse(end, unit) if end else None for end in (low, high))  # type: ignore[return-value]
    except units.UnitError as error:
        raise Refusal(f'window = "{window}": {error}') from error


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
