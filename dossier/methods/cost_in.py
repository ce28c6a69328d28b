"""What the cost method reads of cost.toml, and the plain plans of economics made from it."""

from __future__ import annotations

from collections.abc import Mapping

from pydantic import Field

from dossier.economics.learning import average_time, first_time
from dossier.economics.piece import Bought, Material, OneOff, Plan, Rates, Step
from dossier.records.base import Part, q, reduced
from dossier.records.cost import (
    BoughtItem,
    Cost,
    CostBasis,
    CostRates,
    MaterialItem,
    OneOffItem,
    ProcessStep,
    WorthOfWeight,
)

UNREAD = ("origin", "source", "valid_until", "remark")  # of a line of the cost sheet: they decide no amount

MaterialIn = reduced(MaterialItem, *UNREAD)
BoughtIn = reduced(BoughtItem, *UNREAD)
StepIn = reduced(ProcessStep, *UNREAD)
OneOffIn = reduced(OneOffItem, *UNREAD)
BasisIn = reduced(CostBasis, currency=str)
RatesIn = reduced(CostRates, "source")
WorthIn = reduced(WorthOfWeight, "source", "confirmed_by", "confirmed_on")
Line = MaterialIn | BoughtIn | StepIn | OneOffIn


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
    def lines(self) -> list[Line]:
        """All lines in the order of the sheet."""
        return [*self.material, *self.bought, *self.step, *self.one_off]


class CostIn(reduced(Cost, "id", "remark", "footprint", rates=RatesIn, worth=WorthIn, reference=SideIn, variant=SideIn)):
    """The cost sheet."""


def plan_of(cost: CostIn, side: SideIn, factors: Mapping[str, float] | None = None) -> Plan:
    """The plan of one side; `factors` multiply the amounts of named lines, or the "volume"."""
    factors = factors or {}

    def by(line: Line) -> float:
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
