"""Moduli of a rubber from its hardness, by a relation that is named, beside what the other relations say."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from dossier import units
from dossier.methods.bands import Ends, OneAtATime, band_causes
from dossier.methods.base import Basis, InputError, Method, MethodInput, Outcome, ResultField
from dossier.methods.working import Working
from dossier.records.base import Banded, q

if TYPE_CHECKING:
    from dossier.mechanics.rubber import Relation


SYMBOLS = {"lindley": "E_L", "gent": "E_G", "ruess": "E_R"}


class ModuliInput(MethodInput):
    """Hardness with its tolerance, the relation, and what the user knows of scatter, temperature and frequency."""

    relation: Literal["lindley", "gent", "ruess"] = q("-", "relation between hardness and modulus: lindley, gent or ruess")
    hardness: Banded | None = q(
        "IRHD", "hardness in IRHD, its tolerance as band", None, symbol="H", link="design.layer.compound->hardness",
        remedy="for a reading in Shore A give shore_hardness instead",
    )  # fmt: skip
    shore_hardness: Banded | None = q(
        "Shore A", "hardness in Shore A, its tolerance as band; taken instead of IRHD where given", None, symbol="S"
    )
    tolerance: float | None = q(
        "-", "tolerance of a hardness given without band, ± points of its scale", None, above=0, symbol="Δ_H"
    )
    scale_difference: float = q(
        "-", "difference of IRHD and Shore A on one rubber, ± points; common practice, no source", 2.0, at_least=0
    )
    relation_scatter: float | None = q(
        "-", "scatter of compounds about the relation, measured, ± share of E and G", None, above=0, below=1, shown="%"
    )
    bulk_modulus: Banded | None = q(
        "MPa", "bulk modulus; Lindley's at the same hardness where none is given", None, symbol="K",
        link="design.layer.compound->bulk_modulus",
    )  # fmt: skip
    temperature_factor: Banded | None = q(
        "-", "G at the temperature of use over G at 23 °C, measured on the compound", None, symbol="f_T"
    )
    dynamic_factor: Banded | None = q(
        "-", "dynamic over static G at frequency and amplitude of use, measured on the compound", None, symbol="f_d"
    )


class RubberModuliMethod(Method):
    """Young's, shear and bulk modulus at small strain with the band of the hardness tolerance."""

    id = "rubber.moduli"
    version = 1
    title = "Moduli of a rubber from its hardness"
    step = "3"
    input_model = ModuliInput
    results = (
        ResultField("youngs_modulus", "MPa", "Young's modulus by the relation", symbol="E"),
        ResultField("shear_modulus", "MPa", "shear modulus, static at 23 °C", symbol="G"),
        ResultField("bulk_modulus", "MPa", "bulk modulus", symbol="K"),
        ResultField("poisson_ratio", "-", "Poisson's ratio of G and K", symbol="ν"),
        ResultField("shear_modulus_in_use", "MPa", "shear modulus times the factors given, 1 where none is", symbol="G_u"),
    )
    basis = Basis(
        "memory",
        "one relation, named in the input. lindley: P. B. Lindley, Engineering Design with Natural Rubber, table of moduli, "
        "rows from memory, not checked against its text, linear between rows. gent: A. N. Gent, Rubber Chem. Technol. 31 "
        "(1958) 896, constants from memory. ruess: relation and range as a web page quotes them, read there, not in the "
        "original. With gent and ruess G follows from E and K as in an isotropic solid; lindley has its own G, which is "
        "1/4.3 to 1/3.1 of E",
        left_out=(
            "scatter of compounds at one hardness, unless relation_scatter gives it",
            "effect of temperature, frequency and amplitude, unless the factors give it",
            "softening by the first loads; change of hardness by ageing",
            "hardness read on a thin or curved part instead of a test piece",
        ),
        valid_for=(
            "small strain, static, 23 °C, before the factors",
            "lindley 30 to 75 IRHD, gent 40 to 80 Shore A, ruess 30 to 60 Shore A",
            "lindley natural rubber, filled with carbon black above about 45 IRHD",
        ),
    )

    def run(self, given: ModuliInput) -> Outcome:
        case = _Case(given)
        study = OneAtATime(case.values, case.causes())
        return Outcome(dict(study.values()), case.warnings(study.nominal), detail={"case": case})

    def working(self, given: ModuliInput, outcome: Outcome) -> Working:
        working, case = Working(), outcome.detail["case"]
        symbol = "S" if case.scale == "Shore A" else "H"
        working.given(symbol, f"hardness in {case.scale}", case.hardness.value, "-")
        working.fact("relation", f"{case.relation.words}, which reads {case.relation.scale}")
        if case.crosses:
            working.fact("scale", f"{case.scale} read as {case.relation.scale}, ± {given.scale_difference:g} points in the band")
        _young(working, case.relation, "E", symbol, case.hardness.value)
        _bulk(working, case, symbol)
        if case.relation.name == "lindley":
            _between(working, "G", "shear modulus", "shear_modulus", symbol, case.hardness.value)
        else:
            working.line("G", "shear modulus of the isotropic solid", "3·K·E/(9·K − E)", "MPa")
        working.line("ν", "Poisson's ratio", "(3·K − 2·G)/(6·K + 2·G)", "-")
        factors = [name for name, factor in (("f_T", given.temperature_factor), ("f_d", given.dynamic_factor)) if factor]
        for name, words, factor in (
            ("f_T", "factor of temperature", given.temperature_factor), ("f_d", "factor of frequency", given.dynamic_factor),
        ):  # fmt: skip
            if factor:
                working.given(name, words, factor.value, "-")
        if factors:
            working.line("G_u", "shear modulus in use", "·".join(["G", *factors]), "MPa", result=True)
        for other in case.others():
            _young(working, other, SYMBOLS[other.name], symbol, case.hardness.value)
        return working


class _Case:
    """One input read: which hardness counts, on which scale, and the values at changed inputs."""

    def __init__(self, given: ModuliInput) -> None:
        from dossier.mechanics.rubber import IRHD, RELATIONS, SHORE

        self.given = given
        self.relation = RELATIONS[given.relation]
        name, found = ("shore_hardness", given.shore_hardness) if given.shore_hardness else ("hardness", given.hardness)
        if found is None:
            raise InputError("hardness is missing; give hardness in IRHD or shore_hardness in Shore A")
        self.name, self.scale = name, SHORE if given.shore_hardness else IRHD
        self.hardness = self._with_tolerance(found)
        self.crosses = self.scale != self.relation.scale
        for field in ("bulk_modulus", "temperature_factor", "dynamic_factor"):
            banded = getattr(given, field)
            if banded and banded.ends[0] <= 0:
                raise InputError(f"{field} = {banded.ends[0]:g} must exceed 0; correct it")

    def _with_tolerance(self, found: Banded) -> Banded:
        tolerance = self.given.tolerance
        if tolerance is None:
            return found
        if found.low is not None or found.high is not None:
            raise InputError(
                f"tolerance = {tolerance:g} is given beside the band {found.ends[0]:g} to {found.ends[1]:g} of {self.name}; "
                "leave one of them out"
            )
        return Banded(value=found.value, low=found.value - tolerance, high=found.value + tolerance)

    def causes(self) -> dict[str, Ends]:
        given = self.given
        causes = band_causes(
            {
                words: (name, banded)
                for words, name, banded in (
                    ("tolerance of the hardness", "hardness", self.hardness),
                    ("bulk modulus", "bulk_modulus", given.bulk_modulus),
                    ("factor of temperature", "temperature_factor", given.temperature_factor),
                    ("factor of frequency", "dynamic_factor", given.dynamic_factor),
                )
                if banded
            }
        )
        if self.crosses and given.scale_difference:
            causes[f"{self.scale} read as {self.relation.scale}"] = (
                {"shift": -given.scale_difference}, {"shift": given.scale_difference},
            )  # fmt: skip
        if given.relation_scatter:
            causes["scatter of compounds about the relation"] = (
                {"scatter": 1 - given.relation_scatter}, {"scatter": 1 + given.relation_scatter},
            )  # fmt: skip
        return causes

    def values(
        self, hardness: float | None = None, shift: float = 0.0, scatter: float = 1.0, **factors: float
    ) -> dict[str, float]:
        """All values with some inputs changed; raises RubberRangeError where the relation ends."""
        from dossier.mechanics.rubber import moduli_of_hardness, poisson_ratio

        value = (self.hardness.value if hardness is None else hardness) + shift
        self._require(value, moved=hardness is not None, shift=shift)
        bulk = factors.get("bulk_modulus", self._nominal(self.given.bulk_modulus))
        found = moduli_of_hardness(self.relation.name, value, bulk)
        shear = found.shear_modulus * scatter
        in_use = shear
        for name in ("temperature_factor", "dynamic_factor"):
            in_use *= factors.get(name, self._nominal(getattr(self.given, name), 1.0))
        return {
            "youngs_modulus": found.youngs_modulus * scatter,
            "shear_modulus": shear,
            "bulk_modulus": found.bulk_modulus,
            "poisson_ratio": poisson_ratio(shear, found.bulk_modulus),
            "shear_modulus_in_use": in_use,
        }

    @staticmethod
    def _nominal(banded: Banded | None, default: float | None = None) -> float | None:
        return banded.value if banded else default

    def _require(self, value: float, moved: bool, shift: float) -> None:
        """Refuse a hardness outside the relation in the words of the input: the value, an end of its band, the other scale."""
        words = f"{self.name} = {value - shift:g} {self.scale}"
        words += " at an end of its tolerance" if moved else ""
        words += f" with scale_difference = {self.given.scale_difference:g}" if shift else ""
        self.relation.require(value, words)

    def others(self) -> list[Relation]:
        from dossier.mechanics.rubber import others_at

        return list(others_at(self.relation.name, self.hardness.value))

    def warnings(self, nominal: dict[str, float]) -> list[str]:
        """What the other relations say, and what the band lacks."""
        young = nominal["youngs_modulus"]
        said = []
        for other in self.others():
            value = other.youngs_modulus(self.hardness.value)
            said.append(f"{other.words} {units.show(value, 3)} MPa ({units.show_signed(100 * (value / young - 1), 0)} %)")
        beside = "; ".join(said) if said else "no other relation here covers this hardness"
        own = f"E = {units.show(young, 3)} MPa by {self.relation.words}"
        found = [f"{own}; at the same number {beside}. A measured modulus decides"]
        low, high = self.hardness.ends
        if high == low:
            found.append(f"{self.name} has no tolerance: the band of E and G lacks it; give tolerance, or low and high")
        if self.given.relation_scatter is None:
            lacking = "the band of E and G lacks the scatter of compounds at one hardness"
            found.append(f"{lacking}; give relation_scatter where it is known")
        return found


def _young(working: Working, relation: Relation, symbol: str, hardness: str, value: float) -> None:
    """E by one relation, from the hardness."""
    words = f"Young's modulus by {relation.words}"
    if relation.name == "gent":
        formula = f"0.0981·(56 + 7.62336·{hardness})/(0.137505·(254 − 2.54·{hardness}))"
        working.line(symbol, words, formula, "MPa", "Gent 1958, from memory")
    elif relation.name == "ruess":
        working.line(symbol, words, f"10^(0.0235·{hardness} − 0.6403)", "MPa", "Ruess, as quoted on a web page")
    else:
        _between(working, symbol, words, "youngs_modulus", hardness, value)


def _bulk(working: Working, case: _Case, symbol: str) -> None:
    if case.given.bulk_modulus:
        working.given("K", "bulk modulus", case.given.bulk_modulus.value, "MPa")
    else:
        _between(working, "K", "bulk modulus, Lindley's table", "bulk_modulus", symbol, case.hardness.value)


def _between(working: Working, symbol: str, words: str, name: str, hardness: str, value: float) -> None:
    """A value of Lindley's table between its two rows."""
    from dossier.mechanics.rubber import lindley_source, rows_around

    low, high = rows_around(value)
    if "H_1" not in working.values:
        working.fact("table", lindley_source())
        working.given("H_1", "hardness of the row below", low.hardness, "IRHD", "from memory")
        working.given("H_2", "hardness of the row above", high.hardness, "IRHD", "from memory")
    for mark, row in (("1", low), ("2", high)):
        working.given(f"{symbol}_{mark}", f"{words}, row {row.hardness:g}", getattr(row, name), "MPa", "from memory")
    formula = f"{symbol}_1 + ({symbol}_2 − {symbol}_1)·({hardness} − H_1)/(H_2 − H_1)"
    working.line(symbol, words, formula, "MPa", "linear between rows")


METHODS: tuple[Method, ...] = (RubberModuliMethod(),)
