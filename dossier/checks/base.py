"""Checks: their texts, the computed ones, and the state each has now."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cache
from importlib import import_module, resources
from typing import Any, Literal

from dossier.checks.view import View
from dossier.records.step import Answer, Concession
from dossier.store.digest import sha256_of_document

State = Literal["met", "not met", "open", "outdated", "conceded"]
_WORST_FIRST = ("not met", "outdated", "open", "met")


@dataclass(frozen=True)
class CheckText:
    """One check of the register: its number, step, wording and who answers it.

    kind "computed" is decided by records alone, "person" by a named person, "confirmed" is computed first and
    then confirmed by a person.
    """

    id: str
    step: str
    text: str
    kind: Literal["computed", "confirmed", "person"]
    role: str


@dataclass(frozen=True)
class Finding:
    """One reason why a check is not met, open or outdated: record, field, value found, remedy."""

    record: str
    field: str
    value: str
    remedy: str

    @property
    def found(self) -> str:
        """What was found where: "C-009.push_out_cold_least = 10.9 kN"."""
        place = f"{self.record}.{self.field}" if self.field else self.record
        return place + (f" = {self.value}" if self.value else "")

    def __str__(self) -> str:
        return f"{self.found}; {self.remedy}"


@dataclass
class Computed:
    """What the records say: state, reasons, and the facts that a reader may want to see.

    `basis` is what a person confirms, as plain data of the records; when it changes, the confirmation is
    outdated. It holds no wording of ours, so that an update of the tool outdates nothing.
    """

    state: State
    findings: list[Finding] = field(default_factory=list)
    facts: list[str] = field(default_factory=list)
    basis: dict[str, Any] = field(default_factory=dict)
    absent: bool = False

    @property
    def basis_sha256(self) -> str:
        """Digest of what a person confirms."""
        return sha256_of_document(self.basis)


@dataclass
class CheckState:
    """A check as it stands: computed part, answer of a person, concession."""

    check: CheckText
    state: State
    computed: Computed | None = None
    answer: Answer | None = None
    concession: Concession | None = None

    @property
    def findings(self) -> list[Finding]:
        """Reasons of the computed part."""
        return self.computed.findings if self.computed else []

    @property
    def concedable(self) -> bool:
        """Whether a person may concede it: it is not met, or what it looks at is no part of this project."""
        return self.state == "not met" or (self.state == "open" and self.computed is not None and self.computed.absent)


def verdict_of(
    findings: list[Finding], facts: list[str], *, data: bool, basis: dict[str, Any] | None = None
) -> Computed:
    """Not met if there is a finding, met if there is none; open when there was nothing to look at.

    Outdated when results that no longer follow from the records are all that stops it.
    """
    state: State = "not met" if findings else "met"
    if findings and all(finding.value == "outdated" for finding in findings):
        state = "outdated"
    return Computed(state if data else "open", findings, facts, basis or {})


def absent(record: str, what: str, remedy: str) -> Computed:
    """Open, as the project holds nothing that the check looks at: a person adds it, or concedes with the reason why not."""
    finding = Finding(record, what, "", f"{remedy}, or concede this check with the reason why none is needed")
    return Computed("open", [finding], absent=True)


ComputedCheck = Callable[[View], Computed]
_COMPUTED: dict[str, ComputedCheck] = {}
_MODULES = (
    "idea", "requirements", "requirement_set", "design", "design_inputs", "design_second", "design_parts", "design_section",
    "cost_sheet", "cost_results", "evidence_specimens", "evidence_shape", "evidence_equipment", "evidence_list",
    "evidence_results", "evidence_equivalence", "evidence_fatigue", "raw_files", "caution_numbers", "release", "release_samples",
    "release_conceded", "open_points",
)  # fmt: skip


def computed(check_id: str) -> Callable[[ComputedCheck], ComputedCheck]:
    """Register the function that computes a check."""

    def register(function: ComputedCheck) -> ComputedCheck:
        if check_id in _COMPUTED:
            raise ValueError(f"check {check_id} is computed twice")
        _COMPUTED[check_id] = function
        return function

    return register


@cache
def computed_checks() -> dict[str, ComputedCheck]:
    """All computed checks by id."""
    for name in _MODULES:
        import_module(f"dossier.checks.{name}")
    return dict(_COMPUTED)


@cache
def check_texts() -> dict[str, CheckText]:
    """The register of checks by id, in order."""
    raw = tomllib.loads(resources.files("dossier").joinpath("data/checks.toml").read_text("utf-8"))
    return {entry["id"]: CheckText(**entry) for entry in raw["check"]}


def check_states(view: View, steps: tuple[str, ...] = ("1", "2", "3", "4", "5", "6")) -> dict[str, CheckState]:
    """The state of every check of these steps now."""
    wanted = [text for text in check_texts().values() if text.step in steps]
    return {text.id: _known_state(view, text) for text in wanted}


def _known_state(view: View, text: CheckText) -> CheckState:
    """The state of a check, worked out once for a view, which never changes."""
    if text.id not in view.checks:
        view.checks[text.id] = _state_of(view, text)
    return view.checks[text.id]


def _state_of(view: View, text: CheckText) -> CheckState:
    part = computed_checks()[text.id](view) if text.kind != "person" else None
    step = view.project.step(text.step)
    answers = [answer for answer in step.answer if answer.check == text.id] if step else []
    answer = sorted(answers, key=lambda given: given.on)[-1] if answers else None
    if part and answer and step and text.kind == "confirmed" and answer.basis_sha256 != part.basis_sha256:
        part = replace(part, findings=[*part.findings, _confirmed_before(step.id, answer)])
    found = CheckState(text, _worst(text, part, answer), part, answer)
    concession = view.concessions.get(text.id)
    if concession and found.concedable and concession.until >= view.today.isoformat():
        beyond = _not_conceded(part, concession)
        if not beyond:
            found.state, found.concession = "conceded", concession
        elif part:
            found.computed = replace(part, findings=beyond)
    return found


def _not_conceded(part: Computed | None, concession: Concession) -> list[Finding]:
    """Findings that the concession was not given for."""
    findings = part.findings if part else []
    return [
        replace(finding, remedy=f"{finding.remedy} ({concession.id} was given before this was found)")
        for finding in findings
        if finding.found not in concession.findings
    ]


def _worst(text: CheckText, part: Computed | None, answer: Answer | None) -> State:
    answered: State = answer.answer if answer else "open"
    if part is None:
        return answered
    if text.kind == "computed":
        return part.state
    if answer and answer.basis_sha256 != part.basis_sha256:
        answered = "outdated"
    return min((part.state, answered), key=_WORST_FIRST.index)


def _confirmed_before(record: str, answer: Answer) -> Finding:
    remedy = "was given to other facts than today's; read them and answer again"
    return Finding(record, f"answer {answer.check}", f"{answer.answer} by {answer.by}, {answer.on[:10]}", remedy)
