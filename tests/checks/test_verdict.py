"""The state of a requirement: the worst of its verifications, conceded only until the day, undecided never met."""

from __future__ import annotations

import itertools
from datetime import date
from typing import Any

import pytest

from dossier.checks.margin import Margin
from dossier.checks.verdict import ORDER, Support, support_of_calculation, verdict
from dossier.methods.freshness import Freshness
from dossier.records.calculation import Calculation
from dossier.records.requirement import Requirement
from dossier.records.step import Concession

TODAY = date(2026, 3, 2)


def requirement(*ways: str, unit: str = "kN", **limit: Any) -> Requirement:
    return Requirement(
        id="R-001", title="x", statement="x", quantity="force", unit=unit, verification=list(ways),
        limit=limit or {"kind": "max", "max": 50.0},
    )  # fmt: skip


def concession(until: str) -> Concession:
    return Concession(
        id="D-001", on_record="R-001", kind="concession after manufacture", reason="x", limit="5 parts", until=until,
        by="C. Roth", on="2026-01-01T10:00:00Z",
    )  # fmt: skip


@pytest.mark.parametrize("states", list(itertools.combinations_with_replacement(ORDER, 2)))
def test_the_worst_support_decides(states: tuple[str, str]) -> None:
    for pair in (states, states[::-1]):
        supports = [Support("C-001", "analysis", pair[0]), Support("E-001", "test", pair[1])]
        found = verdict(requirement("analysis", "test"), supports, None, TODAY)
        assert found.state == min(pair, key=ORDER.index)
        assert found.leading is not None and found.leading.state == found.state


def test_worst_first_and_undecided_is_not_met() -> None:
    assert ORDER == ("not met", "undecided", "outdated", "open", "conceded", "met")


@pytest.mark.parametrize("missing", ["analysis", "test"])
def test_a_way_without_support_leaves_it_open(missing: str) -> None:
    supports = [s for s in (Support("C-001", "analysis", "met"), Support("E-001", "test", "met")) if s.way != missing]
    found = verdict(requirement("analysis", "test"), supports, None, TODAY)
    assert (found.state, found.reason) == ("open", f"no {missing} yet")
    found = verdict(requirement("analysis", "test"), [], None, TODAY)
    assert (found.state, found.reason) == ("open", "no analysis and no test yet")


def test_a_missing_way_does_not_hide_what_is_not_met() -> None:
    found = verdict(requirement("analysis", "test"), [Support("C-001", "analysis", "not met")], None, TODAY)
    assert found.state == "not met"


def test_no_way_named_is_open_whatever_stands_beside() -> None:
    found = verdict(requirement(), [Support("C-001", "analysis", "met")], None, TODAY)
    assert (found.state, found.reason) == ("open", "no way of verification is named; fill its field verification")
    assert [support.record for support in found.beside] == ["C-001"]


def test_what_stands_beside_counts_for_nothing() -> None:
    supports = [Support("C-001", "analysis", "not met"), Support("E-001", "test", "met")]
    found = verdict(requirement("test"), supports, None, TODAY)
    assert (found.state, [s.record for s in found.supports]) == ("met", ["E-001"])


def test_among_equal_states_the_least_margin_leads() -> None:
    supports = [
        Support("C-001", "analysis", "met", margin=Margin(0.3)),
        Support("C-002", "analysis", "met", margin=Margin(0.1)),
        Support("C-003", "analysis", "met", margin=Margin(None)),
    ]
    found = verdict(requirement("analysis"), supports, None, TODAY)
    assert found.leading is not None and found.leading.record == "C-002" and found.margin == Margin(0.1)


CONCEDED = [
    ("not met", "2026-03-02", "conceded"),
    ("not met", "2026-03-01", "not met"),
    ("undecided", "2026-12-31", "conceded"),
    ("undecided", "2026-01-31", "undecided"),
    ("open", "2026-12-31", "open"),
    ("outdated", "2026-12-31", "outdated"),
    ("met", "2026-12-31", "met"),
]


@pytest.mark.parametrize(("state", "until", "expected"), CONCEDED)
def test_a_concession_covers_a_failure_until_its_day(state: str, until: str, expected: str) -> None:
    found = verdict(requirement("test"), [Support("E-001", "test", state)], concession(until), TODAY)
    assert found.state == expected
    assert (found.concession is not None) == (expected == "conceded")
    assert found.before_concession == (state if expected == "conceded" else "")


def calculation(value: dict[str, Any] | None, **result: Any) -> Calculation:
    stored = {
        "method": "pin.bending", "method_version": 1, "inputs": {}, "inputs_sha256": "0" * 64,
        "values": [value] if value else [], "computed_at": "2026-03-02T09:30:00Z", **result,
    }  # fmt: skip
    return Calculation.model_validate({"id": "C-001", "title": "x", "method": "pin.bending", "result": stored})


def supported(record: Calculation, fresh: Freshness | None = None, **limit: Any) -> Support:
    return support_of_calculation(requirement("analysis", **limit), record, "load", fresh or Freshness("current"))


def test_a_value_is_compared_in_the_requirements_unit_with_its_whole_band() -> None:
    found = supported(calculation({"name": "load", "value": 45000.0, "unit": "N", "low": 44000.0, "high": 48000.0}))
    assert (found.state, found.value, found.low, found.high) == ("met", 45.0, 44.0, 48.0)
    assert found.margin.value == pytest.approx(0.04, rel=1e-12)
    found = supported(calculation({"name": "load", "value": 45000.0, "unit": "N", "high": 52000.0}))
    assert (found.state, found.low, found.high) == ("undecided", 45.0, 52.0)


def test_a_band_that_does_not_hold_its_value_is_widened_to_it() -> None:
    found = supported(calculation({"name": "load", "value": 60000.0, "unit": "N", "low": 1.0, "high": 2.0}))
    assert (found.state, found.high) == ("undecided", 60.0)


SUPPORTS: list[tuple[str, Calculation, Freshness, str, str]] = [
    ("outdated", calculation({"name": "load", "value": 1.0, "unit": "N"}), Freshness("outdated"), "outdated", ""),
    ("newer method", calculation({"name": "load", "value": 1.0, "unit": "N"}), Freshness("newer method available"), "met", ""),
    ("failed", calculation(None, validity="failed", validity_notes=["bore too wide"]),
     Freshness("failed", problems=["bore too wide"]), "not met", "failed: bore too wide"),
    ("outside its validity",
     calculation({"name": "load", "value": 1.0, "unit": "N"}, validity="outside", validity_notes=["slim"]),
     Freshness("current"), "not met", "outside the method's validity: slim"),
    ("no such value", calculation({"name": "other", "value": 1.0, "unit": "N"}), Freshness("current"), "open",
     'gives no value "load"'),
    ("no number", calculation({"name": "load", "value": None, "unit": "N"}), Freshness("current"), "open",
     'gives no value "load"'),
    ("another dimension", calculation({"name": "load", "value": 1.0, "unit": "mm"}), Freshness("current"), "open",
     "load is in mm, the requirement in kN; link another value"),
    ("an unknown unit", calculation({"name": "load", "value": 1.0, "unit": "furlong"}), Freshness("current"), "open",
     "load is in furlong, the requirement in kN; link another value"),
    ("never run", Calculation.model_validate({"id": "C-001", "title": "x", "method": "pin.bending"}),
     Freshness("open"), "open", "was never run; run it"),
    ("never run for a reason", Calculation.model_validate({"id": "C-001", "title": "x", "method": "pin.bending"}),
     Freshness("open", problems=["force: has no value"]), "open", "force: has no value"),
]  # fmt: skip


@pytest.mark.parametrize(("record", "fresh", "state", "reason"), [r[1:] for r in SUPPORTS], ids=[r[0] for r in SUPPORTS])
def test_what_a_calculation_says(record: Calculation, fresh: Freshness, state: str, reason: str) -> None:
    found = supported(record, fresh)
    assert (found.state, found.reason) == (state, reason)


@pytest.mark.parametrize("limit", [{"kind": "target", "nominal": 5.0}, {"kind": "pass_fail", "criterion": "no crack"}])
def test_a_number_alone_does_not_decide_every_kind_of_limit(limit: dict[str, Any]) -> None:
    found = supported(calculation({"name": "load", "value": 1.0, "unit": "N"}), **limit)
    assert (found.state, found.reason) == ("open", "the limit's kind needs a person or a test")
