"""Plan a test, inspection or analysis: an evidence item with its parts, its margin and what it serves."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dossier.actions.edit import add_record, next_id
from dossier.actions.refusal import Refusal
from dossier.methods.evidence_links import WITH_FILES
from dossier.records.design import Design
from dossier.records.evidence import Equipment, SchemeRecord
from dossier.records.requirement import Requirement
from dossier.store.change import Change
from dossier.store.project import Project

KIND = "evidence"


def plan_test(
    project: Project, raw: dict[str, Any], serves: Sequence[str], author: str, margin: Sequence[float] = (),
    agreed: dict[str, str] | None = None,
) -> Change:  # fmt: skip
    """Add a planned item from its stored fields. `serves` are REQUIREMENT=VALUE ("R-007=variant") or a requirement
    alone, which takes the variant's value.

    A `margin` (low, high) of the ratio, or (low,) for a least ratio, needs who agreed it and when. Raises Refusal for
    records that are not there, and for more parts than `planned_…` can be of a design that is not named.
    """
    planned = {name: value for name, value in raw.items() if value not in ("", [], None)}
    planned = {"id": planned.pop("id", "") or next_id(project, KIND), **planned, "state": "planned"}
    if serves:
        planned["serves"] = [_served(project, entry) for entry in serves]
    if margin:
        planned["margin"] = _margin(margin, agreed or {})
    _refuse_missing(project, planned)
    for group in ("variant", "reference"):
        if planned.get(f"planned_{group}") and not planned.get(group):
            raise Refusal(f"planned_{group} = {planned[f'planned_{group}']} needs the design; name it as {group}")
    if planned.get("quantity") in WITH_FILES and not planned.get("variant"):
        raise Refusal(f"quantity = {planned['quantity']} is measured on a part; name its design as variant")
    return add_record(project, KIND, planned, author, message=f"{planned['id']} planned: {planned.get('title', '')}")


def _served(project: Project, entry: str) -> dict[str, str]:
    name, _, value = entry.partition("=")
    if not isinstance(project.find(name), Requirement):
        raise Refusal(f"serves = {name} is no requirement of this project; correct the id")
    return {"requirement": name, "value": value or "variant"}


def _margin(margin: Sequence[float], agreed: dict[str, str]) -> dict[str, Any]:
    if not agreed.get("by") or not agreed.get("on"):
        raise Refusal("a margin is agreed before the test; say by whom and on which day")
    return {**dict(zip(("low", "high"), margin, strict=False)), "agreed": {name: text for name, text in agreed.items() if text}}


def _refuse_missing(project: Project, planned: dict[str, Any]) -> None:
    wanted: list[tuple[str, str, type]] = [
        (group, planned[group], Design) for group in ("variant", "reference") if planned.get(group)
    ]
    wanted += [("equipment", name, Equipment) for name in planned.get("equipment", [])]
    wanted += [("scheme", planned["scheme"], SchemeRecord)] if planned.get("scheme") else []
    for field, name, kind in wanted:
        if not isinstance(project.find(name), kind):
            known = ", ".join(sorted(record.id for record in project.of_kind(kind))) or "none yet"
            raise Refusal(f"{field} = {name} is not among the records of the project ({known}); correct it or add it first")
