"""What a number that does not fit may really be: another unit, a lost point."""

from __future__ import annotations

import re
from typing import NamedTuple

from fleet.normalise.units import Water, to_kept, unit_of
from fleet.records import Result
from fleet.reference import Parameter

# 81, 812 or 0.81 for a pH of 8.1; 77 for 7.7; 1026 for a specific gravity of 1.026;
# 4.20 or 0.42 for a calcium of 420.
_LOST_POINT = {
    "tenfold": (0.1, 0.01, 10.0),
    "tenth": (0.1,),
    "thousandfold": (0.001,),
    "lost zeros": (100.0, 1000.0),
}
_A_WORD = re.compile(
    r"\d\W*(?!(?:or|to|bis|and|ish|approx|about|max|nd|bdl)\b)(?:[^\W\d]|[°‰])", re.I
)


class Slip(NamedTuple):
    """One other way to read a number."""

    unit: str  # unit key the number may really be in; "" for a lost decimal point
    value: float  # kept unit


def written_number(result: Result) -> float:
    """Return the number a result is judged by: of a range the middle."""
    return result.number if result.upper is None else (result.number + result.upper) / 2


def could_be(
    parameter: Parameter, number: float, unit: str, water: Water
) -> tuple[Slip, ...]:
    """Return the other readings of a number as written, likeliest first."""
    slips: list[Slip] = []
    own = unit_of(parameter, unit)
    for name in parameter.slips:
        if name in _LOST_POINT:
            tries = [("", own, number * factor) for factor in _LOST_POINT[name]]
        elif name == own.key:
            continue
        else:
            tries = [(name, unit_of(parameter, name), number)]
        for shown, meant, value in tries:
            try:
                kept = to_kept(meant, value, water)
            except ValueError:
                continue  # no water has such a value in that unit
            if parameter.possible[0] <= kept <= parameter.possible[1]:
                slips.append(Slip(shown, kept))
    return tuple(slips)


def states_its_unit(result: Result) -> bool:
    """Say whether the writer put a unit behind the number in the cell itself."""
    if result.form == "value":
        return any(c.isalpha() or c in "°‰" for c in result.written)
    return bool(_A_WORD.search(result.written))
