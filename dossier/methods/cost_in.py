"""What the cost method reads of cost.toml, and the plain plans of economics made from it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from pydantic import Field

from dossier.economics.learning import average_time, first_time
from dossier.economics.piece import Bought, Material, OneOff, Plan, Rates, Step
from dossier.records.base import Part, q


class LineIn(Part):
    """Name, group, uncertainty and date of a line."""

    name: str
    group: str = ""
    uncertainty: float = q("-", "± share of the amount", at_least=0, below=1)
    price_date: str | None = None


class MaterialIn(LineIn):
    """Material by gross mass."""

    gross_mass: float = q("kg", "gross mass per piece", above=0)
    price: float = q("EUR/kg", "price", at_least=0)
    chip_mass: float = q("kg", "chips given back", 0.0, at_least=0)
    chip_price: float = q("EUR/kg", "what the chips bring", 0.0, at_least=0)
    enters_at: str = ""


class BoughtIn(LineIn):
    """A part bought by the piece."""

    price: float = q("EUR", "price per piece bought", at_least=0)
    count: float = q("-", "pieces per joint", 1.0, above=0)
    enters_at: str = ""


class StepIn(LineIn):
    """One step of the routing."""

    setup_time: float = q("s", "set-up per lot", 0.0, at_least=0)
    lot: float = q("1", "pieces per lot", 1.0, at_least=1)
    cycle_time: float = q("s", "time per piece", 0.0, at_least=0)
    machine_rate: float = q("EUR/h", "machine rate", 0.0, at_least=0)
    labour_rate: float = q("EUR/h", "labour rate", 0.0, at_least=0)
    operators: float = q("-", "operators", 0.0, at_least=0)
    outside: float = q("EUR", "work bought per piece", 0.0, at_least=0)
    good_share: float = q("-", "yield", 1.0, above=0, at_most=1)
    learning_rate: float = q("-", "learning rate", 1.0, above=0, at_most=1)
    time_known_at: float = q("1", "piece at which the time was taken", 1.0, at_least=1)


class OneOffIn(LineIn):
    """A tool, development, test or approval."""

    kind: Literal["tool", "development", "test", "approval"]
    amount: float = q("EUR", "amount", at_least=0)
    per_piece: bool = False
    once: bool = False
    life: float | None = q("1", "pieces a tool lasts", None, above=0)


class BasisIn(Part):
    """What both sides must share."""

    currency: str
    price_date: str
    annual_volume: float = q("pcs/a", "pieces per year", above=0)
    plant: str


class SideIn(Part):
    """Reference part or variant."""

    basis: BasisIn
    mass: float = q("kg", "mass of the joint", above=0)
    material: list[MaterialIn] = Field(default_factory=list)
    bought: list[BoughtIn] = Field(default_factory=list)
    step: list[StepIn] = Field(min_length=1)
    one_off: list[OneOffIn] = Field(default_factory=list)
    packaging: float = q("EUR", "packaging", 0.0, at_least=0)
    freight: float = q("EUR", "freight", 0.0, at_least=0)

    @property
    def lines(self) -> list[LineIn]:
        """All lines in the order of the sheet."""
        return [*self.material, *self.bought, *self.step, *self.one_off]


class RatesIn(Part):
    """Overheads."""

    material_overhead: float = q("-", "on material", at_least=0)
    administration_sales: float = q("-", "on manufacturing cost", at_least=0)
    margin: float = q("-", "on self cost", 0.0, at_least=0)


class WorthIn(Part):
    """Worth of a saved kilogram."""

    low: float = q("EUR/kg", "lower end", at_least=0)
    mid: float = q("EUR/kg", "middle", at_least=0)
    high: float = q("EUR/kg", "upper end", at_least=0)


class LeverIn(Part):
    """One change whose effect is shown."""

    name: str
    line: str
    change: float = q("-", "relative change", above=-1)


class CostIn(Part):
    """The cost sheet."""

    years: int = Field(ge=1)
    interest: float = q("-", "interest per year", at_least=0, below=1)
    learning_model: Literal["unit_time", "cumulative_average"] = "unit_time"
    rates: RatesIn
    worth: WorthIn
    reference: SideIn
    variant: SideIn
    lever: list[LeverIn] = Field(default_factory=list)


def plan_of(cost: CostIn, side: SideIn, factors: Mapping[str, float] | None = None) -> Plan:
    """The plan of one side; `factors` multiply the amounts of named lines, or the "volume"."""
    factors = factors or {}

    def by(line: LineIn) -> float:
        return factors.get(line.name, 1.0)

    volume = side.basis.annual_volume * cost.years * factors.get("volume", 1.0)
    steps = [step.name for step in side.step]

    def enters(item: MaterialIn | BoughtIn) -> int:
        return steps.index(item.enters_at) if item.enters_at else 0

    return Plan(
        volume=volume,
        materials=[
            Material(m.name, m.gross_mass, m.price * by(m), m.chip_mass, m.chip_price * by(m), enters(m))
            for m in side.material
        ],
        bought=[Bought(b.name, b.price * by(b), b.count, enters(b)) for b in side.bought],
        steps=[_step(cost, step, volume, by(step)) for step in side.step],
        one_offs=[OneOff(o.name, o.amount * by(o), o.per_piece, o.kind == "tool", o.life) for o in side.one_off],
        packaging=side.packaging,
        freight=side.freight,
        rates=Rates(**cost.rates.model_dump()),
    )


def mean_cycle(cost: CostIn, step: StepIn, volume: float) -> float:
    """Mean time per piece in s over the whole volume, by the learning model of the cost sheet."""
    if step.learning_rate == 1:
        return step.cycle_time
    first = first_time(step.cycle_time, step.time_known_at, step.learning_rate)
    return average_time(first, max(1, round(volume)), step.learning_rate, cost.learning_model)


def _step(cost: CostIn, step: StepIn, volume: float, factor: float) -> Step:
    return Step(
        name=step.name,
        cycle_time=mean_cycle(cost, step, volume),
        setup_time=step.setup_time,
        lot=step.lot,
        machine_rate=step.machine_rate * factor,
        labour_rate=step.labour_rate * factor,
        operators=step.operators,
        outside=step.outside * factor,
        good_share=step.good_share,
    )
