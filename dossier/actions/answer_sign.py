"""Answering a sign of trouble in a measured curve: what was looked at, and why the result stands."""

from __future__ import annotations

import copy

from dossier.actions.refusal import Refusal
from dossier.actions.shape import replaced
from dossier.actions.told import in_words
from dossier.methods.evidence_signs import kept_signs
from dossier.records.evidence import EvidenceItem
from dossier.store.change import Change
from dossier.store.project import Project


def answer_sign(project: Project, item_id: str, specimen: str, kind: str, reason: str, person: str, on: str) -> Change:
    """Record what a person found of a sign; it holds for this sign at its row, and the sign stays visible.

    Raises Refusal without a reason and for a sign that the item's result does not show.
    """
    if not reason.strip():
        raise Refusal("a sign is answered with a reason only; say what was looked at and why the result stands")
    item = project.get(item_id)
    if not isinstance(item, EvidenceItem):
        raise Refusal(f"{item_id} is no evidence item; name one such as E-001")
    kept = kept_signs(item)
    sign = next((sign for sign in kept if (sign.specimen, sign.kind) == (specimen, kind)), None)
    if sign is None:
        told = ", ".join(f"{sign.specimen} {sign.kind}" for sign in kept) or "none"
        raise Refusal(f"{item_id} shows no sign of {kind} in {specimen}; its signs: {told}")
    raw = copy.deepcopy(project.raw[item_id])
    others = [a for a in raw.get("sign_answers", []) if (a["specimen"], a["sign"]) != (specimen, kind)]
    answer = {"specimen": specimen, "sign": kind, "row": sign.row, "reason": reason.strip(), "by": person, "on": on}
    raw["sign_answers"] = [*others, answer]
    title = f"{item_id} sign of {sign.title} in {specimen} answered: {in_words(reason)}"
    return Change(title, person, replaced(project, {item_id: raw}))
