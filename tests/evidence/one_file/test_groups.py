"""Tables of two groups without a project: whose value is whose, and what is refused."""

import math

import pytest

from dossier.evidence import RefusedFile, evaluate_file
from dossier.evidence.equivalence import compare_ratio

REFERENCE = (55.2, 54.1, 56.3, 55.0, 54.9)
VARIANT = (54.8, 55.9, 53.7, 54.2, 55.1)


def _file(folder, text, name="groups.csv"):
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def _long(reference=REFERENCE, variant=VARIANT, names=("reference", "variant"), head="group;stiffness [kN/mm];batch"):
    rows = [f"{names[0]};{value};M1" for value in reference] + [f"{names[1]};{value};M1" for value in variant]
    return "\n".join([head, *rows]) + "\n"


def _ask(path, **given):
    return evaluate_file(path, kind="equivalence", **{"margin": 0.1, **given})


def test_ratio_and_interval_are_those_of_the_two_one_sided_tests(tmp_path):
    found = _ask(_file(tmp_path, _long()))
    expected = compare_ratio(VARIANT, REFERENCE, 0.9, 1.1, variant_batches=["M1"] * 5, reference_batches=["M1"] * 5)
    assert found["ratio_interval"] == pytest.approx((expected.low, expected.high), rel=1e-12)
    assert found["equivalent"] is True
    assert found["ratio"] == pytest.approx(math.prod(VARIANT) ** 0.2 / math.prod(REFERENCE) ** 0.2, rel=1e-12)
    assert found["warnings"] == []


@pytest.mark.parametrize(
    "names",
    [("REF", "V2"), ("original", "light"), ("Referenz", "Variante"), ("R", "V"), ("J-7600 series", "variant"), ("ref", "x")],
)
def test_the_reference_is_told_by_its_name(tmp_path, names):
    found = _ask(_file(tmp_path, _long(names=names)))
    assert found["ratio"] == pytest.approx(math.prod(VARIANT) ** 0.2 / math.prod(REFERENCE) ** 0.2, rel=1e-12)


def test_the_order_of_the_rows_does_not_matter(tmp_path):
    text = _long()
    head, *rows = text.strip().splitlines()
    turned = "\n".join([head, *reversed(rows)])
    assert _ask(_file(tmp_path, turned))["ratio_interval"] == pytest.approx(
        _ask(_file(tmp_path, text, "b.csv"))["ratio_interval"], rel=1e-12
    )


def test_one_column_for_each_group_with_unequal_counts(tmp_path):
    text = "no,reference [kN/mm],variant [kN/mm]\n1,55.2,54.8\n2,54.1,55.9\n3,56.3,53.7\n4,55.0,\n"
    found = _ask(_file(tmp_path, text))
    expected = compare_ratio((54.8, 55.9, 53.7), (55.2, 54.1, 56.3, 55.0))
    assert found["ratio_interval"] == pytest.approx((expected.low, expected.high), rel=1e-12)
    assert (found["variant_count"], found["reference_count"]) == (3, 4)
    assert any("batches are not recorded" in text for text in found["warnings"])


def test_all_quantities_must_pass(tmp_path):
    rows = [f"reference;{a};{b}" for a, b in zip(REFERENCE, (6.5, 6.6, 6.4, 6.5, 6.6), strict=True)]
    rows += [f"variant;{a};{b}" for a, b in zip(VARIANT, (4.5, 4.6, 4.4, 4.5, 4.6), strict=True)]
    found = _ask(_file(tmp_path, "\n".join(["group;radial;axial", *rows])))
    assert [one["equivalent"] for one in found["quantities"]] == [True, False]
    assert found["equivalent"] is False


def test_groups_of_other_batches_give_no_verdict_beyond_them(tmp_path):
    apart = _ask(_file(tmp_path, "\n".join(line.replace("M1", "M2") if line.startswith("variant") else line
                                           for line in _long().splitlines()), "apart.csv"))  # fmt: skip
    assert apart["equivalent"] is None
    assert any("these batches only" in text for text in apart["warnings"])


def test_an_interval_across_the_margin_does_not_show_equivalence(tmp_path):
    found = _ask(_file(tmp_path, _long(variant=tuple(0.91 * value for value in VARIANT))))
    assert found["equivalent"] is False
    assert found["quantities"][0]["verdict"] == "undecided"
    assert any("lies inside the interval" in text for text in found["warnings"])


def test_decimal_comma_and_a_row_of_units(tmp_path):
    text = "Gruppe;Steifigkeit;Charge\n;kN/mm;\nReferenz;55,2;M1\nReferenz;54,1;M1\nVariante;54,8;M1\nVariante;55,9;M1\n"
    found = _ask(_file(tmp_path, text))
    assert found["ratio"] == pytest.approx(math.sqrt(54.8 * 55.9 / (55.2 * 54.1)), rel=1e-12)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("group;value\nalpha;1.0\nbeta;2.0\n", "not told apart"),
        ("group;value\nreference;1.0\noriginal;2.0\n", "both read as reference"),
        ("group;value\nreference;abc\nvariant;abd\n", "no table"),
        ("group;value\nreference;1.0\nreference;1.1\nvariant;abc\n", 'line 4 column 2: "abc" is not a number'),
        ("group;value\nreference;1.0\nvariant;2.0\n", "at least"),
        ("group;value\nreference;-1.0\nreference;2.0\nvariant;2.0\nvariant;2.1\n", "above 0"),
        ("group;value\nreference;1.0;3\nvariant;2.0\n", "fields"),
        ("", "empty"),
        ("only words\nnothing else\n", "no table"),
    ],
)
def test_what_cannot_be_compared_is_refused_in_words(tmp_path, text, told):
    with pytest.raises(RefusedFile, match=told):
        _ask(_file(tmp_path, text))


@pytest.mark.parametrize("margin", [None, 0.0, 1.5, -0.1, (1.1, 0.9), (0.9, 0.95), (0.9, 1.0, 1.1), float("nan")])
def test_a_margin_that_is_none_is_refused(tmp_path, margin):
    with pytest.raises(RefusedFile, match="margin"):
        _ask(_file(tmp_path, _long()), margin=margin)


@pytest.mark.parametrize("kind", ["statics", "", None])
def test_an_unknown_kind_names_the_known_ones(tmp_path, kind):
    with pytest.raises(RefusedFile, match="load_history"):
        evaluate_file(_file(tmp_path, _long()), kind=kind)


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    for path in (tmp_path / "none.csv", tmp_path):
        with pytest.raises(RefusedFile, match="cannot be opened|is no file but a folder"):
            _ask(path)
