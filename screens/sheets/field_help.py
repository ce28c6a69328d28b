"""Help about the fields of a record: name, unit, what may stand there, and what stands there now."""

from __future__ import annotations

from typing import Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from dossier.actions.told import in_words
from dossier.records.base import field_facts
from dossier.records.fields import NoField, options, spot_at
from screens.paint import LineLike, Piece, line
from screens.session import Session


def record_fields(session: Session, record_id: str) -> list[LineLike]:
    """One line for each field of the record, with its description below where it has one."""
    project = session.opened.project
    record = project.find(record_id)
    if record is None:
        return []
    raw = project.raw[record_id]
    lines: list[LineLike] = [line(Piece(f" fields of {record_id}, {project.kinds[record_id]}", "heading"))]
    for name, info in type(record).model_fields.items():
        unit = _unit(type(record), raw, name)
        told = "  ".join(part for part in (in_words(raw.get(name)), unit) if part)
        lines.append(line(Piece(f"   {name:<18}", "key"), told))
        for text in _about(info):
            lines.append(line(Piece(f"   {'':<18}", "quiet"), Piece(text, "quiet")))
    return lines


def _unit(model: type, raw: dict[str, Any], name: str) -> str:
    try:
        unit = spot_at(model, raw, name).unit
    except NoField:
        return ""
    return "" if unit in ("", "-") else f"[in {unit}]"


def _about(info: FieldInfo) -> list[str]:
    symbol = field_facts(info).get("symbol", "")
    words = [str(w) for choice in options(info.annotation) if get_origin(choice) is Literal for w in get_args(choice)]
    told = [info.description] if info.description else []
    found = [(word, getattr(bound, key, None)) for bound in info.metadata for key, word in _BOUNDS.items()]
    limits = [f"{word} {limit}" for word, limit in found if limit is not None]
    if symbol:
        told.append(f"symbol {symbol}")
    if limits:
        told.append("limits: " + ", ".join(limits))
    if words and words != [""]:
        told.append("one of " + ", ".join(filter(None, words)))
    if info.is_required():
        told.append("needed")
    return told


_BOUNDS = {"gt": "more than", "ge": "at least", "lt": "less than", "le": "at most"}
