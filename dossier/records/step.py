"""Answers, remarks and concessions of one step."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from dossier.records.base import EMPTY, Day, Moment, Part, Record

STEPS: dict[str, str] = {
    "1": "Idea",
    "2": "Requirements",
    "3": "Design",
    "4": "Evidence",
    "5": "Cost",
    "6": "Release",
}


class Answer(Part):
    """A person's answer to a check."""

    check: str
    answer: Literal["met", "not met"]
    by: str = Field(min_length=1)
    on: Moment
    remark: str = Field(EMPTY)
    basis_sha256: str = Field(EMPTY, description="digest of what was computed when the person confirmed it")


class Concession(Part):
    """A deviation that a named person permits, with its limit."""

    id: str
    on_record: str = Field(min_length=1, description="requirement or check that is conceded")
    kind: Literal["deviation before manufacture", "concession after manufacture"]
    reason: str = Field(min_length=1)
    limit: str = Field(min_length=1, description="quantity or range the permission is limited to")
    until: Day
    by: str = Field(min_length=1)
    on: Moment
    document: str = Field(EMPTY, description="document that holds the customer's acceptance")
    findings: list[str] = Field(default_factory=list, description="findings of the check that it was given for")


class Remark(Part):
    """A remark on a record."""

    on_record: str
    text: str = Field(min_length=1)
    by: str
    on: Moment
    answered: str = EMPTY


class StepRecord(Record):
    """steps/<n-name>.toml; holds no state, states are computed."""

    step: Literal["1", "2", "3", "4", "5", "6"]
    answer: list[Answer] = Field(default_factory=list)
    concession: list[Concession] = Field(default_factory=list)
    note: list[Remark] = Field(default_factory=list)
