"""What the results of a tank can mean."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from itertools import groupby
from operator import attrgetter
from typing import Literal, NamedTuple

from fleet.records.words import CellAddress, Sentence
from fleet.records.workbook import Method, Problem


@dataclass(frozen=True, slots=True)
class Doubt:
    """Why a value is not believed, and what it would be if it was a slip."""

    # "impossible", "unit slip", "jump", "swapped", "differing", "future date"
    kind: str
    why: Sentence
    would_be: float | None = None  # kept unit


class Measurement(NamedTuple):
    """One result in the kept unit, with the ends its method leaves open."""

    parameter: str
    taken_on: date
    value: float | None  # best value; None where it only says "less/more than"
    low: float  # lowest true value the result allows
    high: float  # highest (math.inf when above the method's top)
    spread: float  # standard uncertainty; 0 where shape is "even"
    shape: Literal["normal", "even"]  # error round value, or even over low..high
    registers: bool | None  # the method saw something; None: it cannot tell
    written: str
    method: Method
    source: CellAddress
    upper_limit_only: bool = False  # e.g. colour nitrate read beside nitrite
    doubt: Doubt | None = None
    note: Sentence | None = None  # what had to be assumed to read it
    unit: str = ""  # unit key that it was written in


class Results(NamedTuple):
    """The results of one parameter, each tuple oldest first."""

    every: tuple[Measurement, ...]
    believed: tuple[Measurement, ...]  # not doubted
    own: tuple[Measurement, ...]  # believed, and of the parameter itself: no total


_NO_RESULTS = Results((), (), ())


@dataclass(frozen=True, slots=True)
class Measured:
    """All results of one tank in kept units, and what was met on the way."""

    measurements: tuple[Measurement, ...]  # by parameter, then date
    problems: tuple[Problem, ...]
    _series: dict[str, Results] = field(
        init=False, repr=False, compare=False, default_factory=dict
    )

    def __post_init__(self) -> None:
        """Sort the results by parameter once: every judgement asks for one."""
        for parameter, run in groupby(self.measurements, key=attrgetter("parameter")):
            every = *self.of(parameter).every, *run
            believed = tuple([m for m in every if m.doubt is None])
            own = tuple([m for m in believed if m.method.kind != "total"])
            self._series[parameter] = Results(every, believed, own)

    @property
    def parameters(self) -> Iterable[str]:
        """What was tested."""
        return self._series.keys()

    def of(self, parameter: str) -> Results:
        """Return the results of one parameter."""
        return self._series.get(parameter, _NO_RESULTS)
