"""cost.toml: what reference part and variant cost on the same basis, what a kilogram is worth, the CO2 balance."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from dossier.records.base import EMPTY, Banded, Day, Part, Record, q

Origin = Literal["quote", "own calculation", "estimate"]


def _in_order(banded: Banded) -> Banded:
    low, high = banded.ends
    if not low <= banded.value <= high:
        raise ValueError(f"value = {banded.value} must lie between low = {low} and high = {high}; correct one of them")
    return banded


Band = Annotated[Banded, AfterValidator(_in_order)]


class Priced(Part):
    """What every line of the cost sheet carries: group, origin, source, uncertainty and date."""

    name: str = Field(min_length=1)
    group: str = Field(EMPTY, description="line of the cost sheet it is shown under; its own name if empty")
    origin: Origin
    source: str = EMPTY
    uncertainty: float = q("-", "± share of the amount", at_least=0, below=1, shown="%", symbol="±")
    price_date: Day | None = Field(None, description="date of the price if it is not that of the basis")
    valid_until: Day | None = Field(None, description="end of a quote's validity")
    remark: str = EMPTY


class MaterialItem(Priced):
    """Material by gross mass."""

    gross_mass: float = q("kg", "gross mass per piece", above=0, shown="g")
    price: float = q("EUR/kg", "price of the material", at_least=0)
    chip_mass: float = q("kg", "chips given back per piece", 0.0, at_least=0, shown="g")
    chip_price: float = q("EUR/kg", "what the chips bring", 0.0, at_least=0)
    enters_at: str = Field(EMPTY, description="name of the step it enters at; the first one if empty")

    @model_validator(mode="after")
    def _chips(self) -> MaterialItem:
        if self.chip_mass >= self.gross_mass:
            raise ValueError(
                f"chip_mass = {self.chip_mass} kg must be below gross_mass = {self.gross_mass} kg; "
                "give the gross mass bought, not the net mass"
            )
        return self


class BoughtItem(Priced):
    """A part bought by the piece."""

    price: float = q("EUR", "price per piece bought", at_least=0)
    count: float = q("-", "pieces per joint", 1.0, above=0)
    enters_at: str = Field(EMPTY, description="name of the step it enters at; the first one if empty")


class ProcessStep(Priced):
    """One step of the routing, own work or bought."""

    setup_time: float = q("s", "set-up per lot", 0.0, at_least=0, shown="min")
    lot: float = q("1", "pieces per lot", 1.0, at_least=1)
    cycle_time: float = q("s", "time per piece", 0.0, at_least=0)
    machine_rate: float = q("EUR/h", "machine rate", 0.0, at_least=0)
    labour_rate: float = q("EUR/h", "labour rate per operator", 0.0, at_least=0)
    operators: float = q("-", "operators at the step", 0.0, at_least=0)
    outside: float = q("EUR", "work bought per piece", 0.0, at_least=0)
    good_share: float = q("-", "yield: share of good pieces", 1.0, above=0, at_most=1, shown="%")
    learning_rate: float = q("-", "share of the time left at twice the quantity, 1 = no learning", 1.0, above=0, at_most=1)
    time_known_at: float = q("1", "piece at which the time was taken, for the learning curve", 1.0, at_least=1)


class OneOffItem(Priced):
    """A tool, device, development, test or approval. Counted in the piece cost or once, never both."""

    kind: Literal["tool", "development", "test", "approval"]
    amount: float = q("EUR", "amount", at_least=0)
    per_piece: bool = Field(False, description="spread over the pieces and part of the piece cost")
    once: bool = Field(False, description="paid apart and part of the investment")
    life: float | None = q("1", "pieces a tool lasts", None, above=0)

    @model_validator(mode="after")
    def _counted_once(self) -> OneOffItem:
        if self.per_piece and self.once:
            raise ValueError(
                f'"{self.name}": per_piece and once are both true, its {self.amount:g} EUR would count twice; keep one'
            )
        if not (self.per_piece or self.once):
            raise ValueError(
                f'"{self.name}": per_piece and once are both false, its {self.amount:g} EUR would count nowhere; '
                "set one"
            )
        return self


class CostBasis(Part):
    """What both sides must share before they can be compared."""

    currency: Literal["EUR"] = Field(description="currency of all amounts; convert other currencies at the day of the prices")
    price_date: Day
    annual_volume: float = q("pcs/a", "pieces per year", above=0)
    plant: str = Field(min_length=1)


class CostSide(Part):
    """Reference part or variant."""

    basis: CostBasis
    mass: float = q("kg", "mass of the joint as in the design", above=0, shown="g")
    material: list[MaterialItem] = Field(default_factory=list)
    bought: list[BoughtItem] = Field(default_factory=list)
    step: list[ProcessStep] = Field(min_length=1)
    one_off: list[OneOffItem] = Field(default_factory=list)
    packaging: float = q("EUR", "packaging per piece", 0.0, at_least=0)
    freight: float = q("EUR", "freight per piece", 0.0, at_least=0)

    @property
    def lines(self) -> list[Priced]:
        """All lines of this side in the order of the sheet."""
        return [*self.material, *self.bought, *self.step, *self.one_off]

    @model_validator(mode="after")
    def _named(self) -> CostSide:
        names = [line.name for line in self.lines]
        twice = sorted({name for name in names if names.count(name) > 1})
        if twice:
            raise ValueError(f'"{twice[0]}" names two lines of one side; give each line a name of its own')
        steps = [step.name for step in self.step]
        for item in (*self.material, *self.bought):
            if item.enters_at and item.enters_at not in steps:
                raise ValueError(
                    f'"{item.name}".enters_at = "{item.enters_at}" names no step; steps are {", ".join(steps)}'
                )
        return self


class CostRates(Part):
    """Overheads, the same for both sides."""

    material_overhead: float = q("-", "on material", at_least=0, shown="%")
    administration_sales: float = q("-", "on manufacturing cost", at_least=0, shown="%")
    margin: float = q("-", "on self cost", 0.0, at_least=0, shown="%")
    source: str = EMPTY


class WorthOfWeight(Part):
    """What a saved kilogram is worth, and who says so."""

    low: float = q("EUR/kg", "lower end", at_least=0)
    mid: float = q("EUR/kg", "middle", at_least=0)
    high: float = q("EUR/kg", "upper end", at_least=0)
    source: str = EMPTY
    confirmed_by: str = Field(EMPTY, description="customer who confirmed it; empty = an assumption")
    confirmed_on: Day | None = None

    @model_validator(mode="after")
    def _ordered(self) -> WorthOfWeight:
        if not self.low <= self.mid <= self.high:
            raise ValueError(f"low = {self.low}, mid = {self.mid}, high = {self.high} EUR/kg must rise; order them")
        return self


class Lever(Part):
    """One change whose effect is shown: a line by its name, or "volume"."""

    name: str = Field(min_length=1)
    line: str = Field(min_length=1, description='name of a line of either side, or "volume"')
    change: float = q("-", "relative change", above=-1, shown="%")


class FootprintLine(Part):
    """One material or process of manufacture or end of life, the same factor for both parts."""

    name: str = Field(min_length=1)
    stage: Literal["manufacture", "end of life"] = "manufacture"
    reference_mass: float = q("kg", "mass in the reference part", at_least=0, shown="g")
    variant_mass: float = q("kg", "mass in the variant", at_least=0, shown="g")
    factor: Band = q("-", "kg CO2e per kg; negative for a credit")
    source: str = Field(min_length=1)
    year: int = Field(ge=1990, le=2100)


class FuelUse(Part):
    """The saved mass becomes less fuel."""

    kind: Literal["fuel"]
    distance: Band = q("km", "distance on road over the life")
    fuel_rate: Band = q("l/(100 km·t)", "fuel per 100 km and t of mass")
    emission: Band = q("kg/l", "CO2e per litre, well to wheel")
    rolling_resistance: float = q("-", "rolling resistance, for the check by physics", above=0)
    drive_efficiency: float = q("-", "efficiency of the drive, for the check by physics", above=0, at_most=1)
    fuel_energy: float = q("MJ/l", "energy of a litre, for the check by physics", above=0)
    source: str = EMPTY


class PayloadUse(Part):
    """The saved mass becomes payload: fewer trips, the same fuel per km."""

    kind: Literal["payload"]
    distance: Band = q("km", "distance on road over the life")
    limited_share: Band = q("-", "share of the distance on which weight limits the payload", shown="%")
    emission: Band = q("kg/(t·km)", "CO2e of transport per t and km")
    source: str = EMPTY


class NoUse(Part):
    """No benefit in use is claimed."""

    kind: Literal["none"]


UsePhase = Annotated[FuelUse | PayloadUse | NoUse, Field(discriminator="kind")]


class Footprint(Part):
    """Partial balance of the greenhouse effect, reference less variant."""

    functional_unit: str = Field(min_length=1)
    boundary: str = Field(min_length=1)
    line: list[FootprintLine] = Field(min_length=1)
    use: UsePhase


class Cost(Record):
    """cost.toml."""

    id: Literal["cost"] = "cost"
    years: int = Field(ge=1, description="years of production")
    interest: float = q("-", "interest per year", at_least=0, below=1, shown="%")
    learning_model: Literal["unit_time", "cumulative_average"] = "unit_time"
    rates: CostRates
    worth: WorthOfWeight
    reference: CostSide
    variant: CostSide
    lever: list[Lever] = Field(default_factory=list)
    footprint: Footprint | None = None

    @model_validator(mode="after")
    def _levers(self) -> Cost:
        names = {line.name for side in (self.reference, self.variant) for line in side.lines} | {"volume"}
        for lever in self.lever:
            if lever.line not in names:
                raise ValueError(f'lever "{lever.name}".line = "{lever.line}" names no line; name one, or "volume"')
        return self
