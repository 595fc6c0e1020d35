"""One cell -> a plain quantity: ``75 gal``, ``2 kg``, ``98 %``, ``12``."""

from __future__ import annotations

import re
from typing import Any, NamedTuple

from fleet import problems
from fleet.read.dates import Fault
from fleet.read.grid import Trouble, blank
from fleet.read.numbers import NUMBER, Either, number_of
from fleet.read.units import QUANTITIES, factor, quantity_unit
from fleet.read.words import Words, fold, tidy, too_long

_QUANTITY = re.compile(
    rf"(?:[~≈±]|\+/-|\+-|<|ca\.?|about|approx\.?)?\s*({NUMBER})\s*(.*)$"
)
_NOTHING = {"", "na", "unknown", "none", "tbd", "nk", "notknown"}


class Quantity(NamedTuple):
    """A number, and the unit written behind it or in the header."""

    number: float
    unit: str  # as found in the word lists; "" if none is written


def quantity(
    cell: Any, kinds: tuple[str, ...], header_unit: str, words: Words
) -> Quantity | Fault | None:
    """Return the number and unit in ``cell``, None if blank, or why there is none.

    ``kinds`` are the kinds of unit that fit, such as ``("rate", "mass")``; the unit
    in the cell beats ``header_unit``. A comma before three digits marks thousands
    here: no volume or mass is written to a thousandth.
    """
    if blank(cell):
        return None
    if isinstance(cell, float | int):
        number = float(cell)
        if number != number or abs(number) == float("inf"):
            return Fault(problems.NUMBER_UNREADABLE)
        return Quantity(number, header_unit)
    if isinstance(cell, Trouble):
        kind = problems.CELL_ERROR if cell.text else problems.FORMULA_WITHOUT_VALUE
        return Fault(kind)
    if not isinstance(cell, str) or too_long(cell):
        return Fault(problems.NUMBER_UNREADABLE)
    flat = tidy(cell)
    if fold(flat) in _NOTHING:
        return None
    found = _QUANTITY.match(flat)
    value = number_of(found[1]) if found else None
    if not found or value is None:
        return Fault(problems.NUMBER_UNREADABLE)
    number = _settled(value, found[1])
    rest = found[2].strip(" ()[].")
    if not rest:
        return Quantity(number, header_unit)
    for name in kinds:
        unit = quantity_unit(name, rest, words)
        if unit:
            return Quantity(number, unit)
    return Fault(problems.NUMBER_UNREADABLE)


def _settled(value: float | Either, text: str) -> float:
    if not isinstance(value, Either):
        return value
    return value.decimal if "." in text else value.thousands


def converted(found: Quantity, kind: str) -> float:
    """Return a quantity in the first unit of its kind: L, g, g/L, share, g/day."""
    return found.number * (factor(kind, found.unit) if found.unit else 1.0)


def share(found: Quantity) -> float:
    """Return a share from per cent; up to 1 it can only be a share already.

    Only for what is never as little as one per cent: protein in feed, a purity.
    """
    return found.number if found.number <= 1 else found.number / 100


def accepted(kinds: tuple[str, ...]) -> str:
    """Return the units that fit, for a message."""
    units = [unit for kind in kinds for unit in QUANTITIES[kind][1]]
    return f", with one of: {', '.join(units)}" if units else ""
