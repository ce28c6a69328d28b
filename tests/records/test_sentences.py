"""The exact sentences of refusals that people meet most."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
import small_project as small
from pydantic import ValidationError
from record_samples import samples

from dossier.records.design import Design
from dossier.records.evidence import EvidenceItem
from dossier.records.header import Header
from dossier.records.load import LoadCase
from dossier.records.material import Material
from dossier.records.problems import problems_in_words
from dossier.records.requirement import Requirement
from dossier.records.step import StepRecord


def told(model: Any, raw: dict[str, Any]) -> list[str]:
    with pytest.raises(ValidationError) as caught:
        model.model_validate(raw)
    return problems_in_words(caught.value, model)


def design(**layer: float) -> dict[str, Any]:
    raw = small.design("V1", "variant", None)
    raw["layer"] |= layer
    return raw


def test_two_fields_that_do_not_fit() -> None:
    assert told(Design, design(inner_radius=30.0, outer_radius=28.0)) == [
        "layer.outer_radius = 28.0 mm must exceed layer.inner_radius = 30.0 mm; enlarge it or reduce the ball"
    ]
    limit = {"kind": "range", "min": 5.0, "max": 4.0}
    assert told(Requirement, small.requirement("R-001", "force", "kN", limit)) == [
        "limit.max = 4.0 must exceed limit.min = 5.0; enlarge it or swap the two"
    ]


def test_one_field_beyond_its_limit() -> None:
    assert told(Design, design(polar_start=-1.0)) == [
        "layer.polar_start = -1.0 ° must be at least 0.0 °; correct the value"
    ]
    assert told(LoadCase, {"id": "L-1", "title": "Hot", "temperature": -300.0}) == [
        "temperature = -300.0 °C must exceed -273.15 °C; correct the value"
    ]


def test_the_form_of_an_id_a_date_a_time_a_unit() -> None:
    form = "must begin with a letter and go on with letters, digits, '.', '_' or '-', 40 characters at most; rename it"
    for bad in ("1R", "../x", "a/b", "R 1", "", "R" * 41, "R-1\n", "Ä-1"):
        assert told(LoadCase, {"id": bad, "title": "x"})[0].endswith(form)
    raw = small.requirement("R-001", "force", "kNm/h", {"kind": "max", "max": 1.0})
    assert told(Requirement, raw)[0].startswith('unit "kNm/h" not accepted; accepted: ')
    step = samples()["step"]
    step["concession"][0]["until"] = "31.12.2026"
    step["answer"][0]["on"] = "2026-02-30T10:00:00Z"
    assert told(StepRecord, step) == [
        "answer.0.on: 2026-02-30T10:00:00Z is not in the calendar (day is out of range for month); correct it",
        'concession.0.until = "31.12.2026" is no date; write it as 2027-03-31',
    ]


def test_a_date_without_quotes() -> None:
    raw = samples()["document"] | {"on": date(2026, 1, 10)}
    from dossier.records.evidence import Document

    assert told(Document, raw) == ['on = 2026-01-10 is a date without quotes; write it as "2026-01-10"']


def test_the_kind_that_decides_which_fields_follow() -> None:
    raw = small.design("V1", "variant", None)
    raw["carrier"]["kind"] = "sleeve"
    assert told(Design, raw) == ["carrier.kind = \"sleeve\" is none of 'rings', 'half_shells'; choose one of them"]
    del raw["carrier"]["kind"]
    assert told(Design, raw) == ["carrier.kind is missing; add it, it says which fields follow"]
    raw["carrier"] = {"kind": "half_shells", "material": "M-001", "outer_radius": 38.0, "half_width": -1.0, "gap": 2.0}
    assert told(Design, raw) == [
        "carrier.half_width = -1.0 mm must exceed 0.0 mm; correct the value",
        "carrier.gap is not a field of HalfShells, which has kind, material, outer_radius, half_width, parting_gap, "
        "closing; remove it or correct its spelling",
    ]


def test_people_and_their_roles() -> None:
    raw = samples()["project"]
    raw["people"] += [{"name": "A <b>", "roles": ["PE"]}, {"name": "Z", "roles": []}, {"name": "Y", "roles": ["XX"]}]
    found = told(Header, raw)
    assert found[0] == (
        'people.6.name = "A <b>" must be a name of 1 to 80 characters without < and > and without spaces around it; '
        "correct it"
    )
    assert found[1] == "people.7.roles has 0 entries, at least 1 needed; add them"
    assert found[2].startswith('people.8.roles.0 = "XX" is none of')
    raw = samples()["project"]
    raw["people"] += [dict(raw["people"][0])]
    assert told(Header, raw) == ['people lists "A. Berg" twice; keep one entry with all roles']


def test_bands_lie_around_their_value_and_are_physical() -> None:
    steel = {"id": "M-001", "title": "Steel", "kind": "steel"}
    assert told(Material, {**steel, "density": {"value": 7850.0, "low": 7900.0}}) == [
        "density.value = 7850.0 kg/m³ must lie between low = 7900.0 and high = 7850.0; correct one of them"
    ]
    assert told(Material, {**steel, "density": {"value": 0.0}}) == ["density = 0.0 kg/m³ must exceed 0; correct the value"]
    assert told(Material, {**steel, "poisson_ratio": {"value": 0.5}}) == [
        "poisson_ratio = 0.5 must be below 0.5; give shear_modulus and bulk_modulus for a nearly incompressible material"
    ]


def test_a_test_once_started_is_never_deleted_without_reason() -> None:
    raw = samples()["evidence"]
    raw["reason"] = ""
    assert told(EvidenceItem, raw) == ["state = aborted needs a reason; a started test is never deleted"]
    raw = samples()["evidence"]
    raw["done_on"] = "2026-01-01"
    assert told(EvidenceItem, raw) == [
        "done_on = 2026-01-01 lies before started_on = 2026-02-01; correct one"
    ]
