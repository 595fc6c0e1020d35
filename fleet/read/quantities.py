"""One cell -> a plain quantity: ``75 gal``, ``2 kg``, ``98 %``, ``12``."""

from __future__ import annotations

import re
from math import inf
from typing import Any, NamedTuple

from fleet import problems
from fleet.read.dates import Fault
from fleet.read.grid import Trouble, blank
from fleet.read.numbers import NUMBER, Either, number_of, settle
from fleet.read.units import QUANTITIES, factor, quantity_unit
from fleet.read.words import Words
from fleet.spelling import fold, tidy, too_long

_QUANTITY = re.compile(
    rf"(?:[~≈±]|\+/-|\+-|<|ca\.?|about|approx\.?)?\s*({NUMBER})\s*(.*)$"
)
_NOTHING = {"", "na", "unknown", "none", "tbd", "nk", "notknown"}


class Quantity(NamedTuple):
    """A number, and the unit written behind it or in the header."""

    number: float
    unit: str  # as found in the word lists; "" if none is written
    settled: bool = False  # a mark in it could be of decimals or of thousands


class Notation(NamedTuple):
    """How a column writes its numbers, and between what its quantities can lie."""

    decimal_mark: str = ""  # "," or "."; "" where nothing shows which
    least: float = 0.0  # in the first unit of the kind: L
    most: float = inf


PLAIN_NOTATION = Notation()


def quantity(
    cell: Any,
    kinds: tuple[str, ...],
    header_unit: str,
    words: Words,
    notation: Notation = PLAIN_NOTATION,
) -> Quantity | Fault | None:
    """Return the number and unit in ``cell``, None if blank, or why there is none.

    ``kinds`` are the kinds of unit that fit, such as ``("rate", "mass")``; the unit
    in the cell beats ``header_unit``. A mark before three digits is one of thousands
    or of decimals as the column shows, or as the quantity can be; where nothing tells,
    a comma is of thousands (no volume or mass is written to a thousandth), and a point
    is a fault if both can be.
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
    rest = found[2].strip(" ()[].")
    unit: str | None = header_unit
    if rest:
        named = (quantity_unit(name, rest, words) for name in kinds)
        unit = next(filter(None, named), None)
    if unit is None:
        return Fault(problems.NUMBER_UNREADABLE)
    if not isinstance(value, Either):
        return Quantity(value, unit)
    settled = _settled(value, found[1], _factor(kinds, unit), notation)
    if settled is None:
        ways = ("one", f"{value.decimal:g}"), ("other", f"{value.thousands:.10g}")
        return Fault(problems.VALUE_AMBIGUOUS, ways)
    return Quantity(settled, unit, settled=settled != value.decimal)


def _factor(kinds: tuple[str, ...], unit: str) -> float:
    for kind in kinds:
        if unit in QUANTITIES[kind][1]:
            return factor(kind, unit)
    return 1.0


def _settled(
    value: Either, text: str, factor: float, notation: Notation
) -> float | None:
    """Return the one number that is meant; None if it can be both."""
    least, most, mark = notation.least, notation.most, notation.decimal_mark
    fitting = [n for n in value if least <= n * factor <= most]
    if len(fitting) == 1:
        return fitting[0]
    settled = settle(value, mark, text)
    if not isinstance(settled, Either):
        return settled
    if "," in text:
        return value.thousands
    return None if least else value.decimal


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
