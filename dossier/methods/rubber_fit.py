"""A law of incompressible rubber fitted to measured uniaxial points, with the quality of the fit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field

from dossier import units
from dossier.methods.base import Basis, Contribution, InputError, Method, MethodInput, Outcome, ResultField, Value
from dossier.methods.working import Working
from dossier.records.base import q

if TYPE_CHECKING:
    from dossier.mechanics.uniaxial_fit import UniaxialFit

WORDS = {"neo_hookean": "neo-Hooke", "mooney_rivlin": "Mooney–Rivlin with two terms", "yeoh": "Yeoh"}
TERMS = {"c10": "C_10", "c01": "C_01", "c20": "C_20", "c30": "C_30"}

Pair = Annotated[list[float], Field(min_length=2, max_length=2)]


class UniaxialInput(MethodInput):
    """Measured points, the law, which of the points count, and how their differences are weighed."""

    points: list[Pair] = q(
        "-", "measured points [[stretch, nominal stress in MPa], …]; stretch = 1 + strain, compression negative"
    )
    law: Literal["neo_hookean", "mooney_rivlin", "yeoh"] = q("-", "law: neo_hookean, mooney_rivlin or yeoh")
    residuals: Literal["absolute", "relative"] = q(
        "-", "differences squared: of the stress (absolute), or over the measured stress (relative)", "absolute"
    )
    stretch_from: float | None = q("-", "points below this stretch are left out", None, above=0)
    stretch_to: float | None = q("-", "points above this stretch are left out", None, above=0)


class RubberFitMethod(Method):
    """Coefficients with the band of the fit, moduli at small strain, deviations, slope of the curve."""

    id = "rubber.fit"
    version = 1
    title = "Law of a rubber fitted to measured uniaxial points"
    step = "3"
    input_model = UniaxialInput
    results = (
        ResultField("shear_modulus", "MPa", "shear modulus at small strain, 2 (C10 + C01)", symbol="G"),
        ResultField("youngs_modulus", "MPa", "Young's modulus at small strain, 3 G as incompressible", symbol="E"),
        ResultField("c10", "MPa", "coefficient of I1 − 3", symbol="C_10"),
        ResultField("c01", "MPa", "coefficient of I2 − 3, 0 where the law has none", symbol="C_01"),
        ResultField("c20", "MPa", "coefficient of (I1 − 3)², 0 where the law has none", symbol="C_20"),
        ResultField("c30", "MPa", "coefficient of (I1 − 3)³, 0 where the law has none", symbol="C_30"),
        ResultField("rms", "MPa", "root mean square of fitted less measured stress"),
        ResultField("largest_deviation", "-", "largest relative deviation, fitted over measured stress less 1", "%"),
        ResultField("largest_at", "-", "stretch of the largest relative deviation"),
        ResultField("stretch_low", "-", "least stretch of the fitted range"),
        ResultField("stretch_high", "-", "greatest stretch of the fitted range"),
        ResultField("points_fitted", "1", "points that count, the unstretched state not among them"),
        ResultField("least_slope", "MPa", "least slope of nominal stress over stretch in the range; above 0 the curve rises"),
        ResultField("least_slope_at", "-", "stretch of the least slope", tolerance=1e-2),
    )  # fmt: skip
    basis = Basis(
        "library",
        "least squares of the nominal stress of an incompressible law, linear in its coefficients, solved by an orthogonal "
        "decomposition (scipy); checked against points made from the laws, against a general curve fit, and on Treloar's "
        "points of 1944 as printed in the documentation of the package felupe 11.3.0. Bands: two-sided 95 % of the scatter "
        "of the points about the curve, taken as independent",
        left_out=(
            "scatter between test pieces and batches, error of the measurement",
            "compressibility, softening by the first loads, hysteresis, rate, temperature",
            "what the law misses systematically: its deviations follow the curve and are no scatter",
        ),
        valid_for=(
            "the range of stretch of the points, in uniaxial loading",
            "shear and biaxial loading only as far as the law carries over; measure there too",
        ),
    )

    def run(self, given: UniaxialInput) -> Outcome:
        from dossier.mechanics.uniaxial_fit import fit_uniaxial

        counted = _counted(given)
        fit = fit_uniaxial(given.law, counted, relative=given.residuals == "relative")
        low, high = fit.range
        least, least_at = fit.steepness()
        values: dict[str, Value | float] = {
            "shear_modulus": _banded(fit.shear_modulus, fit.shear_half_width),
            "youngs_modulus": _banded(3 * fit.shear_modulus, 3 * fit.shear_half_width),
            **{name: _banded(value, fit.half_widths[name]) for name, value in fit.coefficients.items()},
            "rms": fit.rms,
            "largest_deviation": float(fit.deviations[fit.worst]),
            "largest_at": float(fit.stretches[fit.worst]),
            "stretch_low": low,
            "stretch_high": high,
            "points_fitted": float((fit.stretches != 1).sum()),
            "least_slope": least,
            "least_slope_at": least_at,
        }
        outside = []
        if least <= 0:
            outside.append(
                f"least_slope = {units.show(least, 3)} MPa at stretch {units.show(least_at, 3)} must exceed 0 MPa: the fitted "
                "curve falls inside its range; fit a narrower range or another law"
            )
        return Outcome(values, _warnings(given, fit, len(counted)), outside, {"fit": fit})

    def working(self, given: UniaxialInput, outcome: Outcome) -> Working:
        from dossier.mechanics.uniaxial_fit import LAWS

        working, fit, names = Working(), outcome.detail["fit"], LAWS[given.law]
        working.fact("law", f"{WORDS[given.law]}, incompressible; {given.residuals} differences of the nominal stress")
        for name in names:
            working.given(TERMS[name], "coefficient", fit.coefficients[name], "MPa", "least squares")
        sum_of = " + ".join(TERMS[name] for name in names if name in ("c10", "c01"))
        formula = f"2·({sum_of})" if "+" in sum_of else f"2·{sum_of}"
        working.line("G", "shear modulus at small strain", formula, "MPa", result=True)
        working.line("E", "Young's modulus at small strain", "3·G", "MPa", "incompressible", result=True)
        _stress_of_worst(working, fit, names)
        low, high = fit.range
        worst = units.show_signed(100 * float(fit.deviations[fit.worst]), 2)
        at = units.show(float(fit.stretches[fit.worst]), 4)
        over = units.amount(len(fit.stretches), "point")
        working.fact("deviation", f"at most {worst} % at stretch {at}; root mean square {units.show(fit.rms, 3)} MPa over {over}")
        working.fact("range", f"stretch {units.show(low, 4)} to {units.show(high, 4)}")
        working.fact("points", f"stretch: measured and fitted MPa; {_each_point(fit)}")
        working.fact("hardness", f"this E is that of {_hardness_in_words(3 * fit.shear_modulus)}")
        return working


def _banded(value: float, half_width: float) -> Value:
    if not half_width:
        return Value(value)
    return Value(value, (Contribution("scatter of the points about the law, 95 %", -half_width, half_width),))


def _counted(given: UniaxialInput) -> list[list[float]]:
    low = given.stretch_from if given.stretch_from is not None else 0.0
    high = given.stretch_to if given.stretch_to is not None else float("inf")
    if low >= high:
        raise InputError(f"stretch_from = {low:g} must be below stretch_to = {high:g}; correct one of them")
    return [pair for pair in given.points if low <= pair[0] <= high]


def _warnings(given: UniaxialInput, fit: UniaxialFit, counted: int) -> list[str]:
    found = []
    if counted < len(given.points):
        left = units.amount(len(given.points) - counted, "point")
        found.append(f"{left} outside stretch_from and stretch_to left out")
    for mode, stretch in fit.falls_in().items():
        found.append(
            f"in {mode} loading the curve falls from stretch {units.show(stretch, 3)} on, inside the range of the uniaxial "
            "points: use the law there only with points measured in that loading"
        )
    low, high = fit.range
    if low == 1 or high == 1:
        measured, other = ("tension", "compression") if low == 1 else ("compression", "tension")
        found.append(f"the points are of {measured} alone: {other} is not measured")
    return found


def _hardness_in_words(young: float) -> str:
    """What each relation between hardness and modulus makes of Young's modulus, to hold against the hardness read."""
    from dossier.mechanics.rubber import RELATIONS, RubberRangeError, hardness_of_modulus

    said = []
    for relation in RELATIONS.values():
        try:
            said.append(f"{hardness_of_modulus(relation.name, young):.0f} {relation.scale} by {relation.words}")
        except RubberRangeError:
            continue
    return ", ".join(said) if said else "no relation here"


def _each_point(fit: UniaxialFit) -> str:
    """Measured and fitted stress of every point, for the reader to compare."""
    return "; ".join(
        f"{units.show(float(lam), 4)}: {units.show(float(measured), 4)} {units.show(float(fitted), 4)}"
        for lam, measured, fitted in zip(fit.stretches, fit.stresses, fit.fitted, strict=True)
    )


def _stress_of_worst(working: Working, fit: UniaxialFit, names: Sequence[str]) -> None:
    """The law's stress at the point with the largest relative deviation, beside the measured one."""
    working.given("λ", "stretch of the largest relative deviation", float(fit.stretches[fit.worst]), "-", "measured")
    working.given("P_m", "nominal stress there", float(fit.stresses[fit.worst]), "MPa", "measured")
    excess = "(λ² + 2/λ − 3)"
    terms = {"c10": "C_10", "c01": "C_01/λ", "c20": f"2·C_20·{excess}", "c30": f"3·C_30·{excess}²"}
    total = " + ".join(terms[name] for name in names)
    working.line("P", "nominal stress there by the law", f"2·(λ − 1/λ²)·({total})", "MPa")


METHODS: tuple[Method, ...] = (RubberFitMethod(),)
