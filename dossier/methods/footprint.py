"""Saved mass to CO2: manufacture, and use as fuel or as payload, never both."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from dossier import units
from dossier.economics.footprint import fuel_saving, manufacture_saving, payload_saving, rolling_fuel_rate
from dossier.methods.base import Basis, Method, MethodInput, Outcome, ResultField
from dossier.methods.working import Working
from dossier.records.base import Banded, Part, q

ENDS = ("low", "mid", "high")
_NUMBER = {"low": 0, "high": 1}


class FootprintLineIn(Part):
    """One material or process."""

    name: str
    reference_mass: float = q("kg", "mass in the reference part", at_least=0)
    variant_mass: float = q("kg", "mass in the variant", at_least=0)
    factor: Banded = q("-", "kg CO2e per kg")


class FuelUseIn(Part):
    """The saved mass becomes less fuel."""

    kind: Literal["fuel"]
    distance: Banded = q("km", "distance on road over the life")
    fuel_rate: Banded = q("l/(100 km·t)", "fuel per 100 km and t")
    emission: Banded = q("kg/l", "CO2e per litre")
    rolling_resistance: float = q("-", "rolling resistance", above=0)
    drive_efficiency: float = q("-", "efficiency of the drive", above=0, at_most=1)
    fuel_energy: float = q("MJ/l", "energy of a litre", above=0)


class PayloadUseIn(Part):
    """The saved mass becomes payload."""

    kind: Literal["payload"]
    distance: Banded = q("km", "distance on road over the life")
    limited_share: Banded = q("-", "share of the distance that weight limits")
    emission: Banded = q("kg/(t·km)", "CO2e of transport per t and km")


class NoUseIn(Part):
    """No benefit in use is claimed."""

    kind: Literal["none"]


class FootprintIn(Part):
    """The balance of cost.toml."""

    functional_unit: str
    boundary: str
    line: list[FootprintLineIn] = Field(min_length=1)
    use: Annotated[FuelUseIn | PayloadUseIn | NoUseIn, Field(discriminator="kind")]


class FootprintInput(MethodInput):
    """Balance and masses."""

    footprint: FootprintIn = q("-", "balance of the greenhouse effect", link="cost.footprint")
    reference_mass: float = q("kg", "mass of the reference part", above=0, link="cost.reference.mass")
    variant_mass: float = q("kg", "mass of the variant", above=0, link="cost.variant.mass")


class FootprintMethod(Method):
    """kg CO2e saved per joint, low, middle, high; what the sign depends on."""

    id = "co2.saving"
    version = 1
    title = "CO2 saved per joint: manufacture and use"
    step = "5"
    input_model = FootprintInput
    results = (
        *(ResultField(f"total_{end}", "kg", f"CO2e saved per joint, {end}", symbol=f"E_{end[0]}") for end in ENDS),
        *(ResultField(f"manufacture_{end}", "kg", f"CO2e saved in manufacture, {end}") for end in ENDS),
        *(ResultField(f"use_{end}", "kg", f"CO2e saved in use, {end}") for end in ENDS),
    )
    basis = Basis(
        "library",
        "mass times factor for manufacture; use as fuel by litres per 100 km and t, checked against rolling resistance, "
        "or as payload by t·km; factors are the project's, each with source and year",
        left_out=("transport between works, packaging", "fuel and payload together: choose one"),
        valid_for=("the functional unit and boundary that the record states",),
    )

    def run(self, given: FootprintInput) -> Outcome:
        balance = given.footprint
        saved = given.reference_mass - given.variant_mass
        lines = [_line_ends(line) for line in balance.line]
        made = dict(zip(ENDS, (sum(line[i] for line in lines) for i in range(3)), strict=True))
        used = dict(zip(ENDS, _use_ends(balance, saved), strict=True))
        total = {end: made[end] + used[end] for end in ENDS}
        values = {f"total_{end}": total[end] for end in ENDS}
        values |= {f"manufacture_{end}": made[end] for end in ENDS} | {f"use_{end}": used[end] for end in ENDS}
        notes = [*_notes(balance, total, saved), *_turning(balance, saved, total["mid"])]
        return Outcome(dict(values), notes)

    def working(self, given: FootprintInput, outcome: Outcome) -> Working:
        working = Working()
        balance = given.footprint
        terms = []
        for number, line in enumerate(balance.line, start=1):
            working.given(f"r_{number}", f"{line.name}, reference part", line.reference_mass, "kg")
            working.given(f"v_{number}", f"{line.name}, variant", line.variant_mass, "kg")
            working.given(f"f_{number}", f"factor of {line.name}", line.factor.value, "kg CO2e/kg")
            terms.append(f"(r_{number} − v_{number})·f_{number}")
        working.line("E_M", "saved in manufacture, middle", " + ".join(terms), "kg")
        working.given("m_R", "mass of the reference part", given.reference_mass, "kg")
        working.given("m_V", "mass of the variant", given.variant_mass, "kg")
        use = balance.use
        formula = "0"
        if isinstance(use, FuelUseIn):
            working.given("s", "distance over the life", use.distance.value, "km")
            working.given("c", "fuel rate", use.fuel_rate.value, "l/(100 km·t)")
            working.given("e", "CO2e per litre", use.emission.value, "kg/l")
            formula = "(m_R − m_V)/1000·s/100·c·e"
        elif isinstance(use, PayloadUseIn):
            working.given("s", "distance over the life", use.distance.value, "km")
            working.given("a", "share that weight limits", use.limited_share.value, "-")
            working.given("e", "CO2e per t and km", use.emission.value, "kg/(t·km)")
            formula = "(m_R − m_V)/1000·s·a·e"
        working.line("E_U", "saved in use, middle", formula, "kg")
        working.line("E", "saved per joint, middle", "E_M + E_U", "kg", result=True)
        return working


def _line_ends(line: FootprintLineIn) -> tuple[float, float, float]:
    """Low, middle and high saving of a line; a burden is lowest where its factor is highest."""
    low, high = line.factor.ends
    ends = [manufacture_saving(line.reference_mass, line.variant_mass, f) for f in (low, line.factor.value, high)]
    return min(ends), ends[1], max(ends)


def _use_ends(balance: FootprintIn, saved: float) -> tuple[float, float, float]:
    use = balance.use
    if isinstance(use, NoUseIn):
        return 0.0, 0.0, 0.0
    if isinstance(use, FuelUseIn):
        parts = (use.distance, use.fuel_rate, use.emission)
        ends = [fuel_saving(saved, *(_at(part, end) for part in parts)) for end in ENDS]
    else:
        parts = (use.distance, use.limited_share, use.emission)
        ends = [payload_saving(saved, *(_at(part, end) for part in parts)) for end in ENDS]
    return min(ends), ends[1], max(ends)


def _at(banded: Banded, end: str) -> float:
    return banded.value if end == "mid" else banded.ends[_NUMBER[end]]


def _turning(balance: FootprintIn, saved: float, middle: float) -> list[str]:
    """Factors that turn the sign of the middle alone, each at an end of its range."""
    found = []
    for line in balance.line:
        mass = line.reference_mass - line.variant_mass
        ends = [middle + mass * (end - line.factor.value) for end in line.factor.ends]
        found += _turned(f"factor of {line.name}", line.factor, ends, middle)
    use = balance.use
    if not isinstance(use, NoUseIn):
        names = ("distance", "fuel_rate" if isinstance(use, FuelUseIn) else "limited_share", "emission")
        used = _use_ends(balance, saved)[1]
        for name in names:
            part: Banded = getattr(use, name)
            shares = [end / part.value - 1 if part.value else 0.0 for end in part.ends]
            found += _turned(name.replace("_", " "), part, [middle + used * share for share in shares], middle)
    return found


def _turned(name: str, banded: Banded, totals: list[float], middle: float) -> list[str]:
    return [
        f"{name} at {units.show(end, 3)} alone turns the sign: {units.show_signed(total)} kg CO2e"
        for end, total in zip(banded.ends, totals, strict=True)
        if total * middle < 0
    ]


def _notes(balance: FootprintIn, total: dict[str, float], saved: float) -> list[str]:
    notes = [f"functional unit: {balance.functional_unit}; boundary: {balance.boundary}"]
    if total["low"] < 0 < total["high"]:
        notes.insert(0, "The sign is open: the range from low to high crosses zero.")
    use = balance.use
    if isinstance(use, FuelUseIn):
        physics = rolling_fuel_rate(use.rolling_resistance, use.drive_efficiency, use.fuel_energy)
        low, high = use.fuel_rate.ends
        inside = "inside" if low <= physics <= high else "outside"
        notes.append(f"rolling resistance alone takes {physics:.2f} l/(100 km·t), {inside} the range {low:g} .. {high:g}")
    if isinstance(use, PayloadUseIn):
        notes.append("the mass becomes payload: fewer trips, the same fuel per km; no fuel saving is added")
    if saved <= 0:
        notes.append("the variant is not lighter: nothing is saved in use")
    return notes


METHODS: tuple[Method, ...] = (FootprintMethod(),)
