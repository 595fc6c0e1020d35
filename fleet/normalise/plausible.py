"""What a result can be at all, and whether what it says is worth anything."""

from __future__ import annotations

from fleet.normalise.explained import Happenings
from fleet.normalise.levels import Entry, inside
from fleet.normalise.units import Water, factor_of, to_kept, unit_of
from fleet.reference import Parameter, Reference

SMALL_UNIT = 0.01  # of the kept unit: ug/L, as N and P too, but not umol/L


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


def says_little(parameter: Parameter, entry: Entry, reference: Reference) -> bool:
    """Say whether "less than" leaves so much open that nothing follows from it.

    No test for nitrate says "less than 200", and no thermometer "less than 25": that
    is neither much nor little of it. Only a limit at which every tank has too little
    tells of water that is never without, and is heard.
    """
    number = entry.number or 0.0
    if parameter.usual[0] > 0:
        lows = [
            band.act_low or band.low
            for band in reference.bands
            if band.parameter == parameter.key
        ]
        return number > min((low for low in lows if low), default=parameter.usual[0])
    lowest = entry.measured.method.lowest or 0.0
    # What a test fit to judge by would not see is little, however fine this one is.
    told = reference.limits.get(f"{parameter.key}-can-tell")
    least = told.value if told is not None else 0.0
    return lowest > 0 and number > max(
        reference.limit("less-than-worth") * lowest, least
    )


def too_fine(parameter: Parameter, entry: Entry, reference: Reference) -> bool:
    """Say whether a number in a small unit is less than its method can show.

    0.03 in a column of ug/L is 0.03 mg/L: no test shows hundredths of a ug/L.
    """
    factor = factor_of(unit_of(parameter, entry.result.unit))
    small_unit = factor is not None and factor < reference.limit("small-unit-below")
    return small_unit and 0 < (entry.number or 0.0) < _finest(entry, reference)


def _finest(entry: Entry, reference: Reference) -> float:
    return reference.limit("too-fine") * (entry.measured.method.step or 0.0)


def least_shown(entry: Entry, reference: Reference) -> float:
    """Return the least a slip can have been: what the method in hand shows."""
    method = entry.measured.method
    if method.assumed or method.lowest is None:
        return _finest(entry, reference)
    return max(_finest(entry, reference), method.lowest / 2)
