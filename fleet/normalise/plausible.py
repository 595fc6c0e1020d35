"""What a result can be at all, and whether what it says is worth anything."""

from __future__ import annotations

from fleet.normalise.explained import Happenings
from fleet.normalise.levels import Entry, inside
from fleet.normalise.units import Water, factor_of, to_kept, unit_of
from fleet.records import Method, Result
from fleet.reference import Parameter, Reference


def stands_out(
    parameter: Parameter,
    result: Result,
    number: float | None,
    registers: bool | None,
    method: Method,
    reference: Reference,
) -> bool:
    """Say whether a result asks for a second look, whatever the tank has read.

    The others are asked about only where they lie apart from the tank's own level: so
    whatever else ``doubts`` can find wrong with a result has to be true here.
    """
    if number is None or not inside(number, parameter.usual) or result.form == "range":
        return True
    if result.form == "below" and (
        says_little(parameter, number, method, reference)
        or too_fine(parameter, result, number, method, reference)
    ):
        return True
    # A part of a small unit, such as 0.03 ug/L, is less than tests show.
    return registers is not True and 0 < 10 * number < result.number < 1


def possible(parameter: Parameter, entry: Entry, happened: Happenings) -> bool:
    """Say whether a tank can have a value, of a range both its ends."""
    result, number = entry.result, entry.number
    if number is None or not inside(number, parameter.possible):
        return False
    if result.form != "range" or result.upper is None:
        return True
    unit, water = (
        unit_of(parameter, result.unit),
        Water(sg_reference=happened.settings.sg_reference),
    )
    try:
        ends = [to_kept(unit, end, water) for end in (result.number, result.upper)]
    except ValueError:
        return False
    return all(inside(end, parameter.possible) for end in ends)


def says_little(
    parameter: Parameter, number: float, method: Method, reference: Reference
) -> bool:
    """Say whether "less than" leaves so much open that nothing follows from it.

    No test for nitrate says "less than 200", and no thermometer "less than 25": that
    is neither much nor little of it. Only a limit at which every tank has too little
    tells of water that is never without, and is heard.
    """
    if parameter.usual[0] > 0:
        lows = [
            band.act_low or band.low
            for band in reference.bands
            if band.parameter == parameter.key
        ]
        return number > min((low for low in lows if low), default=parameter.usual[0])
    lowest = method.lowest or 0.0
    # What a test fit to judge by would not see is little, however fine this one is.
    told = reference.limits.get(f"{parameter.key}-can-tell")
    least = told.value if told is not None else 0.0
    return lowest > 0 and number > max(
        reference.limit("less-than-worth") * lowest, least
    )


def too_fine(
    parameter: Parameter,
    result: Result,
    number: float,
    method: Method,
    reference: Reference,
) -> bool:
    """Say whether a number in a small unit is less than its method can show.

    0.03 in a column of ug/L is 0.03 mg/L: no test shows hundredths of a ug/L.
    """
    if not 0 < number < _finest(method, reference):
        return False
    factor = factor_of(unit_of(parameter, result.unit))
    return factor is not None and factor < reference.limit("small-unit-below")


def _finest(method: Method, reference: Reference) -> float:
    return reference.limit("too-fine") * (method.step or 0.0)


def least_shown(method: Method, reference: Reference) -> float:
    """Return the least a slip can have been: what the method in hand shows."""
    if method.assumed or method.lowest is None:
        return _finest(method, reference)
    return max(_finest(method, reference), method.lowest / 2)
