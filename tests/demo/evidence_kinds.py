"""What the invented demo says of one evidence item: curves, single values, passed or not."""

from __future__ import annotations

from dataclasses import dataclass

DAY = 86400.0


@dataclass(frozen=True)
class Curves:
    """Stiffness of both parts in one direction: target of the variant and scatter, in the unit of the limit.

    `loose` is the part whose first run had a play of `play` in the fixture (mm), for which it was left out and repeated;
    `begun` is the first day of the series, where it took more than one.
    """

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
    begun: str = ""
    loose: str = ""
    play: float = 0.0
    left_out: str = ""


@dataclass(frozen=True)
class Item:
    """What single values and passed-or-not items share.

    `begun` is the day the parts went into oven, bath or rig; `destroys` says that no test follows on these parts;
    `remains_of` names the items whose finished parts are looked at; `statement` is what an outside report states;
    `reference` are the reference parts beside; `modes` say what failed, once for all parts or for each, `reference_mode` what
    failed on every reference part.
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
    reference: tuple[str, ...] = ()
    modes: tuple[str, ...] = ()
    reference_mode: str = ""


@dataclass(frozen=True)
class Values(Item):
    """Single values on named parts. `u` is the relative standard uncertainty of the measurement, `further` others with cause
    and source; `survived` says that the parts held a load or life and did not fail at it; `least_ratio` is the agreed low
    end of the ratio to the reference parts; `statistics` make the values lives."""

    unit: str = "-"
    values: tuple[float, ...] = ()
    u: float = 0.0
    further: tuple[tuple[str, float, str], ...] = ()
    survived: bool = False
    reference_values: tuple[float, ...] = ()
    least_ratio: float | None = None
    statistics: tuple[tuple[str, float | str], ...] = ()


@dataclass(frozen=True)
class Shares(Item):
    """Shares of the area that failed by each code in %, on named parts of the variant and of the reference part; `u` as of
    `Values`, of the areas read."""

    shares: tuple[dict[str, int], ...] = ()
    reference_shares: tuple[dict[str, int], ...] = ()
    u: float = 0.0


@dataclass(frozen=True)
class YesNo(Item):
    """Passed or not, on named parts."""


@dataclass(frozen=True)
class Recorded(Item):
    """Records of harmonic, endurance or press tests: kind, reading scheme with its settings, further requirements with the value
    that serves them, the static item it is related to, the item whose files it reads; `forces` in kN of pressed parts."""

    quantity: str = "dynamic"
    scheme: str = ""
    scheme_title: str = ""
    settings: tuple[str, ...] = ()
    serves: tuple[tuple[str, str], ...] = ()
    related_to: str = ""
    files_of: str = ""
    forces: tuple[float, ...] = ()
    u: float = 0.0
