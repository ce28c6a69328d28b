"""cost.toml: what it accepts and how it refuses."""

import copy
import tomllib
from pathlib import Path

import pytest
from pydantic import ValidationError

from dossier.records.collections import collection_of_path
from dossier.records.cost import Cost
from dossier.records.problems import problems_in_words

SHEET = Path(__file__).parents[1] / "demo" / "records" / "axle-link" / "cost.toml"


@pytest.fixture
def sheet():
    return tomllib.loads(SHEET.read_text("utf-8"))


def refusal(document):
    with pytest.raises(ValidationError) as caught:
        Cost.model_validate(document)
    return " | ".join(problems_in_words(caught.value, Cost))


def test_the_file_of_a_project_is_this_record(sheet):
    assert collection_of_path("cost.toml").model is Cost
    assert Cost.model_validate(sheet).id == "cost"


def test_one_off_cost_counts_once(sheet):
    item = sheet["variant"]["one_off"][0]
    item |= {"name": "mould", "amount": 38_000.0, "per_piece": True, "once": True}
    assert "per_piece and once are both true, its 38000 EUR would count twice; keep one" in refusal(sheet)
    item |= {"per_piece": False, "once": False}
    assert "per_piece and once are both false, its 38000 EUR would count nowhere; set one" in refusal(sheet)


def test_names_are_unique_on_a_side(sheet):
    sheet["variant"]["step"].append(copy.deepcopy(sheet["variant"]["step"][0]))
    assert "names two lines of one side; give each line a name of its own" in refusal(sheet)


def test_items_enter_at_a_step_that_exists(sheet):
    sheet["variant"]["material"][0]["enters_at"] = "casting"
    assert '.enters_at = "casting" names no step; steps are ' in refusal(sheet)


def test_chips_weigh_less_than_the_gross_mass(sheet):
    sheet["variant"]["material"][0] |= {"gross_mass": 1.0, "chip_mass": 1.2}
    assert "chip_mass = 1.2 kg must be below gross_mass = 1.0 kg; give the gross mass" in refusal(sheet)


def test_worth_rises(sheet):
    sheet["worth"] |= {"low": 3.0, "mid": 2.0, "high": 4.0}
    assert "low = 3.0, mid = 2.0, high = 4.0 EUR/kg must rise; order them" in refusal(sheet)


def test_levers_name_a_line_or_the_volume(sheet):
    sheet["lever"] = [{"name": "price", "line": "titanium", "change": 0.2}]
    assert 'lever "price".line = "titanium" names no line' in refusal(sheet)
    sheet["lever"] = [{"name": "pieces", "line": "volume", "change": -0.3}]
    assert Cost.model_validate(sheet).lever[0].line == "volume"


def test_a_factor_lies_in_its_range(sheet):
    sheet["footprint"]["line"][0]["factor"] = {"value": 3.0, "low": 1.0, "high": 2.0}
    assert "value = 3.0 must lie between low = 1.0 and high = 2.0" in refusal(sheet)


def test_a_factor_has_source_and_year(sheet):
    del sheet["footprint"]["line"][0]["source"], sheet["footprint"]["line"][0]["year"]
    told = refusal(sheet)
    assert "source is missing" in told and "year is missing" in told


def test_every_line_has_origin_and_uncertainty(sheet):
    del sheet["reference"]["bought"][0]["origin"], sheet["reference"]["bought"][0]["uncertainty"]
    told = refusal(sheet)
    assert "origin is missing" in told and "uncertainty is missing" in told


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [("good_share", 0.0, "must exceed 0"), ("good_share", 1.2, "must be at most 1"), ("lot", 0.0, "must be at least 1")],
)
def test_limits_of_a_step(sheet, field, value, told):
    sheet["reference"]["step"][0][field] = value
    assert f"{field} = " in refusal(sheet) and told in refusal(sheet)
