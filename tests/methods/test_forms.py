"""A found value in the form a method's field wants: numbers in its unit, bands, whole numbers, yes and no, parts."""

from __future__ import annotations

from typing import Any, Literal

import pytest

from dossier.methods.base import MethodInput
from dossier.methods.forms import as_field
from dossier.records.base import Banded, Part, q
from dossier.records.calculation import ResultValue
from dossier.records.design import HalfShells, Rings
from dossier.units import UnitError


class RingsIn(Part):
    kind: Literal["rings"] = "rings"
    outer_radius: float = q("mm", "outer radius")


class ShellsIn(Part):
    kind: Literal["half_shells"] = "half_shells"
    closing: float = q("mm", "closing")


class Input(MethodInput):
    force: float = q("N", "force")
    reading: float | None = q("IRHD", "hardness", None, remedy="for Shore A give the other field")
    perhaps: float | None = q("N", "force", None)
    modulus: Banded | None = q("MPa", "modulus", None)
    count: int = q("1", "count", 1)
    bonded: bool = True
    support: Literal["held", "free"] = "held"
    carrier: RingsIn | ShellsIn = q("-", "carrier")


TAKEN: list[tuple[str, Any, str, Any]] = [
    ("force", "1.2 kN", "", 1200.0),
    ("force", 3, "", 3.0),
    ("force", 3, "kN", 3000.0),
    ("force", Banded(value=2.0, low=1.0), "kN", 2000.0),
    ("force", ResultValue(name="f", value=2.0, unit="kN", low=1.0), "", 2000.0),
    ("perhaps", "5", "", 5.0),
    ("modulus", 2.0, "GPa", {"value": 2000.0}),
    ("modulus", "2 GPa", "", {"value": 2000.0}),
    ("modulus", Banded(value=2.0, low=1.5, high=3.0, source="x"), "GPa", {"value": 2000.0, "low": 1500.0, "high": 3000.0}),
    ("modulus", {"value": "2 GPa", "low": 1900, "source": "x"}, "", {"value": 2000.0, "low": 1900.0, "source": "x"}),
    ("modulus", ResultValue(name="E", value=2.0, unit="GPa", low=1.0, high=3.0), "",
     {"value": 2000.0, "low": 1000.0, "high": 3000.0}),
    ("count", "1 200", "", 1200),
    ("count", "−3", "", -3),
    ("count", 7, "", 7),
    ("bonded", "No", "", False),
    ("bonded", True, "", True),
    ("support", "free", "", "free"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "found", "unit", "wanted"), TAKEN)
def test_what_is_taken(name: str, found: Any, unit: str, wanted: Any) -> None:
    got = as_field(Input.model_fields[name], found, unit)
    assert got == wanted and type(got) is type(wanted)


REFUSED: list[tuple[str, Any, str, str]] = [
    ("force", "1 mm", "", '"mm" is length, but "N" is force'),
    ("force", 1.0, "mm", '"mm" is length, but "N" is force'),
    ("force", "much", "", '"much" is not a number with a unit'),
    ("force", ResultValue(name="f", value=None, unit="N"), "", "f has no value"),
    ("reading", "60 Shore A", "", "give a value in IRHD; for Shore A give the other field"),
    ("modulus", Banded(value=1.0), "mm", '"mm" is length, but "MPa" is'),
    ("count", "1.5", "", '"1.5" is not a whole number; give one, such as 12'),
    ("count", "²", "", "is not a whole number"),
    ("bonded", "perhaps", "", '"perhaps" is neither yes nor no; give one of the two'),
]


@pytest.mark.parametrize(("name", "found", "unit", "words"), REFUSED)
def test_what_is_refused(name: str, found: Any, unit: str, words: str) -> None:
    with pytest.raises(UnitError) as caught:
        as_field(Input.model_fields[name], found, unit)
    assert words in str(caught.value)


def test_a_part_is_reduced_to_what_its_kind_reads() -> None:
    info = Input.model_fields["carrier"]
    rings = Rings(material="M-001", outer_radius=38.0, half_width=22.0)
    shells = HalfShells(material="M-001", outer_radius=38.0, half_width=22.0, closing=0.2)
    assert as_field(info, rings) == {"kind": "rings", "outer_radius": 38.0}
    assert as_field(info, shells) == {"kind": "half_shells", "closing": 0.2}


def test_what_is_no_number_is_left_for_the_model_to_refuse() -> None:
    assert as_field(Input.model_fields["force"], True) is True
    assert as_field(Input.model_fields["modulus"], True) is True
