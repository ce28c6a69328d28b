"""Rubber methods: golden examples, bands, the other relations named, points as they are typed, refusals, links."""

from pathlib import Path

import pytest

from dossier.actions.compute import compute_values
from dossier.actions.refusal import Refusal
from dossier.actions.run import run_calculations
from dossier.actions.typed import value_of
from dossier.mechanics.rubber import moduli_of_hardness
from dossier.methods.base import InputError
from dossier.methods.links import resolve
from dossier.methods.registry import method_of
from dossier.methods.rubber_fit import UniaxialInput
from dossier.records.calculation import Calculation
from dossier.records.fields import spot_at
from dossier.store.project import project_from_documents
from dossier.store.tomlfile import dump_document, parse_document

SIXTY = {"relation": "lindley", "hardness": "60 IRHD", "tolerance": 5}
GOLDEN = {
    "shear_modulus": 0.9390996, "youngs_modulus": 2.8172988, "c10": 0.4695498, "c20": -0.02336053, "c30": 0.003425264,
    "rms": 0.001631082, "largest_deviation": -0.01469891, "largest_at": 1.1, "stretch_low": 1.0, "stretch_high": 2.0,
    "points_fitted": 6.0, "least_slope": 0.9533997,
}  # fmt: skip
MEASURED = [[1.0, 0.0], [1.1, 0.26], [1.2, 0.47], [1.35, 0.73], [1.5, 0.94], [1.75, 1.22], [2.0, 1.46]]


@pytest.fixture
def moduli(run):
    return lambda **changes: run("rubber.moduli", {name: v for name, v in (SIXTY | changes).items() if v is not None})


@pytest.fixture
def fit(run):
    return lambda **changes: run("rubber.fit", {"points": MEASURED, "law": "yeoh"} | changes)


def ends(outcome, name):
    value = outcome.values[name]
    return value.low, value.value, value.high


def test_golden_example_of_the_table(moduli):
    """60 ± 5 IRHD: the rows 55, 60 and 65 of the table are band and value."""
    outcome = moduli()
    assert ends(outcome, "youngs_modulus") == pytest.approx((3.25, 4.45, 5.85), rel=1e-12)
    assert ends(outcome, "shear_modulus") == pytest.approx((0.81, 1.06, 1.37), rel=1e-12)
    assert ends(outcome, "bulk_modulus") == pytest.approx((1090, 1150, 1210), rel=1e-12)
    assert outcome.values["poisson_ratio"].value == pytest.approx((3 * 1150 - 2.12) / (6 * 1150 + 2.12), rel=1e-12)
    assert outcome.values["shear_modulus_in_use"] == outcome.values["shear_modulus"]


def test_golden_example_of_gent(moduli):
    """Shore A 70 ± 3 with a measured bulk modulus: G = 3 K E/(9 K − E)."""
    outcome = moduli(relation="gent", hardness=None, shore_hardness=70, tolerance=3, bulk_modulus="2 GPa")
    assert ends(outcome, "youngs_modulus") == pytest.approx((4.8240, 5.5205, 6.3718), abs=1e-4)
    assert outcome.values["shear_modulus"].value == pytest.approx(6000 * 5.520507 / (18000 - 5.520507), rel=1e-6)
    assert [line.cause for line in outcome.values["shear_modulus"].contributions] == ["tolerance of the hardness"]


def test_the_output_names_the_relation_and_what_the_others_give(moduli):
    said = moduli().warnings[0]
    assert said.startswith("E = 4.45 MPa by Lindley's table; ")
    assert "Gent's relation of 1958 3.61 MPa (−19 %)" in said and "Ruess's relation 5.88 MPa (+32 %)" in said
    alone = moduli(relation="gent", hardness=None, shore_hardness=78, tolerance=None, bulk_modulus=2000)
    assert "no other relation here covers this hardness" in alone.warnings[0]


def test_the_working_shows_the_other_relations_too(moduli):
    outcome = moduli()
    working = method_of("rubber.moduli").working(outcome.detail["case"].given, outcome)
    assert (working.values["E_G"], working.values["E_R"]) == pytest.approx((3.6051, 5.8844), abs=1e-4)
    assert "not checked against its text" in dict(working.facts)["table"]


def test_a_hardness_of_the_other_scale_widens_the_band(moduli):
    same = moduli(relation="gent", hardness=None, shore_hardness=60)
    other = moduli(relation="gent")
    causes = [line.cause for line in other.values["youngs_modulus"].contributions]
    assert causes == ["tolerance of the hardness", "IRHD read as Shore A"]
    assert other.values["youngs_modulus"].value == same.values["youngs_modulus"].value
    assert other.values["youngs_modulus"].high > same.values["youngs_modulus"].high
    shifted = moduli_of_hardness("gent", 62).youngs_modulus - moduli_of_hardness("gent", 60).youngs_modulus
    assert other.values["youngs_modulus"].contributions[1].plus == pytest.approx(shifted, rel=1e-12)


def test_scatter_and_factors_of_the_user_enter_value_and_band(moduli):
    outcome = moduli(
        relation_scatter="15 %", temperature_factor={"value": 0.9, "low": 0.85, "high": 0.95}, dynamic_factor=1.4, tolerance=None
    )
    assert outcome.values["shear_modulus"].low == pytest.approx(1.06 * 0.85, rel=1e-12)
    assert outcome.values["shear_modulus_in_use"].value == pytest.approx(1.06 * 0.9 * 1.4, rel=1e-12)
    low = 1.06 * 1.4 * (0.9 - (0.05**2 + (0.9 * 0.15) ** 2) ** 0.5)
    assert outcome.values["shear_modulus_in_use"].low == pytest.approx(low, rel=1e-9)
    assert not any("scatter" in words for words in outcome.warnings)


def test_what_the_band_lacks_is_said(moduli):
    bare = moduli(tolerance=None)
    assert ends(bare, "shear_modulus") == (1.06, 1.06, 1.06)
    assert any("hardness has no tolerance" in words for words in bare.warnings)
    assert any("lacks the scatter of compounds" in words for words in bare.warnings)
    assert not any("no tolerance" in words for words in moduli().warnings)


@pytest.mark.parametrize(("changes", "words"), [
    ({"hardness": None}, "hardness is missing; give hardness in IRHD or shore_hardness in Shore A"),
    ({"hardness": {"value": 60, "low": 57, "high": 63}}, "tolerance = 5 is given beside the band 57 to 63 of hardness; leave"),
    ({"hardness": {"value": 60, "low": 62, "high": 63}, "tolerance": None}, "hardness.value = 60 must lie between low = 62"),
    ({"hardness": 72}, "hardness = 77 IRHD at an end of its tolerance must lie from 30 to 75 IRHD for Lindley's table; take"),
    ({"relation": "ruess", "tolerance": None},
     "hardness = 60 IRHD with scale_difference = 2 must lie from 30 to 60 Shore A for Ruess's relation; take"),
    ({"dynamic_factor": 0}, "dynamic_factor = 0 must exceed 0"),
    ({"bulk_modulus": -1}, "bulk_modulus = -1 must exceed 0"),
])
def test_what_cannot_be_is_refused(moduli, changes, words):
    with pytest.raises((InputError, ValueError)) as caught:
        moduli(**changes)
    assert words in str(caught.value)


def test_golden_example_of_the_fit(fit):
    """Yeoh on seven typed points; the same by scipy.optimize.curve_fit in tests/mechanics."""
    outcome = fit()
    found = {name: value if isinstance(value, float) else value.value for name, value in outcome.values.items()}
    for name, value in GOLDEN.items():
        assert found[name] == pytest.approx(value, rel=1e-5), name
    band = outcome.values["shear_modulus"]
    assert (band.low, band.high) == pytest.approx((0.9282640, 0.9499352), rel=1e-5) and outcome.outside == []
    assert outcome.values["c01"].contributions == () and found["c01"] == 0


def test_the_working_shows_every_point_and_the_factors_that_count(fit, moduli):
    outcome = fit(law="neo_hookean", points=[[1.0, 0.0], [1.25, 0.61], [2.0, 1.75]])
    working = method_of("rubber.fit").working(UniaxialInput(points=[[1.25, 0.61]], law="neo_hookean"), outcome)
    facts = dict(working.facts)
    assert facts["points"] == "stretch: measured and fitted MPa; 1.000: 0 0; 1.250: 0.6100 0.6100; 2.000: 1.750 1.750"
    assert facts["deviation"] == "at most +0.00 % at stretch 1.250; root mean square 0 MPa over 3 points"
    assert facts["hardness"] == (
        "this E is that of 54 IRHD by Lindley's table, 55 Shore A by Gent's relation of 1958, 48 Shore A by Ruess's relation"
    )
    for factor, symbols in ((None, {"E", "K", "G", "ν"}), (1.4, {"E", "K", "G", "ν", "G_u"})):
        outcome = moduli(dynamic_factor=factor)
        working = method_of("rubber.moduli").working(outcome.detail["case"].given, outcome)
        assert {line.symbol for line in working.lines} == symbols | {"E_G", "E_R"}


def test_an_unstable_fit_is_no_proof(fit):
    points = [[1.1, 0.3], [1.3, 0.6], [1.6, 0.8], [2.0, 0.85], [2.4, 0.8], [2.8, 0.7]]
    outcome = fit(points=points, law="yeoh")
    assert len(outcome.outside) == 1
    assert "must exceed 0 MPa: the fitted curve falls inside its range; fit a narrower range or another law" in outcome.outside[0]


def test_points_outside_the_wished_range_are_left_out_and_said(fit):
    outcome = fit(law="neo_hookean", stretch_to=1.5)
    assert outcome.values["stretch_high"] == 1.5 and outcome.values["points_fitted"] == 4
    assert "2 points outside stretch_from and stretch_to left out" in outcome.warnings
    with pytest.raises(InputError, match=r"stretch_from = 1\.6 must be below stretch_to = 1\.5"):
        fit(stretch_from=1.6, stretch_to=1.5)


def test_what_the_points_do_not_show_is_said(fit):
    assert "the points are of tension alone: compression is not measured" in fit().warnings
    both = fit(points=[[0.7, -0.9], [0.85, -0.4], *MEASURED])
    assert not any("not measured" in words for words in both.warnings)
    falling = [[lam, 2 * (lam - lam**-2) * (0.6 - 0.2 / lam)] for lam in (1.1, 1.2, 1.4, 1.6)]
    fallen = fit(law="mooney_rivlin", points=falling)
    assert any("in equibiaxial loading the curve falls" in words for words in fallen.warnings)


def test_points_as_they_are_typed_in_a_record():
    """The text of the entry strip is read as pairs, kept by the file, changed one number at a time."""
    raw = {"id": "C-020", "title": "Fit", "method": "rubber.fit", "inputs": {"law": "neo_hookean"}}
    spot = spot_at(Calculation, raw, "inputs.points")
    raw["inputs"]["points"] = value_of(spot, "[[1.1, 0.26], [1.2, 0.47], [2, 1.4]]")
    kept = parse_document(dump_document(raw), "calculations/C-020.toml")
    assert kept["inputs"]["points"] == [[1.1, 0.26], [1.2, 0.47], [2, 1.4]]
    assert spot_at(Calculation, raw, "inputs.points.1.0").steps == ("inputs", "points", 1, 0)


def test_compute_tells_a_user_what_is_wrong():
    answer = compute_values("rubber.fit", ["points=[[1.1, 0.26], [1.2, 0.47], [2, 1.4]]", "law=neo_hookean"])
    assert answer.outcome.values["points_fitted"] == 3
    for given, words in (
        (["points=[[1.1, 0.26], [1.2]]", "law=neo_hookean"], "points.1 has 1 entries, at least 2 needed"),
        (["points=[[1.1, 0.26, 3]]", "law=neo_hookean"], "points.0 has 3 entries, at most 2 taken; take the others out"),
        (["points=[[1.1, 0.26]]", "law=ogden"], 'law = "ogden" is none of'),
        (["points=[]", "law=yeoh"], "points has 0 different stretches beside 1, at least 4 needed for yeoh"),
    ):
        with pytest.raises(Refusal) as caught:
            compute_values("rubber.fit", given)
        assert words in str(caught.value)
    with pytest.raises(Refusal, match="give a value in IRHD; for a reading in Shore A give shore_hardness instead"):
        compute_values("rubber.moduli", ["hardness=60 Shore A", "relation=gent"])


def test_the_usual_source_is_the_compound_and_a_layer_reads_the_result(documents):
    """Hardness and bulk modulus come from the layer's compound; a layer calculation reads G with its band."""
    documents["calculations/C-090.toml"] = {
        "id": "C-090", "title": "Moduli", "method": "rubber.moduli", "design": "V2", "inputs": {"relation": "lindley"},
    }  # fmt: skip
    documents["calculations/C-091.toml"] = {
        "id": "C-091", "title": "Layer", "method": "layer.stiffness", "design": "V2",
        "inputs": {"shear_modulus": {"record": "C-090", "field": "shear_modulus"}},
    }  # fmt: skip
    project = project_from_documents(Path("none"), documents)
    found = resolve(project, project.get("C-090"), method_of("rubber.moduli"))
    assert found.problems == []
    assert found.sources["hardness"].endswith(".hardness") and found.sources["bulk_modulus"].endswith(".bulk_modulus")
    change = run_calculations(project, ["C-090"], "M. Olsen")
    documents["calculations/C-090.toml"] = parse_document(change.files["calculations/C-090.toml"], "calculations/C-090.toml")
    project = project_from_documents(Path("none"), documents)
    stored = project.get("C-090").result.value("shear_modulus")
    assert stored.low < stored.value < stored.high
    read = resolve(project, project.get("C-091"), method_of("layer.stiffness"))
    assert read.plain["shear_modulus"] == {"value": stored.value, "low": stored.low, "high": stored.high, "source": ""}
