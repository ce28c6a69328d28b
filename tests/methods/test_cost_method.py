"""Piece cost as a method: one basis, bands, break-even in words, levers, learning, the record behind it."""

import copy
from pathlib import Path

import pytest

from dossier.economics.breakeven import capital_recovery
from dossier.methods.base import InputError, Value
from dossier.methods.links import resolve
from dossier.methods.registry import method_of
from dossier.records.cost import Cost
from dossier.store.project import project_from_documents


@pytest.fixture
def sheet(values_of):
    """A cost sheet whose variant is the reference part with dearer rings."""
    cost = copy.deepcopy(values_of("cost.piece")["cost"])
    cost["variant"] = copy.deepcopy(cost["reference"]) | {"mass": 1.44}
    cost["reference"]["mass"] = 1.94
    for side in (cost["reference"], cost["variant"]):
        for line in (*side["material"], *side["bought"], *side["step"], *side["one_off"]):
            line["uncertainty"] = 0.0
    return cost


@pytest.fixture
def compute(run, sheet):
    return lambda: run("cost.piece", {"cost": sheet})


def number(outcome, name):
    value = outcome.values[name]
    return value.value if isinstance(value, Value) else value


def test_the_same_sheet_on_both_sides_differs_in_nothing(compute, sheet):
    outcome = compute()
    assert number(outcome, "difference") == 0 and number(outcome, "change") == 0
    assert number(outcome, "investment") == 0
    assert number(outcome, "gain_mid") == pytest.approx(0.5 * sheet["worth"]["mid"])


def test_one_dearer_line_by_hand(compute, sheet):
    """1 EUR more on a ring bought twice, entering at the last step: overheads on it and nothing else."""
    sheet["variant"]["bought"][0]["price"] += 1.0
    last = sheet["variant"]["step"][-1].get("good_share", 1.0)
    assert number(compute(), "difference") == pytest.approx(2 * 1.05 / last * 1.1)


def test_lines_add_up_to_the_self_cost(compute):
    outcome = compute()
    names = ("material", "material_overhead", "process", "outside", "scrap", "tooling", "administration_sales")
    for side in ("reference", "variant"):
        total = sum(number(outcome, f"{side}_{name}") for name in (*names, "development"))
        assert total == pytest.approx(number(outcome, side), rel=1e-12)


def test_manufacturing_cost_leaves_development_out(compute, sheet):
    """Development counted per piece moves the self cost, not the manufacturing cost."""
    tests = next(item for item in sheet["variant"]["one_off"] if item["kind"] == "test")
    tests["amount"] += 96_000.0
    outcome = compute()
    assert number(outcome, "manufacturing_change") == 0
    assert number(outcome, "difference") == pytest.approx(1.0)


def test_a_line_of_both_sides_moves_both(compute, sheet):
    """The same bar on both sides at ± 10 %: its price moves both costs alike, and the difference not at all."""
    for side in ("reference", "variant"):
        sheet[side]["material"][0]["uncertainty"] = 0.1
    assert number(compute(), "difference") == 0 and not compute().values["difference"].contributions
    sheet["variant"]["material"][0]["name"] = "bar of another steel"
    causes = {line.cause for line in compute().values["difference"].contributions}
    assert causes == {"bar", "bar of another steel"}


def test_one_off_cost_of_the_variant_is_its_investment(compute, sheet):
    sheet["variant"]["one_off"][0]["amount"] += 50_000
    outcome = compute()
    assert number(outcome, "investment") == pytest.approx(50_000)
    assert number(outcome, "difference") == 0


def test_break_even_in_words_for_each_worth(compute, sheet):
    sheet["worth"] = {"low": 0.0, "mid": 2.0, "high": 4.0}
    sheet["variant"]["one_off"][0]["amount"] += 120_000
    told = [text for text in compute().warnings if text.startswith("worth ")]
    assert told == [
        "worth 0 EUR/kg: there is no break-even",
        "worth 2 EUR/kg: break-even at 120 000 pieces, 10 years",
        "worth 4 EUR/kg: break-even at 60 000 pieces, 5 years",
    ]


def test_present_value_by_the_recovery_factor(compute, sheet):
    """Yearly gain over the recovery factor, less the investment."""
    sheet["variant"]["one_off"][0]["amount"] += 50_000
    outcome = compute()
    yearly = number(outcome, "gain_high") * 12_000
    expected = yearly / capital_recovery(sheet["interest"], sheet["years"]) - 50_000
    assert number(outcome, "present_value_high") == pytest.approx(expected)


def test_worth_that_pays_the_piece(compute, sheet):
    sheet["variant"]["bought"][0]["price"] += 1.0
    outcome = compute()
    assert number(outcome, "worth_needed") * 0.5 == pytest.approx(number(outcome, "difference"))


def test_a_variant_that_is_not_lighter_is_outside_validity(compute, sheet):
    sheet["variant"]["mass"] = 2.0
    assert "variant.mass = 2 kg is not below reference.mass = 1.94 kg" in compute().outside[0]


def test_learning_lowers_time_not_material(compute, sheet):
    for step in sheet["variant"]["step"]:
        step["learning_rate"] = 0.9
    outcome = compute()
    assert number(outcome, "variant_process") < number(outcome, "reference_process")
    assert number(outcome, "variant_material") == number(outcome, "reference_material")


def test_learning_models_are_told_apart(compute, sheet):
    for step in sheet["variant"]["step"]:
        step["learning_rate"] = 0.9
    unit = number(compute(), "variant_process")
    sheet["learning_model"] = "cumulative_average"
    assert number(compute(), "variant_process") < unit


def test_levers_largest_first_and_their_names_kept(compute, sheet):
    sheet["variant"]["material"][0]["gross_mass"] += 0.2
    sheet["variant"]["bought"][0]["price"] += 1.0
    sheet["lever"] = [
        {"name": "re-melted bar", "line": "bar", "change": -0.2},
        {"name": "rings", "line": "rings", "change": 0.2},
    ]
    told = [text for text in compute().warnings if text.startswith("lever: ")]
    assert told[0].startswith("lever: rings (+20 %): +0.") and told[1].startswith("lever: re-melted bar (−20 %): −0.")


@pytest.mark.parametrize(
    ("name", "value"),
    [("currency", "CHF"), ("price_date", "2025-06-01"), ("annual_volume", 9000.0), ("plant", "works 2")],
)
def test_different_bases_are_not_compared(compute, sheet, name, value):
    sheet["variant"]["basis"] = sheet["variant"]["basis"] | {name: value}
    with pytest.raises(InputError, match=rf"variant\.basis\.{name} = .* must equal reference\.basis\.{name}"):
        compute()


def resolved(documents):
    project = project_from_documents(Path("."), documents)
    return resolve(project, project.get("C-011"), method_of("cost.piece"))


def test_the_sheet_of_the_demo_comes_through_its_link(documents):
    found = resolved(documents)
    assert found.problems == [] and found.sources == {"cost": "cost"}
    outcome = method_of("cost.piece").run(found.given)
    assert min(number(outcome, "variant"), number(outcome, "reference")) > 0


def test_words_of_the_sheet_outdate_nothing(documents):
    """Sources, remarks and validity dates are not read by the method."""
    before = resolved(documents).plain
    for line in documents["cost.toml"]["variant"]["step"]:
        line |= {"source": "another routing", "remark": "looked at again", "valid_until": "2027-01-01"}
    assert resolved(documents).plain == before
    documents["cost.toml"]["variant"]["step"][0]["cycle_time"] += 1.0
    assert resolved(documents).plain != before


def test_a_project_without_a_sheet_is_told_to_make_one(documents):
    del documents["cost.toml"]
    assert resolved(documents).problems == [
        "cost: cost.toml does not exist yet; record the cost of reference part and variant"
    ]


def test_every_field_the_method_reads_is_a_field_of_the_record():
    """A field renamed on one side only would silently read its default."""

    def compare(wanted, given, path):
        for name in wanted.model_fields:
            assert name in given.model_fields, f"{path}.{name}"
            inner, outer = (_part(model.model_fields[name].annotation) for model in (wanted, given))
            if inner is not None:
                compare(inner, outer, f"{path}.{name}")

    compare(method_of("cost.piece").input_model.model_fields["cost"].annotation, Cost, "cost")


def _part(annotation):
    from typing import get_args

    from pydantic import BaseModel

    found = [kind for kind in (annotation, *get_args(annotation)) if isinstance(kind, type)]
    return next((kind for kind in found if issubclass(kind, BaseModel)), None)
