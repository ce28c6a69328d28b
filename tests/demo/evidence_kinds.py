"""What the invented demo says of one evidence item: curves, single values, passed or not."""

from __future__ import annotations

from dataclasses import dataclass

DAY = 86400.0


@dataclass(frozen=True)
class Curves:
    """Stiffness of both parts in one direction: target of the variant and scatter, in the unit of the limit."""

    id: str
    title: str
    quantity: str
    requirement: str
    ratio: str
    variant: float
    reference: float
    scatter: float
    scheme: str
    day: str


@dataclass(frozen=True)
class Item:
    """What single values and passed-or-not items share.

    `begun` is the day the parts went into oven, bath or rig; `destroys` says that no test follows on these parts;
    `remains_of` names the items whose finished parts are looked at; `statement` is what an outside report states.
    """

    id: str
    title: str
    way: str
    requirement: str
    parts: tuple[str, ...]
    begun: str
    done: str
    procedure: str
    equipment: str = "Q-004"
    temperature: float = 23.0
    conditioning: float = DAY
    destroys: bool = False
    remains_of: tuple[str, ...] = ()
    documents: tuple[str, ...] = ()
    state: str = "finished"
    planned: int = 0
    reason: str = ""
    observations: tuple[str, ...] = ()
    operator: str = "T. Lindqvist"
    statement: str = ""
    repeats: str = ""


@dataclass(frozen=True)
class Values(Item):
    """Single values on named parts. `u` is the relative standard uncertainty of the measurement, `further` others with cause
    and source; `survived` says that the parts held a load or life and did not fail at it."""

    unit: str = "-"
    values: tuple[float, ...] = ()
    u: float = 0.0
    further: tuple[tuple[str, float, str], ...] = ()
    survived: bool = False


@dataclass(frozen=True)
class YesNo(Item):
    """Passed or not, on named parts."""


@dataclass(frozen=True)
class Recorded(Item):
    """Records of harmonic or endurance tests: kind, reading scheme with its settings, further requirements with the value that
    serves them, the reference parts beside, the static item it is related to, the item whose files it reads."""

    quantity: str = "dynamic"
    scheme: str = ""
    scheme_title: str = ""
    settings: tuple[str, ...] = ()
    serves: tuple[tuple[str, str], ...] = ()
    reference: tuple[str, ...] = ()
    related_to: str = ""
    files_of: str = ""
    u: float = 0.0
