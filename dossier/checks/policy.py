"""Who signs which step and what a sign-off covers: data/policy.toml."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib import resources

from dossier.methods.registry import all_methods
from dossier.records.calculation import Calculation
from dossier.store.project import Project


@dataclass(frozen=True)
class StepPolicy:
    """Roles that must sign a step and kinds of records their sign-off covers."""

    signs: tuple[str, ...]
    covers: tuple[str, ...]


@cache
def _raw() -> dict:
    return tomllib.loads(resources.files("dossier").joinpath("data/policy.toml").read_text("utf-8"))


@cache
def step_policy(step: str) -> StepPolicy:
    """The policy of a step."""
    entry = _raw()["step"][step]
    return StepPolicy(tuple(entry["signs"]), tuple(entry["covers"]))


def reviewing_role() -> str:
    """The role that reviews each step and wrote none of it."""
    return _raw()["roles"]["reviews"]


def releasing_role() -> str:
    """The role that releases the whole and signs the frozen document."""
    return _raw()["roles"]["releases"]


def may_sign_own(role: str) -> bool:
    """Whether a role may sign for records the person wrote."""
    return bool(_raw()["own_work"].get(role, False))


def authored_places(project: Project, records: Iterable[str]) -> dict[str, str]:
    """{id: path} of the records that have authors: answers and concessions of a step are by those who sign them."""
    return {
        record_id: project.places[record_id].path
        for record_id in records
        if record_id in project.places and project.kinds[record_id] != "step"
    }


def step_of_calculation(calculation: Calculation) -> str:
    """The step of its method; 3 for a method that is not known here."""
    method = all_methods().get(calculation.method)
    return method.step if method else "3"


def covered_records(project: Project, step: str) -> dict[str, str]:
    """Records a sign-off of this step covers, id → SHA-256 of the canonical JSON of the stored fields.

    A calculation belongs to the step of its method. The step's own answers and concessions belong to it.
    """
    covers = step_policy(step).covers
    found = {}
    for record_id, kind in project.kinds.items():
        record = project.records[record_id]
        if isinstance(record, Calculation):
            inside = step_of_calculation(record) == step
        elif kind == "step":
            inside = getattr(record, "step", "") == step
        else:
            inside = kind in covers
        if inside:
            found[record_id] = project.sha256(record_id)
    return dict(sorted(found.items()))
