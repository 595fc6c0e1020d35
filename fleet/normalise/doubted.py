"""Doubts in words: what is said on the sheet, and to the one who keeps the workbook."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from fleet import problems
from fleet.normalise.levels import Entry, inside
from fleet.normalise.slips import Slip
from fleet.records import Doubt, Measurement, Problem, Result, say
from fleet.reference import Parameter


class Doubted(NamedTuple):
    """A doubt with its problem; ``lasting`` ones a second reading does not settle."""

    doubt: Doubt
    problem: Problem
    lasting: bool


def impossible(parameter: Parameter, result: Result) -> Doubted:
    """Return the doubt of a value that no tank can have."""
    said = say("doubts.impossible", parameter=parameter.key, written=result.written)
    problem = problems.VALUE_IMPOSSIBLE.at(
        result.source, result.written, parameter=parameter.key, unit=result.unit
    )
    return Doubted(Doubt("impossible", said), problem, lasting=True)


def zero_or_blank(parameter: Parameter, result: Result) -> Doubted:
    """Return the doubt of a zero where seawater has none, such as a pH of 0."""
    said = say("doubts.zero-or-blank", parameter=parameter.key, written=result.written)
    problem = problems.VALUE_ZERO_OR_BLANK.at(
        result.source, result.written, parameter=parameter.key
    )
    return Doubted(Doubt("impossible", said), problem, lasting=True)


def below_zero(parameter: str, result: Result) -> Doubted:
    """Return the doubt of a number further below zero than its method errs."""
    said = say("doubts.below-zero", parameter=parameter, written=result.written)
    problem = problems.VALUE_BELOW_ZERO.at(
        result.source, result.written, parameter=parameter
    )
    return Doubted(Doubt("impossible", said), problem, lasting=True)


def says_little(parameter: Parameter, result: Result) -> Doubted:
    """Return the doubt of a "less than" that leaves nearly all open."""
    said = say("doubts.says-little", parameter=parameter.key, written=result.written)
    problem = problems.VALUE_SAYS_LITTLE.at(
        result.source, result.written, parameter=parameter.key, unit=result.unit
    )
    return Doubted(Doubt("says little", said), problem, lasting=True)


def unit_slip(parameter: Parameter, entry: Entry, slip: Slip) -> Doubted:
    """Return the doubt of a number that another unit, or a point, explains better."""
    result = entry.result
    said = say(
        "doubts.other-unit" if slip.unit else "doubts.lost-point",
        parameter=parameter.key,
        written=result.written,
        unit=result.unit,
        meant=slip.unit,
        would_be=slip.value,
    )
    kind = problems.VALUE_OTHER_UNIT if slip.unit else problems.VALUE_LOST_POINT
    problem = kind.at(
        result.source,
        result.written,
        parameter=parameter.key,
        unit=result.unit,
        meant=slip.unit,
        would_be=f"{slip.value:.3g}",
        kept=parameter.kept,
    )
    # The same slip made twice is no second opinion, unless the value is a usual one.
    lasting = entry.number is None or not inside(entry.number, parameter.usual)
    return Doubted(Doubt("unit slip", said, slip.value), problem, lasting)


def jump(parameter: Parameter, result: Result, last: Measurement) -> Doubted:
    """Return the doubt of a value far from the one before, nothing explaining it."""
    said = say(
        "doubts.jump",
        parameter=parameter.key,
        written=result.written,
        before=last.written,
        before_on=last.taken_on,
    )
    problem = problems.VALUE_JUMP.at(
        result.source,
        result.written,
        parameter=parameter.key,
        before=last.written,
        on=last.taken_on.isoformat(),
    )
    return Doubted(Doubt("jump", said), problem, lasting=False)


def swapped(result: Measurement, beside: Measurement, would_be: float) -> Doubted:
    """Return the doubt of a number that fits the box of the one beside it."""
    said = say(
        "doubts.swapped",
        parameter=result.parameter,
        written=result.written,
        other=beside.parameter,
        beside=beside.written,
    )
    problem = problems.VALUE_SWAPPED.at(
        result.source,
        result.written,
        parameter=result.parameter,
        other=beside.parameter,
        beside=beside.written,
    )
    return Doubted(Doubt("swapped", said, would_be), problem, lasting=True)


def in_future(on: date, as_of: date) -> Doubt:
    """Return the doubt of a result dated after the day of the report."""
    return Doubt("future date", say("doubts.future-date", on=on, as_of=as_of))
