"""Checks of what a project does not have: open, never met; conceded with a reason, until there is something to look at."""

from __future__ import annotations

import pytest
from check_case import NOW, Case

from dossier.actions.answer import concede
from dossier.checks.base import check_states
from dossier.store.tomlfile import parse_document


def no_life(case: Case) -> None:
    case.keep_requirements(r["id"] for r in case.requirements() if r["quantity"] != "life")


def no_comparison(case: Case) -> None:
    case.keep_requirements(r["id"] for r in case.requirements() if r["quantity"] != "stiffness_ratio")
    for path, document in case.documents.items():
        if path.startswith("evidence/"):
            document.pop("margin", None)
            document.pop("reference", None)
            document["serves"] = [s for s in document.get("serves", []) if s["value"] != "ratio"]


def state(case: Case, check: str) -> str:
    return check_states(case.view)[check].state


def conceded(case: Case, check: str) -> None:
    change = concede(case.view, check, "deviation before manufacture", "no such demand", "this part only", "2027-06-30",
                     "R. Hale", now=NOW)  # fmt: skip
    for path, data in change.files.items():
        case.documents[path] = parse_document(data, path)


@pytest.mark.parametrize(
    ("check", "take_out"), [("4.7", no_comparison), ("4.8", no_comparison), ("4.9", no_life)], ids=["4.7", "4.8", "4.9"]
)
def test_what_is_no_part_of_the_project_is_open_and_can_be_conceded_until_it_comes(case: Case, check, take_out) -> None:
    before = Case(case.documents, case.folder)
    take_out(case)
    found = check_states(case.view)[check]
    assert (found.state, found.concedable) == ("open", True)
    assert "concede this check with the reason" in found.findings[0].remedy
    conceded(case, check)
    assert state(case, check) == "conceded"
    steps = {path: document for path, document in case.documents.items() if path.startswith("steps/")}
    back = Case({**before.documents, **steps}, case.folder)
    assert state(back, check) == "met"
    for path, document in back.documents.items():
        if path.startswith("evidence/"):
            document.update(temperature=None, margin=None) if check == "4.9" else document.update(samples=[])
    assert state(back, check) not in ("met", "conceded")


def test_an_open_check_with_something_to_come_cannot_be_conceded(case: Case) -> None:
    case.drop("evidence/")
    assert not check_states(case.view)["4.9"].concedable
    conceded(case, "4.9")
    assert state(case, "4.9") == "open"
