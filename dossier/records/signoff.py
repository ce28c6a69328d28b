"""Sign-offs: the exact statement a person put their key to, and what it covers."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from dossier.records.base import EMPTY, Moment, Part, Record
from dossier.records.header import Role

Digest = str
DECISIONS = ("released", "sent back", "withdrawn")


class Before(Part):
    """The sign-off before this one, so that none can be taken out of the chain unnoticed."""

    id: str
    sha256: Digest = Field(pattern=r"^[0-9a-f]{64}$")


class SignOff(Record):
    """signoffs/<id>.json: canonical JSON; its raw Ed25519 signature lies beside it as <id>.sig."""

    step: Literal["1", "2", "3", "4", "5", "6"]
    decision: Literal["released", "sent back", "withdrawn"]
    statement: str = Field(min_length=1)
    person: str = Field(min_length=1)
    role: Role
    key_fingerprint: Digest = Field(pattern=r"^[0-9a-f]{64}$")
    signed_at: Moment
    history_head: str = EMPTY
    before: Before | None = None
    withdraws: str = Field(EMPTY, description="id of the sign-off, or letter of the revision, that is withdrawn")
    own_records: list[str] = Field(default_factory=list, description="covered records the signer is an author of")
    records: dict[str, Digest] = Field(default_factory=dict)
    files: dict[str, Digest] = Field(default_factory=dict)
