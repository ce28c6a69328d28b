"""Surcharge calculation of one piece: materials, chained process steps, tools, overheads.

Money in EUR, masses in kg, times in s, rates in EUR/h, shares without unit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import prod


@dataclass(frozen=True)
class Material:
    """Material of one piece by gross mass, with what the chips bring back; enters before step number `enters`."""

    name: str
    gross_mass: float
    price: float
    chip_mass: float = 0.0
    chip_price: float = 0.0
    enters: int = 0

    @property
    def cost(self) -> float:
        """EUR per piece before overhead and scrap."""
        return self.gross_mass * self.price - self.chip_mass * self.chip_price


@dataclass(frozen=True)
class Bought:
    """A part bought by the piece."""

    name: str
    price: float
    count: float = 1.0
    enters: int = 0

    @property
    def cost(self) -> float:
        """EUR per piece before overhead and scrap."""
        return self.price * self.count


@dataclass(frozen=True)
class Step:
    """A process step; `good_share` of the pieces that enter leave it good. `outside` is work bought per piece."""

    name: str
    cycle_time: float = 0.0
    setup_time: float = 0.0
    lot: float = 1.0
    machine_rate: float = 0.0
    labour_rate: float = 0.0
    operators: float = 0.0
    outside: float = 0.0
    good_share: float = 1.0

    @property
    def process(self) -> float:
        """EUR per piece that enters: share of the set-up and the cycle at machine and labour rate."""
        time = self.setup_time / self.lot + self.cycle_time
        return time / 3600 * (self.machine_rate + self.labour_rate * self.operators)

    @property
    def cost(self) -> float:
        """EUR per piece that enters, bought work included."""
        return self.process + self.outside


@dataclass(frozen=True)
class OneOff:
    """A tool, device, development, test or approval, counted per piece or once, never both."""

    name: str
    amount: float
    per_piece: bool
    tool: bool = True
    life: float | None = None

    def share(self, volume: float) -> float:
        """EUR per piece: spread over the whole volume, or over a tool's life if that is less."""
        if not self.per_piece:
            return 0.0
        return self.amount / (volume if self.life is None else min(volume, self.life))


@dataclass(frozen=True)
class Rates:
    """Overheads as shares of what they are laid on."""

    material_overhead: float = 0.0
    administration_sales: float = 0.0
    margin: float = 0.0


@dataclass(frozen=True)
class Plan:
    """All that one part costs. `volume` is the number of pieces over the whole life."""

    volume: float
    materials: Sequence[Material] = ()
    bought: Sequence[Bought] = ()
    steps: Sequence[Step] = ()
    one_offs: Sequence[OneOff] = ()
    packaging: float = 0.0
    freight: float = 0.0
    rates: Rates = field(default_factory=Rates)


@dataclass(frozen=True)
class PieceCost:
    """Cost of one good piece in EUR, line by line."""

    material: float
    material_overhead: float
    process: float
    outside: float
    scrap: float
    tooling: float
    administration_sales: float
    development: float
    margin: float
    packaging_freight: float

    @property
    def manufacturing(self) -> float:
        """Material, processes, bought work, scrap and tools counted per piece."""
        return self.material + self.material_overhead + self.process + self.outside + self.scrap + self.tooling

    @property
    def self_cost(self) -> float:
        """Manufacturing, administration and sales, and development counted per piece."""
        return self.manufacturing + self.administration_sales + self.development

    @property
    def price(self) -> float:
        """Self cost with margin, packaging and freight."""
        return self.self_cost + self.margin + self.packaging_freight


def chained(entering: Sequence[float], steps: Sequence[Step]) -> float:
    """Cost in EUR of a good piece after the last step.

    After step k: (cost before + what enters at k + step k) / good share of k; yields multiply, they never add.
    """
    cost = 0.0
    for number, step in enumerate(steps):
        cost = (cost + entering[number] + step.cost) / step.good_share
    return cost


def scrap_share(steps: Sequence[Step]) -> float:
    """Share of the pieces started that do not leave the last step good."""
    return 1 - prod(step.good_share for step in steps)


def piece_cost(plan: Plan) -> PieceCost:
    """Cost of one good piece. Raises ValueError when nothing is made or an item enters at no step."""
    if not plan.steps:
        raise ValueError("step is empty; give at least one process step, materials enter there")
    if plan.volume <= 0:
        raise ValueError(f"volume = {plan.volume:g} must exceed 0; give annual volume and years")
    overhead = plan.rates.material_overhead
    entering = [0.0] * len(plan.steps)
    for item in (*plan.materials, *plan.bought):
        if not 0 <= item.enters < len(plan.steps):
            raise ValueError(f"{item.name} enters at step {item.enters + 1} of {len(plan.steps)}; name an existing step")
        entering[item.enters] += item.cost * (1 + overhead)
    material = sum(item.cost for item in (*plan.materials, *plan.bought))
    process = sum(step.process for step in plan.steps)
    outside = sum(step.outside for step in plan.steps)
    good = chained(entering, plan.steps)
    tooling = sum(one.share(plan.volume) for one in plan.one_offs if one.tool)
    development = sum(one.share(plan.volume) for one in plan.one_offs if not one.tool)
    administration = (good + tooling) * plan.rates.administration_sales
    return PieceCost(
        material=material,
        material_overhead=material * overhead,
        process=process,
        outside=outside,
        scrap=good - material * (1 + overhead) - process - outside,
        tooling=tooling,
        administration_sales=administration,
        development=development,
        margin=(good + tooling + administration + development) * plan.rates.margin,
        packaging_freight=plan.packaging + plan.freight,
    )


def paid_once(plan: Plan) -> float:
    """One-off cost in EUR that is not in the piece cost."""
    return sum(one.amount for one in plan.one_offs if not one.per_piece)
