"""A report on all tanks of a set of workbooks."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal, NamedTuple

from fleet.records.found import Findings
from fleet.records.planned import Plan
from fleet.records.words import Sentence
from fleet.records.workbook import Problem, Settings, SheetCount, SourceFile, Tank


@dataclass(frozen=True, slots=True)
class TankReport:
    """One tank, read, judged and planned."""

    tank: Tank
    findings: Findings
    plan: Plan


class Portion(NamedTuple):
    """What one tank gets from a bottle."""

    tank: str  # tank id
    day_ml: float
    days: int
    strength: float  # g/L of what is measured: the bottle's, or weaker if thinned


@dataclass(frozen=True, slots=True)
class Bottle:
    """One stock solution for the round."""

    strength: float  # g/L, salt as weighed
    weigh_g: float  # 0 where it stands on the shelf
    make: Sentence | None  # how; None where it stands on the shelf
    portions: tuple[Portion, ...]


@dataclass(frozen=True, slots=True)
class ShoppingLine:
    """One substance over all tanks: what is needed and what is there."""

    substance: str  # salts.toml key
    total_g: float
    on_hand_g: float | None
    per_tank: tuple[tuple[str, float], ...]  # tank id -> g
    bottles: tuple[Bottle, ...] = ()

    @property
    def weighed_g(self) -> float:
        """What leaves the packet: for the bottles to make, or the doses themselves."""
        made = [bottle.weigh_g for bottle in self.bottles]
        return sum(made) if any(made) else self.total_g


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture to print: 8-bit grey or RGB, on white, of bounded size."""

    png: bytes
    wide: int  # pixels
    high: int
    digest: str  # SHA-256 of the picture


@dataclass(frozen=True, slots=True)
class TankChange:
    """How one tank stands beside the last report."""

    tank: str
    word: Literal["new", "better", "worse", "same", "gone"]
    before: str  # attention then
    done: tuple[str, ...] = ()  # ids of actions asked for and logged since
    not_done: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Report:
    """A finished report: all that the renderers need."""

    as_of: date
    made_by: str
    settings: Settings
    sources: tuple[SourceFile, ...]
    tanks: tuple[TankReport, ...]  # worst first
    shopping: tuple[ShoppingLine, ...]
    problems: tuple[Problem, ...]
    counts: tuple[SheetCount, ...]
    since: date | None = None  # as_of of the earlier report compared with
    changes: tuple[TankChange, ...] = ()
    logo: Picture | None = None  # of the organisation
