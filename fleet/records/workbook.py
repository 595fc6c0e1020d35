"""What a set of workbooks holds, as it was read."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Literal, NamedTuple

from fleet.records.words import CellAddress


@dataclass(frozen=True, slots=True)
class Tank:
    """One body of water: a tank, or several displays on one sump."""

    id: str  # as written
    key: str  # NFKC, casefolded, outer spaces off: what ids are compared by
    source: CellAddress
    volume_l: float | None = None
    name: str = ""
    place: str = ""
    keeper: str = ""
    group: str = ""
    notes: str = ""
    displays: tuple[str, ...] = ()  # named displays that share the water
    round_order: int | None = None
    livestock: str = ""  # one of parameters.toml [vocabulary] livestock; "" unknown
    rock: str = ""
    rock_kg: float | None = None
    filled_on: date | None = None
    cycled_on: date | None = None
    equipment: tuple[str, ...] = ()
    fish: int | None = None
    feed_g_day: float | None = None
    protein: float | None = None  # share of dry feed
    in_use: bool = True


class Result(NamedTuple):
    """One tested value as written: not yet in the kept unit, no method applied.

    A NamedTuple, as are Reading and Measurement: a report holds hundreds of
    thousands, and a frozen dataclass costs several times as much to make.
    """

    parameter: str  # key in parameters.toml
    written: str  # the writer's own characters
    form: Literal["value", "below", "above", "range", "about", "none seen"]
    number: float  # the value, the limit, or the low end of a range
    upper: float | None  # high end of a range
    unit: str  # unit key in parameters.toml: cell, else header, else default
    method: str  # as written in that row, "" if none
    source: CellAddress


class Reading(NamedTuple):
    """One visit to one tank: a row of the Readings sheet."""

    tank: str  # Tank.key
    taken_on: date
    results: tuple[Result, ...]
    source: CellAddress
    taken_by: str = ""
    looks: tuple[str, ...] = ()  # known look words found
    look_written: str = ""
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Method:
    """What a test method can tell; from the Methods sheet or methods.toml."""

    name: str
    measures: str  # parameter key
    kind: str  # "card", "drops", "meter", "laboratory", "total" (ICP phosphorus)
    lowest: float | None  # smallest amount told from none, kept unit
    step: float | None  # smallest difference told, kept unit
    accuracy: float | None  # +/-, kept unit
    accuracy_share: float | None  # +/- as a share of the value
    highest: float | None
    assumed: bool = False  # a default, since the reading names no known method
    source: CellAddress | None = None
    class_key: str = ""  # key of the class in methods.toml
    unit: str = ""  # unit key its numbers are in; "" the kept unit


@dataclass(frozen=True, slots=True)
class Work:
    """One row of the Work sheet: what was done to a tank."""

    on: date
    tank: str  # Tank.key
    work: str  # vocabulary: dose, water change, media in, ...
    source: CellAddress
    substance: str = ""  # as written
    amount: float | None = None
    unit: str = ""  # "g", "mL", "L", "%" or "g/day"; any other as written
    done_by: str = ""
    notes: str = ""
    salt: str = ""  # key in salts.toml that the substance means
    equipment: str = ""  # word of parameters.toml [vocabulary] equipment it means


@dataclass(frozen=True, slots=True)
class Band:
    """Low and high for a parameter, with second limits where they exist."""

    parameter: str
    low: float | None
    high: float | None
    remark_low: float | None = None  # below: more than a remark
    remark_high: float | None = None  # tolerated up to here
    act_low: float | None = None
    act_high: float | None = None
    aim: float | None = None  # where a dose aims in this stage
    livestock: str = ""
    tank: str = ""  # Tank.key of a workbook row
    stage: str = ""
    basis: str = ""  # "common practice, no source", a citation, or "workbook"
    low_registers: bool = False  # low edge is "registers at all"
    written_at: CellAddress | None = None
    unit: str = ""  # unit key low and high are in; "" the kept unit


@dataclass(frozen=True, slots=True)
class ShelfItem:
    """One substance at hand to dose with."""

    substance: str  # key in salts.toml
    written: str
    purity: float  # share
    on_hand_g: float | None
    stock_g_per_l: float | None
    source: CellAddress | None = None


@dataclass(frozen=True, slots=True)
class Settings:
    """The Settings sheet, with house defaults where it is silent."""

    organisation: str = ""
    contact: str = ""
    logo: str = ""
    paper: str = "A4"
    units: str = "metric"
    round_days: int = 7
    change_water: tuple[tuple[str, float], ...] = ()  # parameter -> value
    default_methods: tuple[tuple[str, str], ...] = ()  # parameter -> method name
    largest_rise_day: tuple[tuple[str, float], ...] = ()  # parameter -> mg/L a day
    largest_water_change: float | None = None  # share; None: limits.toml
    chance_needed: float | None = None  # for a verdict; None: limits.toml
    ph_scale: str = "NBS"
    sg_reference: str = "25/25"
    alkalinity_unit: str = "dKH"  # shown unit


@dataclass(frozen=True, slots=True)
class Problem:
    """Something in the workbook that was not as it should be."""

    kind: str
    where: CellAddress
    value: str  # as written, "" if nothing
    message: str  # what was found and what to do, one line
    effect: Literal["row left out", "value left out", "read as", "note"]
    severity: Literal["error", "warning", "note"]


@dataclass(frozen=True, slots=True)
class SheetCount:
    """Rows of one sheet: every non-blank row is read or left out."""

    file: str
    sheet: str
    rows: int
    read: int
    left_out: int

    def plus(self, other: SheetCount) -> SheetCount:
        """Return the count of both together."""
        rows, read = self.rows + other.rows, self.read + other.read
        left_out = self.left_out + other.left_out
        return replace(self, rows=rows, read=read, left_out=left_out)


@dataclass(frozen=True, slots=True)
class ColumnUse:
    """How one column was understood, for ``fleet check``."""

    file: str
    sheet: str
    column: int
    header: str
    meaning: str  # "nitrate, mg/L", "not used"


@dataclass(frozen=True, slots=True)
class SourceFile:
    """One input file that was read, or could not be."""

    name: str
    sha256: str
    failed: str = ""  # the one line, if it could not be read


@dataclass(frozen=True, slots=True)
class Book:
    """All that was read from one set of workbooks."""

    tanks: tuple[Tank, ...]
    readings: tuple[Reading, ...]  # sorted by tank key, then date
    methods: tuple[Method, ...]
    work: tuple[Work, ...]
    bands: tuple[Band, ...]
    shelf: tuple[ShelfItem, ...]
    settings: Settings
    problems: tuple[Problem, ...]
    counts: tuple[SheetCount, ...]
    columns: tuple[ColumnUse, ...]
    sources: tuple[SourceFile, ...]
