"""What is known about the form of a measured file, and the scheme by which files of a machine are read."""

from __future__ import annotations

from dataclasses import MISSING, asdict, dataclass, fields

from dossier.evidence.channels import STORED, factor

ZEROS = ("as written", "start")


@dataclass(frozen=True)
class Column:
    """One column of a file: number from 1, name and unit as written ("" if none), whether it holds numbers,
    and the channel it probably is ("" if unknown)."""

    number: int
    name: str
    unit: str
    numeric: bool
    channel: str

    @property
    def label(self) -> str:
        """The name, or "column 3" where there is none."""
        return self.name or f"column {self.number}"


@dataclass(frozen=True)
class FileForm:
    """What sniffing found: size in bytes, number of rows, the form of the text and of the table, rows as
    text.

    `names_line` and `units_line` count from 1, 0 = none; `confidence` is "certain", "likely" or "guess" and
    `doubts` say why. `rows_estimated`: the rows of a file over 32 MB are not counted but estimated from places
    spread over it.
    """

    file: str
    size: int
    rows: int
    encoding: str
    delimiter: str
    decimal: str
    header_lines: int
    footer_lines: int
    names_line: int
    units_line: int
    trailing_delimiter: bool
    columns: tuple[Column, ...]
    header: tuple[str, ...]
    preview: tuple[tuple[str, ...], ...]
    confidence: str
    doubts: tuple[str, ...]
    thousands: bool = False
    rows_estimated: bool = False


@dataclass(frozen=True)
class ChannelReading:
    """How one channel is read: column number from 1 and its name ("" = by number only), unit as written, sign
    ±1, and zero: "as written" or "start" (the median of the first five rows is subtracted), then `shift` in
    the written unit."""

    channel: str
    column: int
    name: str
    unit: str
    sign: int = 1
    zero: str = "as written"
    shift: float = 0.0

    def __post_init__(self) -> None:
        if self.channel not in STORED:
            raise ValueError(f'channel "{self.channel}" is not known; choose one of {", ".join(STORED)}')
        if self.column < 1:
            raise ValueError(f"{self.channel}.column = {self.column} must be 1 or more; columns count from 1")
        if self.sign not in (1, -1):
            raise ValueError(f"{self.channel}.sign = {self.sign} must be 1 or -1")
        if self.zero not in ZEROS:
            raise ValueError(f'{self.channel}.zero = "{self.zero}" must be one of {", ".join(ZEROS)}')
        try:
            factor(self.unit, self.channel)
        except ValueError as error:
            raise ValueError(f"{self.channel}.unit: {error}") from None


@dataclass(frozen=True)
class ReadingScheme:
    """How the files of one machine are read, and which cycle of them is evaluated.

    The table is found by its names line; without one (`names_line` 0) by the number of header lines.
    """

    encoding: str
    delimiter: str
    decimal: str
    header_lines: int
    footer_lines: int
    names_line: int
    units_line: int
    trailing_delimiter: bool
    fields: int
    channels: tuple[ChannelReading, ...]
    cycle: int = 4
    thousands: bool = False

    def __post_init__(self) -> None:
        if not self.channels:
            raise ValueError(
                "channels must name at least one column; map one to the load and one to the travel"
            )
        names = [reading.channel for reading in self.channels]
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice:
            raise ValueError(f'channel "{twice}" is read from two columns; keep one')
        wide = next((reading for reading in self.channels if reading.column > self.fields), None)
        if wide:
            raise ValueError(f"{wide.channel}.column = {wide.column} must not exceed fields = {self.fields}")
        if self.decimal not in (",", "."):
            raise ValueError(f'decimal = "{self.decimal}" must be "," or "."')
        if len(self.delimiter) != 1 or not self.delimiter.isascii():
            raise ValueError(
                f'delimiter = "{self.delimiter}" must be one character; " " stands for any blanks'
            )
        if self.cycle < 1:
            raise ValueError(f"cycle = {self.cycle} must be 1 or more; cycles count from 1")

    def to_dict(self) -> dict:
        """Plain numbers, texts, lists and dicts, as a record stores them."""
        plain = asdict(self)
        plain["channels"] = [dict(reading) for reading in plain["channels"]]
        return plain

    @classmethod
    def from_dict(cls, plain: dict) -> ReadingScheme:
        """The scheme from what `to_dict` gave; ValueError names an unknown or missing field."""
        known = _checked(cls, plain, "reading scheme")
        readings = tuple(
            ChannelReading(**_checked(ChannelReading, entry, f"channels[{place}]"))
            for place, entry in enumerate(plain["channels"])
        )
        return cls(**{**known, "channels": readings})

    @classmethod
    def from_form(
        cls, form: FileForm, channels: tuple[ChannelReading, ...] = (), cycle: int = 4
    ) -> ReadingScheme:
        """The scheme that reads files of this form; without `channels` the guessed ones that have a unit."""
        counted = any(column.channel == "stiffness" for column in form.columns)
        guessed = tuple(
            ChannelReading(column.channel, column.number, column.name, column.unit)
            for column in form.columns
            if column.channel and (column.unit or counted and column.channel == "cycles")
        )
        return cls(
            form.encoding, form.delimiter, form.decimal, form.header_lines, form.footer_lines, form.names_line,
            form.units_line, form.trailing_delimiter, len(form.columns), channels or guessed, cycle,
            form.thousands,
        )  # fmt: skip


def _checked(cls: type, plain: dict, name: str) -> dict:
    known = {entry.name for entry in fields(cls)}
    unknown = sorted(set(plain) - known)
    if unknown:
        raise ValueError(
            f"{name} has an unknown field: {', '.join(unknown)}; known are {', '.join(sorted(known))}"
        )
    required = {entry.name for entry in fields(cls) if entry.default is MISSING}
    missing = sorted(required - set(plain))
    if missing:
        raise ValueError(f"{name} lacks {', '.join(missing)}")
    return dict(plain)
