"""Evidence: what was planned, tested, inspected or certified, with its specimens, files, conditions and result."""

from __future__ import annotations

import math
from typing import Any, Literal, get_args

from pydantic import Field, model_validator

from dossier.records.base import EMPTY, Day, Part, Record, Unit, q
from dossier.records.calculation import Result, Serves
from dossier.records.reading_settings import (
    DurabilityReading,
    DynamicReading,
    LoadHistoryReading,
    PressReading,
    Stiffness,
    Zero,
)
from dossier.records.requirement import Agreement
from dossier.records.signs import SignAnswer, SignLimits, SimulatedRates

Way = Literal["analysis", "test", "inspection", "demonstration"]
ItemState = Literal["planned", "running", "finished", "aborted", "invalid"]
Quantity = Literal[
    "radial", "axial", "torsional", "conical", "dynamic", "durability", "load_history", "press_in", "push_out", "single",
    "adhesion", "life", "capability", "staircase", "sn_line", "yes_no",
]
# Where a bond failed: in the rubber, rubber-cement, cement-primer, primer-metal (ISO 813 and ISO 814, from memory).
FAILURE_CODES = ("R", "RC", "CP", "M")
# What failed, from benign to severe; codes of the bond as ISO 813 and ISO 814 use them, from memory.
Mode = Literal["", "none", "rubber", "slip", "bond RC", "bond CP", "bond M", "metal crack", "metal break"]
MODES: tuple[str, ...] = get_args(Mode)
Digest = str


class Sample(Part):
    """One specimen in this item: its file, or its value in the item's unit, or a yes or no."""

    specimen: str
    run: int = Field(1, ge=1, description="1 is the first run; a repetition keeps the runs before it")
    file: Digest = Field(EMPTY, pattern=r"^([0-9a-f]{64})?$", description="SHA-256 of the raw file")
    file_name: str = EMPTY
    imported_by: str = EMPTY
    value: float | None = None
    passed: bool | None = None
    survived: bool | None = Field(None, description="true where the value is a load or life it was stopped at without failure")
    load: float | None = Field(None, gt=0, description="load level of an S–N test, in the item's statistics.load_unit")
    shape_sha256: Digest = Field(EMPTY, pattern=r"^([0-9a-f]{64})?$",
                                 description="shape that was analysed, where the sample is no part")  # fmt: skip
    left_out: str = Field(EMPTY, description="why this sample does not count; it stays visible")
    shares: dict[str, float] | None = Field(None, description="adhesion: share of the area that failed by R, RC, CP, M; sum 1")
    mode: Mode = Field("", description="what failed: none, rubber, slip, bond (rubber-cement RC, cement-primer CP, "
                       "primer-metal M), metal crack, metal break")
    observation: str = Field(EMPTY, description="crack, slip, failure code, what was seen")

    @model_validator(mode="after")
    def _whole_area(self) -> Sample:
        if self.shares is None:
            return self
        unknown = [code for code in self.shares if code not in FAILURE_CODES]
        total = math.fsum(self.shares.values())
        if unknown:
            raise ValueError(f"shares: {unknown[0]} is no failure code; use {', '.join(FAILURE_CODES)}")
        if min(self.shares.values(), default=0.0) < 0 or abs(total - 1.0) > 1e-6:
            raise ValueError(f"shares add up to {100 * total:.6g} %, must be 100 % and none below 0; correct them")
        return self


class EquivalenceMargin(Part):
    """Margin of the ratio variant / reference, agreed before the first measurement.

    Without an upper end it is a least ratio (non-inferiority), for a quantity that must not fall.
    """

    low: float = q("-", "lower end of the ratio", above=0)
    high: float | None = q("-", "upper end of the ratio; none where more is as good", None, above=0)
    agreed: Agreement

    @model_validator(mode="after")
    def _around_one(self) -> EquivalenceMargin:
        if self.high is not None and not self.low < 1 < self.high:
            raise ValueError(f"low = {self.low} and high = {self.high} must lie on both sides of 1; correct them")
        return self

    def holds(self, low: float, high: float) -> bool:
        """Whether an interval lies inside."""
        return self.low <= low and (self.high is None or high <= self.high)

    @property
    def words(self) -> str:
        """ "0.9 .. 1.1", "at least 0.9"."""
        return f"at least {self.low:g}" if self.high is None else f"{self.low:g} .. {self.high:g}"


class Contribution(Part):
    """One line of the uncertainty budget. Systematic ones are the same for every part and cancel in a ratio on one rig.

    It comes from a number, the calibration of a channel, the step of a display, or the temperature of the part.
    Repeatability is the scatter of one part measured again: between several parts it is in their scatter already.
    """

    cause: str
    kind: Literal["", "repeatability"] = Field("", description="repeatability: in the scatter of several parts already")
    relative: float | None = q("-", "standard uncertainty, relative", None, at_least=0, shown="%")
    channel: str = Field(EMPTY, description='calibrated channel that gives it instead, such as "Q-001.force"')
    step: float | None = q("-", "step of the display in the item's unit, of single values", None, above=0)
    per_kelvin: float | None = q("-", "relative change of the value per kelvin", None)
    kelvin: float = q("-", "half width of the part's temperature in K", 0.0, at_least=0)
    at: float = q("°C", "temperature the value is stated for", 23.0)
    systematic: bool = True
    source: str = EMPTY

    @model_validator(mode="after")
    def _one_origin(self) -> Contribution:
        shown = "missing" if self.relative is None else f"{self.relative}"
        given = (self.relative is not None, bool(self.channel), self.step is not None, self.per_kelvin is not None)
        if sum(given) != 1:
            told = f'relative = {shown}, channel = "{self.channel}", step = {self.step}, per_kelvin = {self.per_kelvin}'
            raise ValueError(f"{told}: give one of the four")
        return self


class Statistics(Part):
    """How lives, a series or a staircase are judged; lives and limits in the item's unit."""

    confidence: float = q("-", "confidence of the one-sided bound", 0.90, at_least=0.5, below=1, shown="%")
    share: float | None = q(
        "-", "share of parts that may lie beyond; empty: 10 % (B10), for a series 5 %", None, above=0, below=1, shown="%"
    )
    load: float | None = Field(None, gt=0, description="load at which the life of an S–N line is asked for")
    load_unit: Unit = Field("kN", description="unit of the loads of an S–N test")
    required: float | None = Field(None, gt=0, description="life or load that every part is asked to reach")
    slope_low: float | None = q("-", "low bound of the Weibull shape, for tests without failure that ran longer", None, above=0)
    slope_high: float | None = q("-", "high bound of the Weibull shape, for tests that ran shorter", None, above=0)
    slope_source: str = Field(EMPTY, description="where the bounds of the shape come from")
    lower: float | None = Field(None, description="lower limit of the series")
    upper: float | None = Field(None, description="upper limit of the series")

    @model_validator(mode="after")
    def _ordered(self) -> Statistics:
        for low, high in (("slope_low", "slope_high"), ("lower", "upper")):
            least, most = getattr(self, low), getattr(self, high)
            if least is not None and most is not None and not least < most:
                raise ValueError(f"{high} = {most} must exceed {low} = {least}; swap the two")
        if self.slope_high is not None and self.slope_low is None:
            raise ValueError(f"slope_high = {self.slope_high} needs slope_low; state both bounds of the shape")
        return self


class CarryOver(Part):
    """Why a result holds for a later shape of a design than the parts had; it ends when the shape changes again."""

    design: str = Field(min_length=1)
    drawing_index: str = Field(EMPTY, description="drawing index it carries over to")
    shape_sha256: Digest = Field(pattern=r"^[0-9a-f]{64}$", description="shape it carries over to")
    reason: str = Field(min_length=1)
    by: str = Field(min_length=1)
    on: Day


class EvidenceItem(Record):
    """evidence/<id>.toml."""

    title: str = Field(min_length=1)
    way: Way
    quantity: Quantity = "single"
    unit: Unit = Field("-", description="unit of single values")
    state: ItemState = "planned"
    reason: str = Field(EMPTY, description="why aborted or invalid")
    serves: list[Serves] = Field(default_factory=list)
    variant: str = EMPTY
    reference: str = EMPTY
    scheme: str = EMPTY
    equipment: list[str] = Field(default_factory=list)
    planned_variant: int = Field(0, ge=0)
    planned_reference: int = Field(0, ge=0)
    procedure: str = EMPTY
    standards: list[str] = Field(default_factory=list)
    started_on: Day | None = None
    done_on: Day | None = None
    operator: str = EMPTY
    temperature: float | None = q("°C", "temperature of the specimens", None)
    conditioning: float | None = q("s", "time at test temperature before the test", None, at_least=0, shown="h")
    rest: float | None = q("s", "rest since the last test of the same specimens", None, at_least=0, shown="h")
    order: str = Field(EMPTY, description="order of the specimens, how it was drawn")
    margin: EquivalenceMargin | None = None
    statistics: Statistics | None = None
    batch_scatter: str = Field(EMPTY, description="accepted assumption that gives the scatter between compound batches, "
                               "relative, where variant and reference part are of other batches")  # fmt: skip
    expected_scatter: float | None = q("-", "expected standard deviation of single parts, relative; for the power",
                                       None, above=0, shown="%")  # fmt: skip
    budget: list[Contribution] = Field(default_factory=list)
    repeats: str = Field(EMPTY, description="evidence item that this one repeats")
    lives_from: list[str] = Field(default_factory=list, description="endurance items whose lives an item of lives takes, with "
                                  "what was stopped before its end")  # fmt: skip
    related_to: str = Field(EMPTY, description="static item of the same specimens a dynamic stiffness is related to")
    documents: list[str] = Field(default_factory=list)
    samples: list[Sample] = Field(default_factory=list)
    deviations: str = EMPTY
    carries_over: list[CarryOver] = Field(default_factory=list)
    sign_answers: list[SignAnswer] = Field(default_factory=list)
    statement: str = Field(EMPTY, description="what an external report or certificate states, in our words")
    result: Result | None = None

    @property
    def raw_sha256(self) -> list[str]:
        """Raw files this item names."""
        return [sample.file for sample in self.samples if sample.file]

    @model_validator(mode="after")
    def _told(self) -> EvidenceItem:
        if self.state in ("aborted", "invalid") and not self.reason:
            raise ValueError(f"state = {self.state} needs a reason; a started test is never deleted")
        if self.started_on and self.done_on and self.done_on < self.started_on:
            raise ValueError(f"done_on = {self.done_on} lies before started_on = {self.started_on}; correct one")
        runs = [(sample.specimen, sample.run) for sample in self.samples]
        twice = sorted({run for run in runs if runs.count(run) > 1})
        if twice:
            raise ValueError(f"specimen {twice[0][0]} has run {twice[0][1]} twice; number a repetition as the next run")
        return self


class Specimen(Record):
    """One part or test piece, with what its result may depend on."""

    design: str = Field(min_length=1)
    drawing_index: str = EMPTY
    shape_sha256: Digest = Field(EMPTY, pattern=r"^([0-9a-f]{64})?$",
                                 description="dimensions and materials of the design when the part was registered")  # fmt: skip
    batch: str = Field(EMPTY, description="compound batch")
    cured_on: Day | None = None
    steel_heat: str = EMPTY
    ring_heat: str = EMPTY
    pressed_in: str = Field(EMPTY, description="press-in protocol")
    storage: str = EMPTY
    origin: Literal["series tool", "prototype tool", "hand made", "from series"] = "prototype tool"


class Channel(Part):
    """One measuring channel with its calibration."""

    quantity: Literal["force", "displacement", "torque", "angle", "temperature", "mass", "length", "hardness"]
    unit: Unit = Field(description="unit of its readings, such as kN or mm")
    low: float = Field(description="lower end of the calibrated range")
    high: float = Field(description="upper end of the calibrated range")
    uncertainty: float = q("-", "expanded uncertainty, relative to the value (k = 2)", 0.0, at_least=0, at_most=0.2, shown="%")
    classification: str = EMPTY
    certificate: str = EMPTY
    calibrated_on: Day = Field(description="day of the calibration, such as 2026-05-10")
    valid_until: Day = Field(description="last day on which it is valid")

    @model_validator(mode="after")
    def _ordered(self) -> Channel:
        if self.high <= self.low:
            raise ValueError(f"high = {self.high} must exceed low = {self.low}; swap the two")
        if self.valid_until <= self.calibrated_on:
            raise ValueError(f"valid_until = {self.valid_until} must lie after calibrated_on = {self.calibrated_on}")
        return self


class Equipment(Record):
    """A testing machine, scale or gauge."""

    title: str = Field(min_length=1)
    serial: str = EMPTY
    place: str = EMPTY
    channel: list[Channel] = Field(default_factory=list)


class SchemeRecord(Record):
    """reading_schemes.toml: how the files of one machine are read and evaluated."""

    title: str = Field(min_length=1)
    reading: dict[str, Any] = Field(description="form of the file and its columns, as the import found or was told")
    between: Literal["load", "travel"] = "load"
    low: float | None = Field(None, description="lower end of the evaluated range of a static curve, in N, mm, N·mm or °")
    high: float | None = Field(None, description="upper end of the evaluated range")
    cycle: int = Field(4, ge=1, description="cycle whose loading branch is evaluated")
    last_cycle: int | None = Field(None, ge=2, description="last of the cycles whose mean is taken; only cycle if empty")
    stiffness: Stiffness = "secant"
    tangent_at: float | None = Field(None, description="load of a tangent, in N or N·mm")
    zero: Zero = Field("start", description="start: median of the first five rows; loop: travel from the middle of the loop at "
                       "zero load; none: as recorded")  # fmt: skip
    fixture_compliance: float = Field(0.0, ge=0, description="mm/N or °/(N·mm), from a blank test")
    fixture_source: str = EMPTY
    dynamic: DynamicReading | None = None
    durability: DurabilityReading | None = None
    load_history: LoadHistoryReading | None = None
    press: PressReading | None = None
    signs: SignLimits | None = Field(None, description="where signs of trouble begin, the product's own limits if empty")
    sign_rates: SimulatedRates | None = Field(None, description="how often the search for signs errs, simulated")

    @model_validator(mode="after")
    def _ordered(self) -> SchemeRecord:
        if (self.low is None) != (self.high is None):
            missing = "low" if self.low is None else "high"
            raise ValueError(f"{missing} is missing; a range needs both ends")
        if self.low is not None and self.high is not None and self.high <= self.low:
            raise ValueError(f"high = {self.high} must exceed low = {self.low}; swap the two")
        if self.last_cycle is not None and self.last_cycle <= self.cycle:
            raise ValueError(f"last_cycle = {self.last_cycle} must come after cycle = {self.cycle}; correct one, or leave it out")
        if (self.stiffness == "tangent") != (self.tangent_at is not None):
            told = f"stiffness = {self.stiffness}, tangent_at = {self.tangent_at}"
            raise ValueError(f"{told}: a tangent, and only it, needs its load; state or clear tangent_at")
        ends = [value for value in (self.low, self.tangent_at, self.high) if value is not None]
        if self.between == "load" and len(ends) == 3 and ends != sorted(ends):
            raise ValueError(f"tangent_at = {self.tangent_at} lies outside {self.low} .. {self.high}; choose a load inside")
        return self

    @property
    def window(self) -> tuple[float, float]:
        """Both ends of the evaluated range. Raises ValueError where the scheme is not for static curves."""
        if self.low is None or self.high is None:
            raise ValueError(f"{self.id}.low and {self.id}.high are empty; a static evaluation needs both ends of its range")
        return self.low, self.high


class Document(Record):
    """documents.toml: a drawing, certificate, photo, quote, minutes or report with its file."""

    title: str = Field(min_length=1)
    kind: Literal["drawing", "certificate", "photo", "quote", "minutes", "report", "specification", "other"]
    index: str = EMPTY
    on: Day | None = None
    by: str = EMPTY
    file: Digest = Field(EMPTY, pattern=r"^([0-9a-f]{64})?$")
    file_name: str = EMPTY

    @property
    def raw_sha256(self) -> list[str]:
        """The raw file this record names."""
        return [self.file] if self.file else []


class Caution(Record):
    """cautions.toml: one caution of the release document, with its numbers from records."""

    signal: Literal["DANGER", "WARNING", "CAUTION", "NOTICE", "LIMITS", "DISPOSAL"]
    title: str = Field(min_length=1)
    text: str = Field(min_length=1)
    numbers: dict[str, str] = Field(default_factory=dict, description="placeholder → record and value it is taken from")
    applies: bool = True
    reviewed_by: str = EMPTY
    reviewed_on: Day | None = None
