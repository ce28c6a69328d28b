"""Gap of a filler after cure: does it still touch the steel it shall fill or carry?"""

from __future__ import annotations

from dossier import units
from dossier.methods.bands import OneAtATime, band_causes
from dossier.methods.base import Basis, InputError, Method, MethodInput, Outcome, ResultField, Value
from dossier.methods.shapes_in import CoreIn, PinIn
from dossier.methods.working import Working
from dossier.records.base import Banded, q


class CoreGapInput(MethodInput):
    """Where the filler meets steel, how it sets, and how both expand."""

    pin: PinIn = q("-", "dimensions of the pin", link="design.pin")
    core: CoreIn = q("-", "filler", link="design.core")
    cure_shrinkage: Banded = q("-", "linear shrinkage of the filler at cure", symbol="s", shown="%")
    filler_expansion: Banded = q("1/K", "thermal expansion of the filler", symbol="α_c", link="design.core.material->expansion")
    pin_expansion: Banded = q("1/K", "thermal expansion of the pin", symbol="α_p", link="design.pin.material->expansion")
    filler_modulus: Banded = q("MPa", "Young's modulus of the filler", symbol="E_c", link="design.core.material->youngs_modulus")
    cure_temperature: float = q("°C", "temperature at which the filler sets", symbol="T_0", above=-273.15)
    temperature: float = q("°C", "temperature of use", 23.0, symbol="T", above=-273.15)


class CoreGapMethod(Method):
    """Free shrinkage against steel: gap in radius, or strain and stress around the filler where it grips."""

    id = "core.gap"
    version = 1
    title = "Gap of the filler after cure"
    step = "3"
    input_model = CoreGapInput
    results = (
        ResultField("gap", "mm", "gap in radius between filler and steel, 0 where it grips", "µm", "g", 1e-9),
        ResultField("shrinkage", "-", "linear shrinkage of the filler against steel", "%", "ε", 1e-9),
        ResultField("stress", "MPa", "stress around a filler that grips, upper bound", symbol="σ", tolerance=1e-9),
    )
    basis = Basis(
        "memory", "free thermal and cure shrinkage of two bodies, a textbook identity",
        left_out=(
            "adhesion: a bonded filler is torn or holds, which only a test decides",
            "creep and water uptake of the filler, which change the gap with time",
            "shrinkage before the filler sets, and pressure held while it does",
            "gap at the ends of a filling",
        ),
        valid_for=("a filler that sets at one temperature throughout",),
    )  # fmt: skip

    def run(self, given: CoreGapInput) -> Outcome:
        radius = _radius(given)
        bands = {
            "cure shrinkage": ("cure_shrinkage", given.cure_shrinkage),
            "expansion of the filler": ("filler_expansion", given.filler_expansion),
            "expansion of the pin": ("pin_expansion", given.pin_expansion),
            "modulus of the filler": ("filler_modulus", given.filler_modulus),
        }

        def compute(**changed: float) -> dict[str, float]:
            from dossier.mechanics.filler_gap import filler_gap

            def value(name: str) -> float:
                return changed.get(name, getattr(given, name).value)

            found = filler_gap(
                radius=radius, filler_outside=given.core.kind == "ball_contour", cure_shrinkage=value("cure_shrinkage"),
                filler_expansion=value("filler_expansion"), steel_expansion=value("pin_expansion"),
                cure_temperature=given.cure_temperature, temperature=given.temperature,
                youngs_modulus=value("filler_modulus"))  # fmt: skip
            return {"gap": found.gap, "shrinkage": found.shrinkage, "stress": found.stress}

        values: dict[str, Value | float] = dict(OneAtATime(compute, band_causes(bands)).values())
        gap = values["gap"]
        assert isinstance(gap, Value)
        if gap.high <= 0:
            return Outcome(values)
        most = units.show(1000 * gap.high, 3)
        told = f"a gap of up to {most} µm opens: take the filler as carrying nothing unless a test shows its bond"
        return Outcome(values, warnings=[told])

    def working(self, given: CoreGapInput, outcome: Outcome) -> Working:
        working = Working()
        inside = given.core.kind == "bore_fill"
        words = "filling inside a bore: shrinking away opens a gap" if inside else "ball contour outside the pin: shrinking grips"
        working.fact("filler", words)
        working.given("s", "linear shrinkage at cure", given.cure_shrinkage.value, "-")
        working.given("α_c", "thermal expansion of the filler", given.filler_expansion.value, "1/K")
        working.given("α_p", "thermal expansion of the pin", given.pin_expansion.value, "1/K")
        working.given("T_0", "temperature at which the filler sets", given.cure_temperature, "°C")
        working.given("T", "temperature of use", given.temperature, "°C")
        working.given("R", "radius of the face between filler and steel", _radius(given), "mm")
        working.line("ε", "shrinkage of the filler against steel", "s + (α_c − α_p)·(T_0 − T)", "-", "textbook identity",
                     result=True)  # fmt: skip
        working.line("g", "change of radius at the face", "abs(ε)·R", "mm")
        return working


def _radius(given: CoreGapInput) -> float:
    """Radius of the face between filler and steel; of several bores the widest."""
    if given.core.kind == "none":
        raise InputError("core.kind = 'none' has no filler; choose bore_fill or ball_contour")
    if given.core.kind == "ball_contour":
        return given.pin.straight_radius
    filled = [bore.diameter / 2 for bore in given.pin.bores if bore.filled]
    if not filled:
        raise InputError("core.kind = 'bore_fill' needs a filled bore; set pin.bores.0.filled to yes")
    return max(filled)


METHODS: tuple[Method, ...] = (CoreGapMethod(),)
