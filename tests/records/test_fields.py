"""Where a dotted path leads in a record, and the unit of the number there."""

from __future__ import annotations

from typing import Any

import pytest
import small_project as small
from hypothesis import given, settings
from hypothesis import strategies as st
from record_samples import samples

from dossier.records.calculation import Calculation
from dossier.records.collections import COLLECTIONS
from dossier.records.fields import NoField, spot_at

MODELS = {collection.kind: collection.model for collection in COLLECTIONS}

UNITS = [
    ("design", "layer.outer_radius", ("layer", "outer_radius"), "mm"),
    ("design", "pin.bores.0.diameter", ("pin", "bores", 0, "diameter"), "mm"),
    ("design", "tolerances.layer.outer_radius.upper", ("tolerances", "layer.outer_radius", "upper"), "mm"),
    ("design", "tolerances.layer.polar_end.lower", ("tolerances", "layer.polar_end", "lower"), "°"),
    ("design", "tolerances.layer.polar_start.lower", ("tolerances", "layer.polar_start", "lower"), "°"),
    ("design", "tolerances.pin.bores[0].diameter.upper", ("tolerances", "pin.bores[0].diameter", "upper"), "mm"),
    ("design", "rest.1.mass", ("rest", 1, "mass"), "kg"),
    ("design", "carrier.half_width", ("carrier", "half_width"), "mm"),
    ("design", "core.kind", ("core", "kind"), ""),
    ("material", "density.value", ("density", "value"), "kg/m³"),
    ("material", "expansion.low", ("expansion", "low"), "1/K"),
    ("material", "density.source", ("density", "source"), ""),
    ("requirement", "limit.max", ("limit", "max"), "kN"),
    ("requirement", "sample_size", ("sample_size",), ""),
    ("assumption", "high", ("high",), "-"),
    ("equipment", "channel.0.low", ("channel", 0, "low"), "kN"),
    ("equipment", "channel.0.uncertainty", ("channel", 0, "uncertainty"), "-"),
    ("evidence", "samples.0.value", ("samples", 0, "value"), "kN"),
    ("evidence", "margin.low", ("margin", "low"), "-"),
    ("evidence", "result.values.0.value", ("result", "values", 0, "value"), "kg"),
    ("evidence", "temperature", ("temperature",), "°C"),
    ("cost", "footprint.use.distance.high", ("footprint", "use", "distance", "high"), "km"),
    ("cost", "variant.step.1.machine_rate", ("variant", "step", 1, "machine_rate"), "EUR/h"),
    ("caution", "numbers.limit.upper", ("numbers", "limit.upper"), ""),
    ("calculation", "inputs.force.record", ("inputs", "force", "record"), ""),
    ("calculation", "result.values.0.lines.0.plus", ("result", "values", 0, "lines", 0, "plus"), "kg"),
    ("idea", "concept.0.mass", ("concept", 0, "mass"), "kg"),
]


@pytest.mark.parametrize(("kind", "path", "steps", "unit"), UNITS, ids=[f"{row[0]}:{row[1]}" for row in UNITS])
def test_steps_and_unit(kind: str, path: str, steps: tuple, unit: str) -> None:
    spot = spot_at(MODELS[kind], samples()[kind], path)
    assert (spot.steps, spot.unit, spot.name) == (steps, unit, path)


REFUSED = [
    ("design", "layer.outer_radus", "layer.outer_radus is not a field of Layer; did you mean outer_radius?"),
    ("design", "carrier.parting_gap", "carrier.parting_gap is not a field of Rings; its fields are kind, material"),
    ("design", "pin.bores.2.diameter", "pin.bores has 1 entries, counted from 0; 2 names none of them"),
    ("design", "pin.bores.-1.diameter", "pin.bores has 1 entries, counted from 0; -1 names none of them"),
    ("design", "pin.bores.²", "pin.bores has 1 entries, counted from 0; ² names none of them"),
    ("design", "layer.outer_radius.x", "layer.outer_radius holds a single value; x leads no further"),
    ("design", "tolerances.layer.outer_radius.middle", "middle is not a field of Tolerance"),
    ("load case", "", " is not a field of LoadCase; its fields are id, remark, title"),
    ("load case", "__class__", "__class__ is not a field of LoadCase"),
    ("load case", "model_fields", "model_fields is not a field of LoadCase"),
]


@pytest.mark.parametrize(("kind", "path", "words"), REFUSED, ids=[row[1] for row in REFUSED])
def test_a_path_that_leads_nowhere(kind: str, path: str, words: str) -> None:
    with pytest.raises(NoField) as caught:
        spot_at(MODELS[kind], samples()[kind], path)
    assert words in str(caught.value)


def test_the_kind_stored_decides_which_fields_there_are() -> None:
    raw = small.design("V1", "variant", None)
    raw["carrier"] = {"kind": "half_shells"}
    assert spot_at(MODELS["design"], raw, "carrier.parting_gap").unit == "mm"
    with pytest.raises(NoField, match="travel is not a field of HalfShells"):
        spot_at(MODELS["design"], raw, "carrier.travel")


def test_an_input_of_free_form_is_entered_by_its_own_tables() -> None:
    raw = {"inputs": {"bores": [{"diameter": 1.0}], "a.b": {"c": 1}}}
    assert spot_at(Calculation, raw, "inputs.bores.0.diameter").steps == ("inputs", "bores", 0, "diameter")
    assert spot_at(Calculation, raw, "inputs.a.b.c").steps == ("inputs", "a.b", "c")
    assert spot_at(Calculation, raw, "inputs.new").steps == ("inputs", "new")


@given(path=st.text(alphabet="abcdeilmnoprstuy_.0129[]-", max_size=40), kind=st.sampled_from(sorted(MODELS)))
@settings(max_examples=300, deadline=None)
def test_no_path_breaks_it(path: str, kind: str) -> None:
    raw: Any = samples()[kind]
    try:
        spot = spot_at(MODELS[kind], raw, path)
    except NoField as error:
        assert str(error)
        return
    assert spot.name == path
