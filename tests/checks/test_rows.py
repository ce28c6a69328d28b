"""Each computed check: an edit breaks it and the finding says record, field, value and remedy; the remedy mends it."""

from __future__ import annotations

import pytest
from check_case import Case, Row
from check_rows import ROWS

from dossier.checks.base import Computed, check_texts

# 3.16 lists methods for a person and finds no fault itself; 6.1 needs signatures of five steps.
pytestmark = pytest.mark.usefixtures("remembered_runs")
OWN_TESTS = {"3.16": "test_confirmed.py", "6.1": "test_steps_closed.py"}
COMPUTED = [text.id for text in check_texts().values() if text.kind != "person"]


@pytest.mark.parametrize("row", ROWS, ids=[row.name for row in ROWS])
def test_an_edit_breaks_it_and_the_remedy_mends_it(case: Case, row: Row) -> None:
    row.before(case)
    before = case.check(row.check)
    assert told(before) == ("met", [])
    assert before.facts
    row.edit(case)
    after = case.check(row.check)
    assert after.state == row.state
    found = [finding for finding in after.findings if row.tells(finding)]
    assert found, told(after)
    assert any(row.words in finding.remedy for finding in found), found
    row.remedy(case)
    assert told(case.check(row.check)) == ("met", [])


def told(found: Computed) -> tuple[str, list[str]]:
    return found.state, [str(finding) for finding in found.findings]


@pytest.mark.parametrize("check", COMPUTED)
def test_without_data_it_is_open(nothing: Case, check: str) -> None:
    assert nothing.check(check).state == "open"


def test_every_computed_check_has_a_row() -> None:
    assert set(COMPUTED) <= {row.check for row in ROWS} | set(OWN_TESTS)


def test_findings_read_as_one_sentence(case: Case) -> None:
    """Record, field and value first, then what is wrong and what to do."""
    case["R-007"]["conditions"]["amplitude"] = ""
    case["idea"]["weighing"]["count"] = 2
    told = [str(finding) for check in ("1.1", "2.4") for finding in case.check(check).findings]
    assert "R-007.conditions.amplitude; is empty; state the amplitude of the cycles" in told
    assert "idea.weighing.count = 2; is below 3; weigh more reference parts" in told
